"""Holes and notches in studs, and the cable zones of a thin wall."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise

from wallcalc.checks.facts import Facts
from wallcalc.checks.registry import register
from wallcalc.checks.rows import CAUTION, FAIL, OK, at_least, at_most, length_text, say
from wallcalc.given.option import SECTIONS
from wallcalc.given.parts import Service, is_box
from wallcalc.records import CheckRow, Hole, Member
from wallcalc.services.clearances import meetings
from wallcalc.trade.rules import Rules
from wallcalc.units.lengths import MM

NO_SOURCE = "common practice, no source"


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

    Units: ``depth`` mm.
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

    Units: ``section_depth``, ``size`` mm.
    """
    for limit in cut_limits(rules, section_depth, kind):
        yield at_most(
            f"{kind} in stud", subject, limit.governs, size, limit.most, "mm",
            f"a {section_depth:g} mm stud takes a {kind} up to {length_text(limit.most)} ({limit.governs}); "
            "more leaves too little wood to carry", limit.source, limit.status, over=limit.verdict,
        )  # fmt: skip


def hole_and_notch(subject: str, apart: float, reach: float, rules: Rules) -> CheckRow:
    """Return the check that a hole and a notch are not in one section of a stud.

    Units: ``apart``, ``reach`` mm.
    """
    rule = rules.rule("hole.same_section")
    together = apart < reach
    bad = together and not rule.value
    return say("hole and notch", subject, "one section", "fail" if bad else OK,
               "a hole and a notch in one section leave too little wood: move one along the stud" if bad
               else "hole and notch are not in one section", rule.source, rule.status, apart, reach, "mm")  # fmt: skip


@register("holes")
def services_in_studs(facts: Facts) -> Iterator[CheckRow]:
    """Check the holes that each service takes through timber, or tell what it could be bored through."""
    for service in facts.wall.services:
        holes = [h for h in facts.frame.holes if h.service == service.name]
        if holes:
            yield from _bored(facts, service, holes)
        elif service.goes == "not told" and service.to is None and not is_box(service):
            yield from _might_be_bored(facts, service)


def _bored(facts: Facts, service: Service, holes: Sequence[Hole]) -> Iterator[CheckRow]:
    """Check real holes, those in like timber together."""
    members = {m.mark: m for m in facts.frame.members}
    size = service.diameter / MM
    kinds: dict[str, list[Member]] = {"stud": [], "noggin": [], "plate": []}
    for hole in holes:
        member = members[hole.member]
        kind = "stud" if hole.axis == "x" else "plate" if member.role.endswith("plate") else "noggin"
        kinds[kind].append(member)
    for kind, bored in kinds.items():
        for depth in sorted({m.depth for m in bored}):
            marks = [m.mark for m in bored if m.depth == depth]
            many = f"{len(marks)} hole{'s' if len(marks) > 1 else ''}"
            subject = f"{service.name} {length_text(size)} in {' '.join(dict.fromkeys(marks))} ({many})"
            for row in cut_rows(subject, depth / MM, "hole", size, facts.rules):
                why = row.why.replace(" mm stud takes", f" mm {kind} takes")
                row = replace(row, check=f"hole in {kind}", why=why)
                if row.verdict == OK:
                    yield row
                elif kind == "plate":
                    why = "the plate is as good as cut through there: fix it at both sides of the pipe"
                    yield replace(row, verdict=CAUTION, why=why)
                else:
                    yield replace(row, why=f"{row.why}: {_instead(facts, kind, size, row.verdict)}")
    if kinds["stud"]:
        studs = len({m.mark for m in kinds["stud"]})
        yield say(
            "pipe along the wall", service.name, f"{studs} stud{'s' if studs > 1 else ''} bored", CAUTION,
            f"every stud that a pipe crosses is bored ({studs} here) and the pipe threaded through; one that drops "
            "within one bay needs none of it",
            NO_SOURCE, NO_SOURCE, float(studs), None, "studs",
        )  # fmt: skip


def _instead(facts: Facts, kind: str, size: float, verdict: str) -> str:
    """Return what would let a pipe pass that the rules keep from a stud or a noggin."""
    takes = [
        section
        for section in SECTIONS
        if (depth := float(section.split("x")[1])) > facts.section[1]
        and all(size <= c.most for c in cut_limits(facts.rules, depth, "hole") if c.verdict == verdict)
    ]
    way = "let the pipe drop within one bay" if kind == "stud" else "let it come through below the noggins"
    return f"{way}, or use {takes[0]} timber" if takes else way


def _might_be_bored(facts: Facts, service: Service) -> Iterator[CheckRow]:
    """Tell whether a stud could be bored for a service that does not say where it goes, and whether one has to be."""
    depth = facts.section[1]
    studs = [m for m in facts.frame.members if m.height > m.width]
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
def holes_apart(facts: Facts) -> Iterator[CheckRow]:
    """Check that holes in one piece of timber are apart, and say that none shares a section with a notch."""
    rule = facts.rules.rule("service.holes_apart")
    by_member: dict[str, list[Hole]] = {}
    for hole in facts.frame.holes:
        by_member.setdefault(hole.member, []).append(hole)
    for mark, holes in by_member.items():
        pairs = [(abs(b.y - a.y) + abs(b.x - a.x) - (a.diameter + b.diameter) / 2, a, b) for a, b in pairwise(
            sorted(holes, key=lambda h: h.y if h.axis == "x" else h.x))]  # fmt: skip
        for clear, a, b in pairs:
            need = float(rule.value) * max(a.diameter, b.diameter) / MM
            yield at_least(
                "holes apart", f"{a.service} and {b.service} in {mark}", "clear wood between them",
                max(clear, 0) / MM, need, "mm",
                "holes near one another weaken timber as one large hole would; "
                f"move one {length_text(max(need - clear / MM, 0))} along the timber" if clear / MM < need else
                "wood enough is left between them", rule.source, rule.status, under=FAIL if clear <= 0 else CAUTION,
            )  # fmt: skip
    if by_member:
        rule = facts.rules.rule("hole.same_section")
        yield say("hole and notch", "bored timber", "one section", OK,
                  f"{len(by_member)} pieces are bored and none is notched: cut no notch where there is a hole",
                  rule.source, rule.status)  # fmt: skip


@register("holes")
def pipes_meet(facts: Facts) -> Iterator[CheckRow]:
    """Say where two pipes would be in one place, and whether the wall is deep enough for one to pass the other."""
    depth = facts.section[1]
    sizes = {s.name: s.diameter / MM for s in facts.wall.services}
    for one, other, x, y in meetings(facts.wall.services, facts.frame.height):
        need = sizes[one] + sizes[other]
        way = (
            "lead one in front of the other, and bore for them out of the middle as far"
            if need <= depth
            else f"together they are {length_text(need)} thick, the studs {length_text(depth)}: move one"
        )
        yield say(
            "pipes in one place", f"{one} and {other}", f"at {x / MM:g} mm, {y / MM:g} mm up", CAUTION,
            f"both run in the middle of the wall and meet there; unless they are to be joined, {way}", NO_SOURCE,
            NO_SOURCE, depth, need, "mm",
        )  # fmt: skip


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
