"""README's first five minutes in a real Chromium: every name it quotes is on the screen, every step does what it says.

With ``WALLCALC_PICTURE=1`` the steps' pictures are taken too.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
from io import BytesIO
from pathlib import Path

import pytest
import readme_parts
from lab_server import NOTHING_IN_WORK, REPOSITORY, Lab, open_notebook

pytestmark = pytest.mark.browser

PICTURES = REPOSITORY / "data" / "pictures"
WIDTH, HEIGHT = 1280, 800
WIDE = 1600
"""Width at which both sides of the wall stand beside each other."""
ROOM = 3600
"""Height of the window in which pictures are taken: all of the panel is in sight."""
SHEET_DPI = 110
EDGE = 4
"""Pixels round what a picture shows."""
METRIC, INCHES = 1, 2
"""Columns of the table in step 3."""

NAMES = """() => { const found = new Set();
  const kinds = '.widget-label, .wallcalc-panel button, .wallcalc-panel option, .lm-MenuBar-itemLabel, ' +
    '.lm-Menu-itemLabel, figcaption strong, .wallcalc-figures .name, .wallcalc-cautions strong';
  for (const e of document.querySelectorAll(kinds)) {
    const shown = e.closest('select') || e;
    if (!shown.getClientRects().length) continue;
    const copy = e.cloneNode(true);
    copy.querySelectorAll('.wallcalc-heard').forEach(heard => heard.remove());
    found.add(copy.textContent.trim().replace(/^(Show|Hide): /, '').replace(/[.]$/, '').replace(/\\u00a0/g, ' '));
  }
  return [...found]; }"""


class Reader:
    """Somebody who reads README and does what it says, noting every name that comes up on the screen."""

    def __init__(self, page) -> None:
        self.page, self.seen = page, set()

    def look(self) -> None:
        self.seen |= set(self.page.evaluate(NAMES))

    def glance(self) -> None:
        """Look after a moment; what an action does is waited for by its words."""
        self.page.wait_for_timeout(300)
        self.look()

    def rest(self) -> None:
        """Wait until the whole study is computed."""
        for _ in range(2):
            self.page.wait_for_timeout(500)
            self.page.wait_for_function(NOTHING_IN_WORK, timeout=240_000)

    def press(self, name: str) -> None:
        self.page.get_by_role("button", name=name, exact=True).click()
        self.glance()

    def open(self, name: str) -> None:
        self.page.get_by_role("button", name=f"Show: {name}").click()
        self.page.get_by_role("button", name=f"Hide: {name}").wait_for()
        self.glance()

    def close(self, name: str) -> None:
        self.page.get_by_role("button", name=f"Hide: {name}").click()
        self.page.get_by_role("button", name=f"Show: {name}").wait_for()

    def choose(self, label: str, option: str) -> None:
        self.page.get_by_label(label, exact=True).select_option(label=option)
        self.glance()

    def type(self, label: str, text: str) -> None:
        box = self.page.get_by_label(label, exact=True)
        box.fill(text)
        box.press("Enter")
        self.glance()

    def says(self, text: str, where: str) -> None:
        self.page.wait_for_function(
            "([where, text]) => [...document.querySelectorAll(where)].some(e => e.textContent.includes(text))",
            arg=[where, text],
            timeout=120_000,
        )

    def called(self, name: str) -> None:
        """Wait until the panel shows a wall of this name: it comes with the last piece of a move."""
        shown = "name => document.querySelector('.wallcalc-panel h2').textContent === name"
        self.page.wait_for_function(shown, arg=name)

    def missing(self, part: str) -> list[str]:
        """Return the names that a part of README quotes and that were not on the screen."""
        self.look()
        return [name for name in readme_parts.names(part) if name not in self.seen]


@pytest.fixture(scope="module")
def reader(lab: Lab, chromium):
    page = open_notebook(lab, chromium, "wall_study.ipynb", (WIDTH, HEIGHT))
    page.set_default_timeout(120_000)
    yield Reader(page)
    page.context.close()
    lab.stop_kernels()


def top(page) -> None:
    page.evaluate("document.querySelector('.wallcalc-panel').scrollIntoView()")
    page.wait_for_timeout(300)


def cut(page, *parts):
    """Return the picture of parts of the page that belong together."""
    from PIL import Image

    page.mouse.move(2, 2)
    page.set_viewport_size({"width": WIDE, "height": ROOM})
    top(page)
    boxes = [part.bounding_box() for part in parts]
    left, upper = min(b["x"] for b in boxes) - EDGE, min(b["y"] for b in boxes) - EDGE
    right = max(b["x"] + b["width"] for b in boxes) + EDGE
    lower = max(b["y"] + b["height"] for b in boxes) + EDGE
    taken = page.screenshot(clip={"x": left, "y": upper, "width": right - left, "height": lower - upper})
    page.set_viewport_size({"width": WIDE, "height": HEIGHT})
    page.wait_for_timeout(1000)
    return Image.open(BytesIO(taken)).convert("RGB")


def picture(page, name: str, *columns: tuple) -> None:
    """Save the picture of the page's parts, one or more beside each other, when pictures are asked for."""
    if not os.environ.get("WALLCALC_PICTURE"):
        return
    from PIL import Image

    cuts = [cut(page, *parts) for parts in columns]
    size = (sum(c.width for c in cuts), max(c.height for c in cuts))
    whole = Image.new("RGB", size, cuts[0].getpixel((1, 1)))
    left = 0
    for one in cuts:
        whole.paste(one, (left, 0))
        left += one.width
    whole.save(PICTURES / name)


def wall_of_readme(reader: Reader, column: int) -> None:
    """Type the wall of step 3 as its table has it."""
    for name, *texts in readme_parts.table(readme_parts.step(3)):
        label = name.strip("*")
        if label == "from the left":
            reader.press("Add an opening")
        row = "opening 1" if label in ("from the left", "door leaf") else "wall"
        reader.type(f"{row}: {label}", texts[column - 1].strip("`"))


def test_step_1_run_all(reader):
    page = reader.page
    top(page)
    page.get_by_role("menuitem", name="Run", exact=True).click()
    page.locator("#jp-mainmenu-run").get_by_text("Run All Cells", exact=True).hover()
    assert reader.missing(readme_parts.step(1)) == []
    if os.environ.get("WALLCALC_PICTURE"):
        page.screenshot(
            path=PICTURES / "minutes_1_run.png", clip={"x": 0, "y": 0, "width": WIDTH, "height": 640}
        )
    page.keyboard.press("Escape")
    page.keyboard.press("Escape")
    assert page.locator(".wallcalc-panel h2").inner_text() == "Laundry and practice room"
    assert page.locator(".wallcalc-message.error").count() == 0
    drawn = " ".join(page.locator(".wallcalc-panel img").nth(side).get_attribute("alt") for side in (0, 1))
    for item in ("trough", "instrument rack", "waste", "hot water", "cold water"):
        assert item in drawn, item
    page.keyboard.press("Control+b")
    page.set_viewport_size({"width": WIDE, "height": HEIGHT})
    page.wait_for_timeout(500)


def test_step_2_move_a_control_and_read(reader):
    page = reader.page
    top(page)
    before = page.locator(".wallcalc-panel img").first.get_attribute("src")
    reader.press("stud centres 400 mm")
    reader.says("stud centres 600 → 400 mm", ".wallcalc-changed")
    assert page.locator(".wallcalc-panel img").first.get_attribute("src") != before
    assert re.search(r"\d (GBP )?\((better|worse)\)", page.locator(".wallcalc-changed").first.inner_text())
    reader.says("trough", ".wallcalc-panel tr.fail")
    reader.rest()
    picture(
        page,
        "minutes_2_move.png",
        (page.locator(".wallcalc-panel h2"), page.locator(".wallcalc-changed").first),
    )
    reader.choose("cavity fill", "wool-50")
    reader.says("cavity fill none → wool-50", ".wallcalc-changed")
    reader.choose("boards", "on their side")
    reader.says("boards upright → on their side", ".wallcalc-changed")
    for was in ("boards on their side → upright", "cavity fill wool-50 → none", "400 → 600 mm"):
        reader.press("Undo")
        reader.says(was, ".wallcalc-changed")
    assert reader.missing(readme_parts.step(2)) == []


def test_step_3_a_wall_of_ones_own(reader, lab: Lab):
    page = reader.page
    top(page)
    reader.choose("wall", "new wall")
    reader.open("change the wall: measures, doors, hung items, services")
    wall_of_readme(reader, METRIC)
    reader.called("Box room")
    reader.says("3200 mm long, 2405 mm high", ".wallcalc-panel")
    reader.says("opening 1 added", ".wallcalc-changed")
    assert page.locator(".wallcalc-panel .wallcalc-message.error, .wallcalc-stale").count() == 0
    reader.rest()
    cells, elevations = page.locator(".wallcalc-cells"), page.locator(".wallcalc-panel figure")
    picture(page, "minutes_3_own_wall.png", (cells.first, elevations.first, elevations.nth(1)))
    top(page)
    reader.open("open and save walls, own prices")
    reader.press("Save into my walls")
    reader.says("box_room.toml", ".wallcalc-message")
    assert (lab.folder / "my_walls" / "box_room.toml").is_file(), "beside the notebook"
    reader.look()
    assert "my wall: box room" in reader.seen
    assert reader.missing(readme_parts.step(3)) == []
    reader.close("open and save walls, own prices")
    reader.close("change the wall: measures, doors, hung items, services")


def test_step_4_keep_compare_fit(reader):
    page = reader.page
    top(page)
    reader.press("Keep this option")
    page.get_by_role("button", name="Go back to 1").wait_for()
    reader.choose("boards", "on their side")
    reader.says("boards upright → on their side", ".wallcalc-changed")
    reader.press("Keep this option")
    page.get_by_role("button", name="Go back to 2").wait_for()
    kept = page.locator("table", has_text="Current and kept options side by side")
    assert kept.locator("td.best, td:has-text('▲')").count() > 0
    reader.open("fitted layout and modules side by side")
    page.get_by_role("img", name=re.compile(r"^Side A of 2 layouts\. fitted: ")).wait_for(timeout=240_000)
    page.get_by_text("Layouts of this wall, the fitted one first").wait_for()
    reader.rest()
    layouts = page.locator(".wallcalc-panel figure", has_text="Side A: fitted and")
    picture(page, "minutes_4_compare.png", (kept,), (layouts.locator("strong"), layouts.locator("img")))
    reader.press("Use the fitted layout")
    reader.says("studs in the fitted layout", ".wallcalc-status")
    assert reader.missing(readme_parts.step(4)) == []
    reader.close("fitted layout and modules side by side")


def test_step_5_files_for_the_site(reader, lab: Lab):
    page = reader.page
    top(page)
    reader.press("Export files")
    page.locator(".wallcalc-exported a").wait_for()
    folder, *names = page.locator(".wallcalc-exported code").all_inner_texts()
    assert Path(folder).relative_to(lab.folder).parts[:2] == ("exports", "box_room")
    assert "print_sheets.pdf" in names
    assert "print_sheets.pdf" in readme_parts.codes(readme_parts.step(5))
    with page.expect_download() as download:
        page.locator(".wallcalc-exported a").click()
    assert download.value.suggested_filename.startswith("box_room_")
    assert reader.missing(readme_parts.step(5)) == []
    sheets = Path(folder) / "print_sheets.pdf"
    if shutil.which("pdftotext") is None:
        return
    said = subprocess.run(["pdftotext", sheets, "-"], capture_output=True, text=True, check=True).stdout
    pages = said.split("\f")
    for heading in (
        "Order list",
        "Elevation of side A",
        "Setting out",
        "Timber cut list",
        "Sheet cut list",
        "Checks",
    ):
        assert any(heading in text for text in pages), heading
    if os.environ.get("WALLCALC_PICTURE"):
        number = str(next(n for n, text in enumerate(pages, 1) if text.startswith("Setting out")))
        to = PICTURES / "minutes_5_sheet"
        command = [
            "pdftoppm",
            "-r",
            str(SHEET_DPI),
            "-f",
            number,
            "-l",
            number,
            "-singlefile",
            "-png",
            sheets,
            to,
        ]
        subprocess.run(command, check=True)


def test_a_wall_of_ones_own_in_feet_and_inches(reader):
    page = reader.page
    top(page)
    reader.choose("wall", "new wall")
    reader.choose("trade rules", "US, inch sheets")
    reader.choose("stud layout", "on the centres (module)")
    reader.open("change the wall: measures, doors, hung items, services")
    wall_of_readme(reader, INCHES)
    reader.called("Box room")
    reader.says("3213.1 mm long", ".wallcalc-panel")
    reader.says("opening 1 added", ".wallcalc-changed")
    reader.rest()
    assert page.get_by_label("wall: clear length").input_value() == "10 ft 6 1/2 in"
    assert page.locator(".wallcalc-status .wallcalc-message.error").all_inner_texts() == []
    assert page.locator(".wallcalc-stale").count() == 0


def test_what_is_refused_says_what_readme_says(reader, tmp_path):
    page = reader.page
    reader.choose("trade rules", "UK, metric sheets")
    reader.choose("boards", "upright")
    reader.choose("wall", "my wall: box room")
    reader.says("3200 mm long, 2405 mm high", ".wallcalc-panel")
    reader.rest()
    assert page.locator(".wallcalc-status .wallcalc-message.error").all_inner_texts() == []
    rows = readme_parts.table(readme_parts.section("When something is refused"))
    typed = {row[0]: readme_parts.codes(row[0])[-1] for row in rows if readme_parts.codes(row[0])}
    words = {row[0]: readme_parts.codes(row[1])[0] for row in rows if readme_parts.codes(row[1])}
    assert len(rows) == 8
    length = page.get_by_label("wall: clear length")
    for did, text in typed.items():
        before = page.locator(".wallcalc-panel img").first.get_attribute("src")
        if "cavity fill" in did:
            reader.choose("cavity fill", text)
            reader.says(words[did], ".wallcalc-status")
            reader.press("Undo")
        elif "timber on sale" in did:
            reader.type("wall: clear length", text)
            reader.says(words[did], ".wallcalc-cautions")
        else:
            reader.type("wall: clear length", text)
            page.get_by_role("alert").filter(has_text=words[did]).wait_for()
            assert length.input_value() == text, "what was typed stays"
            assert page.locator(".wallcalc-panel img").first.get_attribute("src") == before
        reader.look()
        reader.press("Put back what does not read")
        if "timber on sale" not in did:
            page.get_by_role("alert").filter(has_text=words[did]).wait_for(state="detached")
    reader.open("open and save walls, own prices")
    lines = (REPOSITORY / "data" / "prices.csv").read_text(encoding="utf-8-sig").split("\n", 1)[1]
    (tmp_path / "mine.csv").write_text(lines, encoding="utf-8")
    (tmp_path / "hall.toml").write_text(
        'name = "Hall"\nlength = "3,2 m"\nhieght = "2.4 m"\n', encoding="utf-8"
    )
    for button, file, said in (
        (
            "Open a price file",
            "mine.csv",
            [words["opened a price file without its first line"], "code,group,product"],
        ),
        ("Open a wall file", "hall.toml", ["3,2 m", "hieght"]),
    ):
        with page.expect_file_chooser() as chooser:
            page.get_by_role("button", name=button).click()
        chooser.value.set_files(tmp_path / file)
        found = page.get_by_role("alert").filter(has_text=file)
        found.wait_for()
        for text in said:
            assert text in found.inner_text()
    assert page.locator(".wallcalc-panel h2").inner_text() == "Box room"
    assert reader.missing(readme_parts.section("When something is refused")) == []
    assert "Open a price file" in " ".join(
        readme_parts.names(readme_parts.section("Your own prices and rules"))
    )


def test_nothing_unforeseen_happened(reader):
    wrong = reader.page.locator(
        '[data-mime-type="application/vnd.jupyter.error"], [data-mime-type="application/vnd.jupyter.stderr"]'
    )
    assert wrong.all_inner_texts() == []
