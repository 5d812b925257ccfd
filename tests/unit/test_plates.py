"""Plates: where they run and where they are joined, against a search over all ways to join them."""

from __future__ import annotations

import random
from itertools import combinations, pairwise

import pytest

from wallcalc.errors import OptionError
from wallcalc.framing.plates import Joining, sole_runs, split_plate
from wallcalc.geometry.rectangles import Clear


def test_the_sole_plate_stops_at_doors_and_runs_under_hatches():
    door, hatch = Clear(0, "door", 27_000, 35_420, 0, 20_300), Clear(1, "hatch", 5000, 9000, 10_000, 18_000)
    assert sole_runs(38_400, (hatch, door)) == [(0, 27_000), (35_420, 38_400)]


def test_a_door_at_the_end_leaves_no_empty_run():
    assert sole_runs(38_400, (Clear(0, "door", 0, 8420, 0, 20_300),)) == [(8420, 38_400)]


def test_a_plate_within_the_longest_timber_is_whole():
    assert split_plate(0, 53_950, Joining("head plate", 53_950, 3000, ([],), ())) == [(0, 53_950)]


def test_a_longer_plate_is_joined_at_the_last_stud_within_reach():
    studs = list(range(6000, 74_000, 6000))
    assert split_plate(0, 74_000, Joining("head plate", 53_950, 3000, (studs,), ())) == [
        (0, 48_000),
        (48_000, 74_000),
    ]


def test_not_at_the_stud_where_the_other_plate_is_joined():
    studs = list(range(6000, 74_000, 6000))
    pieces = split_plate(0, 74_000, Joining("head plate", 53_950, 3000, (studs,), {48_000}))
    assert pieces == [(0, 42_000), (42_000, 74_000)]


def test_no_piece_too_short_for_its_fixings():
    # joined at 5400 the rest would be 200, at 4800 it is 800
    assert split_plate(0, 56_000, Joining("sole plate", 54_000, 3000, ([48_000, 54_000],), ())) == [
        (0, 48_000),
        (48_000, 56_000),
    ]


def test_second_choice_places_serve_only_where_no_first_choice_is_in_reach():
    assert split_plate(0, 60_000, Joining("plate", 54_000, 3000, ([30_000], [50_000]), ())) == [
        (0, 30_000),
        (30_000, 60_000),
    ]
    assert split_plate(0, 60_000, Joining("plate", 54_000, 3000, ([], [50_000]), ())) == [
        (0, 50_000),
        (50_000, 60_000),
    ]


def test_no_place_within_reach_is_refused():
    with pytest.raises(OptionError, match="no place for a joint within the longest timber on sale") as caught:
        split_plate(0, 74_000, Joining("head plate", 53_950, 3000, ([60_000],), ()))
    refusal = caught.value.refusals[0]
    assert refusal.place == "head plate from 0 mm"
    assert refusal.nearest_change == "add longer timber to the price book"


def test_random_plates_have_as_few_pieces_as_any_way_of_joining_them():
    rng = random.Random(2)
    for _ in range(200):
        end = rng.randrange(30_000, 100_000)
        longest, least = rng.choice((24_000, 36_000, 54_000)), 3000
        places = sorted({rng.randrange(1000, end) for _ in range(rng.randrange(2, 12))})
        fewest = None
        for count in range(6):
            for cut in combinations(places, count):
                line = [0, *cut, end]
                sizes = [b - a for a, b in pairwise(line)]
                if max(sizes) <= longest and (not cut or min(sizes) >= least):
                    fewest = count + 1
                    break
            if fewest:
                break
        try:
            pieces = split_plate(0, end, Joining("plate", longest, least, (places,), ()))
        except OptionError:
            assert fewest is None
            continue
        assert len(pieces) == fewest
        assert pieces[0][0] == 0
        assert pieces[-1][1] == end
        assert all(a[1] == b[0] and a[1] in places for a, b in pairwise(pieces))
        assert all(b - a <= longest for a, b in pieces)
        assert len(pieces) == 1 or all(b - a >= least for a, b in pieces)
