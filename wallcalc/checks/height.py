"""Height of the partition: what its section can stand by the check pressure and by the trade's rule of thumb."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import lru_cache

from wallcalc.checks.facts import Facts
from wallcalc.checks.registry import register
from wallcalc.checks.rows import CAUTION, DEFERS, NOT_KNOWN, OK, at_most, length_text, say
from wallcalc.checks.strength_values import load_cases, section_of, timber
from wallcalc.records import CheckRow
from wallcalc.units.lengths import MM

UNIFORM = 384 / 5
"""Mid-span deflection of a uniformly loaded beam is 5 w L^4 / (384 E I)."""


@lru_cache(maxsize=4096)
def greatest_span(pressure: float, width: float, ratio: float, stiffness: float) -> float:
    """Return the longest stud whose bending deflection under a pressure keeps to span / ratio [mm].

    L^3 = 384 E I / (5 ratio w), from 5 w L^4 / (384 E I) = L / ratio.

    Units: ``pressure`` N/mm2; ``stiffness`` N.mm2.
    """
    return (UNIFORM * stiffness / (ratio * pressure * width)) ** (1 / 3)


@register("height")
def height_by_pressure(facts: Facts) -> Iterator[CheckRow]:
    """Compare the longest stud's length with what bends no more than allowed under the check pressure."""
    tiled = facts.wall.room_a.tiled_to > 0 or facts.wall.room_b.tiled_to > 0
    case = next((c for c in load_cases(facts.rules, tiled) if c.kind == "pressure"), None)
    if case is None or not facts.studs:
        return
    material = timber(facts.rules)
    stiffness = material.modulus * section_of(facts.option.section).inertia
    line = max(facts.studs, key=lambda s: (s.length * (s.tributary / s.pieces) ** (1 / 3), -s.left))
    most = greatest_span(case.value, round(line.tributary / line.pieces, 3), case.limit, stiffness)
    yield at_most(
        "height", f"{facts.option.section} studs", f"{case.name}, span / {case.limit:g}, at {line.name}",
        line.length / MM, most, "mm",
        f"a {facts.option.section} stud that carries {length_text(line.tributary / line.pieces)} of wall stays stiff "
        f"enough up to {length_text(most)}; the wall feels springy beyond. {DEFERS}",
        f"{case.source}; {material.source}", case.status,
    )  # fmt: skip


@register("height")
def height_by_section(facts: Facts) -> Iterator[CheckRow]:
    """Compare the wall's height with the rule of thumb for its section."""
    rows = [r for r in facts.rules.rows("height_limit") if r["section"] == facts.option.section]
    spacing = max((bay.spacing for bay in facts.bays if not bay.over_opening), default=0) / MM
    height = max(h for _, h in facts.wall.heights) / MM
    fits = [r for r in rows if spacing <= r["max_centres"] + 1e-6]
    if rows and not fits:
        row = max(rows, key=lambda r: r["max_centres"])
        yield say(
            "height", f"{facts.option.section} studs", "rule of thumb", CAUTION,
            f"the rule goes up to {row['max_centres']:g} mm centres, this wall has {length_text(spacing)}: "
            "take closer centres or a deeper stud",
            row["source"], row["status"], height, None, "mm",
        )  # fmt: skip
    for row in fits:
        yield at_most(
            "height", f"{facts.option.section} studs", "rule of thumb", height, row["max_height"] * 1000.0, "mm",
            f"the trade builds {facts.option.section} studs up to {row['max_height']:g} m",
            row["source"], row["status"], over=row["verdict"],
        )  # fmt: skip
    if not rows:
        yield say(
            "height", f"{facts.option.section} studs", "rule of thumb", NOT_KNOWN,
            "no rule of thumb for this section: the stiffness sum decides", "common practice, no source",
            "common practice, no source", height, None, "mm",
        )  # fmt: skip


@register("height")
def tilting_up(facts: Facts) -> Iterator[CheckRow]:
    """Tell whether a frame made flat on the floor can be tilted up under the ceiling: its diagonal against height."""
    members = facts.frame.members
    if not members:
        return
    tall = (max(m.top for m in members) - min(m.y for m in members)) / MM
    depth = facts.section[1]
    diagonal = math.hypot(tall, depth)
    room = facts.frame.height / MM
    fits = diagonal <= room
    why = (
        f"made flat, the frame needs {length_text(diagonal)} corner to corner to stand up and has {length_text(room)}: "
    ) + ("it can be tilted up" if fits else "build it in place, plates first, or pack it below the ceiling")
    yield say("tilting up", "frame", "made flat on the floor", OK if fits else CAUTION, why,
              "geometry: root of height squared plus depth squared", "computed",
              round(diagonal, 1), round(room, 1), "mm")  # fmt: skip
