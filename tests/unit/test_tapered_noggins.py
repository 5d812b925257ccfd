"""Noggins that meet a plate on a slope: their points, and how thin they run out."""

from __future__ import annotations

import pytest
from shapely.geometry import LineString, Polygon

import wallcalc as wc
from wallcalc.framing.tapers import is_ripped, piece, thinnest
from wallcalc.given.wall import Wall

FAR = 10**6


def lying(wall, course_from, law="uk"):
    option = wc.Option(board_orientation="horizontal", course_from=course_from, stud_centres=600)
    return wc.design(wall, option, rules=law, model="closed form", seconds=0.01)


def noggins(design):
    return [m for m in design.frame.members if m.role == "noggin" and m.outline]


def heights_of(member):
    """Clear heights of a piece at its corners, by shapely."""
    shape = Polygon(member.outline)
    return {
        x: shape.intersection(LineString([(x, -FAR), (x, FAR)])).length
        for x in {x for x, _ in member.outline}
    }


def rows(design):
    return [r for r in design.checks.itertuples() if r.check == "noggins cut to a slope"]


@pytest.fixture(scope="module")
def hump():
    """A floor 12 mm higher at 900 mm, in the middle of a bay, and a joint just over the sole plate."""
    return Wall(
        "hump", 24_000, ((0, 24_000), (24_000, 24_000)), floor_levels=((0, 0), (9_000, 120), (24_000, 0))
    )


def test_a_noggin_shaved_over_a_hump_is_as_long_below_as_above(hump):
    design = lying(hump, 60.0)
    over = next(m for m in noggins(design) if m.x < 9_000 < m.right)
    bounds = Polygon(over.outline).bounds
    assert piece(over) == (bounds[2] - bounds[0], bounds[2] - bounds[0], (0.0,), (0.0,))


def test_no_side_of_a_level_piece_counts_as_an_end(hump):
    for m in noggins(lying(hump, 60.0)):
        _, _, left, right = piece(m)
        assert all(abs(b) < 88 for b in (*left, *right))


@pytest.mark.parametrize("drop", [500, 800, 1500, 3000])
def test_a_noggin_is_as_thin_as_shapely_says_and_a_thin_one_is_a_caution(drop):
    design = lying(Wall("w", 24_000, ((0, 24_000), (24_000, 24_000 - drop))), 1150.0)
    found = noggins(design)
    assert found
    for m in found:
        least, at = thinnest(m)
        heights = heights_of(m)
        assert least == pytest.approx(min(heights.values()), abs=1)
        assert heights[at] == pytest.approx(least, abs=1)
    (row,) = rows(design)
    limit = design.rules.value("frame.noggin_least_end")
    thin = {m.mark for m in found if min(heights_of(m).values()) < limit * 10}
    assert (row.verdict == "caution") == bool(thin)
    assert set(row.subject.split(", ")) == thin or not thin
    assert row.value == pytest.approx(min(min(heights_of(m).values()) for m in found) / 10, abs=0.1)


def test_the_limit_is_the_rules():
    wall = Wall("w", 24_000, ((0, 24_000), (24_000, 23_500)))
    law = wc.Rules.load("uk").with_values({"frame.noggin_least_end": 35})
    assert [r.verdict for r in rows(lying(wall, 1150.0))] == ["ok"]
    assert [r.verdict for r in rows(lying(wall, 1150.0, law))] == ["caution"]


def test_a_bevel_sawn_as_an_end_is_not_ripped():
    steep = lying(Wall("roof", 24_000, ((0, 11_000), (12_000, 23_000), (24_000, 23_000))), 1150.0)
    assert [m for m in noggins(steep) if not is_ripped(m, 60)]
    assert rows(steep) == []
    assert rows(lying(Wall("level", 24_000, ((0, 25_000),)), 1150.0)) == []
