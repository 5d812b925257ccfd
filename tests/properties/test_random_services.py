"""Random walls with pipes, runs and boxes: every ground rule, and what services ask, checked with shapely.

Sixty level walls, and some under slopes and with hung items.
"""

from __future__ import annotations

from functools import cache

import pytest
from random_hung import hung_case
from random_services import random_service_case, with_services
from random_uneven import uneven_case
from random_walls import build
from wall_oracles import faults_of

import wallcalc as wc

CHUNK, CHUNKS = 15, 4


@cache
def made(seed: int, base: str = "level") -> wc.Design | wc.OptionError:
    """The design, or why it is refused."""
    if base == "level":
        case = random_service_case(seed)
    else:
        case = with_services({"uneven": uneven_case, "hung": hung_case}[base](seed), seed)
    return build(case)


@pytest.mark.parametrize("chunk", range(CHUNKS))
def test_every_design_with_services_keeps_the_ground_rules(chunk):
    faults = [
        f"{seed}: {fault}"
        for seed in range(chunk * CHUNK, (chunk + 1) * CHUNK)
        for fault in faults_of(made(seed))
    ]
    assert not faults, f"{len(faults)} faults:\n" + "\n".join(faults[:20])


@pytest.mark.parametrize("base", ["uneven", "hung"])
def test_services_beside_slopes_and_hung_items(base):
    seeds = {"uneven": range(11, 24), "hung": (0, 3, 5, 7, 11, 13, 14, 15)}[base]
    faults = [f"{base} {seed}: {fault}" for seed in seeds for fault in faults_of(made(seed, base))]
    assert not faults, f"{len(faults)} faults:\n" + "\n".join(faults[:20])
    assert sum(isinstance(made(seed, base), wc.Design) for seed in seeds) >= 8


def test_most_walls_with_services_can_be_built():
    built = [made(seed) for seed in range(CHUNK * CHUNKS) if isinstance(made(seed), wc.Design)]
    assert len(built) >= 0.7 * CHUNK * CHUNKS
    notes = [note for design in built for note in design.frame.notes]
    assert any(note.startswith("stud") and " moved " in note for note in notes)
    assert any(note.startswith("stud") and "added beside" in note for note in notes)
    assert any(note.startswith("noggin") and " moved " in note for note in notes)
    holes = [hole for design in built for hole in design.frame.holes]
    assert {hole.axis for hole in holes} == {"x", "y"}
    assert any(not p.round for design in built for b in design.frame.boards for p in b.pierced)
