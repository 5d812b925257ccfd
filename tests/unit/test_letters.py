"""Pictures and printed sheets are drawn in letters of our own: the same on any machine, for a name in any script."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
import unicodedata
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from matplotlib import font_manager
from matplotlib.text import Text
from takeoff_design import make_design

from wallcalc.draw import new_figure
from wallcalc.draw.style import FILES, NO_LETTER, drawable, sized, to_png
from wallcalc.draw.text_fit import text_width
from wallcalc.draw.use_bars import UseBar, UseBars
from wallcalc.output.page import LEFT, RIGHT, Paper
from wallcalc.output.sheets import compose, print_sheets
from wallcalc.shipped import data_folder

HERE = Path(__file__).parent
ODD = r"$x^2$ 壁 \frac 🧱 Größe, Стена"
"""A name with letters that are ours and letters that are not, and with what matplotlib takes for a formula."""

DRAW = f"""
import hashlib, json, sys
from dataclasses import replace
import matplotlib
from matplotlib import font_manager
from matplotlib.font_manager import FontEntry

listed, all_fonts = sys.argv[1], font_manager.fontManager.ttflist
if listed == "none":
    all_fonts.clear()
elif listed == "others":  # the same names, all of them other letters
    serif = matplotlib.get_data_path() + "/fonts/ttf/STIXGeneral.ttf"
    names = {{entry.name for entry in all_fonts}} | {{"Source Sans 3", "Liberation Sans", "Arial", "Helvetica"}}
    all_fonts[:] = [FontEntry(serif, name=name, weight=weight) for name in names for weight in (400, 700)]
    matplotlib.rcParams["font.family"] = "Arial"

from takeoff_design import make_design
import wallcalc.draw as draw
from wallcalc.draw.choice_sweep import ChoiceSweep, SweepPoint
from wallcalc.draw.sound_pictures import draw_contours
from wallcalc.draw.style import to_png
from wallcalc.draw.use_bars import UseBar, UseBars
from wallcalc.output.sheets import print_sheets
from wallcalc.sound.lesson import wall
from wallcalc.sound.prediction import predict

name = {ODD!r}
design = make_design(name=name)
elevation = draw.new_figure(620, 420)
draw.draw_elevation(elevation.add_axes((0, 0.05, 1, 0.95)), design, "A")
draw.elevation_key(elevation)
bars = UseBars()
bars.update([UseBar(name, name, 0.5, "ok")])
found = {{"sheets": print_sheets(design), "elevation": to_png(elevation), "bars": to_png(bars.figure)}}
found["sound"] = to_png(draw_contours(predict(wall(400)), name))
points = [SweepPoint(float(n), f"{{name}} {{n}}", "vertical", 3.0 + n, True, True) for n in range(3)]
found["sweep"] = ChoiceSweep().show(points, name, name, 1, name).encode()
for figure, _, title in draw.cutting_figures(design):
    found[title] = to_png(figure)
print(json.dumps({{key: hashlib.sha256(value).hexdigest() for key, value in found.items()}}))
"""


@cache
def drawn_on_a_machine(listed: str) -> dict[str, str]:
    """Return digests of sheets and pictures made by a process that knows these fonts; warnings are errors there."""
    environment = os.environ | {"PYTHONPATH": os.pathsep.join([str(HERE), *filter(None, sys.path)])}
    run = [sys.executable, "-W", "error", "-c", DRAW, listed]
    done = subprocess.run(run, capture_output=True, text=True, env=environment, cwd=HERE)
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


@pytest.mark.parametrize("listed", ["none", "others"])
def test_the_machine_makes_no_difference(listed):
    """No font to be found at all, or other letters under every name: the same bytes as with this machine's fonts."""
    here = drawn_on_a_machine("as they are")
    assert len(here) == 8
    assert drawn_on_a_machine(listed) == here


def test_the_sheets_name_our_letters_and_no_others():
    named = set(re.findall(rb"/BaseFont\s*/(?:[A-Z]{6}\+)?([^\s/]+)", print_sheets(make_design(name=ODD))))
    assert named == {b"DejaVuSans", b"DejaVuSans-Bold"}


def test_the_letters_are_files_that_matplotlib_brings_along():
    for file in FILES:
        assert Path(file).is_file()
        assert font_manager.get_font(file).family_name == "DejaVu Sans"
        assert (Path(file).parent / "LICENSE_DEJAVU").is_file()


@pytest.mark.parametrize("bold", [False, True])
@pytest.mark.parametrize(
    "words", ["Setting out, side A", "WWW iii", "8 ft 4 3/16 in", "Größe → 1200 × 2400", ODD]
)
def test_widths_are_those_of_the_letters_that_are_drawn(words, bold):
    figure = new_figure(4000, 200)
    figure.set_dpi(720)  # fine enough that whole pixels do not matter
    text = Text(10, 10, words, fontproperties=sized(15, bold), figure=figure, parse_math=False)
    shown = text.get_window_extent(figure.canvas.get_renderer()).width / 720 * 25.4
    assert text_width(words, 15, bold) == pytest.approx(shown, abs=0.25)


@pytest.mark.parametrize("heading", ["wall", "W" * 200, "The long name of a wall " * 9])
@pytest.mark.parametrize(
    "title", ["Checks", "Elevation of side A, layer 2, in inches: seen from " + "M" * 12, "M" * 99]
)
def test_a_heading_never_runs_into_a_title(title, heading):
    paper = Paper(heading, "foot")
    paper.page(title)
    figure = paper.figures[0]
    figure.set_dpi(720)
    renderer = new_figure(10, 10).canvas.get_renderer()
    renderer.dpi = 720
    first, second = (t.get_window_extent(renderer) for t in figure.axes[0].texts)
    mm = 25.4 / 720
    assert first.x0 * mm >= LEFT - 0.5
    assert first.x1 * mm + 4 < second.x0 * mm
    assert second.x1 * mm <= RIGHT + 0.5


# --- characters that our letters lack


def test_what_our_letters_lack_is_an_empty_box():
    assert drawable("壁 🧱 Größe, Стена\nS1\t2") == f"{NO_LETTER} {NO_LETTER} Größe, Стена\nS1 2"


@given(st.text())
def test_every_character_that_is_drawn_is_in_both_files(text):
    shown = drawable(text)
    assert len(shown) == sum(unicodedata.category(c) != "Cf" for c in text)  # such are never seen
    for file in FILES:
        has = font_manager.get_font(file).get_charmap()
        assert all(c == "\n" or ord(c) in has for c in shown)
    assert drawable(shown) == shown


def test_our_own_words_lack_no_letter():
    package = Path(sys.modules["wallcalc"].__file__).parent
    files = [*package.rglob("*.py"), *data_folder().rglob("*.toml"), *data_folder().rglob("*.csv")]
    used = set().union(*(file.read_text(encoding="utf-8-sig") for file in files))
    assert len(used) > 100
    assert {c for c in used if drawable(c) not in (c, " ")} == set()


def test_a_name_in_any_script_is_printed_with_boxes_and_signs_as_they_are():
    shown = [t.get_text() for figure in compose(make_design(name=ODD)).figures for t in figure.axes[0].texts]
    wanted = rf"$x^2$ {NO_LETTER} \frac {NO_LETTER} Größe, Стена"
    assert wanted in shown
    assert not any("壁" in text for text in shown)


@pytest.mark.parametrize("name", ["壁", "🧱", "$x^2$"])
def test_pictures_show_the_same_boxes_and_take_no_name_for_a_formula(name):
    """A chart of bars with such a name is the chart whose name is typed as the letters that should be seen."""
    seen = {"$x^2$": "$x^2$"}.get(name, NO_LETTER)
    charts = []
    for shown in (name, seen, "plain"):
        bars = UseBars(rows=2)
        bars.update([UseBar(f"rack {shown}", "", 0.5, "ok")])
        charts.append(to_png(bars.figure))
    assert charts[0] == charts[1]
    assert charts[0] != charts[2]


def test_a_dollar_sign_takes_the_room_of_a_letter():
    bars = UseBars(rows=1)
    bars.update([UseBar("$x$", "", 0.5, "ok")])
    text = bars._names[0]
    text.get_window_extent(bars.figure.canvas.get_renderer())
    wide = text.get_window_extent(bars.figure.canvas.get_renderer()).width / 100 * 25.4
    assert wide == pytest.approx(text_width("$x$", 9.5), abs=0.4)
