"""Studs on the module, the last bay, jambs, trimmers, refusals: sums done by hand beside each case (mm)."""

from __future__ import annotations

import random
import re
from itertools import pairwise

import pytest

from wallcalc.errors import OptionError
from wallcalc.framing.stud_lines import (
    fixed_uprights,
    jamb_width,
    module_lines,
    module_studs,
    spans,
)
from wallcalc.geometry.rectangles import Clear

T = 380
SINGLE, PAIR = "single", "king and trimmer"


def door(left: float, right: float, top: float = 2030) -> Clear:
    return Clear(0, "door", round(left * 10), round(right * 10), 0, round(top * 10))


def hatch(left: float, right: float, bottom: float = 1000, top: float = 1800) -> Clear:
    return Clear(0, "hatch", round(left * 10), round(right * 10), round(bottom * 10), round(top * 10))


def studs(length, centres, start="left", clears=(), jamb=SINGLE, least=75):
    """Middles (mm) of the module studs, as {zone: [middles]}."""
    posts = fixed_uprights(length * 10, clears, T, jamb)
    lines = module_lines(length * 10, round(centres * 10), start)
    found: dict[int, list[float]] = {}
    for u in module_studs(lines, posts, clears, T, round(centres * 10), least * 10):
        assert u.right - u.x == T
        assert u.role == ("stud" if u.zone < 0 else "short stud")
        found.setdefault(u.zone, []).append(u.line / 10)
    return found


def posts(length, clears, jamb=SINGLE):
    return [(u.x / 10, u.right / 10, u.role) for u in fixed_uprights(length * 10, clears, T, jamb)]


# --- the module


def test_from_the_left_a_middle_stands_at_every_multiple():
    assert studs(3000, 600) == {-1: [600, 1200, 1800, 2400]}


def test_from_the_right_the_same_seen_from_the_other_end():
    assert studs(3200, 600, "right") == {-1: [200, 800, 1400, 2000, 2600]}


def test_from_the_middle_one_stud_is_centred_on_half_the_length():
    assert studs(3100, 600, "middle") == {-1: [350, 950, 1550, 2150, 2750]}


def test_sixteen_inch_centres_are_exact():
    assert module_lines(20_000, 4064, "left") == [4064, 8128, 12192, 16256]


def test_first_clear_bay_is_the_centres_less_57_and_the_others_less_38():
    (first, second, *_), post = studs(3000, 400)[-1], posts(3000, ())[0]
    assert first - 19 - post[1] == 400 - 57
    assert second - first - 38 == 400 - 38


def test_from_right_is_the_mirror_of_from_left():
    rng = random.Random(5)
    for _ in range(200):
        length, centres = rng.randrange(900, 8000), rng.choice((300, 400, 450, 600, 609.6))
        left = studs(length, centres, "left").get(-1, [])
        right = studs(length, centres, "right").get(-1, [])
        assert right == [round(length - x, 1) for x in reversed(left)]


# --- the last bay: end studs fill 0-38 and L-38 to L


def test_last_bay_of_at_least_75_is_left_alone():
    # 3732: end stud from 3694, stud 3600 ends at 3619: 75 clear
    assert studs(3732, 600)[-1][-1] == 3600


def test_last_stud_is_dropped_when_the_rest_is_within_the_centres():
    # 3610: the end stud's middle is 3591, 591 from the stud at 3000
    assert studs(3610, 600)[-1] == [600, 1200, 1800, 2400, 3000]


def test_last_stud_moves_tight_when_dropping_would_exceed_the_centres():
    # 3640: end stud from 3602, its middle 3621 is 621 from 3000; tight at 3583 it is 583 from 3000
    assert studs(3640, 600)[-1] == [600, 1200, 1800, 2400, 3000, 3583]


def test_last_stud_stands_off_by_the_least_bay_when_tight_would_exceed_the_centres():
    # 3700: end stud from 3662; tight it would stand at 3643, 643 from 3000; 75 clear of it, at 3568
    assert studs(3700, 600)[-1] == [600, 1200, 1800, 2400, 3000, 3568]


def test_first_stud_close_to_the_end_when_set_out_from_the_other_end():
    # from the right, 3700: 100 is the first middle, 43 clear of the end stud: it stands off, at 132
    assert studs(3700, 600, "right")[-1][0] == 132


# --- at jambs


def test_module_stud_beside_a_jamb_is_dropped():
    # worked wall: 3600 is 1 mm from the jamb stud 3542-3580; jamb to end stud is 260 between middles
    found = studs(3840, 600, clears=(door(2700, 3542),))
    assert found == {-1: [600, 1200, 1800, 2400], 0: [3000]}


def test_module_stud_that_overlaps_a_jamb_moves_tight():
    # jamb 2402-2440; 2400 overlaps it; dropping leaves 621; tight at 2383
    found = studs(4000, 600, clears=(door(2440, 3282),))
    assert found[-1][:4] == [600, 1200, 1800, 2383]


def test_module_stud_too_close_to_a_jamb_stands_off():
    # jamb 2462-2500; 2400 leaves 43; tight would be 643 from 1800; 75 clear is at 2368
    found = studs(4000, 600, clears=(door(2500, 3342),))
    assert found[-1][:4] == [600, 1200, 1800, 2368]


def test_short_studs_keep_the_least_bay_to_the_jambs():
    # over 2350-3592: 2400 leaves 31 clear of the jamb and stands off, 2350 + 75 + 19; 3000 stays; 3600 overlaps the
    # other jamb stud, whose middle 3611 is 611 from 3000: tight, at 3592 - 19
    found = studs(5000, 600, clears=(door(2350, 3592),))
    assert found[0] == [2444, 3000, 3573]


def test_short_studs_over_and_under_a_hatch_stand_once_in_plan():
    assert studs(4000, 600, clears=(hatch(1500, 2500),))[0] == [1800, 2400]


# --- king and trimmer


def test_king_and_trimmer_take_two_studs_each_side():
    found = posts(4000, (door(2000, 2900),), PAIR)
    assert found == [
        (0, 38, "end stud"),
        (1924, 1962, "jamb stud"),
        (1962, 2000, "trimmer"),
        (2900, 2938, "trimmer"),
        (2938, 2976, "jamb stud"),
        (3962, 4000, "end stud"),
    ]
    assert jamb_width(T, PAIR) == 2 * T


def test_over_a_door_with_trimmers_bays_run_from_king_to_king():
    # trimmers end at the head: the run over it is 1962 to 2938
    clear = door(2000, 2900)
    run = next(s for s in spans(fixed_uprights(40_000, (clear,), T, PAIR), (clear,)) if s.zone == 0)
    assert (run.left / 10, run.right / 10) == (1962, 2938)
    # 1980 overlaps the king 1962: tight against it, at 1981, it is 395 from 2376
    assert studs(4000, 396, clears=(clear,), jamb=PAIR)[0] == [1981, 2376, 2772]
    # 2000 is 19 clear of the king; tight it would be 419 from 2400: it stands off, at 1962 + 75 + 19
    assert studs(4000, 400, clears=(clear,), jamb=PAIR)[0] == [2056, 2400, 2800]


def test_over_a_hatch_with_trimmers_no_stud_is_tight_to_the_trimmer():
    # tight to the trimmer it would leave a bay of 38 to the king above the head
    found = studs(4000, 400, clears=(hatch(1990, 2900),), jamb=PAIR)[0]
    assert all(x - 19 - 1990 >= 75 for x in found)


@pytest.mark.parametrize("jamb", [SINGLE, PAIR])
def test_centres_hold_between_kings(jamb):
    rng = random.Random(11)
    for _ in range(300):
        left, width = rng.randrange(200, 2000), rng.randrange(500, 2000)
        clear = rng.choice((door, hatch))(left, left + width)
        centres = rng.choice((300, 400, 450, 600))
        side = 57 if jamb == PAIR else 19
        over = studs(5000, centres, clears=(clear,), jamb=jamb).get(0, [])
        line = [left - side, *over, left + width + side]
        assert all(b - a <= centres for a, b in pairwise(line))


# --- openings side by side


def test_two_openings_share_one_stud():
    found = posts(4000, (door(1000, 1800), door(1838, 2600)))
    assert [p for p in found if p[2] == "jamb stud"] == [
        (962, 1000, "jamb stud"),
        (1800, 1838, "jamb stud"),
        (2600, 2638, "jamb stud"),
    ]


def test_an_opening_against_the_end_stud_uses_it_as_its_jamb():
    found = posts(3000, (door(38, 880),))
    assert found == [(0, 38, "end stud"), (880, 918, "jamb stud"), (2962, 3000, "end stud")]
    assert posts(3000, (door(2120, 2962),))[-1] == (2962, 3000, "end stud")


@pytest.mark.parametrize(
    ("clears", "jamb"),
    [
        ((door(50, 900),), SINGLE),
        ((door(100, 900),), PAIR),
        ((door(1000, 1800), door(1850, 2600)), SINGLE),
        ((door(1000, 1800), door(1900, 2600)), PAIR),
        ((door(3000, 3950),), SINGLE),
    ],
)
def test_no_room_for_a_jamb_is_refused_and_the_named_move_makes_room(clears, jamb):
    with pytest.raises(OptionError) as caught:
        fixed_uprights(40_000, clears, T, jamb)
    (refusal,) = caught.value.refusals
    assert refusal.rule == "timber at the sides of an opening"
    move = float(re.search(r"move the opening ([\d.]+) mm", refusal.nearest_change)[1])
    moved = list(clears)
    to_the_left = "right side" in refusal.place
    at = len(moved) - 1
    sign = -1 if to_the_left else 1
    old = moved[at]
    moved[at] = Clear(
        0, old.kind, old.left + round(sign * move * 10), old.right + round(sign * move * 10), 0, old.top
    )
    fixed_uprights(40_000, tuple(moved), T, jamb)
    less = Clear(0, old.kind, moved[at].left - sign * 10, moved[at].right - sign * 10, 0, old.top)
    with pytest.raises(OptionError):
        fixed_uprights(40_000, (*moved[:at], less), T, jamb)


# --- every rule at once, on random walls without openings


def test_random_walls_keep_centres_and_least_bay():
    rng = random.Random(3)
    for _ in range(500):
        length = rng.randrange(400, 8000)
        centres = rng.choice((300, 400, 406.4, 450, 480, 600, 609.6, rng.randrange(280, 650)))
        start = rng.choice(("left", "right", "middle"))
        middles = [19.0, *studs(length, centres, start).get(-1, []), length - 19.0]
        for a, b in pairwise(middles):
            gap = round(b - a - 38, 1)
            assert gap >= 0
            assert b - a <= centres + 0.05, (length, centres, start)
            assert gap == 0 or gap >= 75 or len(middles) == 2, (length, centres, start, middles)
