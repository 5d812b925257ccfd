"""Sixty random walls with pipes, runs and boxes: every ground rule, and what services ask, checked with shapely."""

from __future__ import annotations

from functools import cache

import pytest
from random_services import random_service_case
from random_walls import prices
from wall_oracles import design_faults

import wallcalc as wc

CHUNK, CHUNKS = 15, 4
SECONDS = 0.01


@cache
def made(seed: int) -> wc.Design | wc.OptionError:
    """The design, or why it is refused."""
    wall, option, law = random_service_case(seed)
    try:
        return wc.design(wall, option, rules=law, prices=prices(), seconds=SECONDS, model="closed form")
    except wc.OptionError as error:
        return error


@pytest.mark.parametrize("chunk", range(CHUNKS))
def test_every_design_with_services_keeps_the_ground_rules(chunk):
    faults = []
    for seed in range(chunk * CHUNK, (chunk + 1) * CHUNK):
        design = made(seed)
        if isinstance(design, wc.OptionError):
            faults += [
                f"{seed}: refusal without its {name}: {refusal}"
                for refusal in design.refusals
                for name in ("rule", "place", "found", "nearest_change")
                if not getattr(refusal, name).strip()
            ]
        else:
            faults += [f"{seed}: {fault}" for fault in design_faults(design)]
    assert not faults, f"{len(faults)} faults:\n" + "\n".join(faults[:20])


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
