"""Holes and notches in studs, and the cable zones of a thin wall."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from wallcalc.checks.facts import Facts
from wallcalc.checks.registry import register
from wallcalc.checks.rows import CAUTION, OK, at_most, length_text, say
from wallcalc.given import MM
from wallcalc.records import CheckRow

if TYPE_CHECKING:
    from wallcalc.rule_book import Rules


@dataclass(frozen=True, slots=True)
class CutLimit:
    """The greatest hole or notch [mm] that a rule row allows in a stud, and which part of the row governs."""

    kind: str
    most: float
    governs: str
    verdict: str
    source: str
    status: str


@lru_cache(maxsize=256)
def cut_limits(rules: Rules, depth: float, kind: str, member: str = "stud") -> tuple[CutLimit, ...]:
    """Return the greatest hole or notch in a member by each rule row; the smaller of share and edge governs.

    Parameters
    ----------
    rules : Rules
        The trade rules.
    depth : float
        The member's actual depth [mm].
    kind : str
        "hole" (on the centre line, an edge left on both sides) or "notch".
    member : str
        What is cut.

    Returns
    -------
    tuple of CutLimit
    """
    found = []
    for row in rules.rows("hole_notch"):
        if row["kind"] != kind or row["member"] != member:
            continue
        share = depth * row["most_percent"] / 100.0
        edges = 2 if kind == "hole" else 1
        left = depth - edges * row["edge_least"]
        by_share = share <= left
        governs = (
            f"{row['most_percent']:g} % of the depth"
            if by_share
            else f"{row['edge_least']:g} mm left at the edge"
        )
        found.append(
            CutLimit(kind, max(min(share, left), 0.0), governs, row["verdict"], row["source"], row["status"])
        )
    return tuple(found)


def cut_rows(subject: str, section_depth: float, kind: str, size: float, rules: Rules) -> Iterator[CheckRow]:
    """Yield the checks of one hole or notch by every rule row.

    Parameters
    ----------
    subject : str
        Which stud, or which pipe.
    section_depth : float
        Depth of the stud [mm].
    kind : str
        "hole" or "notch".
    size : float
        Diameter of the hole or depth of the notch [mm].
    rules : Rules
        The trade rules.

    Yields
    ------
    CheckRow
    """
    for limit in cut_limits(rules, section_depth, kind):
        yield at_most(
            f"{kind} in stud", subject, limit.governs, size, limit.most, "mm",
            f"a {section_depth:g} mm stud takes a {kind} up to {length_text(limit.most)} ({limit.governs}); "
            "more leaves too little wood to carry", limit.source, limit.status, over=limit.verdict,
        )  # fmt: skip


def hole_and_notch(subject: str, apart: float, reach: float, rules: Rules) -> CheckRow:
    """Return the check that a hole and a notch are not in one section of a stud.

    Parameters
    ----------
    subject : str
        Which stud.
    apart : float
        Distance between their middles along the stud [mm].
    reach : float
        Half of both their sizes along the stud [mm]: nearer than this they share a section.
    rules : Rules
        The trade rules.

    Returns
    -------
    CheckRow
    """
    rule = rules.rule("hole.same_section")
    together = apart < reach
    bad = together and not rule.value
    return say("hole and notch", subject, "one section", "fail" if bad else OK,
               "a hole and a notch in one section leave too little wood: move one along the stud" if bad
               else "hole and notch are not in one section", rule.source, rule.status, apart, reach, "mm")  # fmt: skip


@register("holes")
def services_in_studs(facts: Facts) -> Iterator[CheckRow]:
    """Tell for each service whether a stud could be bored for it, and whether one has to be."""
    depth = facts.section[1]
    studs = [m for m in facts.frame.members if m.height > m.width]
    for service in facts.wall.services:
        (x, y), radius = service.at, service.diameter / 2
        met = [
            m
            for m in studs
            if m.x < x + radius and m.right > x - radius and m.y < y + radius and m.top > y - radius
        ]
        subject = f"{service.name} {length_text(service.diameter / MM)}"
        for row in cut_rows(subject, depth, "hole", service.diameter / MM, facts.rules):
            if met or row.verdict == OK:
                yield row
            else:
                yield say(row.check, subject, row.case, CAUTION,
                          f"{row.why}: keep this pipe within one bay, it cannot go through a stud", row.source,
                          row.source_status, row.value, row.limit, row.unit)  # fmt: skip


@register("holes")
def cables(facts: Facts) -> Iterator[CheckRow]:
    """Tell how deep a cable on the studs' centre line lies, and whether cable zones reach through the wall."""
    rules = facts.rules
    deep, thin = rules.rule("cable.depth"), rules.rule("cable.thin_wall")
    sides = [sum(p.thickness for p in facts.layers(side)) / MM for side in "AB"]
    if not all(sides):
        return
    depth = facts.section[1]
    from_face = str(rules.value("cable.depth_from")) == "finished face"
    need = rules.tenths("cable.depth") / MM
    have = depth / 2 + (min(sides) if from_face else 0.0)
    wide = depth + min(sides) * (2 if from_face else 0) - 2 * need
    good = have >= need
    yield say(
        "cable depth", f"{facts.option.section} studs", "on the centre line", OK if good else CAUTION,
        f"a cable in the middle of the studs lies {length_text(have)} deep of the {length_text(need)} wanted"
        + (f"; it may wander {length_text(max(wide, 0.0))} in all" if good else
           ": it can never be deep enough here, so it keeps to the zones and has its protection"),
        deep.source, deep.status, have, need, "mm",
    )  # fmt: skip
    thickness = depth + sum(sides)
    limit = rules.tenths("cable.thin_wall") / MM
    zone = rules.tenths("cable.zone_width") / MM
    if limit > 0:
        yield say(
            "cable zones", "wall", "thickness of the finished wall", CAUTION if thickness <= limit else OK,
            f"the wall is {length_text(thickness)} thick"
            + (": zones of the far side's accessories count on this side too" if thickness <= limit
               else ": zones count on their own side only")
            + f"; expect cables within {length_text(zone)} of the top and of angles, and straight from accessories",
            thin.source, thin.status, thickness, limit, "mm",
        )  # fmt: skip
