"""The floor below: what the wall weighs a metre and what the joists can take."""

from __future__ import annotations

from collections.abc import Iterator

from wallcalc.checks.facts import Facts
from wallcalc.checks.registry import register
from wallcalc.checks.rows import CAUTION, NOT_KNOWN, OK, at_most, say
from wallcalc.records import CheckRow
from wallcalc.units.lengths import MM


def line_load(mass: float, length: float, gravity: float) -> float:
    """Return a wall's own weight per metre [kN/m].

    Units: ``mass`` kg; ``gravity`` m/s2.
    """
    return mass * gravity / length / 1000.0


@register("floor")
def floor_load(facts: Facts) -> Iterator[CheckRow]:
    """Compare the wall's own weight with what the floor rules allow, by the joists' direction."""
    rules = facts.rules
    masses = facts.masses
    load = line_load(
        sum(masses.values()), facts.frame.length / (MM * 1000.0), float(rules.value("loads.gravity"))
    )
    parts = ", ".join(f"{name} {mass:.0f} kg" for name, mass in masses.items() if mass > 0)
    below = facts.wall.joists_below
    heavy, earlier = rules.rule("floor.line_load_most"), rules.rule("floor.line_load_earlier")
    less = rules.rule("floor.span_less_percent")
    if below.direction == "solid" or facts.wall.floor == "solid":
        rule = heavy
        yield say("floor load", "own weight", "solid floor", OK, f"{parts}; a solid floor takes it as a rule",
                  rule.source, rule.status, round(load, 3), None, "kN/m")  # fmt: skip
        return
    if below.direction == "along":
        yield at_most("floor load", "own weight", "joists along the wall", load, float(heavy.value), "kN/m",
                      f"{parts}; up to the limit one or two more joists below carry it, beyond it ask a structural "
                      "engineer", heavy.source, heavy.status, over=CAUTION)  # fmt: skip
        yield at_most("floor load", "own weight", "joists along the wall, earlier edition", load,
                      float(earlier.value), "kN/m", f"{parts}; the earlier edition drew the line here", earlier.source,
                      earlier.status, over=CAUTION)  # fmt: skip
    elif below.direction == "across":
        yield say("floor load", "own weight", "joists across the wall", CAUTION,
                  f"{parts}; a wall across the joists takes {float(less.value):g} % off their table spans: check the "
                  "joists below", less.source, less.status, round(load, 3), None, "kN/m")  # fmt: skip
    else:
        yield say("floor load", "own weight", "joists not known", NOT_KNOWN,
                  f"{parts}; find the joists below: along the wall the limit is {float(heavy.value):g} kN/m, across it "
                  f"their spans lose {float(less.value):g} %", heavy.source, heavy.status, round(load, 3),
                  float(heavy.value), "kN/m")  # fmt: skip
    yield _as_area(facts, load)


def _as_area(facts: Facts, load: float) -> CheckRow:
    rows = sorted(facts.rules.rows("floor_allowance"), key=lambda r: r["line_load"])
    for row in rows:
        if load <= row["line_load"]:
            return at_most("floor load", "own weight", "as an area load on the floor", load, row["line_load"], "kN/m",
                           f"a wall up to {row['line_load']:g} kN/m counts as {row['area_load']:g} kN/m2 all over the "
                           "floor, if the floor shares loads sideways", row["source"], row["status"])  # fmt: skip
    row = rows[-1]
    return at_most("floor load", "own weight", "as an area load on the floor", load, row["line_load"], "kN/m",
                   "too heavy to count as an area load: its real place on the floor matters, ask a structural engineer",
                   row["source"], row["status"], over=CAUTION)  # fmt: skip
