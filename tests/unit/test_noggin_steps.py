"""Noggins that keep clear of services, bay by bay: heights by hand (mm)."""

from __future__ import annotations

import pytest
from sites import level_site

from wallcalc.errors import OptionError
from wallcalc.framing.noggin_rows import Ask, Row, joint_rows, place_noggins
from wallcalc.framing.noggin_steps import Room, step_noggins, ways_of
from wallcalc.given.parts import Service
from wallcalc.records import Upright

T, DEPTH, HEIGHT, HEAD = 380, 890, 26_200, 25_820
BORE = 534  # 60 % of 89
SPACING = 12_000


def pipe(x: float, y: float, diameter: float = 43, clearance: float = 10, **more) -> Service:
    return Service(
        "waste", "A", (round(x * 10), round(y * 10)), round(diameter * 10), round(clearance * 10), **more
    )


def uprights() -> list[Upright]:
    """Bays from 38 to 581 and from 619 to 1200 mm."""
    return [Upright(0, T, "end stud"), Upright(5810, 6190, "stud"), Upright(12_000, 12_380, "end stud")]


def stability(*heights: float) -> list[Row]:
    return [Row(round(y * 10), T, ((-190, T, False, "AB"),), ("stability",), False) for y in heights]


def joint(y: float, need: int, sides: str) -> list[Row]:
    return joint_rows([Ask(round(y * 10), side, need, f"joint {side}") for side in sides], T, DEPTH)


def stepped(rows: list[Row], *services: Service, depth: int = DEPTH, bore: int = BORE):
    rows = sorted(rows, key=lambda r: r.y)
    placed = place_noggins(rows, uprights(), level_site(12_380, HEIGHT))
    ways = ways_of(services, HEIGHT, T, depth, bore)
    return placed, step_noggins(placed, rows, ways, lambda a, b: Room(0, T, HEAD, HEIGHT), (), T, SPACING)


def lows(noggins, left: float) -> list[float]:
    return [n.y / 10 for n in noggins if n.x == round(left * 10)]


def test_a_row_steps_to_the_nearer_side_in_that_bay_alone():
    # row at 873: 854 to 892; pipe at 880 keeps 848.5 to 911.5 free: down to 810.5 (43.5), up to 911.5 (57.5)
    _, found = stepped(stability(873, 1747), pipe(900, 880))
    assert lows(found, 38) == [854, 1728]
    assert lows(found, 619) == [810.5, 1728]
    (moved,) = [n for n in found if len(n.serves) > 1]
    assert moved.serves == ("stability", "moved 43.5 mm down for waste")


def test_only_the_service_that_is_in_the_way_is_named():
    far = Service("cable", "A", (9_000, 4_000), 80, 0)
    _, found = stepped(stability(873, 1747), pipe(900, 880), far)
    (moved,) = [n for n in found if len(n.serves) > 1]
    assert moved.serves[1].endswith("for waste")


def test_a_row_that_touches_the_clearance_stays():
    placed, found = stepped(stability(873, 1747), pipe(900, 892 + 31.5))
    assert found == placed


def test_a_drop_thin_enough_is_bored_for_and_moves_nothing():
    placed, found = stepped(stability(873, 1747), pipe(900, 1300, goes="down"))
    assert found == placed


def test_a_drop_too_thick_keeps_rows_above_it_where_the_spacing_allows():
    # 63 mm timber takes 31: nothing below 1000 + 31.5 in that bay; 1031.5 + 19 = 1050.5 is within 1200 of the floor
    _, found = stepped(stability(873, 1747), pipe(900, 1000, goes="down"), depth=630, bore=310)
    assert lows(found, 619) == [1031.5, 1728]
    assert lows(found, 38) == [854, 1728]


def test_a_drop_too_thick_and_too_high_is_refused():
    with pytest.raises(OptionError) as caught:
        stepped(stability(873, 1747), pipe(900, 1400, goes="down"), depth=630, bore=310)
    (refusal,) = caught.value.refusals
    assert refusal.rule == "frame.stability_spacing"
    # the lower row could only stand on the pipe's clearance: 1400 + 31.5 + 19
    assert refusal.place == "bay from 619 to 1200 mm, 0 to 1450.5 mm up"


def test_where_stepping_spreads_rows_too_far_another_is_added():
    # one row at 1200 of a wall 2400 high steps under a box from 1050 to 1350: 1031 is its middle, 1369 from the
    # ceiling, so another stands half way between
    rows = stability(1200)
    placed = place_noggins(rows, uprights(), level_site(12_380, 24_000))
    box = Service("board", "A", (9000, 12_000), 3000, 0, "other", size=(3000, 3000))
    ways = ways_of([box], 24_000, T, DEPTH, BORE)
    found = step_noggins(placed, rows, ways, lambda a, b: Room(0, T, 23_620, 24_000), (), T, SPACING)
    middles = sorted(n.y + T // 2 for n in found if n.x == 6190)
    assert middles == [10_310, (10_310 + 24_000) // 2]
    assert all(any("board" in why for why in n.serves) for n in found if n.x == 6190)
    assert len({(n.row, n.bay, n.part) for n in found}) == len(found)


def test_a_falling_run_lies_between_rows_and_they_step_off_it():
    run = pipe(100, 873, to=(11_000, 8530))
    _, found = stepped(stability(873, 1747), run)
    for n in found:
        way = ways_of([run], HEIGHT, T, DEPTH, BORE).along[0].rect_between(n.x, n.x + n.width)
        assert n.y >= way[3] or n.y + n.height <= way[1]
    assert len(found) == 4


def test_a_flat_noggin_behind_a_joint_becomes_two_on_edge_beside_a_pipe():
    # flat: 89 high about 1420, 1375.5 to 1464.5; pipe up to 1337 + 31.5 + ... keeps to 1381.5
    rows = joint(1420, 440, "A")
    placed, found = stepped(rows, pipe(900, 1350))
    assert [n.flat for n in placed] == [True, True]
    assert [(n.flat, n.height, n.faces) for n in found if n.x == 6190] == [(False, 380, "AB")] * 2
    assert lows(found, 619) == [1382, 1420]
    assert lows(found, 38) == [1375.5]


def test_a_thick_drop_does_not_fit_behind_a_flat_noggin_and_a_thin_one_does():
    rows = joint(1420, 440, "A")
    _, thin = stepped(rows, pipe(900, 1800, 32, goes="down"))  # 89 - 38 = 51 behind it
    assert all(n.flat for n in thin)
    _, thick = stepped(rows, pipe(900, 1800, 52, goes="down"))
    assert [n.flat for n in thick if n.x == 6190] == [False, False]
    assert [n.flat for n in thick if n.x == 380] == [True]


def test_a_noggin_behind_a_joint_through_a_pipe_is_refused():
    with pytest.raises(OptionError) as caught:
        stepped(joint(1420, 380, "AB"), pipe(900, 1420))
    (refusal,) = caught.value.refusals
    assert refusal.rule == "noggins clear of services"
    assert "waste" in refusal.found


def test_the_joint_stays_covered_by_what_it_needs():
    # needs 38 about 1420; pipe at 1480 keeps 1448.5 up free: one on edge, 1401 to 1439, is clear
    placed, found = stepped(joint(1420, 380, "AB"), pipe(900, 1480))
    assert found == placed
