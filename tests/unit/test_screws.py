"""Board screws: published counts by counting, and every row of the worked wall by brute force."""

from __future__ import annotations

from itertools import pairwise
from math import dist

import pytest
from sites import level_profile
from takeoff_builders import DEPTH, SECTION, T, board, level, mm, upright, worked_wall

from wallcalc.buying.screw_rows import screws_along
from wallcalc.buying.screws import (
    Spacing,
    board_screws,
    count_screws,
    largest_centres,
    screw_length,
    screw_lines,
    spacing_of,
)
from wallcalc.geometry.rectangles import Clear, spans
from wallcalc.records import Frame, Member
from wallcalc.trade.rules import Rules

UK = Spacing(most=3000, corner=2000, edge_bound=100, edge_cut=130, timber_edge=60)


def screwed(sheet, members, clears):
    """Rows of one board in a wall as high as it is, whose linings stand on the floor."""
    frame = Frame(level_profile(mm(6000), sheet.top, floor_gap=0), clears, tuple(members), (), ())
    return board_screws(sheet, frame, UK)


@pytest.mark.parametrize(("centres", "published"), [(400, 36), (600, 27)])
def test_screws_of_one_sheet_on_studs_only(centres, published):
    """36 and 27 a 1200x2400 sheet at 300 mm: 4 or 3 lines of 9 (by counting; lines on studs only, no plates)."""
    studs = [upright(f"S{x}", "stud", mm(x) - T // 2, 0, mm(2400)) for x in range(0, 1201, centres)]
    sheet = board("A1-1", "A", 0, mm(1200), 0, mm(2400))
    rows = screwed(sheet, studs, ())
    assert sum(r.count for r in rows) == published
    assert {r.count for r in rows} == {9}


def test_boards_that_meet_are_each_screwed_to_the_stud_they_share():
    stud = upright("S1", "stud", mm(1200) - T // 2, 0, mm(2400))
    left = screwed(board("A1-1", "A", 0, mm(1200), 0, mm(2400)), [stud], ())
    right = screwed(board("A1-2", "A", mm(1200), mm(2400), 0, mm(2400)), [stud], ())
    assert [r.count for r in left] == [r.count for r in right] == [9]
    assert left[0].x1 == mm(1190)  # 10 in from the bound edge
    assert right[0].x1 == mm(1210)


def test_plates_and_noggins_are_screwed_between_the_studs():
    studs = [upright(f"S{x}", "stud", mm(x) - T // 2, T, mm(2362)) for x in (0, 600, 1200)]
    plates = [level("SP1", "sole plate", 0, mm(1200), 0), level("HP1", "head plate", 0, mm(1200), mm(2362))]
    noggins = [level(f"N{n}", "noggin", mm(600 * n) + 190, mm(600 * n + 600) - 190, mm(1181)) for n in (0, 1)]
    rows = screwed(board("A1-1", "A", 0, mm(1200), 0, mm(2400)), [*studs, *plates, *noggins], ())
    by_member = {}
    for row in rows:
        by_member[row.member] = by_member.get(row.member, 0) + row.count
    # studs at 600: one screw between each pair on plates and noggins keeps 300; studs carry the ends
    assert by_member == {"S0": 9, "S600": 9, "S1200": 9, "SP1": 2, "HP1": 2, "N0": 1, "N1": 1}


def test_screws_are_closer_along_the_edges_of_an_opening():
    clear = Clear(0, "door", mm(2700), mm(3542), 0, mm(2030))
    jamb = upright("JS1", "jamb stud", mm(2662), 0, mm(2620))
    inner = board("A1-1", "A", mm(1800), mm(3000), mm(12), mm(2620), clear)
    with_door = sum(r.count for r in screwed(inner, [jamb], (clear,)))
    without = sum(r.count for r in screwed(inner, [jamb], ()))
    # from 22 to 2030 at 200: 11 steps; from 2030 to 2610 at 300: 2 steps; 14 screws in all, against 10 at 300
    assert with_door == 11 + 2 + 1
    assert without == -(-(26200 - 130 - 220 - 30) // 3000) + 1 == 10


def test_screws_are_closer_along_a_hatch_that_begins_over_the_floor():
    clear = Clear(0, "hatch", mm(2700), mm(3600), mm(1000), mm(1800))
    jamb = upright("JS1", "jamb stud", mm(2662), 0, mm(2620))
    inner = board("A1-1", "A", mm(1800), mm(2700), mm(12), mm(2620))
    rows = screwed(inner, [jamb], (clear,))
    points = sorted(y for row in rows for _, y in row.points())
    steps = [b - a for a, b in pairwise(points)]
    along = [s for a, s in zip(points, steps, strict=False) if mm(1000) <= a < mm(1800)]
    # 25 to 1000 at 300: 4 steps; 1000 to 1800 at 200: 4; 1800 to 2607 at 300: 3
    assert len(steps) == 4 + 4 + 3
    assert len(along) == 4
    assert max(along) <= UK.corner
    assert max(steps) <= UK.most
    assert (points[0], points[-1]) == (mm(25), mm(2607))


def test_a_stud_between_two_openings_is_screwed_closely_along_either():
    door = Clear(0, "door", mm(1000), mm(2000), 0, mm(2000))
    hatch = Clear(1, "hatch", mm(2038), mm(2800), mm(1500), mm(2200))
    jamb = upright("JS1", "jamb stud", mm(2000), 0, mm(2620))
    inner = board("A1-1", "A", mm(2000), mm(2038), mm(12), mm(2620))
    points = sorted(y for row in screwed(inner, [jamb], (door, hatch)) for _, y in row.points())
    steps = [(a, b - a) for a, b in pairwise(points)]
    assert all(step <= UK.corner for a, step in steps if a < mm(2200))
    assert len(points) == len(set(points))


def brute_points(frame: Frame, spacing: Spacing):
    for b in frame.boards:
        for row in board_screws(b, frame, spacing):
            for point in row.points():
                yield b, row, point


def test_every_screw_of_the_worked_wall_is_in_timber_and_in_its_board():
    import shapely

    frame = worked_wall()
    members = {m.mark: shapely.box(m.x, m.y, m.right, m.top) for m in frame.members}
    timber = shapely.union_all(list(members.values()))
    shapes = {b.mark: shapely.Polygon(b.outline) for b in frame.boards}
    for b, _, (x, y) in brute_points(frame, UK):
        point = shapely.Point(x, y)
        assert shapes[b.mark].contains(point)
        assert shapes[b.mark].exterior.distance(point) >= 90  # 0.1 mm; 10 from the edge but for rounding
        assert timber.contains(point)


def test_no_support_of_the_worked_wall_is_left_without_a_screw_for_300():
    """Walk along every support under every board: a screw of that board is never more than 300/2 + slack away."""
    import shapely

    frame = worked_wall()
    screws = {}
    for b, _, point in brute_points(frame, UK):
        screws.setdefault(b.mark, []).append(point)
    for b in frame.boards:
        shape = shapely.Polygon(b.outline)
        for m in frame.members:
            shared = shape.intersection(shapely.box(m.x, m.y, m.right, m.top))
            if shared.area < 100 * 100:
                continue
            x0, y0, x1, y1 = shared.bounds
            if min(x1 - x0, y1 - y0) < 100:
                continue
            steps = 40
            for i in range(steps + 1):
                x = x0 + (x1 - x0) * i / steps if m.width > m.height else (x0 + x1) / 2
                y = y0 + (y1 - y0) * i / steps if m.height >= m.width else (y0 + y1) / 2
                if not shape.contains(shapely.Point(x, y)):
                    continue
                nearest = min(dist((x, y), p) for p in screws[b.mark])
                assert nearest <= 1500 + 2 * T, (b.mark, m.mark, x, y)


def test_counts_by_side_and_layer_add_up():
    frame = worked_wall()
    rows = screw_lines(frame, Rules.load("uk"))
    by_hand = {}
    for row in rows:
        by_hand[(row.side, row.layer)] = by_hand.get((row.side, row.layer), 0) + len(row.points())
    assert count_screws(rows) == by_hand
    assert set(by_hand) == {("A", 1), ("B", 1)}
    # no fewer than the US estimating textbook's 10.8 per m2 less its 20 % margin, no more than twice it
    assert 8 * 8.3 < by_hand[("A", 1)] < 2 * 10.8 * 8.3156


def test_the_us_rule_spaces_screws_by_stud_centres():
    """IRC Table R702.3.5 (from memory): 12 in on studs at 24 in, 16 in on studs at 16 in."""
    us = Rules.load("us")
    assert spacing_of(us, 4064).most == 4064
    assert spacing_of(us, 6096).most == 3048


def test_largest_centres_leaves_the_doorway_out():
    assert largest_centres(worked_wall()) == mm(600)


def test_screw_length_of_one_and_two_layers():
    """12.5 mm board and 25 mm into timber: 38 (37.5); two layers: 50 (BS 8212, from memory)."""
    assert screw_length([125], 250) == 375
    assert screw_length([125, 125], 250) == 500


@pytest.mark.parametrize(
    ("length", "most", "wanted"), [(0, 300, 1), (1, 300, 2), (300, 300, 2), (301, 300, 3)]
)
def test_screws_on_a_line(length, most, wanted):
    assert screws_along(length, most) == wanted


def test_spans_of_a_notched_outline():
    outline = ((0, 0), (4, 0), (4, 6), (9, 6), (9, 10), (0, 10))
    assert spans(outline, 2, upright=True) == ((0, 10),)
    assert spans(outline, 6, upright=True) == ((6, 10),)
    assert spans(outline, 3, upright=False) == ((0, 4),)
    assert spans(outline, 8, upright=False) == ((0, 9),)


def test_a_flat_noggin_on_the_other_side_takes_no_screw():
    back = Member("N1", "noggin", SECTION, 380, 4000, 5620, DEPTH, 5620, T, faces="B", flat=True)
    sheet = board("A1-1", "A", 0, mm(638), 0, mm(1000))
    assert screwed(sheet, [back], ()) == []
