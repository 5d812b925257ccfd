"""Sheets to print: what must be on them is there, nothing is clipped, the same design gives the same file."""

from __future__ import annotations

import io
import re
import shutil
import subprocess
from dataclasses import replace

import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from takeoff_design import make_design

import wallcalc as wc
from wallcalc.boarding.blanks import on_sheet
from wallcalc.draw.text_fit import shorten, text_width, vouched, wrap
from wallcalc.given.parts import Room
from wallcalc.given.wall import Wall
from wallcalc.output.cover import cautions_page
from wallcalc.output.export import SHEETS, export
from wallcalc.output.page import BOTTOM, Column, Paper
from wallcalc.output.sheets import compose, print_sheets
from wallcalc.output.tables import SUMMARY
from wallcalc.trade.rules import Rules

PLAIN = Wall("plain", 18_000, ((0, 24_000),))


@pytest.fixture(scope="module")
def design():
    return make_design()


@pytest.fixture(scope="module")
def paper(design):
    return compose(design)


@pytest.fixture(scope="module")
def pdf(design):
    return print_sheets(design)


def texts(paper, word=""):
    found = []
    for figure, title in zip(paper.figures, paper.titles, strict=True):
        if word in title:
            found += [t.get_text() for t in figure.axes[0].texts]
    return found


def test_every_piece_of_timber_is_on_the_cut_list(design, paper):
    shown = " ".join(texts(paper, "Timber cut list"))
    for mark, length in zip(design.members["mark"], design.members["length"], strict=True):
        assert re.search(rf"\b{re.escape(mark)}\b", shown), mark
        assert f"{length:g}" in shown


def test_noggins_between_joists_and_cleats_are_on_the_cut_list(paper):
    shown = texts(paper, "Timber cut list")
    for word in ("JN1", "between joists", "CL1", "cleat, 71 deep"):
        assert word in shown


def test_every_board_is_on_the_sheet_diagrams_with_its_size(design, paper):
    shown = texts(paper, "Sheet cut list")
    for row in design.boards.itertuples():
        assert row.mark in shown
    assert shown.count("2608 x 1200") == 4


def test_the_order_list_ends_with_the_total(design, paper):
    shown = texts(paper, "Order list")
    assert f"{design.cost:,.2f}" in shown
    for code in design.takeoff["code"]:
        assert code in shown


def test_setting_out_shows_every_stud_from_both_ends(design, paper):
    shown = texts(paper, "Setting out")
    for value in ("581", "600", "619", "3259", "3240", "3221"):
        assert value in shown


def test_cautions_and_checks_carry_their_sources(design, paper):
    shown = " ".join(texts(paper, "Before you start"))
    for row in design.rules.rows("caution"):
        if row["applies_to"] in ("structure", "gas", "lifting"):
            assert row["text"].split(".")[0] in shown
            assert row["source"].split(";")[0] in shown
    assert "hung" not in texts(paper, "Before you start")
    assert "NHBC (seen)" in texts(paper, "Checks")


@pytest.mark.parametrize("rules", ["uk", "us"])
@pytest.mark.parametrize(
    ("given", "there", "not_there"),
    [
        ({"floor": "timber"}, ("into the joists",), ("screed with heating", "slab with heating", "skim dry")),
        ({"floor": "solid"}, ("slab with heating",), ("screed with heating", "into the joists")),
        ({"floor": "heated screed"}, ("screed with heating", "slab with heating"), ("into the joists",)),
        ({"floor": "unknown"}, ("screed with heating", "slab with heating", "into the joists"), ()),
        ({"finish": "skim"}, (), ("skim dry",)),
        ({"finish": "skim", "room_a": Room(tiled_to=12_000)}, ("skim dry",), ()),
        ({"finish": "taped", "room_a": Room(tiled_to=12_000)}, (), ("skim dry",)),
        ({"room_a": Room(use="bathroom")}, ("new bathroom", "A bathroom"), ()),
    ],
)
def test_only_cautions_that_concern_the_wall_are_printed(rules, given, there, not_there):
    """On the sheet and among the checks alike; what is not told of a floor may be any kind."""
    made = wc.design(replace(PLAIN, **given), rules=rules)
    paper = Paper("head", "foot")
    cautions_page(paper, made)
    shown = " ".join(" ".join(t.get_text().split()) for t in paper.figures[-1].axes[0].texts)
    checked = [r.why for r in made.check_rows if r.check.startswith("caution: ")]
    for row in made.rules.rows("caution"):
        whole = row["text"]
        if any(part in whole for part in there):
            assert whole in checked
            assert whole[:20] in shown
        if any(part in whole for part in not_there):
            assert whole not in checked
            assert whole[:20] not in shown


def test_both_faces_are_drawn(paper):
    assert [t for t in paper.titles if t.startswith("Elevation")] == [
        "Elevation of side A: seen from laundry, wet",
        "Elevation of side B: seen from practice room",
    ]


def outside(paper):
    """Texts whose ink leaves the paper, or that touch another text of the same page."""
    clipped, touching = [], []
    for figure in paper.figures:
        figure.set_dpi(288)  # fine enough that letters are as wide as on paper
        renderer = FigureCanvasAgg(figure).get_renderer()
        width, height = figure.bbox.width, figure.bbox.height
        boxes = []
        for text in figure.axes[0].texts:
            box = text.get_window_extent(renderer)
            if box.x0 < 0.03 * width or box.y0 < 0.02 * height or box.x1 > 0.97 * width or box.y1 > height:
                clipped.append(text.get_text())
            shrunk = (box.x0 + 2, box.y0 + 3, box.x1 - 2, box.y1 - 3)
            for other, (x0, y0, x1, y1) in boxes:
                if x0 < shrunk[2] and shrunk[0] < x1 and y0 < shrunk[3] and shrunk[1] < y1:
                    touching.append((other, text.get_text()))
            boxes.append((text.get_text(), shrunk))
    return clipped, touching


def test_no_text_is_clipped_and_none_runs_into_another(paper):
    assert outside(paper) == ([], [])


def test_long_names_are_wrapped_or_shortened():
    long = make_design(name="The very long name of a wall " * 12)
    long.checks["why"] = ["because " * 60, "W" * 300]
    assert outside(compose(long)) == ([], [])


def test_names_in_any_script_and_with_signs_are_printed_without_a_warning():
    odd = make_design(name=r"$x^2$ 壁 \frac 🧱 Größe")
    assert print_sheets(odd).startswith(b"%PDF")
    assert any(r"$x^2$" in t for t in texts(compose(odd)))


def test_us_rules_show_feet_and_inches(design):
    us = make_design(rules=Rules.load("us"))
    shown = texts(compose(us), "Timber cut list")
    # 2544 / 25.4 = 100.1575 in, 0.1575 x 16 = 2.52 sixteenths: 8 ft 4 3/16 in
    assert any("8 ft 4 3/16 in" in t for t in shown)
    assert outside(compose(us)) == ([], [])


def test_the_export_holds_the_sheets_and_the_same_design_gives_the_same_file(tmp_path, pdf):
    written = export(make_design(), tmp_path / "o")
    assert {SHEETS, SUMMARY} <= {p.name for p in written}
    assert (tmp_path / "o" / SHEETS).read_bytes() == pdf
    assert b"CreationDate" not in pdf


def test_an_empty_cavity_needs_no_fill_sheets():
    plain = make_design()
    plain.fill, plain.slab_cuts = plain.fill.iloc[:0], plain.slab_cuts.iloc[:0]
    plain.fill_waste = float("nan")
    titles = compose(plain).titles
    assert not [t for t in titles if "fill" in t.lower() or "Slab" in t]


@pytest.mark.skipif(shutil.which("pdftotext") is None, reason="pdftotext is not installed")
def test_another_reader_finds_the_text(design, pdf):
    found = subprocess.run(["pdftotext", "-layout", "-", "-"], input=pdf, capture_output=True, check=True)
    text = found.stdout.decode("utf-8")
    assert "Laundry and practice room" in text
    assert "Before you start" in text
    assert f"{design.cost:.2f}" in text


def test_a_blank_turned_half_round_takes_its_notch_along(design):
    """B1-4's notch is on its left; laid with its right, bound edge on the sheet's first edge it is turned."""
    board = next(b for b in design.frame.boards if b.mark == "B1-4")
    row = next(r for r in design.sheet_cuts.itertuples() if any(c[0] == "B1-4" for c in r.cuts))
    plain = ("B1-4", 0.0, 0.0, 2608.0, 600.0, None)
    assert on_sheet(board, plain, row).cut_outs == ((0.0, 0.0, 2018.0, 302.0),)
    child = ("X", 700.0, 310.0, 1000.0, 200.0, "B1-4")
    turned = row._replace(cuts=[plain, child])
    assert on_sheet(board, plain, turned).cut_outs == ((590.0, 298.0, 2018.0, 302.0),)


def test_wrapping_keeps_every_word_within_the_width():
    text = "one two three " + "x" * 200 + " four"
    lines = wrap(text, 30, 8)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")
    assert all(text_width(line, 8) <= 30 for line in lines)
    assert wrap("", 30, 8) == [""]


def test_shortening():
    assert shorten("short", 100, 8) == "short"
    cut = shorten("a long text that does not fit", 20, 8)
    assert cut.endswith("...")
    assert text_width(cut, 8) <= 20


@pytest.mark.parametrize("room", range(8, 34, 2))
def test_a_heading_stays_with_the_table_under_it(room):
    paper = Paper("wall", "foot")
    paper.page("List")
    paper.y = BOTTOM - room
    paper.heading2("Numbers")
    paper.table([Column("Number", 30)], [["1"], ["2"]])
    found = [[t.get_text() for t in f.axes[0].texts] for f in paper.figures]
    (page,) = [texts for texts in found if "Numbers" in texts]
    assert "1" in page


def test_a_long_table_goes_on_with_its_heading():
    paper = Paper("wall", "foot")
    paper.page("List")
    paper.table([Column("Number", 30)], [[str(n)] for n in range(120)])
    assert paper.titles == ["List", *["List (continued)"] * 3]
    shown = [t.get_text() for f in paper.figures for t in f.axes[0].texts if t.get_text().isdigit()]
    assert shown == [str(n) for n in range(120)]
    assert all("Number" in [t.get_text() for t in f.axes[0].texts] for f in paper.figures)
    assert io.BytesIO(paper.to_pdf("x")).read(4) == b"%PDF"


@pytest.mark.parametrize(
    ("source", "status", "expected"),
    [
        ("NHBC Standards, 6.3.9.3", "seen", "NHBC Standards, 6.3.9.3 (seen)"),
        ("a list, the original not seen", "seen", "a list, the original not seen (seen)"),
        ("common practice, no source", "common practice, no source", "common practice, no source"),
        (
            "ratings; common practice, no source",
            "common practice, no source",
            "ratings; common practice, no source",
        ),
    ],
)
def test_how_sure_a_source_is_is_said_once(source, status, expected):
    assert vouched(source, status) == expected
