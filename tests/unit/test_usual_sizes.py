"""Questions about sizes that walls seldom have: a slip of ten is found, what is usual is left in peace."""

from __future__ import annotations

import tomllib
from dataclasses import replace

import pytest

import wallcalc as wc
from wallcalc.given.parts import HungItem, Joists, Opening, Room, Service
from wallcalc.given.usual import questions
from wallcalc.shipped import data_folder

PLAIN = wc.Wall("x", 41_500, ((0, 24_000),))


@pytest.mark.parametrize("path", sorted((data_folder() / "walls").glob("*.toml")), ids=lambda p: p.stem)
def test_nothing_is_asked_about_a_shipped_wall(path):
    assert questions(wc.Wall.load(path)) == ()


@pytest.mark.parametrize(
    ("wall", "field", "said"),
    [
        (replace(PLAIN, length=4150), "length", "415 mm: did you mean 4.15 m?"),
        (replace(PLAIN, length=200_000), "length", "20 m: did you mean 2 m?"),
        (replace(PLAIN, heights=((0, 4_000),)), "height", "400 mm: did you mean 4 m?"),
        (replace(PLAIN, heights=((0, 80_000),)), "height", "8 m: is that so? Usual is 1.8 m to 4.5 m."),
        (replace(PLAIN, heights=((0, 24_000), (41_500, 3_000))), "height", "300 mm: did you mean 3 m?"),
        (
            replace(PLAIN, room_b=Room(tile_mass=180.0)),
            "room.B.tile_mass",
            "180 kg/m2: did you mean 18 kg/m2?",
        ),
        (
            replace(PLAIN, openings=(Opening("door", 0, leaf=7620), Opening("door", 20_000, leaf=12_000))),
            "opening[2].leaf",
            "1.2 m: is that so? Usual is 450 mm to 1.1 m.",
        ),
        (
            replace(PLAIN, hung=(HungItem("a", "A", ((1, 1),), 460.0),)),
            "hung[1].mass",
            "460 kg: did you mean 46 kg?",
        ),
        (
            replace(PLAIN, services=(Service("a", "A", (1, 1), 4300),)),
            "service[1].diameter",
            "430 mm: did you mean 43 mm?",
        ),
        (
            replace(PLAIN, joists_above=Joists("across", 0, 15_000)),
            "joists.above.centres",
            "1.5 m: is that so? Usual is 200 mm to 700 mm.",
        ),
    ],
)
def test_a_size_that_walls_seldom_have_is_asked_about(wall, field, said):
    asked = {q.field: str(q) for q in questions(wall)}
    assert asked == {field: said}


def test_loading_a_wall_takes_it_as_it_is_written():
    wall = wc.Wall.loads('name = "x"\nlength = "415 mm"\nheight = "2.4 m"')
    assert wall.length == 4150
    assert [q.field for q in questions(wall)] == ["length"]


def test_usual_sizes_say_where_they_come_from():
    data = tomllib.loads((data_folder() / "rules" / "usual_sizes.toml").read_text(encoding="utf-8"))
    assert data["source"] == data["status"] == "common practice, no source"
