"""Noggins cut along a sloping plate: how thin they run out."""

from __future__ import annotations

from collections.abc import Iterator

from wallcalc.checks.facts import Facts
from wallcalc.checks.registry import register
from wallcalc.checks.rows import CAUTION, at_least, length_text
from wallcalc.framing.tapers import is_ripped, thinnest
from wallcalc.records import CheckRow
from wallcalc.units.lengths import MM

NAMED = 6
"""Pieces named in a row; more are counted."""


@register("joints")
def tapered_noggins(facts: Facts) -> Iterator[CheckRow]:
    """Compare the thinnest place of the noggins cut along a slope with what takes a nail.

    A noggin for stability or for an item stands clear of the plates. Only one behind a board joint that runs out at a
    sloping plate meets it: moved down it would leave the joint, so it is ripped to the slope.
    """
    rule = facts.rules.rule("frame.noggin_least_end")
    limit = facts.rules.tenths(rule.key)
    bevel = float(facts.rules.value("frame.noggin_end_bevel"))
    noggins = (m for m in facts.frame.members if m.role == "noggin" and m.outline)
    sloped = sorted((*thinnest(m), m.mark) for m in noggins if is_ripped(m, bevel))
    if not sloped:
        return
    least, x, mark = sloped[0]
    thin = [m for height, _, m in sloped if height < limit]
    named = ", ".join(thin[:NAMED]) + (f" and {len(thin) - NAMED} more" if len(thin) > NAMED else "")
    why = (
        f"{mark} is ripped along its length to the slope of the plate and is {length_text(least / MM)} high at "
        f"{length_text(x / MM)} from the left"
    )
    if thin:
        why += (
            f"; a nail splits {named} at the thin end: screw up into the head plate or down into the sole plate "
            "through the thick part, drilled before, or move the joint (course_from) clear of the slope"
        )
    yield at_least("noggins cut to a slope", named or mark, "board joint at a sloping plate", least / MM, limit / MM,
                   "mm", why, rule.source, rule.status, under=CAUTION)  # fmt: skip
