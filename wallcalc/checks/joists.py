"""Joists: what the plates are fixed to above and below."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from wallcalc.buying.finishing import plate_fixings
from wallcalc.checks.facts import Facts
from wallcalc.checks.registry import register
from wallcalc.checks.rows import CAUTION, NOT_KNOWN, OK, at_least, at_most, length_text, say
from wallcalc.framing.joists import HARD_FLOORS, PLATE, joists_crossed
from wallcalc.given.parts import Joists
from wallcalc.records import CheckRow, Member
from wallcalc.units.lengths import MM

CHECK = "plate fixings"


@register("joists")
def head_plate(facts: Facts) -> Iterator[CheckRow]:
    """Say what the head plate is fixed to, and whether its fixings are close enough to its ends and to one another."""
    joists, plates = facts.wall.joists_above, _plates(facts, "head plate")
    if _known(joists):
        yield from _into_joists(facts, joists, plates, "head plate")
    elif joists.direction == "along":
        opened = "from above, or open the ceiling along the wall" if facts.wall.ceiling == "boarded" else ""
        yield _along(facts, plates, "head plate", joists, opened)
    elif joists.direction == "solid":
        rule = facts.rules.rule("frame.plate_fixing_centres")
        yield say(CHECK, "head plate", "solid ceiling", OK, _at_spacing(facts, plates, joists), rule.source,
                  rule.status)  # fmt: skip
    else:
        rule = facts.rules.rule("frame.plate_fixing_centres")
        found = (
            "joists run across at places not known" if joists.direction == "across" else "joists not known"
        )
        yield say(CHECK, "head plate", found, CAUTION, f"{_at_spacing(facts, plates, joists)}; find the joists before "
                  "buying: across the wall each one it crosses takes a fixing, along the wall noggins between them do",
                  rule.source, rule.status)  # fmt: skip


@register("joists")
def sole_plate(facts: Facts) -> Iterator[CheckRow]:
    """Say what the sole plate is fixed to below a floor of timber, or of a kind not known."""
    wall, plates = facts.wall, _plates(facts, "sole plate")
    joists = wall.joists_below
    if joists.direction == "solid" or wall.floor in HARD_FLOORS:
        return
    rule = facts.rules.rule("frame.plate_fixing_centres")
    if _known(joists):
        yield from _into_joists(facts, joists, plates, "sole plate")
    elif joists.direction == "along":
        near = float(facts.rules.value("floor.joist_near"))
        none = f"none are needed where a joist lies within {near:g} mm of the wall's middle"
        yield _along(facts, plates, "sole plate", joists, "from below, or lift the deck along the wall", none)
    else:
        yield say(CHECK, "sole plate", "joists not known", NOT_KNOWN, f"{_at_spacing(facts, plates, joists)}; fix "
                  "through the deck into the joists below", rule.source, rule.status)  # fmt: skip


def _plates(facts: Facts, role: str) -> list[Member]:
    return sorted((m for m in facts.frame.members if m.role == role), key=lambda m: m.x)


def _known(joists: Joists) -> bool:
    return joists.direction == "across" and joists.first is not None and bool(joists.centres)


def _at_spacing(facts: Facts, plates: Sequence[Member], joists: Joists) -> str:
    """Return how many fixings are counted at the rule's spacing, in words."""
    number = sum(plate_fixings(plate, facts.rules, joists) for plate in plates)
    centres = float(facts.rules.tenths("frame.plate_fixing_centres")) / MM
    return f"{number} fixings are counted, no more than {length_text(centres)} apart"


def _into_joists(facts: Facts, joists: Joists, plates: Sequence[Member], name: str) -> Iterator[CheckRow]:
    """Compare the joists that each piece of plate crosses with what the rules ask of its fixings."""
    rules = facts.rules
    least, ends = rules.rule("frame.plate_least_fixings"), rules.rule("frame.plate_end_fixing")
    apart = rules.rule("frame.plate_fixing_centres")
    crossed = {plate.mark: joists_crossed(joists, plate.x, plate.right) for plate in plates}
    fewest = min(plates, key=lambda p: (len(crossed[p.mark]), p.x))
    total = sum(len(places) for places in crossed.values())
    yield at_least(CHECK, name, "joists that its shortest reach crosses", len(crossed[fewest.mark]), float(least.value),
                   "joists", f"one fixing into each joist, {total} in all; {fewest.mark} crosses the fewest",
                   least.source, least.status, under=CAUTION)  # fmt: skip
    gaps = [gap for plate in plates if crossed[plate.mark] for gap in _end_gaps(plate, crossed[plate.mark])]
    if gaps:
        far, where = max(gaps)
        yield at_most(CHECK, name, "last joist from the plate's end", far / MM,
                      rules.tenths("frame.plate_end_fixing") / MM, "mm", f"{where}: where that is too far, fix the end "
                      "to the wall or the stud it meets, or let a noggin in between the joists", ends.source,
                      ends.status, over=CAUTION)  # fmt: skip
    between = [b - a for places in crossed.values() for a, b in pairwise(places)]
    if between:
        yield at_most(CHECK, name, "joists apart", max(between) / MM, rules.tenths("frame.plate_fixing_centres") / MM,
                      "mm", "between joists that are farther apart, let in noggins", apart.source, apart.status,
                      over=CAUTION)  # fmt: skip


def _end_gaps(plate: Member, places: Sequence[int]) -> tuple[tuple[int, str], tuple[int, str]]:
    return (places[0] - plate.x, f"left end of {plate.mark}"), (
        plate.right - places[-1],
        f"right end of {plate.mark}",
    )


def _along(
    facts: Facts, plates: Sequence[Member], name: str, joists: Joists, opened: str, but: str = ""
) -> CheckRow:
    """Say what noggins a plate along the joists is fixed to; ``opened`` tells how they are let in behind a surface."""
    rules = facts.rules
    rule = rules.rule("joist.noggin_centres")
    place = next(p for p, role in PLATE.items() if role == name)
    noggins = [n for n in facts.frame.joist_noggins if n.place == place]
    if not noggins:
        why = (
            f"{_at_spacing(facts, plates, joists)}; the noggins between the joists that take them are not counted: "
            "give the joists' centres"
        )
        if but:
            why += f"; {but}"
        return say(CHECK, name, "joists along the wall", CAUTION, why, rule.source, rule.status)
    under = [[n.x for n in noggins if plate.x <= n.x <= plate.right] for plate in plates]
    between = max((b - a for places in under for a, b in pairwise(places)), default=0) / MM
    why = (
        f"{len(noggins)} noggins of {length_text(noggins[0].length / MM)} between the joists, {noggins[0].mark} to "
        f"{noggins[-1].mark}, are counted in the timber"
    )
    why += "".join(f"; {told}" for told in (f"let them in {opened}" if opened else "", but) if told)
    return say(CHECK, name, "noggins between joists along the wall", CAUTION if opened else OK, why, rule.source,
               rule.status, between, rules.tenths("joist.noggin_centres") / MM, "mm")  # fmt: skip
