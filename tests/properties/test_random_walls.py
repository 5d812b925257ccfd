"""Five hundred random walls: every ground rule of building them, checked with shapely and plain sums."""

from __future__ import annotations

from functools import cache

import pytest
from random_walls import build, random_case
from wall_oracles import faults_of

import wallcalc as wc

CHUNK, CHUNKS = 50, 10


@cache
def verdict(seed: int) -> tuple[bool, tuple[str, ...]]:
    """Whether the wall could be built, and what is wrong with its design or with the refusal."""
    found = build(random_case(seed))
    return isinstance(found, wc.Design), tuple(faults_of(found))


@pytest.mark.parametrize("chunk", range(CHUNKS))
def test_every_design_keeps_the_ground_rules(chunk):
    faults = [
        f"random_case({seed}): {fault}"
        for seed in range(chunk * CHUNK, (chunk + 1) * CHUNK)
        for fault in verdict(seed)[1]
    ]
    assert not faults, f"{len(faults)} faults:\n" + "\n".join(faults[:20])


def test_most_walls_can_be_built():
    number = sum(verdict(seed)[0] for seed in range(CHUNK * CHUNKS))
    assert number >= 0.85 * CHUNK * CHUNKS


def test_the_walls_cover_the_choices():
    cases = [random_case(seed) for seed in range(CHUNK * CHUNKS)]
    options = [option for _, option, _ in cases]
    assert {o.board_orientation for o in options} == {"vertical", "horizontal"}
    assert {o.set_out_from for o in options} == {"left", "right", "middle"}
    assert {(o.layers_a, o.layers_b) for o in options} == {(1, 1), (1, 2), (2, 1), (2, 2)}
    assert {o.section for o in options} == {"38x63", "38x89", "38x140"}
    assert {len(wall.openings) for wall, _, _ in cases} == {0, 1, 2, 3}
    assert any(opening.kind == "hatch" for wall, _, _ in cases for opening in wall.openings)
    assert {law.value("joint.tolerance") for _, _, law in cases} == {0, 1, 2, 3}
    assert {str(law.value("catalogue.sizes")) for _, _, law in cases} == {"metric", "inch"}
