"""Cavity fill: does it fit between the linings and hold in its bays."""

from __future__ import annotations

from collections.abc import Iterator

from wallcalc.checks.facts import Facts
from wallcalc.checks.registry import register
from wallcalc.checks.rows import CAUTION, OK, at_most, say
from wallcalc.records import CheckRow
from wallcalc.units.lengths import MM


@register("fill")
def fill_fit(facts: Facts) -> Iterator[CheckRow]:
    """Compare the slab's thickness with the stud's depth, and tell how the bays are filled."""
    if not facts.fill:
        return
    rule = facts.rules.rule("fill.friction_least")
    thick = max(p.thickness for p in facts.fill)
    name = facts.option.fill or "fill"
    yield at_most("fill thickness", name, f"in {facts.option.section} studs", thick / MM, facts.section[1], "mm",
                  "a slab thicker than the stud is deep bulges the boards", "geometry", "computed")  # fmt: skip
    count = {how: sum(p.how == how for p in facts.fill) for how in ("friction", "cut", "pieced")}
    pieced = [p for p in facts.fill if p.how == "pieced"]
    why = (
        f"{count['friction']} bays hold a slab by friction, {count['cut']} take one cut to width, "
        f"{count['pieced']} are pieced"
    )
    if pieced:
        why += f" (the first {pieced[0].mark}): keep the pieces tight, a gap lets sound through"
    if facts.frame.cleats:
        why += f"; notch it round the cleats at the ends of pattresses ({len(facts.frame.cleats)} of them)"
    yield say(
        "fill fit", name, "bay by bay", CAUTION if pieced else OK, why,
        rule.source, rule.status, float(count["pieced"]), 0.0, "bays",
    )  # fmt: skip
