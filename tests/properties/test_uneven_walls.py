"""Sixty random walls with uneven floors and sloping ceilings: the same ground rules, checked with shapely."""

from __future__ import annotations

from collections import Counter
from functools import cache

import pytest
from random_uneven import KINDS, uneven_case
from random_walls import build
from wall_oracles import faults_of

import wallcalc as wc

CHUNK, CHUNKS = 12, 5


@cache
def verdict(seed: int) -> tuple[bool, tuple[str, ...]]:
    """Whether the wall could be built, and what is wrong with its design or with the refusal."""
    found = build(uneven_case(seed))
    return isinstance(found, wc.Design), tuple(faults_of(found))


@pytest.mark.parametrize("chunk", range(CHUNKS))
def test_every_design_keeps_the_ground_rules(chunk):
    faults = [
        f"uneven_case({seed}): {fault}"
        for seed in range(chunk * CHUNK, (chunk + 1) * CHUNK)
        for fault in verdict(seed)[1]
    ]
    assert not faults, f"{len(faults)} faults:\n" + "\n".join(faults[:20])


def test_most_walls_can_be_built():
    number = sum(verdict(seed)[0] for seed in range(CHUNK * CHUNKS))
    assert number >= 0.8 * CHUNK * CHUNKS


def test_the_walls_cover_the_choices():
    cases = [uneven_case(seed) for seed in range(CHUNK * CHUNKS)]
    kinds = Counter(wall.name.rsplit(" ", 1)[0] for wall, _, _ in cases)
    assert set(kinds) == set(KINDS)
    assert {option.board_orientation for _, option, _ in cases} == {"vertical", "horizontal"}
    assert {len(wall.heights) for wall, _, _ in cases} == {2, 3, 4}
    assert {bool(wall.floor_levels) for wall, _, _ in cases} == {True, False}
    kinds_of_opening = {o.kind for wall, _, _ in cases for o in wall.openings}
    assert kinds_of_opening == {"door", "hatch"}
    assert {str(law.value("catalogue.sizes")) for _, _, law in cases} == {"metric", "inch"}
