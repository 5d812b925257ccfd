"""Studs kept off what services close: sums by hand (mm), and every placing tried on a coarse grid."""

from __future__ import annotations

import itertools
import random

import pytest

from wallcalc.errors import OptionError
from wallcalc.framing.stud_lines import fixed_uprights, module_lines, module_studs
from wallcalc.framing.stud_shift import Stretch, clear_of
from wallcalc.geometry.rectangles import Clear
from wallcalc.given.parts import Service
from wallcalc.services.clearances import closed_of, merged

T, HEIGHT, HEAD = 380, 26_200, 25_820


def pipe(x, y=500, diameter=43, clearance=10, name="waste", **more) -> Service:
    return Service(name, "A", (round(x * 10), round(y * 10)), diameter * 10, clearance * 10, **more)


def studs(length, centres, *services, clears=(), jamb="single"):
    posts = fixed_uprights(length * 10, clears, T, jamb)
    closed = closed_of(services, clears, HEIGHT, HEAD, T)
    lines = module_lines(length * 10, centres * 10, "left")
    return module_studs(lines, posts, clears, T, centres * 10, 750, closed)


def middles(found):
    return [u.line / 10 for u in found]


def test_studs_that_are_not_in_the_way_stay():
    assert middles(studs(3000, 600, pipe(900))) == [600, 1200, 1800, 2400]


def test_a_pipe_beside_a_stud_may_touch_its_clearance():
    # 1200 - 19 - 10 - 21.5 = 1149.5
    assert middles(studs(3000, 600, pipe(1149.5))) == [600, 1200, 1800, 2400]


def test_where_no_move_keeps_the_centres_a_stud_stands_at_each_side():
    # closed 1158.5 to 1221.5: studs at 1139.5 and 1240.5 are too far from 1800 and from 600, and only 63 clear of
    # one another; 12 mm more keep the least bay of 75
    found = studs(3000, 600, pipe(1190))
    assert middles(found) in ([600, 1127.5, 1240.5, 1800, 2400], [600, 1139.5, 1252.5, 1800, 2400])
    assert [u.serves for u in found[1:3]] in (
        [("added beside waste",), ("module", "moved 40.5 mm right for waste")],
        [("module", "moved 60.5 mm left for waste"), ("added beside waste",)],
    )


def test_a_stud_moves_the_least_where_the_centres_allow_it():
    # hand: 2700 long at 600: 600, 1200, 1800, 2400 with 281 left over; the stud at 2400 is free to go left 22.5
    found = studs(2700, 600, pipe(2410))
    # closed 2378.5 to 2441.5: left of it 2359.5 (40.5), right of it 2460.5 (60.5, and 660.5 from 1800)
    assert middles(found) == [600, 1200, 1800, 2359.5]
    assert found[-1].serves == ("module", "moved 40.5 mm left for waste")


def test_a_short_stud_over_a_door_minds_only_what_is_up_there():
    door = Clear(0, "door", 20_000, 28_420, 0, 20_300)
    low = studs(4000, 600, pipe(2400, 500, name="low"), clears=(door,))
    assert 2400 in middles(low)
    high = studs(4000, 600, pipe(2400, 2300, name="high"), clears=(door,))
    assert 2400 not in middles(high)
    assert all(u.zone == 0 for u in high if u.line not in {v.line for v in low})


def test_no_place_for_a_stud_is_refused_by_name():
    wide = pipe(1200, 500, diameter=700, name="duct")
    with pytest.raises(OptionError, match="duct") as caught:
        studs(3000, 600, wide)
    assert caught.value.refusals[0].rule == "studs clear of services"


def test_fewest_studs_then_least_moves_of_all_placings_on_a_grid():
    """Thickness 4, least bay 8, centres 60, everything even: every set of studs within the stretch is tried."""
    rng = random.Random(11)
    tried = built = 0
    while tried < 120:
        thickness, least, centres, high = 4, 8, 60, rng.randrange(90, 130, 2)
        wanted = [x for x in range(60, high, 60) if high - x >= thickness + least]
        closed = merged(
            (a, a + rng.randrange(4, 26, 2)) for a in (rng.randrange(4, high, 2) for _ in range(2))
        )

        def ok(x, closed=closed):
            return not any(a < x + 2 and x - 2 < b for a, b in closed)

        if not wanted or all(ok(x) for x in wanted):
            continue
        tried += 1
        found = clear_of(wanted, Stretch(0, high, 0, high), thickness, centres, least, closed)
        spots = [x for x in range(1, high) if ok(x)]
        best = None
        for count in range(4):
            for chosen in itertools.combinations(spots, count):
                line = [0, *chosen, high]
                gaps = [b - a for a, b in itertools.pairwise(line)]
                if max(gaps) <= centres and all(g == thickness or g >= thickness + least for g in gaps):
                    moves = sum(min(abs(x - w) for w in wanted) for x in chosen)
                    best = min(best, moves) if best is not None else moves
            if best is not None:
                break
        if best is None:
            assert found is None
            continue
        built += 1
        assert found is not None
        assert all(ok(x) for x in found)
        gaps = [b - a for a, b in itertools.pairwise([0, *found, high])]
        assert max(gaps) <= centres
        assert all(g == thickness or g >= thickness + least for g in gaps)
        if len(wanted) == 1:
            assert (len(found), sum(min(abs(x - w) for w in wanted) for x in found)) == (count, best)
    assert built > 60
