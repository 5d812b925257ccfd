"""The letters of the printed sheets: ours and embedded, whatever script a name is in."""

from __future__ import annotations

import io
import re
import shutil
import subprocess
import unicodedata
import zlib
from dataclasses import replace
from pathlib import Path

import matplotlib
import pytest
from fontTools.ttLib import TTFont

import wallcalc as wc
from wallcalc.output.sheets import compose, print_sheets
from wallcalc.shipped import data_folder

WALL = data_folder() / "walls" / "laundry_and_practice_room.toml"
OURS = [
    Path(matplotlib.get_data_path(), "fonts", "ttf", f"{name}.ttf")
    for name in ("DejaVuSans", "DejaVuSans-Bold")
]
SCRIPTS = (
    "部屋の壁",
    "Стена",
    "جدار",
    "🧱🔨",
    "Größe €",
    "a\u0301\u200b\ufeffb\u00ad\u202e",
    "x\u2028\u3000y",
    "𝔚𝔞𝔩𝔩",
)


@pytest.fixture(scope="module")
def design():
    return wc.design(wc.Wall.load(WALL), model="closed form")


@pytest.fixture(scope="module")
def pdf(design):
    return print_sheets(design)


def outlines(font: TTFont) -> set[tuple]:
    glyphs = font["glyf"]
    found = (glyphs[name].getCoordinates(glyphs) for name in font.getGlyphOrder())
    return {tuple(map(tuple, points)) for points, *_ in found}


def test_every_font_is_embedded_and_ours(pdf):
    """Each font of the file is described with a program of its own, whose letters are drawn as in our files."""
    named = set(re.findall(rb"/BaseFont /(\S+)", pdf))
    assert {name.partition(b"+")[2] for name in named} == {b"DejaVuSans", b"DejaVuSans-Bold"}
    described = re.findall(rb"/Type /FontDescriptor.*?>>|<<[^<>]*/Type /FontDescriptor[^<>]*>>", pdf, re.S)
    programs = re.findall(rb"/FontFile2 (\d+) 0 R", pdf)
    assert len(programs) == len(described) == len(named)
    known = set().union(*(outlines(TTFont(file)) for file in OURS))
    for number in programs:
        body = re.search(rb"\n%s 0 obj\n.*?stream\n(.*?)\nendstream" % number, pdf, re.S)
        font = TTFont(io.BytesIO(zlib.decompress(body[1])))
        assert len(outlines(font)) > 1
        assert outlines(font) <= known


@pytest.mark.skipif(shutil.which("pdffonts") is None, reason="pdffonts is not installed")
def test_another_reader_finds_all_fonts_embedded(pdf, tmp_path):
    (tmp_path / "sheets.pdf").write_bytes(pdf)
    told = subprocess.run(["pdffonts", tmp_path / "sheets.pdf"], capture_output=True, text=True, check=True)
    rows = [line.split() for line in told.stdout.splitlines()[2:]]
    assert rows
    assert all("+DejaVuSans" in row[0] and row[-5] == "yes" for row in rows)


def test_names_in_any_script_are_printed_with_a_box_for_each_letter_we_lack(design):
    wall, names = design.wall, iter(SCRIPTS)
    wall = replace(
        wall,
        name=next(names),
        room_a=replace(wall.room_a, name=next(names)),
        room_b=replace(wall.room_b, name=next(names)),
        hung=tuple(replace(item, name=next(names)) for item in wall.hung),
        services=tuple(replace(service, name=next(names)) for service in wall.services),
    )
    assert not list(names)
    made = wc.Design(replace(design.parts, wall=wall), design.check_rows)
    paper = compose(made)
    assert paper.to_pdf(wall.name).startswith(b"%PDF")
    has = set.intersection(*({chr(c) for c in TTFont(file).getBestCmap()} for file in OURS))
    shown = [t.get_text() for figure in paper.figures for axes in figure.axes for t in axes.texts]
    assert set("".join(shown)) <= has | {"\n"}
    for name in SCRIPTS:
        seen = "".join(c for c in name if unicodedata.category(c) != "Cf")
        expected = "".join(c if c in has else " " if c.isspace() else "□" for c in seen)
        assert any(expected.strip() in text for text in shown), name
