"""The study notebook in a real Chromium: Run All, a control moved by keyboard, the export read back."""

from __future__ import annotations

import os
import statistics
from pathlib import Path

import pandas as pd
import pytest
from lab_server import REPOSITORY, SHOTS, Lab, open_notebook

pytestmark = pytest.mark.browser

NOTEBOOK = "wall_study.ipynb"
SIZES = ((1280, 720), (1920, 1080))
PICTURE_HEIGHT = 1256
MOVES = 16
MEDIAN_LIMIT_MS, MOST_LIMIT_MS = 500.0, 3000.0
"""Limits of this test, wide enough for a busy machine; the aim is 150 ms, and the figures are printed."""

WATCH = """() => {
  const picture = () => document.querySelector('.wallcalc-panel img.wallcalc-picture');
  window.wallcalcSeen = picture().src; window.wallcalcTimes = []; window.wallcalcKey = 0;
  window.addEventListener('keydown', () => { window.wallcalcKey = performance.now(); }, true);
  new MutationObserver(() => {
    const now = picture();
    if (now && now.src !== window.wallcalcSeen) {
      window.wallcalcSeen = now.src;
      window.wallcalcTimes.push(performance.now() - window.wallcalcKey);
    }
  }).observe(document.querySelector('.wallcalc-panel'), {subtree: true, childList: true, attributes: true});
}"""

CLIPPED = """() => [...document.querySelectorAll('.wallcalc-panel .widget-label, .wallcalc-panel .jupyter-button')]
  .filter(e => e.offsetParent && e.scrollWidth > e.clientWidth + 1).map(e => e.textContent)"""

OUTSIDE = """() => { const box = document.querySelector('.wallcalc-panel').getBoundingClientRect();
  return [...document.querySelectorAll('.wallcalc-panel img, .wallcalc-panel button, .wallcalc-panel select')]
  .filter(e => e.offsetParent && e.getBoundingClientRect().right > box.right + 1)
  .map(e => e.outerHTML.slice(0, 80)); }"""


@pytest.fixture(scope="module", params=SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
def page(request, lab: Lab, chromium):
    page = open_notebook(lab, chromium, NOTEBOOK, request.param)
    yield page
    page.context.close()
    lab.stop_kernels()


def _shot(page, name: str) -> None:
    SHOTS.mkdir(exist_ok=True)
    page.screenshot(path=SHOTS / f"{name}_{page.viewport_size['width']}.png")


def _top(page) -> None:
    page.evaluate("document.querySelector('.wallcalc-panel').scrollIntoView()")


def test_run_all_leaves_no_error_and_no_warning(page):
    wrong = page.locator(
        '[data-mime-type="application/vnd.jupyter.error"], [data-mime-type="application/vnd.jupyter.stderr"]'
    )
    assert wrong.all_inner_texts() == []
    assert page.locator(".wallcalc-message.error").all_inner_texts() == []
    _top(page)
    page.wait_for_timeout(300)
    _shot(page, "open")


def test_nothing_is_clipped_or_outside_the_panel(page):
    assert page.evaluate(CLIPPED) == []
    assert page.evaluate(OUTSIDE) == []
    assert page.locator(".wallcalc-panel img").count() == 4
    for image in page.locator(".wallcalc-panel img").all():
        assert len(image.get_attribute("alt")) > 40


def test_stud_centres_by_keyboard_change_the_picture_quickly(page, record_property):
    _top(page)
    number = page.get_by_label("exact centres, mm")
    number.focus()
    page.evaluate(WATCH)
    before = page.evaluate("window.wallcalcSeen")
    for k in range(MOVES):
        seen = page.evaluate("window.wallcalcTimes.length")
        number.press("ArrowDown" if k < MOVES / 2 else "ArrowUp")
        page.wait_for_function(f"() => window.wallcalcTimes.length > {seen}")
        page.wait_for_timeout(150)
    times = page.evaluate("window.wallcalcTimes")
    assert page.evaluate("window.wallcalcSeen") == before
    assert len(times) == MOVES
    median, most = statistics.median(times), max(times)
    record_property("change to new picture, ms", f"median {median:.0f}, most {most:.0f}")
    each = ", ".join(f"{time:.0f}" for time in times)
    print(f"change to new picture: median {median:.0f} ms, most {most:.0f} ms; each: {each}")
    assert median < MEDIAN_LIMIT_MS
    assert most < MOST_LIMIT_MS


def test_every_control_is_reached_by_tab(page):
    _top(page)
    fold = page.get_by_role("button", name="Show: more choices")
    fold.focus()
    page.keyboard.press("Enter")
    page.get_by_label("wall", exact=True).focus()
    reached = set()
    for _ in range(36):
        reached.add(
            page.evaluate(
                "() => { const e = document.activeElement; const label = e.labels && e.labels[0];"
                " return (label ? label.textContent : e.getAttribute('aria-label') || e.textContent).trim(); }"
            )
        )
        page.keyboard.press("Tab")
    for wanted in (
        "trade rules",
        "exact centres, mm",
        "300",
        "600",
        "boards",
        "cavity fill",
        "sheet, mm",
        "Export files",
    ):
        assert any(wanted in name for name in reached), (wanted, reached)


def test_kept_option_is_compared_and_export_is_read_back(page, lab: Lab):
    _top(page)
    page.get_by_role("button", name="Keep this option").click()
    page.get_by_label("figures held against").wait_for()
    page.get_by_role("button", name="stud centres 400 mm", exact=True).click()
    page.get_by_label("cavity fill").select_option(index=2)
    page.wait_for_function(
        "() => /400 mm.*fill wool/.test(document.querySelector('.wallcalc-status').textContent)"
    )
    page.wait_for_function("() => /to kept 1/.test(document.querySelector('.wallcalc-held').textContent)")
    page.wait_for_function(
        "() => /600 → 400 mm/.test([...document.querySelectorAll('.wallcalc-changed')].pop().textContent)"
    )
    assert page.get_by_role("button", name="Go back to 1").is_visible()
    page.wait_for_function("() => !document.querySelector('.wallcalc-panel progress')", timeout=120_000)
    if os.environ.get("WALLCALC_PICTURE") and page.viewport_size["width"] == SIZES[-1][0]:
        box = page.locator(".wallcalc-panel").first.bounding_box()
        clip = {"x": box["x"], "y": box["y"], "width": box["width"], "height": PICTURE_HEIGHT}
        page.set_viewport_size({"width": page.viewport_size["width"], "height": PICTURE_HEIGHT + 200})
        _top(page)
        page.wait_for_timeout(500)
        clip["y"] = page.locator(".wallcalc-panel").first.bounding_box()["y"]
        page.screenshot(path=REPOSITORY / "data" / "pictures" / "wall_study.png", clip=clip)
        page.set_viewport_size({"width": SIZES[-1][0], "height": SIZES[-1][1]})
    page.get_by_role("button", name="Export files").click()
    page.wait_for_selector(".wallcalc-exported code")
    shown = page.locator(".wallcalc-figures .value").first.inner_text()
    folder, *names = page.locator(".wallcalc-exported code").all_inner_texts()
    paths = [Path(folder) / name for name in names]
    order = pd.read_csv(next(p for p in paths if "order" in p.name and p.suffix == ".csv"))
    assert f"{order['cost'].sum():,.2f}" in shown
    wide = page.evaluate(
        "() => [...document.querySelectorAll('.wallcalc-panel .widget-box')]"
        ".filter(box => box.querySelector('.wallcalc-exported') && box.scrollWidth > box.clientWidth + 1)"
        ".map(box => [box.scrollWidth, box.clientWidth])"
    )
    assert wide == [], "nothing of the panel is pushed out of sight by long names"
    assert all(path.is_relative_to(lab.folder) for path in paths)
    with page.expect_download() as download:
        page.locator(".wallcalc-exported a").click()
    assert download.value.suggested_filename.endswith(".zip")
    _top(page)
    page.wait_for_timeout(300)
    _shot(page, "kept")


def test_the_rest_of_the_page_is_shown(page):
    page.get_by_label("show the cutting plans").check()
    page.wait_for_function("() => document.querySelectorAll('.wallcalc-panel img').length >= 6")
    _top(page)
    page.mouse.move(page.viewport_size["width"] * 0.6, page.viewport_size["height"] * 0.5)
    for k in range(1, 9):
        page.mouse.wheel(0, page.viewport_size["height"] - 150)
        page.wait_for_timeout(250)
        _shot(page, f"page{k}")
    assert page.locator(".wallcalc-message.error").all_inner_texts() == []


def test_an_option_that_is_refused_says_so_in_place_and_leaves_the_last_picture(page):
    _top(page)
    page.get_by_label("stud section, mm").select_option("38x63")
    page.get_by_label("cavity fill").select_option("wool-90")
    page.wait_for_selector(".wallcalc-message.error")
    assert "wool-90 is 90 mm thick" in page.locator(".wallcalc-status").inner_text()
    page.wait_for_function("() => document.querySelectorAll('.wallcalc-stale img').length === 2")
    _shot(page, "refused")
    page.get_by_role("button", name="Undo", exact=True).click()
    page.wait_for_function("() => !document.querySelector('.wallcalc-message.error')")
    page.wait_for_function("() => !document.querySelector('.wallcalc-stale')")
    assert page.locator(".wallcalc-panel img").count() >= 4
