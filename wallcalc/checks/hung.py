"""Hung items: timber behind each fixing, the screws, the noggin or pattress, the studs that carry it all."""

from __future__ import annotations

import math
from collections.abc import Iterator

from wallcalc.checks.facts import Facts
from wallcalc.checks.hung_loads import FixingForce, ItemLoad, fixing_forces, in_the_end, item_loads, kind_of
from wallcalc.checks.hung_members import rail_use, shares, stud_use
from wallcalc.checks.hung_screws import (
    ScrewStrength,
    edge_distance,
    end_screw_strength,
    holder,
    screw_length,
    screw_strength,
)
from wallcalc.checks.registry import register
from wallcalc.checks.rows import CAUTION, DEFERS, FAIL, NOT_KNOWN, OK, at_least, at_most, length_text, say
from wallcalc.checks.strength_values import factors, load_cases, section_of, timber
from wallcalc.given.parts import HungItem
from wallcalc.hanging.cleats import ENDS
from wallcalc.records import UPRIGHT, CheckRow, Member
from wallcalc.strength.screws_ec5 import combined_use
from wallcalc.units.lengths import MM

THICKER = (8.0, 10.0, 12.0)
"""Screw diameters [mm] tried when looking for what would hold."""

MANY = 12
"""More fixings or end screws than this are not proposed."""

SCREW_SOURCE = "EN 1995-1-1, 8.7.2, 8.2 and 8.7.3"
MEMORY = "from memory"

OTHER_RAIL = "lay it flat, double it, or let in a pattress"
"""What a noggin that bends too much wants."""


@register("hung items")
def hung_items(facts: Facts) -> Iterator[CheckRow]:
    """Check every hung item from its screws to its studs."""
    for item in facts.wall.hung:
        held = {
            number: member
            for number, (x, y) in enumerate(item.fixings)
            if (member := holder(facts.frame.members, item.side, x, y)) is not None
        }
        yield from _timber_behind(facts, item, held)
        loads = item_loads(item, facts.rules)
        yield from _doubled(facts, item, held, loads)
        if len(held) < len(item.fixings) or not loads:
            continue
        arm = facts.rules.tenths("hung.couple_arm") / MM
        for load in loads:
            forces = fixing_forces(item, load, arm)
            yield from _screws(facts, item, load, forces, held)
            yield from _rails(facts, item, load, forces, held)
            yield from _studs(facts, item, load, forces, held)
        if not kind_of(item, facts.rules):
            rows = facts.rules.rows("hung_load")
            source = rows[0] if rows else {"source": "the rule file", "status": MEMORY}
            known = ", ".join(dict.fromkeys(str(row["kind"]) for row in rows))
            yield say("hung item load", item.name, "kind not known" if item.kind else "kind not told", CAUTION,
                      "no rule load for this kind of item: its own mass and what it holds are taken; if people lean on "
                      f"it, give its kind in the wall file, one that the rules know: {known}", source["source"],
                      source["status"])  # fmt: skip


def _timber_behind(facts: Facts, item: HungItem, held: dict[int, Member]) -> Iterator[CheckRow]:
    rule = facts.rules.rule("hung.edge_distance")
    need = facts.rules.tenths("hung.edge_distance") / MM
    missing = [n for n in range(len(item.fixings)) if n not in held]
    if missing:
        x, y = item.fixings[missing[0]]
        yield say(
            "timber behind fixing", item.name, f"{len(missing)} of {len(item.fixings)} fixings", FAIL,
            f"no timber behind the fixing at {x / MM:g}, {y / MM:g} mm: add a noggin or a pattress there",
            rule.source, rule.status, float(len(missing)), 0.0, "fixings",
        )  # fmt: skip
        return
    distance, number = min((edge_distance(m, *item.fixings[n]) / MM, n) for n, m in held.items())
    member = held[number]
    wanted = {
        "stud": UPRIGHT,
        "noggin": ("noggin",),
        "pattress": ("pattress",),
    }
    other = next((m for m in held.values() if m.role not in wanted.get(item.backing, (m.role,))), None)
    if other is not None:
        yield say("timber behind fixing", item.name, f"backing wanted: {item.backing}", CAUTION,
                  f"a fixing is in a {other.role} instead of a {item.backing}", rule.source, rule.status)  # fmt: skip
    ends = [
        (min(item.fixings[n][0] - m.x, m.right - item.fixings[n][0]) / MM, m.mark)
        for n, m in held.items()
        if m.role == "noggin"
    ]
    if ends:
        end, mark = min(ends)
        limit = facts.rules.rule("hung.end_distance")
        yield at_least(
            "fixing to the noggin's end", item.name, f"worst of {len(ends)}, in {mark}", end,
            facts.rules.tenths("hung.end_distance") / MM, "mm",
            f"the screw is {length_text(end)} from the end of {mark}; nearer the end splits off, even predrilled",
            limit.source, limit.status,
        )  # fmt: skip
    yield at_least(
        "timber behind fixing", item.name, f"worst of {len(held)}, in {member.mark}", distance, need, "mm",
        f"the screw is {length_text(distance)} from the edge of {member.mark}; nearer than {length_text(need)} the "
        "timber splits", rule.source, rule.status,
    )  # fmt: skip


def _doubled(
    facts: Facts, item: HungItem, held: dict[int, Member], loads: tuple[ItemLoad, ...]
) -> Iterator[CheckRow]:
    """Say which studs carry the item, and whether those of a heavy one are doubled."""
    rule = facts.rules.rule("hung.double_studs_from")
    load = max((max(load.down, load.out) for load in loads), default=0.0)
    points = tuple(FixingForce(*item.fixings[n], 1.0, 0.0) for n in sorted(held))
    members = dict(enumerate(held[n] for n in sorted(held)))
    carry = sorted(shares(facts.studs, members, points)) if points else []
    lines = [facts.studs[i] for i in carry]
    names = ", ".join(line.name for line in lines)
    if not lines or load < float(rule.value):
        if lines:
            yield say("studs that carry it", item.name, f"{load:.0f} N", OK, f"carried by {names}",
                      rule.source, rule.status, names)  # fmt: skip
        return
    single = [line for line in lines if line.pieces < 2 and not line.end]
    why = f"carried by {names}; an item of {float(rule.value):g} N or more asks for double studs beside its bays"
    if single:
        alone = ", ".join(
            f"{line.name} at {length_text((line.left + line.right) / 2 / MM)}" for line in single
        )
        why += (
            f", and {alone} stands alone for want of room: see its bending, and make room there if it fails"
        )
    yield say("studs that carry it", item.name, f"{load:.0f} N", CAUTION if single else OK, f"{why}. {DEFERS}",
              rule.source, rule.status, names)  # fmt: skip


def _strength(facts: Facts, member: Member, gap: float, diameter: float) -> ScrewStrength:
    length = screw_length(facts.book, str(facts.rules.value("order.hung_screw")))
    penetration = max(min(length - gap, member.depth / MM), 0.0)
    return screw_strength(facts.rules, diameter, penetration, gap, member.role == "pattress")


def _screw_use(force: FixingForce, strength: ScrewStrength, factor: float) -> float:
    return combined_use(factor * force.pull, strength.pull, factor * force.down, strength.shear)


def _worst_screw(
    facts: Facts, forces: tuple[FixingForce, ...], held: dict[int, Member], gap: float, diameter: float
) -> tuple[float, int, ScrewStrength]:
    factor = timber(facts.rules).load_factor
    found = []
    for number, force in enumerate(forces):
        strength = _strength(facts, held[number], gap, diameter)
        found.append((_screw_use(force, strength, factor), number, strength))
    return max(found, key=lambda f: (f[0], -f[1]))


def _screws(
    facts: Facts, item: HungItem, load: ItemLoad, forces: tuple[FixingForce, ...], held: dict[int, Member]
) -> Iterator[CheckRow]:
    diameter = facts.rules.tenths("hung.screw_diameter") / MM
    gap = sum(p.thickness for p in facts.layers(item.side)) / MM
    factor = timber(facts.rules).load_factor
    use, number, strength = _worst_screw(facts, forces, held, gap, diameter)
    force = forces[number]
    status = load.status if load.status == MEMORY else f"load {load.status}; screws {MEMORY}"
    source = f"{load.source}; {SCREW_SOURCE}"
    notes = "".join(f" ({note})" for note in strength.notes)
    where = f"{length_text(diameter)} screw in {held[number].mark}"
    if not math.isfinite(use):
        what = "pull-out" if force.pull > 0 and strength.pull <= 0 else "shear"
        yield say(
            f"hung screw {what}", item.name, load.case, FAIL,
            f"no {what} strength may be counted on for the {where}{notes}"
            f"{_what_holds(facts, forces, held, gap, use)}. {DEFERS}", source, status,
        )  # fmt: skip
        return
    yield at_most(
        "hung screw pull-out", item.name, load.case, factor * force.pull, strength.pull, "N",
        f"the item leans away from the wall and pulls its topmost screws out: {where}{notes}. {DEFERS}",
        source, status,
    )  # fmt: skip
    yield at_most(
        "hung screw shear", item.name, load.case, factor * force.down, strength.shear, "N",
        f"the weight bends the screw across {length_text(gap)} of board that is not counted on: {where}. {DEFERS}",
        source, status,
    )  # fmt: skip
    yield at_most(
        "hung screws", item.name, load.case, use, 1.0, "", f"pull and shear together in the worst of {len(forces)} "
        f"screws{_what_holds(facts, forces, held, gap, use)}. {DEFERS}", source, status,
    )  # fmt: skip


def _what_holds(
    facts: Facts, forces: tuple[FixingForce, ...], held: dict[int, Member], gap: float, use: float
) -> str:
    """Return what would make the screws hold, or an empty text where they do."""
    if use <= 1:
        return ""
    ways = []
    own = facts.rules.tenths("hung.screw_diameter") / MM
    for between, words in (
        (gap, ""),
        (0.0, " on a block as thick as the board, so that the item sits on timber"),
    ):
        for diameter in (own, *(d for d in THICKER if d > own)):
            worst = _worst_screw(facts, forces, held, between, diameter)[0]
            count = math.ceil(worst * len(forces) - 1e-9) if math.isfinite(worst) else MANY + 1
            if count <= MANY and not (count <= len(forces) and diameter == own and between == gap):
                ways.append(f"{max(count, len(forces))} screws of {length_text(diameter)}{words}")
                if count <= len(forces):
                    break
    best = [*ways[:1], *ways[-1:]] if len(ways) > 1 else ways
    return (
        ": it would hold with " + ", or with ".join(best) if best else ": ask for a frame made for this item"
    )


def _final(facts: Facts, item: HungItem, load: ItemLoad) -> ItemLoad:
    f = factors(facts.rules)
    return in_the_end(item, load, f.kdef, f.psi_2, float(facts.rules.value("loads.gravity")))


def _rails(
    facts: Facts, item: HungItem, load: ItemLoad, forces: tuple[FixingForce, ...], held: dict[int, Member]
) -> Iterator[CheckRow]:
    rules, material = facts.rules, timber(facts.rules)
    final = _final(facts, item, load)
    rails: dict[str, tuple[Member, list[int]]] = {}
    for number, member in held.items():
        if member.role in ("noggin", "pattress"):
            rails.setdefault(member.mark, (member, []))[1].append(number)
    if not rails:
        return
    later = fixing_forces(item, final, rules.tenths("hung.couple_arm") / MM)
    found = [
        (rail_use(member, tuple(forces[n] for n in on), tuple(later[n] for n in on), rules), member)
        for member, on in rails.values()
    ]
    got, member = max(found, key=lambda f: (f[0].bending, f[1].mark))
    status = (
        load.status if load.status == material.status else f"load {load.status}; timber {material.status}"
    )
    source = f"{load.source}; EN 1995-1-1, 6.1.6"
    other = "put noggins behind it, or use a thicker board" if member.role == "pattress" else OTHER_RAIL
    fix = "" if got.bending <= 1 else f": {other}"
    yield at_most(f"hung {member.role} bending", item.name, load.case, got.bending, 1.0, "",
                  f"{member.mark} between its studs, {length_text(got.span)} long, bent down and outwards{fix}. "
                  f"{DEFERS}", source, status)  # fmt: skip
    got, member = max(found, key=lambda f: (f[0].deflection / f[0].span, f[1].mark))
    ratio = rules.rule("strength.final_ratio")
    yield at_most(f"hung {member.role} deflection", item.name, load.case, got.deflection,
                  got.span / float(ratio.value), "mm",
                  f"how far {member.mark} sags and leans in the end, against span / {float(ratio.value):g}",
                  ratio.source, ratio.status)  # fmt: skip
    yield from _rail_ends(facts, item, load, found)


def _rail_ends(facts: Facts, item: HungItem, load: ItemLoad, found: list) -> Iterator[CheckRow]:
    rules = facts.rules
    got, member = max(found, key=lambda f: (max(f[0].left, f[0].right), f[1].mark))
    pattress = member.role == "pattress"
    count = int(rules.value("fixing.pattress_per_end" if pattress else "fixing.per_joint"))
    length = screw_length(facts.book, str(rules.value("order.frame_fixing")))
    where = "through the stud into its end grain"
    if pattress:
        cleats = [c for c in facts.frame.cleats if member.mark in c.serves]
        if len(cleats) < len(ENDS):
            rule = rules.rule("pattress.cleat_least")
            yield say("hung pattress ends", item.name, load.case, NOT_KNOWN,
                      f"{member.mark} has no cleat at an end, see the notes: what holds it there has to carry "
                      f"{max(got.left, got.right):.0f} N. {DEFERS}", rule.source, rule.status)  # fmt: skip
            return
        where = f"into {cleats[0].mark} or {cleats[1].mark} on the stud's side"
        head, deep = member.depth / MM, cleats[0].depth / MM
        one = end_screw_strength(rules, min(length, head + deep), head, end_grain=False)
        to_stud = end_screw_strength(rules, length, facts.section[0], end_grain=False)
        one = min(one, to_stud * int(rules.value("fixing.cleat_to_stud")) / count)
    else:
        one = end_screw_strength(rules, length, facts.section[0], end_grain=True)
    force = timber(rules).load_factor * max(got.left, got.right)
    need = math.ceil(force / one - 1e-9) if one > 0 else MANY + 1
    fix, as_many = "", ", and as many from the cleat into the stud," if pattress else ""
    if need > count:
        fix = (
            f": {need} at each end{as_many} would hold"
            if need <= MANY
            else ": set it on cleats or a pattress screwed to the studs"
        )
    yield at_most(
        f"hung {member.role} ends", item.name, load.case, force, count * one, "N",
        f"{member.mark} hands the load on by {count} screws at each end {where}{fix}. {DEFERS}",
        f"{load.source}; EN 1995-1-1, 8.2.2 and 8.3.1.2", MEMORY,
    )  # fmt: skip


def _studs(
    facts: Facts, item: HungItem, load: ItemLoad, forces: tuple[FixingForce, ...], held: dict[int, Member]
) -> Iterator[CheckRow]:
    rules, material = facts.rules, timber(facts.rules)
    section = section_of(facts.option.section)
    case = next((c for c in load_cases(rules, False) if c.kind == "line"), None)
    height = sum(y for _, y in item.fixings) / len(item.fixings)
    final = _final(facts, item, load)
    found = []
    for index, part in sorted(shares(facts.studs, held, forces).items()):
        line = facts.studs[index]
        span = line.length / MM
        each = part / line.pieces
        push, at = 0.0, 0.0
        if case is not None:
            at = case.height - (line.foot - facts.wall.floor_build_up) / MM
            push = case.value * line.tributary / line.pieces if 0 <= at <= span else 0.0
        got = stud_use(
            rules, section, span, min(max((height - line.foot) / MM, 0.0), span), round(load.down * each, 3),
            round(load.moment * each, 1), round(load.out * each, 3), round(push, 3), at,
            (round(final.moment * each, 1), round(final.out * each, 3)),
        )  # fmt: skip
        found.append((got, line))
    if not found:
        return
    got, line = max(found, key=lambda f: (f[0].strength, -f[1].left))
    status = (
        load.status if load.status == material.status else f"load {load.status}; timber {material.status}"
    )
    fix = "" if got.strength <= 1 else ": double the studs that carry it, or spread it over more studs"
    yield at_most("hung stud bending", item.name, load.case, got.strength, 1.0, "",
                  f"stud {line.name} carries its part of the item while someone leans on the wall{fix}. {DEFERS}",
                  f"{load.source}; {material.source}", status)  # fmt: skip
    got, line = max(found, key=lambda f: (f[0].deflection, -f[1].left))
    ratio = rules.rule("strength.final_ratio")
    yield at_most("hung stud deflection", item.name, load.case, got.deflection, got.span / float(ratio.value), "mm",
                  f"how far stud {line.name} bends in the end under what hangs on it", ratio.source,
                  ratio.status)  # fmt: skip
