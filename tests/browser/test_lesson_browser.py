"""The lesson in a real Chromium: Run All, guess and reveal by keyboard, a question answered, progress exported."""

from __future__ import annotations

import math
import statistics

import pytest
from heard import heard, troubles
from lab_server import SHOTS, Lab

from wallcalc.files import read_csv_table
from wallcalc.lesson.state import STEPS

pytestmark = pytest.mark.browser

NOTEBOOK = "why_spacing_matters.ipynb"
SIZES = ((1280, 720, 1.0), (1920, 1080, 1.0), (640, 360, 2.0))
"""Width, height, zoom: at 200 % a window of 1280 by 720 has half the room."""
PANELS = len(STEPS) + 2
MOVES = 12
MEDIAN_LIMIT_MS, MOST_LIMIT_MS = 500.0, 3000.0
"""Limits of this test, wide enough for a busy machine; the aim is 150 ms, and the figures are printed."""

WATCH = """panel => {
  const picture = () => panel.querySelector('img.wallcalc-picture');
  window.lessonSeen = picture().src; window.lessonTimes = []; window.lessonKey = 0;
  window.addEventListener('keydown', () => { window.lessonKey = performance.now(); }, true);
  new MutationObserver(() => {
    const now = picture();
    if (now && now.src !== window.lessonSeen) {
      window.lessonSeen = now.src;
      window.lessonTimes.push(performance.now() - window.lessonKey);
    }
  }).observe(panel, {subtree: true, childList: true, attributes: true});
}"""

TROUBLE = """() => { const found = [];
  for (const panel of document.querySelectorAll('.wallcalc-lesson')) {
    const box = panel.getBoundingClientRect();
    for (const e of panel.querySelectorAll('.widget-label, .jupyter-button'))
      if (e.offsetParent && e.scrollWidth > e.clientWidth + 1) found.push('clipped: ' + e.textContent);
    for (const e of panel.querySelectorAll('input[type=number], input[type=text]'))
      if (e.offsetParent && e.clientWidth < 60) found.push('too narrow: ' + e.value);
    const shown = [...panel.querySelectorAll('img, button, select, input, .widget-label, p, table')]
      .filter(e => e.offsetParent);
    for (const e of shown)
      if (e.getBoundingClientRect().right > box.right + 1 && !e.closest('.wallcalc-scroll'))
        found.push('outside: ' + e.outerHTML.slice(0, 80));
    const rows = [...panel.querySelectorAll('img, button, select, input[type=text], input[type=number], p')]
      .filter(e => e.offsetParent).map(e => [e, e.getBoundingClientRect()]);
    for (let i = 0; i < rows.length; i++) for (let j = i + 1; j < rows.length; j++) {
      const [a, ra] = rows[i], [b, rb] = rows[j];
      if (a.contains(b) || b.contains(a)) continue;
      const wide = Math.min(ra.right, rb.right) - Math.max(ra.left, rb.left);
      const tall = Math.min(ra.bottom, rb.bottom) - Math.max(ra.top, rb.top);
      if (wide > 2 && tall > 2) found.push('overlap: ' + a.outerHTML.slice(0, 60) + ' / ' + b.outerHTML.slice(0, 60));
    }
  } return found; }"""


@pytest.fixture(scope="module", params=SIZES, ids=lambda s: f"{s[0]}x{s[1]}")
def page(request, lab: Lab, chromium):
    width, height, zoom = request.param
    context = chromium.new_context(viewport={"width": width, "height": height}, device_scale_factor=zoom)
    page = context.new_page()
    page.set_default_timeout(60_000)
    page.goto(f"{lab.address}/lab/tree/{NOTEBOOK}?reset&token={lab.token}")
    page.wait_for_selector(".jp-Notebook")
    lab.wait_for_kernel(NOTEBOOK)
    if zoom > 1:  # the file browser leaves too little room for any page: an apprentice folds it away as well
        page.keyboard.press("Control+B")
        page.wait_for_timeout(400)
    page.evaluate("document.querySelector('.jp-Notebook').focus()")
    page.get_by_role("menuitem", name="Run", exact=True).click()
    page.locator("#jp-mainmenu-run").get_by_text("Run All Cells", exact=True).click()
    count = f"() => document.querySelectorAll('.wallcalc-lesson').length === {PANELS}"
    page.wait_for_function(count, timeout=120_000)
    page.wait_for_timeout(500)
    lab.wait_for_kernel(NOTEBOOK, 120.0)  # the cells that check follow the last panel
    page.wait_for_timeout(500)
    yield page
    context.close()
    lab.stop_kernels()


def panel_of(page, key: str):
    number = [made.key for made in STEPS].index(key)
    panel = page.locator(".wallcalc-lesson").nth(number)
    panel.scroll_into_view_if_needed()
    return panel


def shot(page, name: str) -> None:
    SHOTS.mkdir(exist_ok=True)
    page.wait_for_timeout(300)
    page.screenshot(path=SHOTS / f"lesson_{name}_{page.viewport_size['width']}.png")


def test_run_all_leaves_no_error_and_no_warning(page):
    wrong = page.locator(
        '[data-mime-type="application/vnd.jupyter.error"], [data-mime-type="application/vnd.jupyter.stderr"]'
    )
    assert wrong.all_inner_texts() == []
    assert page.locator(".wallcalc-message.error").all_inner_texts() == []
    assert page.locator(".wallcalc-lesson img").count() == 0, "nothing is shown before a guess"
    shot(page, "open")


@pytest.mark.parametrize("key", [made.key for made in STEPS])
def test_a_step_opens_by_keyboard_after_a_guess(page, key):
    panel = panel_of(page, key)
    choices = panel.locator(".wallcalc-choices button")
    if choices.count():
        choices.nth(1).focus()
    else:
        panel.get_by_role("button", name="Keep my guess and show me").focus()
        page.keyboard.press("Enter")
        panel.locator(".wallcalc-message").wait_for()  # asked to guess first
        assert panel.locator("img").count() == 0
        panel.get_by_label("your guess").focus()
        page.keyboard.type("3")
        page.keyboard.press("Tab")
        assert page.evaluate("document.activeElement.textContent") == "Keep my guess and show me"
    page.keyboard.press("Enter")
    panel.locator("img.wallcalc-picture, table.wallcalc-table").first.wait_for()
    assert "You guessed" in panel.locator("[role=status] strong").first.inner_text()
    for image in panel.locator("img").all():
        assert len(image.get_attribute("alt")) > 60
    for field in panel.locator("select, input[type=number], input[type=text]").all():
        assert field.evaluate(
            "e => (e.labels && e.labels.length ? e.labels[0].textContent : '') || e.ariaLabel"
        )
    panel.evaluate("e => e.scrollIntoView()")
    shot(page, key)


def test_a_list_of_choices_is_moved_by_keyboard(page):
    panel = panel_of(page, "edges")
    before = panel.locator("img").get_attribute("src")
    other = panel.locator(".wallcalc-choices").last.get_by_role("button").nth(1)
    other.focus()
    page.keyboard.press("Enter")
    page.wait_for_function("e => e.getAttribute('aria-pressed') === 'true'", arg=other.element_handle())
    page.wait_for_function(
        "([panel, src]) => panel.querySelector('img').src !== src", arg=[panel.element_handle(), before]
    )


def test_nothing_is_clipped_outside_or_overlapping(page):
    assert page.evaluate(TROUBLE) == []


def test_a_screen_reader_hears_every_control(page):
    panels = heard(page)
    assert [t for panel in panels for t in troubles(panel)] == []
    buttons = [n for n in panels[0].all() if n.role == "button" and n.groups[-1:] == ("go to",)]
    assert sorted(n.states["pressed"] for n in buttons)[-2:] == ["false", "true"]


def test_moving_a_control_changes_the_picture_quickly(page, record_property):
    told = []
    for key, label in (
        ("edges", "exact stud centres, mm"),
        ("bending", "exact stud centres, mm"),
        ("slabs", "exact stud centres, mm"),
        ("grid", "exact pipe and basin from the left, mm"),
    ):
        panel = panel_of(page, key)
        number = panel.get_by_label(label)
        number.focus()
        panel.evaluate(WATCH)
        for k in range(MOVES):
            seen = page.evaluate("window.lessonTimes.length")
            number.press("ArrowDown" if k < MOVES / 2 else "ArrowUp")
            page.wait_for_function(f"() => window.lessonTimes.length > {seen}")
            page.wait_for_timeout(120)
        times = page.evaluate("window.lessonTimes")
        median, most = statistics.median(times), max(times)
        late = sorted(times)[math.ceil(0.95 * len(times)) - 1]
        told.append(f"{key}: median {median:.0f} ms, p95 {late:.0f} ms, most {most:.0f} ms")
        assert median < MEDIAN_LIMIT_MS
        assert most < MOST_LIMIT_MS
    record_property("change to new picture", "; ".join(told))
    print("; ".join(told))


def test_a_question_is_answered_and_the_progress_exported(page, lab: Lab):
    panel = page.locator(".wallcalc-lesson").last
    panel.scroll_into_view_if_needed()
    for _ in range(2):
        typed, chosen = panel.locator("input[type=text]"), panel.locator(".wallcalc-choices button")
        if chosen.count():
            chosen.nth(1).focus()
        else:
            typed.fill("2.54 m")
            typed.press("Tab")
            panel.get_by_role("button", name="Check my answer").focus()
        page.keyboard.press("Enter")
        panel.locator(".wallcalc-message").wait_for()
        assert panel.locator(".wallcalc-message").inner_text().startswith(("Right", "Not so"))
        shot(page, "question")
        panel.get_by_role("button", name="Next question").focus()
        page.keyboard.press("Enter")
        panel.locator(".wallcalc-message").wait_for(state="detached")
    panel.get_by_role("button", name="Export my progress").focus()
    page.keyboard.press("Enter")
    panel.locator(".wallcalc-exported code").first.wait_for()
    rows = read_csv_table(lab.folder / "exports" / "lesson_progress.csv")
    assert len(rows) == 2
    assert {row["right"] for row in rows} <= {"yes", "no"}
    with page.expect_download() as download:
        panel.locator(".wallcalc-exported a").click()
    assert download.value.suggested_filename == "lesson_progress.csv"
    shot(page, "exported")
