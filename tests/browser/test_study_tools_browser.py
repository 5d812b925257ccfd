"""What the study panel can do beyond one option, by keyboard in a real Chromium, at three sizes of the page."""

from __future__ import annotations

import re

import pytest
from heard import heard, troubles
from lab_server import NOTHING_IN_WORK, REPOSITORY, SHOTS, Lab, open_notebook

pytestmark = pytest.mark.browser

NOTEBOOK = "wall_study.ipynb"
PAGES = {"small": ((1280, 720), 1.0), "large": ((1920, 1080), 1.0), "zoom": ((1280, 720), 2.0)}
FOLDS = (
    "change the wall",
    "open and save walls",
    "more choices",
    "kept options",
    "one figure against any choice",
    "map of two choices",
    "fitted layout and modules",
    "all options of this study",
)

OVERLAPS = """() => {
  const panel = document.querySelector('.wallcalc-panel');
  const kinds = 'button, input:not([type=file]), select, img, .widget-label, .wallcalc-message, h2, h3, figcaption, ' +
    '.wallcalc-figures .name, .wallcalc-figures .value, .wallcalc-changed, .wallcalc-note, a, .wallcalc-reasons, ' +
    '.wallcalc-key, table, .wallcalc-cautions';
  const seen = [];
  for (const e of panel.querySelectorAll(kinds)) {
    if (!e.offsetParent || getComputedStyle(e).visibility === 'hidden') continue;
    let {left, top, right, bottom} = e.getBoundingClientRect();
    for (let up = e.parentElement; up && up !== panel; up = up.parentElement) {
      if (getComputedStyle(up).overflow === 'visible') continue;
      const box = up.getBoundingClientRect();
      left = Math.max(left, box.left); right = Math.min(right, box.right);
      top = Math.max(top, box.top); bottom = Math.min(bottom, box.bottom);
    }
    if (right - left > 2 && bottom - top > 2) seen.push({e, left, top, right, bottom});
  }
  const name = e => (e.tagName + ' ' + (e.textContent || e.alt || e.value || '')).trim().slice(0, 50);
  const found = [];
  for (let i = 0; i < seen.length; i++) for (let k = i + 1; k < seen.length; k++) {
    const a = seen[i], b = seen[k];
    if (a.e.contains(b.e) || b.e.contains(a.e)) continue;
    const wide = Math.min(a.right, b.right) - Math.max(a.left, b.left);
    const tall = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
    if (wide > 1.5 && tall > 1.5) found.push([name(a.e), name(b.e), Math.round(wide), Math.round(tall)]);
  }
  return found.slice(0, 12);
}"""

OUTSIDE = """() => { const box = document.querySelector('.wallcalc-panel').getBoundingClientRect();
  return [...document.querySelectorAll('.wallcalc-panel button, .wallcalc-panel select, .wallcalc-panel input')]
  .filter(e => e.offsetParent && e.type !== 'file' && e.getBoundingClientRect().right > box.right + 1)
  .map(e => e.outerHTML.slice(0, 90)); }"""

CLIPPED = """() => [...document.querySelectorAll('.wallcalc-panel .widget-label, .wallcalc-panel .jupyter-button')]
  .filter(e => e.offsetParent && e.scrollWidth > e.clientWidth + 1).map(e => e.textContent)"""

FLICKER = """() => {
  const images = () => [...document.querySelectorAll('.wallcalc-panel img.wallcalc-picture')].slice(0, 2);
  const first = images().map(i => Math.round(i.getBoundingClientRect().top));
  window.wallcalcFrames = {frames: 0, missing: 0, moved: 0, stop: false};
  const look = () => { const f = window.wallcalcFrames, now = images(); f.frames++;
    if (now.length < 2 || now.some(i => !i.complete || i.naturalWidth === 0)) f.missing++;
    else if (now.some((i, k) => Math.abs(i.getBoundingClientRect().top - first[k]) > 1)) f.moved++;
    if (!f.stop) requestAnimationFrame(look); };
  requestAnimationFrame(look); }"""


@pytest.fixture(scope="module", params=PAGES)
def page(request, lab: Lab, chromium):
    size, scale = PAGES[request.param]
    page = open_notebook(lab, chromium, NOTEBOOK, size, scale=scale, bar=scale == 1)
    page.wallcalc_name = request.param
    _choose_wall(page, "laundry plain", "Laundry and practice room, plain")
    yield page
    page.context.close()
    lab.stop_kernels()


def _shot(page, name: str, selector: str | None = None) -> None:
    SHOTS.mkdir(exist_ok=True)
    if selector:
        page.wait_for_timeout(300)  # tables are replaced whole: let the last one arrive
        page.locator(selector).first.evaluate("e => e.scrollIntoView({block: 'center'})")
        page.wait_for_timeout(200)
    page.screenshot(path=SHOTS / f"{name}_{page.wallcalc_name}.png")


def _top(page) -> None:
    page.evaluate("document.querySelector('.wallcalc-panel').scrollIntoView()")
    page.wait_for_timeout(100)


def _choose_wall(page, label: str, name: str) -> None:
    page.get_by_label("wall", exact=True).select_option(label)
    page.get_by_role("heading", name=name, exact=True).wait_for()
    page.wait_for_function(NOTHING_IN_WORK, timeout=120_000)


def _open(page, name: str) -> None:
    head = page.get_by_role("button", name=re.compile(f"(Show|Hide): {name}"))
    if "Show" in head.text_content():  # what is rolled out of sight has no inner text
        head.focus()
        page.keyboard.press("Enter")
        page.get_by_role("button", name=re.compile(f"Hide: {name}")).wait_for()


def _close(page, name: str) -> None:
    page.get_by_role("button", name=re.compile(f"Hide: {name}")).focus()
    page.keyboard.press("Enter")
    page.get_by_role("button", name=re.compile(f"Show: {name}")).wait_for()


def _says(page, text: str, where: str = ".wallcalc-status") -> None:
    page.wait_for_function(
        "([where, text]) => [...document.querySelectorAll(where)].some(e => e.textContent.includes(text))",
        arg=[where, text],
    )


def _press(page, name: str) -> None:
    page.get_by_role("button", name=name, exact=True).focus()
    page.keyboard.press("Enter")


def _choose_file(page, name: str, path) -> None:
    with page.expect_file_chooser() as chooser:
        page.get_by_role("button", name=name).focus()
        page.keyboard.press("Enter")
    chooser.value.set_files(path)


def test_a_preset_undo_and_redo_by_keyboard(page):
    _top(page)
    preset = page.get_by_label("start from")
    preset.focus()
    page.keyboard.type("quiet")
    page.keyboard.press("Enter")
    _says(page, "2 + 2 layers, fill wool-75")
    _says(page, "layers, side A 1 → 2", ".wallcalc-changed")
    assert preset.input_value() == "quiet wall"
    _press(page, "Undo")
    _says(page, "1 + 1 layers, fill none")
    _press(page, "Redo")
    _says(page, "2 + 2 layers")
    _shot(page, "preset")
    _press(page, "Undo")
    _says(page, "1 + 1 layers, fill none")


def test_pictures_neither_flicker_nor_jump(page):
    _top(page)
    number = page.get_by_label("exact centres, mm")
    number.focus()
    page.evaluate(FLICKER)
    for _ in range(4):
        before = page.locator(".wallcalc-panel img").first.get_attribute("src")
        number.press("ArrowDown")
        page.wait_for_function("src => document.querySelector('.wallcalc-panel img').src !== src", arg=before)
        page.wait_for_timeout(150)
    for _ in range(4):
        number.press("ArrowUp")
        page.wait_for_timeout(250)
    seen = page.evaluate("() => { window.wallcalcFrames.stop = true; return window.wallcalcFrames; }")
    assert seen["frames"] > 20
    assert seen["missing"] == 0
    assert seen["moved"] == 0


def test_the_wall_is_edited_in_place_by_keyboard(page):
    _top(page)
    _open(page, "change the wall")
    length = page.get_by_label("wall: clear length")
    length.focus()
    was = length.input_value()
    page.keyboard.press("Control+a")
    page.keyboard.type("3.84")
    page.keyboard.press("Enter")
    page.get_by_role("alert").filter(has_text="did you mean").wait_for()
    assert length.input_value() == "3.84", "nothing typed is lost"
    assert length.get_attribute("aria-invalid") == "true"
    assert "did you mean" in page.locator(f"#{length.get_attribute('aria-describedby')}").inner_text()
    _shot(page, "edit_wrong", ".wallcalc-cells")
    page.keyboard.press("Control+a")
    page.keyboard.type("3.6 m")
    page.keyboard.press("Enter")
    _says(page, "wall's length 3840 → 3600 mm", ".wallcalc-changed")
    assert page.get_by_role("alert").filter(has_text="did you mean").count() == 0
    assert length.get_attribute("aria-invalid") == "false"
    page.keyboard.press("Control+a")
    page.keyboard.type(was)
    page.keyboard.press("Enter")
    _says(page, "3600 → 3840 mm", ".wallcalc-changed")
    way = page.get_by_label("way in: clear width")
    was = way.input_value()
    way.focus()
    page.keyboard.press("Control+a")
    page.keyboard.type("770 mm")
    page.keyboard.press("Enter")
    _says(page, "access changed", ".wallcalc-changed")
    _shot(page, "edit_joists", ".wallcalc-cells >> nth=-2")
    _press(page, "Undo")
    back = "was => [...document.querySelectorAll('.wallcalc-cells input')].at(-3).value === was"
    page.wait_for_function(back, arg=was)


def test_a_hung_item_is_added_changed_and_removed_by_keyboard(page):
    _open(page, "change the wall")
    _press(page, "Add a hung item")
    page.get_by_role("alert").filter(has_text="Still needed").wait_for()
    for label, text in (
        ("name", "shelf"),
        ("mass, kg", "12 kg"),
        ("it holds, kg", "20"),
        ("fixings (from the left, height; next one)", "0.7 m, 1.6 m; 1.5 m, 1.6 m"),
    ):
        page.get_by_label(f"hung item 1: {label}").focus()
        page.keyboard.type(text)
        page.keyboard.press("Tab")
    _says(page, "hung item shelf added", ".wallcalc-changed")
    page.wait_for_function(NOTHING_IN_WORK, timeout=120_000)
    assert page.locator(".wallcalc-message.error").count() == 0
    assert page.locator(".wallcalc-stale").count() == 0
    _shot(page, "edit_items", ".wallcalc-cells >> nth=4")
    _press(page, "Undo")
    _says(page, "hung item shelf removed", ".wallcalc-changed")
    page.get_by_label("hung item 1: mass, kg").wait_for(state="detached")
    _press(page, "Redo")
    _says(page, "hung item shelf added", ".wallcalc-changed")
    page.get_by_label("hung item 1: mass, kg").wait_for()
    page.locator('button[title="remove hung item 1"]').focus()
    page.keyboard.press("Enter")
    _says(page, "hung item shelf removed", ".wallcalc-changed")
    _close(page, "change the wall")


def test_options_are_kept_and_compared_in_words(page):
    _top(page)
    _press(page, "Keep this option")
    page.get_by_role("button", name="Go back to 1").wait_for()
    page.get_by_label("boards", exact=True).select_option("on their side")
    _says(page, "boards on their side")
    _press(page, "Keep this option")
    page.get_by_role("button", name="Go back to 2").wait_for()
    _says(page, "boards upright → on their side", ".wallcalc-panel [role=status] .wallcalc-changed")
    _says(page, "difference to kept 2", ".wallcalc-held")
    _shot(page, "kept_table", "text=Current and kept options side by side")
    _press(page, "Go back to 1")
    _says(page, "boards upright, 1 + 1 layers")
    page.get_by_label("figures held against").select_option("kept 1")
    _says(page, "difference to kept 1", ".wallcalc-held")
    _press(page, "Drop all kept")
    page.get_by_text("Nothing is kept. Press").wait_for()


def test_any_choice_is_swept_and_two_are_mapped(page):
    _open(page, "one figure against any choice")
    _open(page, "map of two choices")
    page.get_by_label("across").first.focus()
    page.keyboard.type("sheet")
    page.keyboard.press("Enter")
    sweep = page.get_by_role("img", name=re.compile("^Rw, dB against sheet, mm"))
    sweep.wait_for()
    page.get_by_label("figure", exact=True).nth(1).select_option("cost, net of tax")
    drawn = page.get_by_role(
        "img", name=re.compile(r"^cost, net of tax, GBP over stud centres, mm and cavity fill\. Lowest")
    )
    drawn.wait_for()
    page.wait_for_function(NOTHING_IN_WORK, timeout=120_000)
    page.get_by_role("img", name=re.compile(r"cannot be built: .*wool-90")).first.wait_for()
    page.wait_for_function(
        "() => ![...document.querySelectorAll('.wallcalc-panel img')].some(i => /still being/.test(i.alt))"
    )
    assert "Current option, framed" in drawn.get_attribute("alt")
    _says(page, "wool-90 is 90 mm thick", ".wallcalc-reasons")
    _shot(page, "map", "text=cost, net of tax over stud centres, mm and cavity fill")


def test_conditions_filter_the_unbeaten_options(page):
    box = page.get_by_label("only options with")
    box.focus()
    page.keyboard.type("Rw at least forty")
    page.keyboard.press("Enter")
    page.get_by_role("alert").filter(has_text="conditions such as").wait_for()
    page.keyboard.press("Control+a")
    page.keyboard.type("Rw at least 38, no fails")
    page.keyboard.press("Enter")
    _says(page, "Only options with Rw at least 38 dB, no fails are shown")
    page.wait_for_function(
        "() => [...document.querySelectorAll('.wallcalc-key li')].every(e => +/Rw (\\d+)/.exec(e.textContent)[1] >= 38)"
    )
    _open(page, "all options of this study")
    page.get_by_text(re.compile(r"^\d+ options with Rw at least 38 dB, no fails, sorted by")).wait_for()
    _shot(page, "conditions", "text=Cost against sound")
    box.focus()
    page.keyboard.press("Control+a")
    page.keyboard.press("Delete")
    page.keyboard.press("Enter")
    _says(page, "All options are shown")


def test_the_fitted_layout_is_worked_out_without_blocking(page):
    _top(page)
    before = page.locator(".wallcalc-panel img").first.get_attribute("src")
    layout = page.get_by_label("stud layout")
    layout.select_option("fitted to the wall")
    page.wait_for_function(
        "() => /being worked out|fitted layout/.test(document.querySelector('.wallcalc-status').textContent)"
    )
    assert page.locator(".wallcalc-panel img").count() >= 4, "the old pictures stay"
    _says(page, "studs in the fitted layout")
    page.wait_for_function("src => document.querySelector('.wallcalc-panel img').src !== ''", arg=before)
    layout.select_option("on the centres (module)")
    _says(page, "studs at 600 mm")
    _open(page, "fitted layout and modules")
    page.get_by_role("img", name=re.compile(r"^Side A of 2 layouts\. fitted: GBP")).wait_for(timeout=120_000)
    page.get_by_text("Layouts of this wall, the fitted one first").wait_for()
    page.wait_for_function(NOTHING_IN_WORK, timeout=120_000)
    _shot(page, "layouts", "text=Use the fitted layout")


def test_walls_and_prices_come_and_go_by_file(page, lab: Lab, tmp_path):
    _top(page)
    _open(page, "open and save walls")
    bad = tmp_path / "my_hall.toml"
    bad.write_text('name = "Hall"\nlength = "3,2 m"\nhieght = "2.4 m"\n', encoding="utf-8")
    _choose_file(page, "Open a wall file", bad)
    said = page.get_by_role("alert").filter(has_text="my_hall.toml")
    said.wait_for()
    assert "3,2 m" in said.inner_text()
    assert "hieght" in said.inner_text()
    _says(page, "beside the file chooser")
    _shot(page, "bad_file", "text=Open a wall file")
    bad.write_text('name = "Hall"\nlength = "3.2 m"\nheight = "2.4 m"\n', encoding="utf-8")
    _choose_file(page, "Open a wall file", bad)
    page.get_by_role("heading", name="Hall", exact=True).wait_for()
    assert said.count() == 0
    _says(page, "→ Hall", ".wallcalc-changed")
    prices = (REPOSITORY / "data" / "prices.csv").read_text(encoding="utf-8-sig").split("\n", 1)[1]
    (tmp_path / "mine.csv").write_text(prices, encoding="utf-8")
    _choose_file(page, "Open a price file", tmp_path / "mine.csv")
    page.get_by_role("alert").filter(has_text="code,group,product").wait_for()
    page.get_by_label("name to save as").fill(f"hall {page.wallcalc_name}")
    page.get_by_label("name to save as").press("Enter")
    page.get_by_role("link", name=f"Download hall_{page.wallcalc_name}.toml").wait_for()
    _press(page, "Save into my walls")
    _says(page, f"hall_{page.wallcalc_name}.toml", ".wallcalc-message")
    assert (lab.folder / "my_walls" / f"hall_{page.wallcalc_name}.toml").is_file()
    with page.expect_download() as download:
        page.locator("a.wallcalc-save").click()
    assert download.value.suggested_filename == f"hall_{page.wallcalc_name}.toml"
    _choose_wall(page, "laundry plain", "Laundry and practice room, plain")
    page.wait_for_function(NOTHING_IN_WORK, timeout=120_000)
    assert page.locator(".wallcalc-status .wallcalc-message.error").all_inner_texts() == []


def test_with_everything_open_nothing_overlaps_is_clipped_or_has_no_name(page):
    _top(page)
    _choose_wall(page, "laundry and practice room", "Laundry and practice room")
    for name in FOLDS:
        _open(page, name)
    _press(page, "Add a service")
    page.get_by_label("show the cutting plans").check()
    page.wait_for_function("() => document.querySelectorAll('.wallcalc-panel img').length >= 8")
    page.wait_for_function(NOTHING_IN_WORK, timeout=120_000)
    page.wait_for_timeout(500)
    assert page.evaluate(OVERLAPS) == []
    assert page.evaluate(OUTSIDE) == []
    assert page.evaluate(CLIPPED) == []
    (panel,) = heard(page)
    assert troubles(panel) == []
    _top(page)
    page.mouse.move(page.viewport_size["width"] * 0.6, page.viewport_size["height"] * 0.6)
    for k in range(1, 7):
        _shot(page, f"all{k}")
        page.mouse.wheel(0, page.viewport_size["height"] - 120)
        page.wait_for_timeout(250)
    assert page.locator(".wallcalc-status .wallcalc-message.error").all_inner_texts() == []
