"""Openings: the mass of a door leaf on its jambs."""

from __future__ import annotations

from collections.abc import Iterator

from wallcalc.checks.facts import Facts
from wallcalc.checks.registry import register
from wallcalc.checks.rows import CAUTION, NOT_KNOWN, OK, at_most, say
from wallcalc.checks.supports import StudLine
from wallcalc.geometry.rectangles import Clear
from wallcalc.records import CheckRow


def jambs_of(facts: Facts, clear: Clear) -> tuple[StudLine, ...]:
    """Return the stud lines on either side of an opening."""
    left = [s for s in facts.studs if s.right <= clear.left]
    right = [s for s in facts.studs if s.left >= clear.right]
    return (*left[-1:], *right[:1])


@register("openings")
def heavy_leaf(facts: Facts) -> Iterator[CheckRow]:
    """Look at each door leaf's mass against what single jamb studs should carry."""
    light, heaviest = facts.rules.rule("frame.heavy_leaf"), facts.rules.rule("frame.heaviest_leaf")
    doubled_by_rule = facts.rules.value("frame.jamb") != "single"
    for clear in facts.frame.clears:
        if clear.kind != "door":
            continue
        subject = f"door {clear.index + 1}"
        mass = facts.wall.openings[clear.index].leaf_mass
        if mass is None:
            yield say("door leaf", subject, "leaf mass not given", NOT_KNOWN,
                      f"weigh the leaf: over {float(light.value):g} kg wants doubled jamb studs",
                      light.source, light.status, None, float(light.value), "kg")  # fmt: skip
            continue
        doubled = doubled_by_rule or all(line.pieces > 1 for line in jambs_of(facts, clear))
        if mass > float(heaviest.value):
            yield at_most("door leaf", subject, "heaviest leaf", mass, float(heaviest.value), "kg",
                          "a leaf this heavy needs a frame designed for it: ask a structural engineer",
                          heaviest.source, heaviest.status, over=CAUTION)  # fmt: skip
        elif doubled:
            yield say("door leaf", subject, "doubled jambs", OK, "doubled jambs carry it", light.source, light.status,
                      mass, float(heaviest.value), "kg")  # fmt: skip
        else:
            yield at_most("door leaf", subject, "single jamb studs", mass, float(light.value), "kg",
                          "a heavy leaf works a single jamb stud loose: double the jamb studs",
                          light.source, light.status, over=CAUTION)  # fmt: skip
