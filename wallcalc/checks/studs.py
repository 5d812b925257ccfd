"""Studs under the horizontal loads that the rules ask for: bending, shear and deflection of the worst stud."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from wallcalc.checks.facts import Facts
from wallcalc.checks.registry import register
from wallcalc.checks.rows import DEFERS, NOT_KNOWN, at_most, length_text, say
from wallcalc.checks.strength_values import Timber, load_cases, section_of, strengths, timber
from wallcalc.checks.supports import StudLine
from wallcalc.records import CheckRow
from wallcalc.strength.beam import shear_stiffness
from wallcalc.strength.loads import Effects, LoadCase, effects
from wallcalc.strength.timber_ec5 import bending_stress, shear_stress
from wallcalc.units.lengths import MM

STIFFNESS_CHECK, STIFFNESS_UNIT = "stud deflection", "mm"
PRESSURE_UNIT = "Pa"
KEEP_DIGITS = 3


@dataclass(frozen=True, slots=True)
class _Case:
    """One stud line under one load case: what each of its pieces takes."""

    line: StudLine
    effects: Effects
    span: float


def share(line: StudLine, case: LoadCase) -> float:
    """Return the part of a line's load that one of its pieces takes.

    One over the pieces; a point load stays on one piece, as a board need not be screwed to the other.
    """
    return 1.0 if case.kind == "point" else 1.0 / line.pieces


def line_effects(line: StudLine, case: LoadCase, facts: Facts, material: Timber) -> Effects | None:
    """Return moment, shear and deflection of one piece of a stud line; None where the load passes it by."""
    section = section_of(facts.option.section)
    span = line.length / MM
    foot = (line.foot - facts.wall.floor_build_up) / MM
    loads = case.loads(span, 1.0, foot)
    if not loads:
        return None
    one = effects(
        span, loads, material.modulus * section.inertia, shear_stiffness(section.area, material.shear_modulus)
    )
    return one.times(1.0 if case.kind == "point" else round(line.tributary * share(line, case), KEEP_DIGITS))


def _worst(cases: Iterable[_Case], value: str) -> _Case:
    return max(cases, key=lambda c: (getattr(c.effects, value), c.line.tributary, -c.line.left))


@register("studs")
def stud_strength(facts: Facts) -> Iterator[CheckRow]:
    """Check the worst field stud and the worst jamb stud in every load case."""
    rules, wall = facts.rules, facts.wall
    tiled = wall.room_a.tiled_to > 0 or wall.room_b.tiled_to > 0
    cases = load_cases(rules, tiled)
    if not facts.studs or not cases:
        return
    least = rules.tenths("loads.area_from_height")
    if max(h for _, h in wall.heights) <= least:
        rule = rules.rule("loads.area_from_height")
        yield say("stud strength", "studs", "horizontal load", NOT_KNOWN,
                  f"the rules ask for a horizontal load only above {length_text(least / MM)}; lower walls: ask locally",
                  rule.source, rule.status)  # fmt: skip
        return
    material = timber(rules)
    jambs = [line for line in facts.studs if line.jamb]
    field = [line for line in facts.studs if not line.jamb]
    for what, lines in (("stud", field), ("jamb stud", jambs)):
        if not lines:
            continue
        # studs alike in length, number and width carried are worked once
        alike = {
            (line.length, line.foot, line.pieces, round(line.tributary, KEEP_DIGITS)): line
            for line in reversed(lines)
        }
        for case in cases:
            found = [
                _Case(line, got, line.length / MM)
                for line in alike.values()
                if (got := line_effects(line, case, facts, material)) is not None
            ]
            if found:
                yield from _rows(what, case, found, facts, material)


def _rows(
    what: str, case: LoadCase, found: list[_Case], facts: Facts, material: Timber
) -> Iterator[CheckRow]:
    section = section_of(facts.option.section)
    if case.strength:
        spacing = max((b.tributary for b in facts.studs), default=0.0)
        repetitive = facts.rules.rule("strength.repetitive_factor")
        close = (
            float(repetitive.value) > 1 and spacing <= facts.rules.tenths("strength.repetitive_centres") / MM
        )
        bending, shear = strengths(facts.rules, section.depth, case.duration, close and len(facts.studs) >= 3)
        worst = _worst(found, "moment")
        stress = material.load_factor * bending_stress(worst.effects.moment, section)
        yield _row("stud bending", what, case, worst, stress, bending, "N/mm2", material,
                   "bends", "a deeper stud, closer centres or a doubled stud lowers it")  # fmt: skip
        worst = _worst(found, "shear")
        stress = material.load_factor * shear_stress(worst.effects.shear, section, material.crack)
        yield _row("stud shear", what, case, worst, stress, shear, "N/mm2", material,
                   "is sheared at its end", "a deeper stud or closer centres lowers it")  # fmt: skip
    if case.limit <= 0:
        return
    worst = _worst(found, "deflection")
    limit = case.deflection_limit(worst.span)
    yield _row(STIFFNESS_CHECK, what, case, worst, worst.effects.deflection, limit, STIFFNESS_UNIT, material,
               "gives" if not case.ratio else f"gives, against span / {case.limit:g},",
               "a deeper stud or closer centres stiffens it")  # fmt: skip
    if not case.ratio and material.creep > 0:
        yield _row("stud deflection in the end", what, case, worst, worst.effects.deflection * (1 + material.creep),
                   limit, STIFFNESS_UNIT, material, "gives in the end, with creep,",
                   "a deeper stud or closer centres stiffens it")  # fmt: skip


def _row(
    check: str, what: str, case: LoadCase, worst: _Case, value: float, limit: float, unit: str, material: Timber,
    does: str, remedy: str,
) -> CheckRow:  # fmt: skip
    line = worst.line
    carried = "a point load" if case.kind == "point" else f"{length_text(line.tributary)} of wall"
    if line.pieces > 1 and case.kind != "point":
        carried += f", shared by {line.pieces}"
    why = (
        f"the worst {what} ({material.name}), {length_text(worst.span)} long, carries {carried} and {does} under the "
        f"{case.name}; {remedy}. {DEFERS}"
    )
    source = f"{case.source}; {material.source}"
    status = (
        case.status if case.status == material.status else f"load {case.status}; timber {material.status}"
    )
    return at_most(check, f"{what} {line.name}", case.name, value, limit, unit, why, source, status)


def stiffness_use(rows: Iterable[CheckRow]) -> float:
    """Return the greatest use of the stiffness check, deflection under the check pressure against its limit.

    NaN where no such check was made.
    """
    uses = [
        r.use
        for r in rows
        if r.check == STIFFNESS_CHECK and r.case.endswith(PRESSURE_UNIT) and r.use is not None
    ]
    return max(uses, default=float("nan"))
