"""Floor and ceiling lines: heights, crossings and parallels, by hand and against shapely."""

from __future__ import annotations

import math
import random
from fractions import Fraction
from itertools import pairwise

import pytest
import shapely

import wallcalc as wc
from wallcalc.errors import OptionError
from wallcalc.geometry.profile import Line
from wallcalc.given.wall import Wall
from wallcalc.site.frame_rules import frame_rules
from wallcalc.site.lines import floor_and_ceiling, profile_of


@pytest.fixture(scope="module")
def uk():
    return frame_rules(wc.Rules.load("uk"))


def test_heights_between_points_are_exact_and_rounded_to_the_side_asked():
    line = Line(((0, 0), (3, 1), (10, 1)))
    assert line.at(1) == Fraction(1, 3)
    assert (line.under(1), line.over(1)) == (0, 1)
    assert (line.under(3), line.over(3)) == (1, 1)
    falling = Line(((0, 1), (3, 0)))
    assert (falling.under(1), falling.over(1)) == (0, 1)
    assert (line.least(1, 5), line.most(1, 5)) == (0, 1)


def test_points_in_a_straight_run_are_left_out():
    assert Line.through([(0, 0), (10, 10), (20, 20), (30, 20)]).points == ((0, 0), (20, 20), (30, 20))


def test_crossings_are_rounded_to_the_side_that_is_above_or_below():
    rising = Line(((0, 0), (30, 10)))
    assert rising.crossings(1, 0, 30, above=True) == [3]
    steep = Line(((0, 0), (7, 10)))
    assert steep.crossings(1, 0, 7, above=True) == [1]
    assert steep.under(1) >= 1
    assert steep.crossings(2, 0, 7, above=False) == [1]
    assert steep.over(1) <= 2
    fall = Line(((0, 10), (7, 0)))
    assert fall.crossings(1, 0, 7, above=True) == [6]
    assert fall.under(6) >= 1


@pytest.mark.parametrize(
    "measured",
    [
        {"heights": ((0, 24_000),)},
        {"heights": ((0, 24_000), (30_000, 24_000)), "floor_levels": ((0, 0), (30_000, 0))},
    ],
)
def test_the_lines_of_a_level_wall_are_constant(uk, measured):
    profile = profile_of(Wall("w", 30_000, **measured), 380, uk)
    assert profile.is_level
    assert (profile.length, profile.lowest, profile.highest) == (30_000, 0, 24_000)
    for line, height in ((profile.sole, 380), (profile.head, 23_620), (profile.low, uk.floor_gap)):
        assert {line.at(x) for x in range(0, 30_001, 777)} == {height}
        assert {line.under(x) for x in range(0, 30_001, 777)} == {height}
        assert (line.least(10, 20), line.most(0, 30_000), line.length(5, 25)) == (height, height, 20)


def test_the_ceiling_is_the_floor_and_the_height_over_it():
    wall = Wall(
        "w", 30_000, ((0, 24_000), (30_000, 24_300)), floor_levels=((0, 0), (10_000, 200), (30_000, 0))
    )
    floor, ceiling = floor_and_ceiling(wall)
    assert floor.points == ((0, 0), (10_000, 200), (30_000, 0))
    assert ceiling.points == ((0, 24_000), (10_000, 24_300), (30_000, 24_300))


def test_a_plate_on_a_slope_of_one_in_one_is_root_two_thick_upright(uk):
    wall = Wall("w", 20_000, ((0, 10_000), (10_000, 20_000), (20_000, 20_000)))
    profile = profile_of(wall, 380, uk)
    assert 10_000 - profile.head.points[0][1] == math.ceil(380 * math.sqrt(2))
    # the mitre lies on the bisector of 45 degrees and level, 22.5 degrees off the upright
    x, y = profile.head.points[1]
    assert (x, y) == (10_000 + round(380 * math.tan(math.pi / 8)), 20_000 - 380)


@pytest.mark.parametrize("seed", range(20))
def test_parallels_are_those_of_shapely(seed):
    rng = random.Random(seed)
    xs = sorted(rng.sample(range(2000, 50_000, 10), 3))
    line = Line.through((x, rng.randrange(0, 9000)) for x in (0, *xs, 52_000))
    if any(b[0] - a[0] < 1500 for a, b in pairwise(line.points)):
        return
    for by in (380, -380):
        ours = shapely.LineString(line.offset(by).points)
        theirs = shapely.LineString(line.points).offset_curve(by, join_style="mitre", mitre_limit=100)
        middle = shapely.box(1000, -(10**6), 51_000, 10**6)
        assert ours.intersection(middle).hausdorff_distance(theirs.intersection(middle)) < 2.5


def test_points_too_close_for_plates_are_refused_with_the_point(uk):
    wall = Wall("w", 30_000, ((0, 20_000), (10_000, 24_000), (10_100, 24_000), (30_000, 16_000)))
    with pytest.raises(OptionError, match="leave one of the two points out") as caught:
        profile_of(wall, 380, uk)
    assert "points at 1000 and 1010 mm" in str(caught.value)


def test_a_wall_that_runs_down_to_nothing_is_refused_with_the_height_to_end_at(uk):
    wall = Wall("w", 30_000, ((0, 900), (30_000, 24_000)))
    with pytest.raises(OptionError, match="at 0 mm from the left") as caught:
        profile_of(wall, 380, uk)
    assert "end the wall where it is" in caught.value.refusals[0].nearest_change


def test_the_tallest_board_is_that_of_brute_force():
    rng = random.Random(5)
    for _ in range(30):
        xs = sorted(rng.sample(range(10, 990), 2))
        floor = Line(((0, rng.randrange(50)), (xs[0], rng.randrange(50)), (1000, rng.randrange(50))))
        high = Line(
            ((0, rng.randrange(300, 500)), (xs[1], rng.randrange(300, 500)), (1000, rng.randrange(300, 500)))
        )
        profile = _profile(floor, high)
        for width in (100, 333, 1200):
            starts = range(0, max(1, 1001 - width))
            brute = max(
                high.most(x, min(1000, x + width)) - floor.least(x, min(1000, x + width)) for x in starts
            )
            assert abs(profile.tallest(width) - brute) <= 1


def _profile(low, high):
    from wallcalc.geometry.profile import Profile

    return Profile(low, high, high, low, high, low, high)
