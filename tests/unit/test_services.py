"""Where services keep timber away: rectangles, intervals, free places; sums by hand (mm) and brute force."""

from __future__ import annotations

import random

import pytest
import shapely

from wallcalc.geometry.rectangles import Clear
from wallcalc.given.parts import Service
from wallcalc.services.clearances import (
    closed_intervals,
    drops,
    free,
    keep_clear,
    level_free,
    meetings,
    merged,
    nearest_free,
    places,
    runs,
)

HEIGHT, HEAD, T = 26_200, 25_820, 380
DOOR = Clear(0, "door", 27_000, 35_420, 0, 20_300)
HATCH = Clear(0, "hatch", 10_000, 20_000, 10_000, 18_000)


def pipe(x, y, diameter=430, clearance=100, **more) -> Service:
    return Service("waste", "A", (x, y), diameter, clearance, **more)


def test_a_pipe_keeps_its_diameter_and_clearance_free():
    # 1120 -+ (21.5 + 10), 520 -+ 31.5
    assert keep_clear([pipe(11_200, 5200)]) == ((10_885, 4885, 11_515, 5515),)


def test_pipes_that_meet_are_those_of_shapely():
    rng = random.Random(7)
    met = 0
    for _ in range(400):
        services, shapes = [], []
        for name in ("hot", "cold"):
            at, to = ((rng.randrange(1000, 30_000), rng.randrange(1000, 20_000)) for _ in range(2))
            runs_on, goes = rng.random() < 0.6, rng.choice(("down", "up", "through", "not told"))
            wide = rng.randrange(100, 3000)
            services.append(Service(name, "A", at, wide, 0, to=to if runs_on else None, goes=goes))
            end = to if runs_on else at
            plate = {"down": (end[0], 0), "up": (end[0], HEIGHT)}.get(goes, end)
            shapes.append((shapely.LineString([at, end, plate]), wide))
        (one, a), (other, b) = shapes
        gap = 2 * one.distance(other) - a - b
        if abs(gap) > 1:
            assert bool(meetings(services, HEIGHT)) == (gap < 0)
            met += gap < 0
    assert 50 < met < 350


def test_a_box_keeps_its_own_size_free():
    box = Service("socket", "B", (9000, 4500), 1350, 50, "socket", size=(1350, 750))
    assert keep_clear([box]) == ((9000 - 675 - 50, 4500 - 375 - 50, 9000 + 675 + 50, 4500 + 375 + 50),)


def test_the_end_of_a_run_is_kept_free_too():
    ends = keep_clear([pipe(11_200, 5200, to=(20_000, 5000))])
    assert ends == ((10_885, 4885, 11_515, 5515), (19_685, 4685, 20_315, 5315))


@pytest.mark.parametrize(
    ("goes", "low", "high"), [("down", 0, 5200), ("up", 5200, HEIGHT), ("through", 0, 0), ("not told", 0, 0)]
)
def test_what_drops_and_rises(goes, low, high):
    found = drops([pipe(11_200, 5200, goes=goes)], HEIGHT)
    assert [(d.bottom, d.top) for d in found] == ([(low, high)] if high else [])


def test_a_run_falls_evenly_and_an_upright_one_is_a_drop():
    (run,) = runs([pipe(10_000, 6000, to=(20_000, 5800), goes="down")])
    assert [run.height_at(x) for x in (0, 10_000, 15_000, 20_000, 30_000)] == [6000, 6000, 5900, 5800, 5800]
    (drop,) = drops([pipe(10_000, 6000, to=(20_000, 5800), goes="down")], HEIGHT)
    assert (drop.x, drop.bottom, drop.top) == (20_000, 0, 5800)
    upright = [pipe(10_000, 6000, to=(10_000, 9000))]
    assert runs(upright) == ()
    assert [(d.bottom, d.top) for d in drops(upright, HEIGHT)] == [(6000, 9000)]


def test_short_studs_mind_only_what_lies_in_their_stretch():
    over, beside = pipe(30_000, 23_000), pipe(10_000, 5000)
    closed = closed_intervals([over, beside], [DOOR], HEIGHT, HEAD, T)
    assert closed[-1] == ((9685, 10_315), (29_685, 30_315))
    assert closed[0] == ((29_685, 30_315),)
    under, level = pipe(15_000, 5000), pipe(15_000, 14_000)
    assert closed_intervals([under], [HATCH], HEIGHT, HEAD, T)[0] == ((14_685, 15_315),)
    assert closed_intervals([level], [HATCH], HEIGHT, HEAD, T)[0] == ()
    assert closed_intervals([], [HATCH], HEIGHT, HEAD, T) == {}


def test_touching_is_free_and_a_hair_further_is_not():
    closed = {-1: ((10_885, 11_515),)}
    assert free(10_505, 10_885, -1, closed)
    assert free(11_515, 11_895, -1, closed)
    assert not free(10_506, 10_886, -1, closed)
    assert free(10_506, 10_886, 0, closed)


def test_the_nearest_free_place_is_the_nearest_of_all():
    rng = random.Random(4)
    for _ in range(200):
        low, high = 0, 200
        intervals = merged((a, a + rng.randrange(1, 40)) for a in (rng.randrange(200) for _ in range(4)))
        x, width = rng.randrange(200), rng.randrange(1, 40)
        fit = [p for p in range(low, high - width + 1) if all(p + width <= a or p >= b for a, b in intervals)]
        best = min(fit, key=lambda p: (abs(p - x), p), default=None)
        assert nearest_free(x, width, low, high, intervals) == best
        assert sorted(p for a, b in places(low, high, width, intervals) for p in range(a, b + 1)) == fit


def test_level_timber_against_a_falling_pipe_as_shapely_sees_it():
    rng = random.Random(5)
    run_services = [pipe(2000, 6000, to=(12_000, 5700)), pipe(15_000, 5000, to=(9000, 5200), diameter=150)]
    along, cleared = runs(run_services), keep_clear(run_services)
    seen = set()
    for _ in range(400):
        x, y, w = rng.randrange(16_000), rng.randrange(4500, 7000), rng.randrange(500, 6000)
        rect = (x, y, x + w, y + 380)
        pipes = [
            shapely.LineString([r.start, r.end]).buffer(r.diameter / 2 + r.clearance, cap_style="round")
            for r in along
        ]
        hit = any(p.intersection(shapely.box(*rect)).area > 0 for p in pipes)
        if level_free(rect, cleared, along):
            assert not hit
        seen.add((hit, level_free(rect, cleared, along)))
    assert {(True, False), (False, True)} <= seen
