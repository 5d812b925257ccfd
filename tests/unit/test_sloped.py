"""Shapes under and over lines: against shapely on random rectangles, openings, floors and ceilings."""

from __future__ import annotations

import random

import pytest
import shapely

from wallcalc.geometry.profile import Line
from wallcalc.geometry.sloped import area2, between, edges_at, share_area, sides_at


def test_a_corner_under_a_slope_by_hand():
    low, high = Line(((0, 0), (100, 0))), Line(((0, 40), (60, 100), (100, 100)))
    (patch,) = between((0, 10, 80, 90), (), low, high)
    assert patch.outline == ((0, 10), (80, 10), (80, 90), (50, 90), (0, 40))
    assert patch.box == (0, 10, 80, 90)
    assert area2(patch.outline) == 2 * (80 * 80 - 50 * 50 // 2)


def test_a_piece_ends_in_a_point_where_the_ceiling_meets_its_lower_edge():
    low, high = Line(((0, 0), (100, 0))), Line(((0, 0), (100, 50)))
    (patch,) = between((0, 20, 100, 90), (), low, high)
    assert patch.outline == ((40, 20), (100, 20), (100, 50))


def test_nothing_is_left_over_the_ceiling():
    assert between((0, 200, 50, 300), (), Line(((0, 0), (50, 0))), Line(((0, 100), (50, 120)))) == ()


def random_shape(seed):
    rng = random.Random(seed)
    length = rng.randrange(500, 40_000)

    def line(base, most):
        xs = sorted({0, length, *(rng.randrange(0, length) for _ in range(rng.randrange(4)))})
        return Line.through((x, base + rng.randrange(-most, most + 1)) for x in xs)

    low, high = line(0, rng.choice((5, 300, 3000))), line(20_000, rng.choice((5, 300, 9000)))
    left, right = sorted(rng.sample(range(length + 1), 2))
    bottom, top = sorted(rng.sample(range(-3000, 30_000), 2))
    cutters, at = [], left
    for _ in range(rng.randrange(3)):
        a, b = sorted((rng.randrange(left, right + 1), rng.randrange(left, right + 1)))
        if at <= a < b:
            y = rng.randrange(-4000, 12_000)
            cutters.append((a, y, b, y + rng.randrange(1, 12_000)))
            at = b
    return low, high, (left, bottom, right, top), cutters, rng


@pytest.mark.parametrize("chunk", range(4))
def test_shapes_are_those_of_shapely_and_never_cross_a_line(chunk):
    for seed in range(chunk * 250, chunk * 250 + 250):
        low, high, rect, cutters, rng = random_shape(seed)
        face = shapely.Polygon([*low.points, *high.points[::-1]])
        holes = shapely.union_all([shapely.box(*c) for c in cutters])
        wanted = shapely.box(*rect).intersection(face).difference(holes)
        total, shapes = 0.0, []
        for patch in between(rect, cutters, low, high):
            rings = [[(a, b), (c, b), (c, d), (a, d)] for a, b, c, d in patch.holes]
            shape = shapely.Polygon(patch.outline, rings)
            assert shape.is_valid
            assert shape.exterior.is_ccw
            assert tuple(shape.bounds) == patch.box
            assert shape.difference(wanted).area < 1e-3 * shape.length + 1e-3, seed
            total += shape.area
            shapes.append(shape)
            if not patch.holes:
                x, y = rng.randrange(rect[0], rect[2]), rng.randrange(rect[1], rect[3])
                window = (x, y, x + rng.randrange(1, 3000), y + rng.randrange(1, 3000))
                assert share_area(patch.outline, window) == (
                    shape.intersection(shapely.box(*window)).area > 1e-6
                )
        assert wanted.area - total <= 1.5 * wanted.length + 4, seed
        assert abs(shapely.union_all(shapes).area - total) < 1e-3 * max(1.0, total**0.5)


def test_sides_of_an_outline():
    outline = ((0, 0), (10, 0), (10, 8), (0, 3))
    assert edges_at(outline, 10, upright=True) == [(0, 8)]
    assert edges_at(outline, 0, upright=False) == [(0, 10)]
    assert edges_at(outline, 8, upright=False) == []
    assert sides_at(outline, 5) == (0, 5)
    assert sides_at(outline, 11) is None
