"""The checks notebook in a real Chromium: Run All, a slider moved by keyboard, the bars and the words follow."""

from __future__ import annotations

import os

import pytest
from heard import heard, troubles
from lab_server import SHOTS, Lab

pytestmark = pytest.mark.browser

NOTEBOOK = "checks.ipynb"


@pytest.fixture(scope="module")
def page(lab: Lab, chromium):
    context = chromium.new_context(viewport={"width": 1280, "height": 900})
    page = context.new_page()
    page.set_default_timeout(60_000)
    page.goto(f"{lab.address}/lab/tree/{NOTEBOOK}?reset&token={lab.token}")
    page.wait_for_selector(".jp-Notebook")
    lab.wait_for_kernel(NOTEBOOK)
    page.get_by_role("menuitem", name="Run", exact=True).click()
    page.locator("#jp-mainmenu-run").get_by_text("Run All Cells", exact=True).click()
    page.wait_for_selector(".wallcalc-panel img.wallcalc-picture")
    yield page
    context.close()
    lab.stop_kernels()


def test_a_load_moved_by_keyboard_changes_bars_and_words(page) -> None:
    panel = page.locator(".wallcalc-panel")
    picture = panel.locator("img.wallcalc-picture")
    before, said = picture.get_attribute("src"), panel.get_by_text("What governs").first.text_content()
    assert "limit of 1.0" in picture.get_attribute("alt")
    box = panel.get_by_label("exact load factor")
    box.fill("3")
    box.press("Enter")
    page.wait_for_function(
        "src => document.querySelector('.wallcalc-panel img.wallcalc-picture').src !== src", arg=before
    )
    panel.get_by_text("1.08 kN/m").first.wait_for()
    assert panel.locator("p", has_text="What governs").text_content() != said
    assert panel.locator(".wallcalc-status").inner_text().strip() == ""
    if os.environ.get("WALLCALC_SHOTS"):
        SHOTS.mkdir(exist_ok=True)
        panel.screenshot(path=str(SHOTS / "checks.png"))


def test_what_is_typed_is_kept_and_limits_are_told(page) -> None:
    panel = page.locator(".wallcalc-panel")
    said = panel.locator("[role=alert]")
    box = panel.get_by_label("exact height, mm")
    for typed in ("2437", "2533.5"):
        box.fill(typed)
        box.press("Enter")
        panel.locator("h2", has_text="checks").wait_for()
        page.wait_for_timeout(
            500
        )  # the slider beside it has only whole steps, and must not pull the box onto them
        assert box.input_value() == typed
        assert said.all_inner_texts() == []
    box.press("ArrowUp")
    assert box.input_value() == "2540", "an arrow goes to the next whole step"
    box.fill("9000")
    box.press("Tab")
    said.get_by_text("9000 is not taken; it goes from 1800 to 4500.").wait_for()
    assert box.input_value() == "4500"
    box.fill("2620")
    box.press("Tab")
    page.wait_for_function("() => !document.querySelector('.wallcalc-limits').textContent")
    panel.locator("[aria-valuetext='2620 mm']").wait_for()


def test_a_screen_reader_hears_every_control_and_a_missing_name_would_be_found(page) -> None:
    (panel,) = heard(page)
    assert troubles(panel) == []
    heights = {
        n.role: n.value for n in panel.all() if "height" in n.name and n.role in ("slider", "spinbutton")
    }
    assert heights == {"slider": "2620 mm", "spinbutton": "2620"}
    assert {n.role for n in panel.all()} >= {"region", "status", "heading", "image", "table", "columnheader"}
    label = page.locator(".wallcalc-panel .widget-dropdown .widget-label").first
    was = label.evaluate("e => { const was = e.textContent; e.textContent = ''; return was; }")
    (panel,) = heard(page)
    assert [t.partition(":")[0] for t in troubles(panel)] == ["without a name"]
    label.evaluate("(e, was) => { e.textContent = was; }", was)


def test_no_label_is_clipped(page) -> None:
    clipped = page.evaluate(
        "() => [...document.querySelectorAll('.wallcalc-panel .widget-label')]"
        ".filter(e => e.offsetParent && e.scrollWidth > e.clientWidth + 1).map(e => e.textContent)"
    )
    assert clipped == []


def test_keys_pressed_in_a_drop_down_are_its_own(page) -> None:
    cells = page.locator(".jp-Notebook .jp-Cell").count()
    section = page.locator(".wallcalc-panel").get_by_label("stud section, mm")
    section.select_option("38x63")
    section.focus()
    page.keyboard.press("ArrowDown")
    page.wait_for_function(
        "() => document.querySelector('.wallcalc-panel select').selectedOptions[0].textContent === '38x89'"
    )
    for key in ("x", "a", "b", "d", "d"):
        page.keyboard.press(key)
    assert page.evaluate("document.activeElement.tagName") == "SELECT"
    assert page.locator(".jp-Notebook .jp-Cell").count() == cells
