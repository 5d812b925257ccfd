"""Noggin rows: how many and how high, what a joint asks for, and what is in the way of them."""

from __future__ import annotations

import random
from itertools import pairwise

import pytest
from sites import level_site

from wallcalc.errors import OptionError
from wallcalc.framing.noggin_rows import (
    Ask,
    Noggin,
    Row,
    joint_rows,
    place_noggins,
    stability_heights,
)
from wallcalc.framing.stud_lines import fixed_uprights
from wallcalc.geometry.rectangles import Clear
from wallcalc.records import Upright

T, DEPTH = 380, 890
HEIGHT, HEAD = 26_200, 25_820
DOOR = Clear(0, "door", 20_000, 28_420, 0, 20_300)
HATCH = Clear(0, "hatch", 20_000, 28_420, 10_000, 18_000)


def uprights(*clears: Clear, jamb: str = "single", short: tuple[int, ...] = ()) -> list[Upright]:
    """End studs and jambs of a wall of 4 m, a stud at 1 m, and short studs where asked for."""
    found = [*fixed_uprights(40_000, clears, T, jamb), Upright(9810, 10_190, "stud")]
    found += [Upright(x - 190, x + 190, "short stud", 0) for x in short]
    return sorted(found, key=lambda u: (u.x, u.zone))


def place(row: Row, *clears: Clear, jamb: str = "single", short: tuple[int, ...] = ()) -> list[Noggin]:
    return place_noggins([row], uprights(*clears, jamb=jamb, short=short), level_site(40_000, HEIGHT, clears))


def joint_row(y: int, need: int = 380, sides: str = "AB", depth: int = DEPTH) -> Row:
    (row,) = joint_rows([Ask(y, side, need, f"joint {side}") for side in sides], T, depth)
    return row


def stability(y: int) -> Row:
    return Row(y, T, ((-190, T, False, "AB"),), ("stability",), False)


# --- heights


@pytest.mark.parametrize(
    ("height", "rows"),
    [
        (2000, [1000]),
        (2400, [1200]),
        (2401, [800, 1601]),  # 800.33, 1600.67
        (2620, [873, 1747]),  # the worked wall
        (3600, [1200, 2400]),
        (3601, [900, 1801, 2701]),  # 900.25, 1800.5 (half up), 2700.75
    ],
)
def test_rows_for_stability(height, rows):
    assert [y / 10 for y in stability_heights([], height * 10, 12_000)] == rows


def test_rows_of_joints_count():
    assert stability_heights([14_200], HEIGHT, 12_000) == [7100]
    assert stability_heights([2200, 14_200], HEIGHT, 12_000) == []


def test_random_heights_are_as_few_as_keep_the_spacing():
    rng = random.Random(7)
    for _ in range(400):
        height = rng.randrange(20_000, 36_000, 10)
        taken = sorted({rng.randrange(1000, height - 1000, 10) for _ in range(rng.randrange(3))})
        spacing = rng.choice((9000, 12_000))
        rows = stability_heights(taken, height, spacing)
        lines = sorted([0, *taken, *rows, height])
        assert all(b - a <= spacing + 10 for a, b in pairwise(lines))
        for a, b in pairwise([0, *taken, height]):
            inside = [y for y in rows if a < y < b]
            fewest = next(n for n in range(9) if (n + 1) * spacing >= b - a)
            assert len(inside) == max(fewest, int(not taken))
            gaps = [q - p for p, q in pairwise([a, *inside, b])]
            assert max(gaps) - min(gaps) <= 20  # equal, to the mm


# --- what joints ask for


def test_one_noggin_on_edge_where_its_thickness_is_enough():
    assert joint_row(14_200).pieces == ((-190, 380, False, "AB"),)


def test_a_cut_joint_on_one_face_takes_a_flat_noggin_behind_it():
    assert joint_row(14_200, 440, "B").pieces == ((-445, 890, True, "B"),)


def test_a_cut_joint_on_both_faces_takes_two_on_edge():
    assert joint_row(14_200, 440).pieces == ((-380, 380, False, "AB"), (0, 380, False, "AB"))


def test_a_flat_noggin_too_narrow_is_doubled():
    assert joint_row(14_200, 700, "A", depth=630).pieces == ((-380, 380, False, "AB"), (0, 380, False, "AB"))


def test_the_greater_need_of_two_faces_decides():
    (row,) = joint_rows([Ask(14_200, "A", 380, "a"), Ask(14_200, "B", 440, "b")], T, DEPTH)
    assert row.need == 440
    assert row.serves == ("a", "b")


@pytest.mark.parametrize("apart", [10, 100, 200, 370, 500, 750])
def test_rows_in_one_anothers_way_become_one_stack_that_serves_both(apart):
    asks = [Ask(14_200, "A", 440, "a"), Ask(14_200 + apart, "A", 440, "b"), Ask(14_200, "B", 440, "c")]
    rows = joint_rows(asks, T, DEPTH)
    pieces = sorted((r.y + p[0], r.y + p[0] + p[1], p[2]) for r in rows for p in r.pieces)
    for (_, top, _), (bottom, _, _) in pairwise(pieces):
        assert top <= bottom, "two noggins in one place"
    for ask in asks:
        low, high = ask.y - 220, ask.y + 220
        solid = [(max(a, low), min(b, high)) for a, b, _ in pieces if a < high and b > low]
        assert sum(b - a for a, b in solid) == high - low


def test_flat_noggins_of_opposite_faces_pass_each_other_only_in_a_deep_frame():
    asks = [Ask(14_200, "A", 440, "a"), Ask(14_300, "B", 440, "b")]
    assert len(joint_rows(asks, T, 890)) == 2
    assert len(joint_rows(asks, T, 630)) == 1


# --- where they go


def test_noggins_fill_the_clear_distance_between_uprights():
    found = place(stability(13_100))
    assert [(n.x, n.width, n.y, n.height) for n in found] == [
        (380, 9430, 12_910, 380),
        (10_190, 29_430, 12_910, 380),
    ]
    assert [(n.row, n.bay) for n in found] == [(1, 1), (1, 2)]


def test_none_in_an_opening():
    found = place(stability(13_100), DOOR)
    assert [(n.x, n.x + n.width) for n in found] == [(380, 9810), (10_190, 19_620), (28_800, 39_620)]


def test_no_stability_noggin_over_a_door_head_less_than_1200_high():
    over = [n for n in place(stability(23_000), DOOR) if n.x >= 20_000 and n.x < 28_420]
    assert over == []  # 2620 - 2030 - 38 = 552 over the head


def test_a_joint_over_a_door_head_has_its_noggin_all_the_same():
    found = place(joint_row(23_000), DOOR, short=(24_000,))
    assert [(n.x, n.x + n.width) for n in found if 20_000 <= n.x < 28_420] == [
        (20_000, 23_810),
        (24_190, 28_420),
    ]


def test_high_over_a_door_head_there_is_a_stability_noggin():
    low_door = Clear(0, "door", 20_000, 28_420, 0, 13_000)  # 1282 over its head
    assert any(n.x == 20_000 for n in place(stability(20_000), low_door))


@pytest.mark.parametrize("jamb", ["single", "king and trimmer"])
@pytest.mark.parametrize("clear", [DOOR, HATCH], ids=["door", "hatch"])
@pytest.mark.parametrize("need", [380, 440])
@pytest.mark.parametrize("sides", ["A", "AB"])
def test_joints_near_heads_sills_and_plates_are_covered_and_nothing_is_in_the_way(jamb, clear, need, sides):
    head = range(clear.top, clear.top + 600, 10)
    sill = range(clear.bottom - 600, clear.bottom + 1, 10) if clear.bottom else ()
    plates = (*range(600, 900, 10), *range(HEAD - 700, HEAD - 300, 10))
    for y in (*head, *sill, *plates):
        row = joint_row(y, need, sides)
        found = place(row, clear, jamb=jamb, short=(24_000,))
        level = [(0, T), (HEAD, HEIGHT)]
        opening = (clear.bottom - T if clear.bottom else 0, clear.top + T)
        for n in found:
            bottom, top = n.y, n.y + n.height
            blocks = [*level, opening] if 20_000 - T < n.x + n.width / 2 < 28_420 + T else level
            assert all(top <= a or bottom >= b for a, b in blocks), (y, n)
        inside = sorted((n.y, n.y + n.height) for n in found if n.x == 24_190)
        if clear.bottom < y < clear.top:
            assert not inside
            continue
        low, high = y - need // 2, y + need // 2
        solid = sorted([*inside, *level, (clear.top, clear.top + T), (clear.bottom - T, clear.bottom)])
        reach = max(low, clear.top) if y >= clear.top else low
        end = min(high, clear.bottom) if y <= clear.bottom else high
        for a, b in solid:
            if a <= reach:
                reach = max(reach, b)
        assert reach >= end, (y, solid)


def test_trimmers_that_end_at_the_head_do_not_bound_a_bay_above_it():
    found = place(joint_row(23_000), DOOR, jamb="king and trimmer")
    assert (19_620, 28_800) in [(n.x, n.x + n.width) for n in found]


def test_a_gap_too_small_for_the_noggin_is_refused():
    tall = Clear(0, "door", 20_000, 28_420, 0, HEAD - T - 400)  # 40 mm between door head and head plate
    with pytest.raises(OptionError, match="noggins behind joints") as caught:
        place(joint_row(HEAD - 200, 440, "A"), tall)
    assert "move the joint" in caught.value.refusals[0].nearest_change


def test_no_stability_noggin_shorter_than_the_least():
    near = Clear(0, "door", 1000, 9000, 0, 20_300)  # jamb stud from 62 to 100: a bay of 24
    assert all(n.width >= 750 for n in place(stability(13_100), near))
    assert any(n.width == 240 for n in place(joint_row(13_100), near))
