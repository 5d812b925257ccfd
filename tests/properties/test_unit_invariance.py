"""The same wall written in mm, in m and in feet and inches gives one design."""

from __future__ import annotations

import pandas as pd
import pytest
from random_walls import random_case

import wallcalc as wc

TABLES = (
    "members", "boards", "joints", "fill", "timber_cuts", "sheet_cuts", "slab_cuts", "takeoff", "setting_out",
    "checks", "bounds",
)  # fmt: skip
TEXT = """
name = "One wall"
length = {length}
height = {height}
[room.A]
wet = true
tiled_to = {tiled}
tile_mass = 18
[[opening]]
kind = "door"
left = {left}
width = {width}
height = {high}
[joists.above]
direction = "across"
first = {first}
centres = {centres}
"""
# 12 ft 6 in, 8 ft 7 in, 4 ft 2 in, 8 ft, 2 ft 9 in, 6 ft 8 in, 9 in, 16 in: exact in every unit
WRITTEN = {
    "mm": ["3810", "2616.2", "1270", "2438.4", "838.2", "2032", "228.6", "406.4"],
    "mm as text": [
        '"3810 mm"', '"2616.2 mm"', '"1270 mm"', '"2438.4 mm"', '"838.2 mm"', '"2032 mm"', '"228.6 mm"', '"406.4 mm"'
    ],
    "m": [
        '"3.81 m"', '"2.6162 m"', '"1.27 m"', '"2.4384 m"', '"0.8382 m"', '"2.032 m"', '"0.2286 m"', '"0.4064 m"'
    ],
    "feet and inches": [
        '"12 ft 6 in"', '"8 ft 7 in"', '"4 ft 2 in"', '"8 ft"', '"2 ft 9 in"', '"6 ft 8 in"', '"9 in"', '"16 in"'
    ],
    "inches": ['"150 in"', '"103 in"', '"50 in"', '"96 in"', '"33 in"', '"80 in"', '"9 in"', '"16 in"'],
}  # fmt: skip
NAMES = ("length", "height", "tiled", "left", "width", "high", "first", "centres")


def load(tmp_path, unit):
    path = tmp_path / "wall.toml"
    path.write_text(TEXT.format(**dict(zip(NAMES, WRITTEN[unit], strict=True))), encoding="utf-8")
    return wc.Wall.load(path)


def assert_same(first, second):
    for name in TABLES:
        pd.testing.assert_frame_equal(getattr(first, name), getattr(second, name), obj=name)
    assert first.cost == second.cost
    assert repr(first.summary()) == repr(second.summary())


def designed_or_refused(wall, option, law):
    try:
        return wc.design(wall, option, rules=law, seconds=0.0)
    except wc.OptionError as error:
        return str(error)


@pytest.mark.parametrize("rules", ["uk", "us"])
@pytest.mark.parametrize("unit", [u for u in WRITTEN if u != "mm"])
def test_units_of_the_file_do_not_matter(tmp_path, unit, rules):
    option = wc.Option(stud_centres=406.4, fill="wool-75")
    plain, other = load(tmp_path, "mm"), load(tmp_path, unit)
    assert plain == other
    assert_same(wc.design(plain, option, rules=rules), wc.design(other, option, rules=rules))


@pytest.mark.parametrize("units", ["m", "mm", "ft-in"])
@pytest.mark.parametrize("seed", range(6))
def test_a_wall_saved_in_any_unit_gives_the_same_design(tmp_path, seed, units):
    wall, option, law = random_case(seed + 40)
    again = wc.Wall.load(wall.save(tmp_path / "wall.toml", units))
    assert again == wall
    first, second = (designed_or_refused(w, option, law) for w in (wall, again))
    if isinstance(first, str):
        assert first == second
    else:
        assert_same(first, second)
