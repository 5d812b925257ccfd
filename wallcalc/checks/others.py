"""What is not computed here and whom to ask; and the cautions that belong to this wall."""

from __future__ import annotations

from collections.abc import Iterator

from wallcalc.checks.facts import Facts
from wallcalc.checks.registry import GENERAL, register
from wallcalc.checks.rows import CAUTION, NOT_KNOWN, say
from wallcalc.given.wall import Wall
from wallcalc.records import CheckRow


@register("others")
def not_computed(facts: Facts) -> Iterator[CheckRow]:
    """Name what no sum here answers, what to ask and whom."""
    for row in facts.rules.rows("not_computed"):
        yield say(
            row["subject"], "wall", "not computed", NOT_KNOWN, row["text"], row["source"], row["status"]
        )


def applies(subject: str, wall: Wall, filled: bool) -> bool:
    """Return whether a caution's subject concerns a wall.

    Unknown subjects concern every wall.
    """
    tiled = wall.room_a.tiled_to > 0 or wall.room_b.tiled_to > 0
    when = {
        "wet": wall.room_a.wet
        or wall.room_b.wet
        or {wall.room_a.use, wall.room_b.use} & {"bathroom", "wc", "en-suite"},
        "cavity": filled,
        "joists": wall.joists_above.direction in ("along", "unknown"),
        "tiles": tiled,
        "tiles on skim": tiled and wall.finish == "skim",
        "heated floor": wall.floor in ("heated screed", "unknown"),
        "slab": wall.floor != "timber",
        "timber floor": wall.floor in ("timber", "unknown"),
        "hung": bool(wall.hung),
        "gas": bool(wall.services),
        "door": any(o.kind == "door" for o in wall.openings),
    }
    return bool(when.get(subject, True))


@register("cautions")
def cautions(facts: Facts) -> Iterator[CheckRow]:
    """Give every caution of the rules that concerns this wall."""
    for row in facts.rules.rows("caution"):
        if applies(row["applies_to"], facts.wall, bool(facts.fill)):
            yield say(f"{GENERAL}{row['applies_to']}", "wall", row["applies_to"], CAUTION, row["text"], row["source"],
                      row["status"])  # fmt: skip
