"""The backing list: every fixing with the piece behind it."""

from __future__ import annotations

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

import wallcalc as wc
from wallcalc.given.parts import HungItem
from wallcalc.hanging.backing_list import fixings_held
from wallcalc.records import Member
from wallcalc.shipped import data_folder


def piece(mark: str, role: str, x: int, y: int, width: int, height: int, faces: str = "AB") -> Member:
    return Member(mark, role, "38x89", x, y, width, height, max(width, height), 890, faces)


STUD = piece("S1", "stud", 5810, 380, 380, 25_440)
NOGGIN = piece("N1.1", "noggin", 6190, 8000, 5000, 380)
FLAT = piece("N2.1", "noggin", 6190, 12_000, 5000, 890, "A")
PATTRESS = piece("P1", "pattress", 6190, 15_000, 5000, 2000, "B")
FRAME = (STUD, NOGGIN, FLAT, PATTRESS)


def held(*points: tuple[int, int], side: str = "A"):
    return [(h.member, h.from_edge) for h in fixings_held([HungItem("shelf", side, points, 5.0)], FRAME)]


def test_a_screw_is_measured_from_the_edges_along_the_grain():
    assert held((5900, 9000)) == [("S1", 90)]
    assert held((9000, 8100)) == [("N1.1", 100)]
    assert held((9000, 12_500)) == [("N2.1", 390)]


def test_a_piece_that_backs_the_other_side_carries_nothing_here():
    assert held((9000, 12_500), side="B") == [("", 0)]
    assert held((9000, 15_900), (6300, 16_000), side="B") == [("P1", 900), ("P1", 110)]
    assert held((9000, 15_900)) == [("", 0)]


def test_where_two_pieces_meet_the_better_one_carries():
    assert held((6190, 8100)) == [("N1.1", 100)]  # on the stud's edge, 10 into the noggin


def test_numbers_and_names_follow_the_items():
    hung = [HungItem("a", "A", ((5900, 9000), (9000, 8100)), 5.0), HungItem("b", "B", ((9000, 16_000),), 5.0)]
    found = fixings_held(hung, FRAME)
    assert [(h.item, h.side, h.number, h.role) for h in found] == [
        ("a", "A", 1, "stud"),
        ("a", "A", 2, "noggin"),
        ("b", "B", 1, "pattress"),
    ]


@settings(deadline=None)
@given(st.lists(st.tuples(st.integers(0, 12_000), st.integers(0, 26_000)), min_size=1, max_size=6))
def test_a_fixing_is_carried_exactly_where_shapely_finds_timber_of_its_side(points):
    boxes = {m.mark: shapely.box(m.x, m.y, m.right, m.top) for m in FRAME if "A" in m.faces}
    for (x, y), (mark, edge) in zip(points, held(*points), strict=True):
        under = {k for k, b in boxes.items() if b.intersects(shapely.Point(x, y))}
        assert (mark in under) if under else mark == ""
        if mark:
            assert edge >= shapely.Point(x, y).distance(boxes[mark].exterior) - 1e-9


@pytest.mark.parametrize(
    ("name", "rules", "layout"),
    [
        ("laundry_and_practice_room", "uk", "module"),
        ("laundry_and_practice_room", "uk", "fitted"),
        ("office_two_doors", "uk", "module"),
        ("den_feet_inches", "us", "module"),
    ],
)
def test_every_fixing_of_the_demo_walls_is_carried_with_the_rules_edge_distance(name, rules, layout):
    wall = wc.Wall.load(data_folder() / "walls" / f"{name}.toml")
    design = wc.design(wall, wc.Option(stud_layout=layout), rules=rules, model="closed form")
    table = design.hung_fixings
    assert list(zip(table["item"], table["fixing"], strict=True)) == [
        (item.name, n) for item in wall.hung for n in range(1, len(item.fixings) + 1)
    ]
    assert list(table["x"]) == [x / 10 for item in wall.hung for x, _ in item.fixings]
    assert (table["from_edge"] >= design.rules.tenths("hung.edge_distance") / 10).all()
    members = design.members.set_index("mark")
    for row in table.itertuples():
        assert row.side in members.loc[row.member, "faces"]


def test_every_fixing_has_its_marks_from_both_ends_and_from_floor_and_ceiling():
    wall = wc.Wall.load(data_folder() / "walls" / "laundry_and_practice_room.toml")
    marks = wc.design(wall, model="closed form").setting_out
    marks = marks[marks["role"] == "fixing"]
    for item in wall.hung:
        for number, (x, y) in enumerate(item.fixings, 1):
            mine = marks[marks["mark"] == f"{item.name} {number}, side {item.side}"].set_index("axis")
            assert tuple(mine.loc["x", ["from_left", "from_right"]]) == (x / 10, 3840 - x / 10)
            assert tuple(mine.loc["y", ["from_left", "from_right"]]) == (y / 10, 2620 - y / 10)
    assert len(marks) == 2 * sum(len(item.fixings) for item in wall.hung)


def test_a_piece_cut_to_a_slope_carries_only_what_lies_on_it():
    slope = ((0, 20_000), (10_000, 24_000), (10_000, 24_400), (0, 20_400))
    plate = Member("HP1", "head plate", "38x89", 0, 20_000, 10_000, 4400, 10_770, 890, "AB", outline=slope)

    def carried(x, y):
        (h,) = fixings_held([HungItem("lamp", "A", ((x, y),), 1.0)], [plate])
        return h.member, h.from_edge

    assert carried(5000, 22_200) == ("HP1", 200)  # the middle: 22000 to 22400 there
    assert carried(5000, 22_050) == ("HP1", 50)
    assert carried(5000, 21_900) == ("", 0)
    assert carried(1000, 24_000) == ("", 0)  # inside the rectangle round it
