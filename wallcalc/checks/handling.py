"""Handling: what a sheet or board weighs in the hands, and whether it goes through the door."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import lru_cache

from wallcalc.buying.waste import fixed_area2
from wallcalc.checks.facts import Facts
from wallcalc.checks.registry import register
from wallcalc.checks.rows import CAUTION, FAIL, NOT_KNOWN, OK, at_most, length_text, say
from wallcalc.given.parts import Access
from wallcalc.records import CheckRow
from wallcalc.trade.prices import PriceBook, SheetStock
from wallcalc.units.lengths import MM

SQUARE_METRE = (MM * 1000.0) ** 2


@lru_cache(maxsize=128)
def stock_of(book: PriceBook, products: tuple[str, ...], sizes: str) -> dict[str, SheetStock]:
    """Return the sheets on sale of some products, by code."""
    sold = set(book.boards(sizes))
    return {s.code: s for p in products if p in sold for s in book.sheets(p, sizes)}


def _stock(facts: Facts) -> dict[str, SheetStock]:
    return stock_of(facts.book, tuple(sorted({b.product for b in facts.frame.boards})), facts.sizes)


def _sheets(facts: Facts) -> list[SheetStock]:
    """Return the sheets bought; where they are not known, the smallest one that the boards fit."""
    stock = _stock(facts)
    if facts.sheets:
        return [stock[code] for code in sorted({u.code for u in facts.sheets}) if code in stock]
    fits = []
    for sheet in stock.values():
        if facts.option.sheet not in (None, f"{sheet.width / MM:g}x{sheet.length / MM:g}"):
            continue
        boards = [b for b in facts.frame.boards if b.product == sheet.product]
        if all(b.along <= sheet.length and b.across <= sheet.width for b in boards):
            fits.append(sheet)
    return sorted(fits, key=lambda s: (s.length * s.width, s.code))[:1]


@register("handling")
def lifting(facts: Facts) -> Iterator[CheckRow]:
    """Compare the heaviest sheet and the heaviest cut board with the manual-handling figures."""
    sheets = [
        (s.length * s.width / SQUARE_METRE * facts.product(s.product).surface_mass, s) for s in _sheets(facts)
    ]
    if sheets:
        mass, sheet = max(sheets, key=lambda s: (s[0], s[1].code))
        yield _lift(facts, f"sheet {sheet.code}", "as bought", mass, [m for m, _ in sheets], "kinds of sheet")
    boards = [
        (fixed_area2(b) / 2 / SQUARE_METRE * facts.product(b.product).surface_mass, b)
        for b in facts.frame.boards
    ]
    if boards:
        mass, board = max(boards, key=lambda m: m[0])
        yield _lift(facts, f"board {board.mark}", "heaviest as cut", mass, [m for m, _ in boards], "boards")


def _lift(facts: Facts, subject: str, case: str, mass: float, all_masses: list[float], what: str) -> CheckRow:
    strong, careful = facts.rules.rule("lifting.one_person"), facts.rules.rule("lifting.caution")
    limit, most = float(careful.value), float(strong.value)
    over = sum(m > most for m in all_masses)
    if mass > most:
        why = f"over {most:g} kg is a lift for two people or a board lifter; so are {over} of {len(all_masses)} {what}"
    elif mass > limit:
        why = f"over {limit:g} kg: better two people, on stairs always"
    else:
        why = "one person can lift it near the body"
    return at_most(
        "lifting", subject, case, mass, limit, "kg", why, careful.source, careful.status, over=CAUTION
    )


def passes(
    length: float, width: float, thickness: float, door_width: float, door_height: float, landing: float
) -> bool:
    """Return whether a sheet goes through a door and turns on the landing behind it.

    The sheet is carried on edge or upright. It passes when its shorter side fits the opening's diagonal, and turns
    when it is no longer than the ladder that goes round the corner, (a^(2/3) + b^(2/3))^(3/2) for widths a and b,
    with its thickness taken off both.

    Units: ``length``, ``width``, ``thickness``, ``door_width``, ``door_height``, ``landing`` mm.
    """
    if width > math.hypot(max(door_width - thickness, 0.0), max(door_height - thickness, 0.0)):
        return False
    if landing <= 0:
        return True
    a, b = max(door_width - thickness, 0.0), max(landing - thickness, 0.0)
    longest = (a ** (2 / 3) + b ** (2 / 3)) ** 1.5
    on_edge = length <= longest and width <= door_height
    upright = width <= longest and length <= door_height
    return on_edge or upright


@register("handling")
def way_in(facts: Facts) -> Iterator[CheckRow]:
    """Tell whether the longest sheet or board passes the door or stair that was given."""
    access = facts.access
    if access == Access() or not facts.frame.boards:
        return
    source, status = "geometry: longest piece that goes round a corner", "computed"
    if not (access.width and access.height):
        missing = " and ".join(key for key in ("width", "height") if not getattr(access, key))
        yield say(
            "way in", "wall", "way in given in part", NOT_KNOWN,
            f"measure the {missing} of the narrowest door or stair and give it under [access]", source, status,
        )  # fmt: skip
        return
    pieces = [(s.length, s.width, s.thickness) for s in _sheets(facts)] or [
        (b.along, b.across, facts.product(b.product).thickness) for b in facts.frame.boards
    ]
    length, width, thickness = (v / MM for v in max(pieces))
    opening = (access.width / MM, access.height / MM)
    good = passes(length, width, thickness, *opening, access.landing / MM)
    if not good:
        why = "it does not go through: take shorter sheets, or cut them outside"
    elif access.landing:
        why = f"it goes through and turns on a landing of {length_text(access.landing / MM)}"
    else:
        why = "it goes through; no landing given, so the turn behind is not judged"
    yield say(
        "way in", f"{length_text(length)} x {length_text(width)} sheet",
        f"opening {opening[0]:g} x {opening[1]:g} mm", OK if good else FAIL, why,
        source, status, length, None, "mm",
    )  # fmt: skip
