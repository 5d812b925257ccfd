"""Integer rectangles against shapely's polygons."""

from __future__ import annotations

import random

import pytest
import shapely

from wallcalc.geometry.rectangles import clip, corners, covered, subtract


def polygon(patch):
    return shapely.Polygon(patch.outline, [corners(hole) for hole in patch.holes])


def rectangle(rng, size=40):
    x0, x1 = sorted(rng.sample(range(size), 2))
    y0, y1 = sorted(rng.sample(range(size), 2))
    return x0, y0, x1, y1


def apart(rng, count):
    found = []
    while len(found) < count:
        new = rectangle(rng)
        if all(clip(new, other) is None for other in found):
            found.append(new)
    return found


@pytest.mark.parametrize("seed", range(300))
def test_subtract_leaves_what_shapely_leaves(seed):
    rng = random.Random(seed)
    rect, cutters = rectangle(rng), apart(rng, rng.randrange(4))
    patches = subtract(rect, cutters)
    wanted = shapely.box(*rect)
    for cutter in cutters:
        wanted = wanted.difference(shapely.box(*cutter))
    shapes = [polygon(p) for p in patches]
    assert all(s.is_valid for s in shapes)
    assert sum(s.area for s in shapes) == wanted.area
    assert shapely.union_all(shapes).symmetric_difference(wanted).area == 0
    assert len(shapes) == (0 if wanted.is_empty else len(shapely.get_parts(wanted)))
    for patch, shape in zip(patches, shapes, strict=True):
        assert shapely.is_ccw(shape.exterior)
        assert patch.outline[0] == min(patch.outline)
        assert tuple(map(int, shape.bounds)) == patch.box
        assert len(patch.outline) == len(shape.normalize().simplify(0).exterior.coords) - 1, "no idle corners"
    assert [p.box[:2] for p in patches] == sorted(p.box[:2] for p in patches)


def test_clip_is_shapely_intersection():
    rng = random.Random(1)
    for _ in range(500):
        a, b = rectangle(rng), rectangle(rng)
        wanted = shapely.box(*a).intersection(shapely.box(*b))
        found = clip(a, b)
        if found is None:
            assert wanted.area == 0
        else:
            assert shapely.box(*found).equals(wanted)


def test_covered_is_a_union_of_intervals():
    rng = random.Random(2)
    seen = set()
    for _ in range(500):
        low, high = sorted(rng.sample(range(30), 2))
        pieces = [tuple(sorted(rng.sample(range(30), 2))) for _ in range(rng.randrange(6))]
        union = shapely.union_all([shapely.LineString([(a, 0), (b, 0)]) for a, b in pieces])
        wanted = union.buffer(0.001).covers(shapely.LineString([(low, 0), (high, 0)]))
        seen.add(wanted)
        assert covered(low, high, pieces) == wanted, (low, high, pieces)
    assert seen == {True, False}
