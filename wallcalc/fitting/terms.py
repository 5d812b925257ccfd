"""What a fitted layout has to keep, and the modules that it is compared with, read from rules and price book."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

from wallcalc.carcass.build import CarcassInput
from wallcalc.checks.boards import span_limits
from wallcalc.checks.rows import FAIL
from wallcalc.given.option import LEAST_CENTRES
from wallcalc.trade.price_records import SheetStock
from wallcalc.trade.prices import PriceBook
from wallcalc.trade.rules import Rules
from wallcalc.units.lengths import MM

DIVISIONS = (2, 3, 4)
"""Bays that a sheet's width is divided into by the usual stud centres."""
LONG_DIVISION = 5
"""Bays that the lengths of the sheets of the commonest width are divided into (480 and 540 mm, 19.2 in)."""
STEPS = {"metric": 100.0, "inch": 25.4}
"""Usual centres are whole multiples of 10 mm or of a tenth of an inch, in 0.1 mm."""


@dataclass(frozen=True, slots=True)
class Terms:
    """The most that studs may be apart, middle to middle, where that comes from, and the module's usual centres.

    Lengths in 0.1 mm; centres descending, none above the limit. ``snug`` are the (least, greatest) clear widths of
    bays that slabs of the chosen fill hold in by friction: of layouts that are equal in all else the one with fewest
    other bays is taken. Empty without a fill.
    """

    most: int
    source: str
    usual: tuple[int, ...]
    snug: tuple[tuple[int, int], ...] = ()


@lru_cache(maxsize=256)
def terms_of(given: CarcassInput, rules: Rules, book: PriceBook, fill: str | None = None) -> Terms:
    """Return what a fitted layout keeps, and the modules that keep the same.

    The limit is the least of the rule ``frame.max_centres`` and of the table ``board_span`` for the boards against
    the frame on both sides, laid as the option lays them. Only what would fail binds; what the rules merely caution
    against (older editions, tiles) does not, as it does not bind a module either.

    Parameters
    ----------
    given : CarcassInput
        Boards and how they are laid.
    rules : Rules
        The rules in force.
    book : PriceBook
        How thick the boards are, how wide the slabs.
    fill : str or None
        Slab product of the price book.

    Returns
    -------
    Terms
    """
    most, source = rules.tenths("frame.max_centres"), rules.rule("frame.max_centres").source
    for product in (given.product_a, given.product_b):
        thickness = book.board(product).thickness / MM
        for _, centres, verdict, named, _ in span_limits(rules, thickness, given.lying, False):
            if centres is not None and verdict == FAIL and round(centres * MM) < most:
                most, source = round(centres * MM), named
    sizes = str(rules.value("catalogue.sizes"))
    slabs = book.slabs(fill, sizes) if fill is not None else ()
    tight, loose = rules.tenths("fill.friction_most"), rules.tenths("fill.friction_least")
    snug = tuple(sorted({(s.width - tight, s.width - loose) for s in slabs}))
    usual = {*usual_centres((*given.sheets_a, *given.sheets_b), most, STEPS[sizes])}
    named = (round(row["centres"] * MM) for row in rules.rows("usual_centres"))
    usual.update(centres for centres in named if centres <= most)
    return Terms(most, source, tuple(sorted(usual, reverse=True)), snug)


def usual_centres(sheets: Iterable[SheetStock], most: int, step: float) -> tuple[int, ...]:
    """Return the module's usual centres, descending: those that divide the sheets, and the limit itself.

    Parameters
    ----------
    sheets : iterable of SheetStock
        The sheets on sale: widths are divided by 2, 3 and 4, the lengths of those of the commonest width by 5.
    most : int
        Most centres that the rules allow, 0.1 mm.
    step : float
        Only whole multiples of this are usual, 0.1 mm.
    """
    sizes = [(s.width, s.length) for s in sheets]
    widths = Counter(width for width, _ in sizes)
    common = max(widths, key=lambda w: (widths[w], w))
    wanted = [width / d for width in widths for d in DIVISIONS]
    wanted += [length / LONG_DIVISION for width, length in sizes if width == common]
    whole = [c for c in wanted if abs(c / step - round(c / step)) < 1e-6]
    found = {most, *(round(c) for c in whole if LEAST_CENTRES * MM <= c <= most)}
    return tuple(sorted(found, reverse=True))
