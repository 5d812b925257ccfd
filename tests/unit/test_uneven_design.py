"""Designs on uneven walls: pieces worked out by hand, and the shipped wall under a roof in every way it is built."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest
from wall_oracles import design_faults

import wallcalc as wc
from wallcalc.framing.tapers import bevels_text, piece
from wallcalc.given.parts import Opening
from wallcalc.given.wall import Wall
from wallcalc.records import Member

WALL = Path(__file__).resolve().parents[2] / "data" / "walls" / "sloping_ceiling.toml"


@pytest.fixture(scope="module")
def half_slope():
    """A ceiling that rises one in two from 1.2 m, 2.4 m of it, then a level 1.2 m; studs at 600."""
    wall = Wall("one in two", 36_000, ((0, 12_000), (24_000, 24_000), (36_000, 24_000)))
    return wc.design(wall, wc.Option(fill="wool-50"), model="closed form")


def by_mark(design, mark):
    return next(m for m in design.frame.members if m.mark == mark)


def test_plates_are_as_long_as_the_slope_and_mitred(half_slope):
    first, second = (by_mark(half_slope, m) for m in ("HP1", "HP2"))
    slope = math.hypot(24_000, 12_000)
    angle = math.degrees(math.atan(0.5))
    long, short, left, right = piece(first)
    # plumb at the left end, half the angle at the break: the upper side runs over the lower by one, under by the other
    over = 380 * math.tan(math.radians(angle)), 380 * math.tan(math.radians(angle / 2))
    assert long == pytest.approx(slope + over[0], abs=3)
    assert short == pytest.approx(slope - 0, abs=3) or short == pytest.approx(
        slope + over[0] - over[1], abs=3
    )
    assert left[0] == pytest.approx(angle, abs=0.1)
    assert right[0] == pytest.approx(angle / 2, abs=0.1)
    assert piece(second)[0] == 12_000
    assert piece(second)[1] == pytest.approx(12_000 - over[1], abs=2)
    plate = half_slope.takeoff.set_index("group").loc["timber"]
    assert plate is not None


def test_a_stud_has_its_own_long_and_short_point(half_slope):
    # underside of the plate at x is 1200 + x / 2 less 38 mm square to the slope
    under = 12_000 - 380 * math.sqrt(1.25)
    studs = [m for m in half_slope.frame.members if m.role == "stud" and m.right < 23_000]
    assert len(studs) >= 3
    for stud in studs:
        long, short, bottom, top = piece(stud)
        assert long == stud.length == pytest.approx(under + stud.right / 2 - 380, abs=2)
        assert long - short == pytest.approx(190, abs=2)
        assert (bottom, top[0]) == ((0.0,), pytest.approx(26.6, abs=0.05))
        assert bevels_text(stud) == "0 / 26.6"
    row = half_slope.members.set_index("mark").loc[studs[0].mark]
    assert row["length_long"] == studs[0].length / 10
    assert row["length_long"] - row["length_short"] == pytest.approx(19, abs=0.2)
    cut = dict(c for cuts in half_slope.timber_cuts["cuts"] for c in cuts)
    assert cut[studs[0].mark] == row["length_long"]


def test_areas_are_those_of_the_face(half_slope):
    # 2.4 m rising from 1.2 to 2.4 m, 1.2 m level, less 12 mm at the floor
    face = 2.4 * 1.8 + 1.2 * 2.4 - 3.6 * 0.012
    area = half_slope.boards.groupby("side")["area"].sum()
    assert list(area) == pytest.approx([face, face], abs=4e-4)
    assert half_slope.parts.build.height == pytest.approx((2.4 * 1.8 + 1.2 * 2.4) / 3.6 * 1000)


def test_tape_and_sealant_follow_the_slope(half_slope):
    corners = [j for j in half_slope.frame.joints if j.kind == "corner" and j.side == "A"]
    slope = math.hypot(24_000, 12_000)
    assert sum(j.length for j in corners if j.x1 != j.x2) == pytest.approx(slope + 12_000, abs=2)
    from wallcalc.buying.finishing import perimeter

    assert perimeter(half_slope.frame) == pytest.approx(36_000 + slope + 12_000 + 12_000 + 24_000, abs=3)


def test_marks_tell_the_points_measured_and_the_corners_of_studs(half_slope):
    marks = half_slope.setting_out
    places = marks[(marks["role"] == "ceiling") & (marks["axis"] == "x")]
    assert list(places["from_left"]) == [0, 2400, 3600]
    heights = marks[(marks["role"] == "ceiling") & (marks["axis"] == "y")]
    assert list(heights["from_left"]) == [1200, 2400, 2400]
    stud = next(m for m in half_slope.frame.members if m.role == "stud" and m.outline)
    own = marks[(marks["mark"] == stud.mark) & (marks["axis"] == "y")].set_index("edge")["from_left"]
    assert own["top right"] - own["top left"] == pytest.approx(19, abs=0.2)
    assert own["bottom left"] == own["bottom right"] == 38


@pytest.mark.parametrize("law", ["uk", "us"])
@pytest.mark.parametrize("orientation", ["vertical", "horizontal"])
@pytest.mark.parametrize("layers", [1, 2])
def test_the_shipped_wall_under_a_roof_can_be_built(law, orientation, layers):
    option = wc.Option(board_orientation=orientation, fill="wool-50", layers_a=layers)
    design = wc.design(wc.Wall.load(WALL), option, rules=law, model="closed form")
    assert design_faults(design) == []
    failed = design.checks[design.checks["verdict"] == "fail"]
    if law == "uk":
        assert list(failed["why"]) == []


def test_a_tape_that_reads_a_few_millimetres_different_gives_a_design_a_few_millimetres_different():
    wall = Wall("old", 36_000, ((0, 24_000),))
    out = replace(wall, heights=((0, 24_020), (20_000, 23_980), (36_000, 24_000)))
    level, uneven = (wc.design(w, wc.Option(), model="closed form") for w in (wall, out))
    assert design_faults(uneven) == []
    assert len(uneven.frame.boards) == len(level.frame.boards)
    studs = [[m.length for m in d.frame.members if m.role == "stud"] for d in (level, uneven)]
    assert len(studs[0]) == len(studs[1])
    assert max(abs(a - b) for a, b in zip(*studs, strict=True)) <= 25


def test_heights_of_one_number_are_a_level_wall():
    plain = Wall("w", 36_000, ((0, 24_000),))
    twice = replace(plain, heights=((0, 24_000), (36_000, 24_000)), floor_levels=((0, 0), (36_000, 0)))
    a, b = (wc.design(w, wc.Option(), model="closed form") for w in (plain, twice))
    assert a.frame == b.frame
    assert a.frame.profile.is_level


def test_left_and_right_mirror():
    wall = Wall("w", 36_000, ((0, 12_000), (24_000, 24_000), (36_000, 24_000)))
    other = replace(wall, heights=((0, 24_000), (12_000, 24_000), (36_000, 12_000)))
    a = wc.design(wall, wc.Option(set_out_from="left"), model="closed form")
    b = wc.design(other, wc.Option(set_out_from="right"), model="closed form")
    uprights = ("end stud", "stud")
    lengths = [sorted(m.length for m in d.frame.members if m.role in uprights) for d in (a, b)]
    assert lengths[0] == pytest.approx(lengths[1], abs=1)


def test_a_door_on_an_uneven_floor_is_measured_from_its_highest_place():
    wall = Wall(
        "fall",
        36_000,
        ((0, 25_000), (36_000, 25_000)),
        floor_levels=((0, 0), (36_000, 360)),
        openings=(Opening("door", 10_000, width=9_000, height=20_400),),
    )
    design = wc.design(wall, wc.Option(), model="closed form")
    (clear,) = design.frame.clears
    assert (clear.bottom, clear.top) == (100, 190 + 20_400)
    assert design_faults(design) == []


def test_an_opening_too_high_under_the_slope_is_refused_with_how_far_to_lower_it():
    wall = Wall(
        "loft",
        36_000,
        ((0, 12_000), (24_000, 24_000), (36_000, 24_000)),
        openings=(Opening("door", 18_000, width=7_000, height=20_000),),
    )
    with pytest.raises(wc.OptionError, match="lower the opening by") as caught:
        wc.design(wall, wc.Option(), model="closed form")
    # underside of the plate at 1800 mm: 2100 less 42.5; two thicknesses of 38 have to fit over 2000
    lower = float(caught.value.refusals[0].nearest_change.split("by ")[1].split(" mm")[0])
    assert lower == pytest.approx(2000 + 76 - (2100 - 38 * math.sqrt(1.25)), abs=0.2)
    high = replace(wall, openings=(Opening("door", 16_000, width=7_000, height=20_100),))
    with pytest.raises(wc.WallError, match="wall's height there, 2000 mm"):
        wc.design(high, wc.Option(), model="closed form")


def test_a_point_measured_a_finger_beside_a_door_is_refused_with_the_point():
    wall = Wall(
        "w",
        36_000,
        ((0, 25_000), (36_000, 25_000)),
        floor_levels=((0, 0), (9_800, 100), (36_000, 0)),
        openings=(Opening("door", 10_000, width=9_000, height=20_400),),
    )
    with pytest.raises(wc.OptionError, match="leave out the point at 980 mm"):
        wc.design(wall, wc.Option(), model="closed form")


def test_a_square_piece_has_no_bevels():
    stud = Member("S1", "stud", "38x89", 0, 380, 380, 20_000, 20_000, 890)
    assert piece(stud) == (20_000, 20_000, (0.0,), (0.0,))
    assert bevels_text(stud) == ""


def test_a_stud_under_a_ridge_has_two_cuts():
    stud = Member(
        "S1",
        "stud",
        "38x89",
        0,
        0,
        380,
        1190,
        1190,
        890,
        outline=((0, 0), (380, 0), (380, 1000), (190, 1190), (0, 1000)),
    )
    long, short, bottom, top = piece(stud)
    assert (long, short, bottom) == (1190, 1000, (0.0,))
    assert sorted(top) == [-45.0, 45.0]
    assert bevels_text(stud) == "0 / 45 and 45"


def printed(design):
    """What the printed tables of sloped pieces hold, row by row."""
    from wallcalc.output.slopes import sloped_boards, sloped_timber

    class Paper:
        def __init__(self):
            self.rows = []

        def heading2(self, text):
            self.rows.append([text])

        def paragraph(self, text, size):
            pass

        def table(self, columns, rows):
            assert all(len(row) == len(columns) for row in rows)
            self.rows += rows

    paper = Paper()
    sloped_timber(paper, design, "{:g}".format)
    sloped_boards(paper, design, "{:g}".format)
    return paper.rows


def test_the_printed_cut_list_tells_long_and_short_points_and_corners(half_slope):
    rows = {row[0]: row for row in printed(half_slope)}
    stud = next(m for m in half_slope.frame.members if m.role == "stud" and m.outline)
    row = next(r for key, r in rows.items() if stud.mark in key.split(", "))
    assert row[1:] == ["stud", f"{stud.length / 10:g}", f"{piece(stud)[1] / 10:g}", "", "0 / 26.6 R"]
    board = next(
        b for b in half_slope.frame.boards if b.side == "B" and len(b.outline) > 3 and b.mark in rows
    )
    corners = [tuple(map(float, c.split(", "))) for c in rows[board.mark][2].split("; ")]
    assert min(x for x, _ in corners) == min(y for _, y in corners) == 0
    assert max(x for x, _ in corners) == board.width / 10
    # side B is seen from its own room: the ceiling falls to the right there, and the corners run anticlockwise
    twice = sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(corners, [*corners[1:], corners[0]], strict=True))
    assert twice == pytest.approx(board.area2 / 100)
    highest = max(corners, key=lambda c: c[1])
    assert highest[0] < max(x for x, _ in corners)


def test_the_printed_bevels_of_a_plate_tell_the_face_on_which_it_is_longer(half_slope):
    rows = {mark: row for row in printed(half_slope) for mark in row[0].split(", ")}
    told = 0
    for plate in (m for m in half_slope.frame.members if m.role == "head plate" and len(m.outline) == 4):
        (ax, ay), (bx, by) = sorted(plate.outline, key=lambda p: p[0])[:2]  # the left end, then the right end
        (cx, cy), (dx, dy) = sorted(plate.outline, key=lambda p: p[0])[2:]
        run = (cx + dx - ax - bx, cy + dy - ay - by)
        ends = rows[plate.mark][-1].split(" / ")
        for text, pair, outward in zip(
            ends, (((ax, ay), (bx, by)), ((cx, cy), (dx, dy))), (-1, 1), strict=True
        ):
            low, high = sorted(
                pair, key=lambda p: p[1] * run[0] - p[0] * run[1]
            )  # from the lower to the upper face
            further = outward * ((high[0] - low[0]) * run[0] + (high[1] - low[1]) * run[1])
            if text != "0":
                assert text[-1] == ("T" if further > 0 else "B"), (plate.mark, text)
                told += 1
    assert told >= 2


def test_a_level_wall_prints_no_table_of_slopes():
    design = wc.design(Wall("level", 24_000, ((0, 24_000),)), wc.Option(), model="closed form")
    assert printed(design) == []
    assert all(t == [] for t in design.timber_cuts["tapers"])
