"""Files are whole or not at all; cells are safe in a spreadsheet and come back exactly."""

from __future__ import annotations

import csv
import io
import ntpath
import os
import stat
import tomllib
from pathlib import PureWindowsPath

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wallcalc import files
from wallcalc.files import FileHeldError, csv_bytes, read_csv_table, safe_cell, write_bytes

NASTY = [
    "=1+1",
    "+44 20",
    "-2",
    "@SUM(A1)",
    "\t=1",
    "\r=1",
    "\n=1",
    "  =cmd()",
    "\uff1d1+1",  # full-width equals sign
    "\u00a0=1",  # no-break space
    "'already",
    "''twice",
    "'=1",
]
PLAIN = ["Laundry", "a=b", "3.84 m", "", "it's", '"quoted", with comma', "Größe – Wand"]


@pytest.mark.parametrize("text", NASTY)
def test_text_that_looks_like_a_formula_is_guarded(text):
    assert safe_cell(text) == "'" + text


@pytest.mark.parametrize("text", PLAIN)
def test_other_text_is_left_alone(text):
    assert safe_cell(text) == text


@pytest.mark.parametrize(("value", "wanted"), [(-3, -3), (-2.5, -2.5), (None, ""), (True, "true")])
def test_numbers_stay_numbers(value, wanted):
    assert safe_cell(value) == wanted
    assert type(safe_cell(value)) is type(wanted)


def test_numpy_numbers_stay_numbers():
    import numpy as np

    assert safe_cell(np.float64(-1.5)) == -1.5
    assert type(safe_cell(np.int64(-4))) is int


def test_a_table_comes_back_exactly(tmp_path):
    rows = [(text, n) for n, text in enumerate([*NASTY, *PLAIN])]
    path = write_bytes(tmp_path / "t.csv", csv_bytes(("=name", "number"), rows))
    assert [r["=name"] for r in read_csv_table(path)] == [text for text, _ in rows]
    raw = path.read_bytes()
    assert raw.startswith(b"\xef\xbb\xbf")  # spreadsheets read UTF-8 right only with the mark
    # no cell of the file as a spreadsheet sees it begins a formula
    for row in csv.reader(io.StringIO(raw.decode("utf-8-sig"), newline="")):
        assert not row[0].strip().startswith(("=", "+", "-", "@"))


def test_line_ends_are_not_doubled(tmp_path):
    path = write_bytes(tmp_path / "t.csv", csv_bytes(("a",), [("x",)]))
    assert path.read_bytes() == b"\xef\xbb\xbfa\r\nx\r\n" == csv_bytes(("a",), [("x",)])


def test_a_failed_write_leaves_the_old_file_and_no_litter(tmp_path, monkeypatch):
    path = write_bytes(tmp_path / "f.txt", b"old")

    def broken(fd):
        raise OSError("no space left")

    monkeypatch.setattr(os, "fsync", broken)
    with pytest.raises(OSError, match="no space left"):
        write_bytes(path, b"new content")
    assert path.read_bytes() == b"old"
    assert os.listdir(tmp_path) == ["f.txt"]


def test_a_file_held_open_elsewhere_says_what_to_do(tmp_path, monkeypatch):
    path = write_bytes(tmp_path / "order.csv", b"old")

    def refused(src, dst):
        raise PermissionError(13, "Permission denied", str(dst))

    monkeypatch.setattr(files.os, "replace", refused)
    with pytest.raises(FileHeldError, match=r"order\.csv.*another program.*Nothing was changed") as caught:
        write_bytes(path, b"new")
    assert isinstance(caught.value, PermissionError)
    assert path.read_bytes() == b"old"
    assert os.listdir(tmp_path) == ["order.csv"]


def test_a_new_file_may_be_read_by_others_as_usual(tmp_path):
    plain = tmp_path / "plain"
    plain.write_bytes(b"x")
    ours = write_bytes(tmp_path / "ours", b"x")
    assert stat.S_IMODE(ours.stat().st_mode) == stat.S_IMODE(plain.stat().st_mode)


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("Laundry / practice room", "laundry_practice_room"),
        ("../../etc/passwd", "etc_passwd"),
        ("C:\\walls\\a.b", "c_walls_a_b"),
        ("Стена", "стена"),
        ("日本", "日本"),
        ("🏠", "🏠"),
        ("e\u0301", "é"),
        ("हिन्दी", "हिन्दी"),
        ("trailing . . ", "trailing"),
        ("a\0b\nc", "a_b_c"),
        ("\u202egpj", "gpj"),
        ("", "wall"),
        ("...", "wall"),
        ("CON", "con_"),
        ("Aux ", "aux_"),
        ("com1", "com1_"),
        ("COM\u00b9", "com¹_"),
        ("lpt9", "lpt9_"),
        ("contract", "contract"),
    ],
)
def test_a_name_keeps_its_letters_and_is_one_that_every_system_takes(text, name):
    assert files.file_name(text) == name


@pytest.mark.parametrize("letter", ["a", "ж", "日", "🏠"])
def test_a_long_name_is_cut_between_letters_and_can_be_written(letter, tmp_path):
    name = files.file_name(letter * 500)
    assert set(name) == {letter}
    assert 140 < len(name.encode()) <= 150
    write_bytes(tmp_path / f"{name}.toml", b"")


def reserved_on_windows(name):
    newer = getattr(ntpath, "isreserved", None)  # from Python 3.13 on
    return newer(name) if newer else PureWindowsPath(name).is_reserved()


@given(st.text(max_size=80) | st.sampled_from(["con", "PRN", "aux ", "Nul.", "com1", "LPT0", "conin$"]))
def test_any_text_makes_a_name_that_windows_takes_and_naming_it_again_changes_nothing(text):
    name = files.file_name(text)
    assert not set(name) & set('<>:"/\\|?* .')
    assert not any(ord(c) < 32 for c in name)
    assert not reserved_on_windows(f"{name}.toml")
    assert files.file_name(name).strip("_") == name.strip("_")


def test_toml_is_read_as_a_person_would_write_it_and_loads_back_equal():
    tables = {
        "name": 'a "wall" \\ with\ttab',
        "hung": [{"fixings": [["920 mm", "840 mm"], ["1.32 m", "840 mm"]], "mass": 46, "wet": True}],
        "room": {"A": {"use": "wc", "tile_mass": 18.5}},
    }
    text = files.toml_text(tables, "What it is.")
    assert tomllib.loads(text) == tables
    assert text.splitlines()[0] == "# What it is."
    assert 'fixings = [["920 mm", "840 mm"], ["1.32 m", "840 mm"]]' in text.splitlines()
    assert text.count("\n\n") == 2, "an empty line before each table"
    assert text.endswith("18.5\n")
