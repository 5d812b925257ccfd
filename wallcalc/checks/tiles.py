"""Tiles and damp: what the lining of a wet or tiled side has to be."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from wallcalc.checks.facts import Facts, tile_mass
from wallcalc.checks.registry import register
from wallcalc.checks.rows import CAUTION, FAIL, OK, at_least, at_most, length_text, say
from wallcalc.records import CheckRow
from wallcalc.units.lengths import MM

MOISTURE = "moisture"
"""Kind of a board with reduced water absorption, in the price book."""


@register("tiles and damp")
def damp_board(facts: Facts) -> Iterator[CheckRow]:
    """Ask for a moisture-resistant board on a wet side and in rooms that the rules name."""
    rule = facts.rules.rule("board.default_wet")
    named = {row["use"]: row for row in facts.rules.rows("wet_room")}
    for side in "AB":
        room, layers = facts.room(side), facts.layers(side)
        if not layers or not (room.wet or room.use in named):
            continue
        kinds = [facts.product(b.product).kind for b in facts.linings[side, len(layers)]]
        good = all(kind == MOISTURE for kind in kinds)
        row = named.get(room.use)
        yield say(
            "damp", f"side {side}, {layers[-1].product}", room.use, OK if good else FAIL,
            "the board in sight is made for damp rooms" if good
            else "a wet room wants a moisture-resistant board: another softens and moulds behind the finish",
            row["source"] if row else rule.source, row["status"] if row else rule.status,
            ", ".join(sorted(set(kinds))), MOISTURE,
        )  # fmt: skip


@register("tiles and damp")
def tiles(facts: Facts) -> Iterator[CheckRow]:
    """Check the mass of tiling on the board and what stands behind it."""
    rules = facts.rules
    for side in "AB":
        mass, layers = tile_mass(facts, side), facts.layers(side)
        if mass <= 0 or not layers:
            continue
        skim = facts.wall.finish == "skim"
        rule = rules.rule("tile.mass_most_skim" if skim else "tile.mass_most_board")
        glue = float(rules.value("tile.adhesive_and_grout"))
        yield at_most(
            "tile mass", f"side {side}", "on skim" if skim else "on board", mass, float(rule.value), "kg/m2",
            f"tiles of {mass - glue:g} kg/m2 with {glue:g} kg/m2 of adhesive and grout; more pulls the paper off the "
            "core", rule.source, rule.status,
        )  # fmt: skip
        yield from _behind_tiles(facts, side)


def _behind_tiles(facts: Facts, side: str) -> Iterator[CheckRow]:
    rules = facts.rules
    rule = rules.rule("tile.board_thickness_least")
    board = facts.layers(side)[0]
    yield at_least("tile board", f"side {side}, {board.product}", "thickness", board.thickness / MM,
                   float(rule.value), "mm", "a thinner board bends and the tiles crack", rule.source, rule.status,
                   under=CAUTION)  # fmt: skip
    rule = rules.rule("tile.height_most")
    yield at_most("tiled wall height", f"side {side}", "height of wall",
                  max(h for _, h in facts.wall.heights) / MM,
                  rules.tenths("tile.height_most") / MM, "mm", "a taller tiled wall wants an engineer's eye",
                  rule.source, rule.status, over=CAUTION)  # fmt: skip
    spacing = max((b.spacing for b in facts.bays if not b.over_opening), default=0) / MM
    plain, most = rules.tenths("tile.centres_plain") / MM, rules.tenths("tile.centres_most") / MM
    rows = rules.tenths("tile.noggin_rows")
    gap = _widest_row_gap(facts, side)
    if spacing <= plain + 1e-6 or gap <= rows:
        rule = rules.rule("tile.centres_plain" if spacing <= plain + 1e-6 else "tile.centres_most")
        limit = plain if spacing <= plain + 1e-6 else most
        why = "close enough for tiles"
    else:
        rule, limit = rules.rule("tile.centres_plain"), plain
        why = (
            f"wider than {length_text(plain)} wants noggin rows no further apart than {length_text(rows / MM)} in the "
            f"tiled height (here {length_text(gap / MM)}), and no more than {length_text(most)} at all"
        )
    case = f"tiled to {length_text(facts.room(side).tiled_to / MM)}"
    yield at_most("stud centres behind tiles", f"side {side}", case, spacing, limit, "mm", why, rule.source,
                  rule.status, over=CAUTION)  # fmt: skip


def _widest_row_gap(facts: Facts, side: str) -> int:
    """Return the greatest distance between plates and noggin rows of a side up to the top of the tiles, 0.1 mm."""
    top = facts.room(side).tiled_to
    ys = sorted({m.y for m in facts.frame.members if m.role == "noggin" and side in m.faces})
    stops = [0]
    for y in ys:
        stops.append(y)
        if y >= top:
            break
    else:
        stops.append(facts.frame.height)
    return max(b - a for a, b in pairwise(stops))
