"""What is cut from sheets, made plain: blanks, sheets as bought and cut-outs as tuples of integers.

A sheet has two bound long edges. A rip (a cut along the length) leaves one to each part, a cross-cut leaves
both parts what they had. A blank that needs ``k`` bound edges needs ``k`` of its own long edges to be bound
edges of the sheet; one that needs both is as wide as its sheet. The grain is fixed; a blank may be turned by
half a turn, which swaps its long edges.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple, Protocol

from wallcalc.cutting.timber.bounds import CuttingError
from wallcalc.records import CutOut

NO_CUT_OUTS: tuple[CutOut, ...] = ()


class StockLike(Protocol):
    """What is asked of a sheet as bought; the price book's sheets have it."""

    code: str
    length: int
    width: int
    price: int


class Blank(NamedTuple):
    """The rectangle a board is cut from.

    Attributes
    ----------
    mark : str
        The board's mark.
    along : int
        Size along the sheet's length, 0.1 mm.
    across : int
        Size across the sheet, 0.1 mm.
    need_bound : int
        How many of its two long edges have to be bound edges of the sheet (0, 1 or 2).
    cut_outs : tuple of CutOut
        What is cut out of it for openings, in the blank's own frame; other blanks may come from there.
    bound_side : int
        Which long edge has to be the bound one of a blank that needs one: -1 the low edge (across = 0), 1 the high
        edge, 0 either, or not known. It matters where cut-outs are used again: they turn with the blank.
    """

    mark: str
    along: int
    across: int
    need_bound: int = 0
    cut_outs: tuple[CutOut, ...] = NO_CUT_OUTS
    bound_side: int = 0


class Hole(NamedTuple):
    """A cut-out as the cutting sees it: corner in the blank's frame, size, bound long edges to count on."""

    along: int
    across: int
    length: int
    width: int
    bound: int


class Kind(NamedTuple):
    """Equal blanks: size, bound edges needed, cut-outs, and which of its long edges has to be the bound one.

    ``side`` is 0 when it does not matter, -1 for the low edge (across = 0) and 1 for the high edge.
    """

    along: int
    across: int
    need: int
    holes: tuple[Hole, ...]
    side: int


class Stock(NamedTuple):
    """A sheet as bought: size in 0.1 mm, price in cents."""

    length: int
    width: int
    price: int
    code: str


@lru_cache(maxsize=4096)
def kind_of(
    along: int, across: int, need: int, cut_outs: tuple[CutOut, ...], widest: int, bound_side: int = 0
) -> Kind:
    """Return a blank without its mark, with the bound edges its cut-outs can be counted on to have.

    A cut-out's stated bound edges count only where the blank's own edge is sure to be bound: both of a blank
    as wide as the widest sheet, otherwise one for a blank that needs one, on the side its cut-outs say.

    Parameters
    ----------
    along, across : int
        Size of the blank, 0.1 mm.
    need : int
        Bound long edges it needs.
    cut_outs : tuple of CutOut
        Its cut-outs.
    widest : int
        Width of the widest sheet, 0.1 mm.
    bound_side : int
        Which long edge has to be bound, see :class:`Blank`.

    Returns
    -------
    Kind

    Raises
    ------
    ValueError
        When a size is not positive, the need is not 0, 1 or 2, or a cut-out does not lie inside the blank.
    """
    if along <= 0 or across <= 0 or need not in (0, 1, 2):
        raise ValueError(f"a blank {along} x {across} (0.1 mm) needing {need} bound edges cannot be cut")
    whole = across == widest
    holes = []
    side = bound_side if need == 1 and cut_outs else 0
    for c in cut_outs:
        start = min(c.along, c.across)
        inside = start >= 0 and c.along + c.length <= along and c.across + c.width <= across
        if not inside or c.length * c.width >= along * across or c.length <= 0 or c.width <= 0:
            raise ValueError(f"cut-out {c} does not lie inside its blank of {along} x {across} (0.1 mm)")
        low, high = c.across == 0, c.across + c.width == across
        bound = min(c.bound, low + high)
        if not whole:
            wanted = 0 if low and high else -1 if low else 1
            if need == 0 or (wanted and side and wanted != side):
                bound = 0
            elif bound:
                bound = 1
                side = wanted or side
        holes.append(Hole(c.along, c.across, c.length, c.width, bound))
    return Kind(along, across, need, tuple(holes), side)


@lru_cache(maxsize=256)
def plain_stocks(stocks: tuple[StockLike, ...]) -> tuple[Stock, ...]:
    """Return the sheets as plain tuples, the dearer of two equal sizes left out.

    Parameters
    ----------
    stocks : tuple
        Sheets of the price book.

    Returns
    -------
    tuple of Stock
        By price, then by size.
    """
    best: dict[tuple[int, int], Stock] = {}
    for s in stocks:
        plain = Stock(s.length, s.width, s.price, s.code)
        size = (s.length, s.width)
        if size not in best or plain.price < best[size].price:
            best[size] = plain
    return tuple(sorted(best.values(), key=lambda s: (s.price, s.length, s.width)))


def fits(kind: Kind, length: int, width: int) -> bool:
    """Return whether a blank can be cut from a whole sheet of this size, both lengths in 0.1 mm."""
    return kind.along <= length and (kind.across == width if kind.need == 2 else kind.across <= width)


class Job(NamedTuple):
    """Blanks and sheets made plain: ``kinds`` in the order given, ``counts`` of the different ones."""

    marks: tuple[str, ...]
    kinds: tuple[Kind, ...]
    counts: dict[Kind, int]
    stocks: tuple[Stock, ...]


def make_job(blanks: Sequence[Blank], stocks: Sequence[StockLike]) -> Job:
    """Return the blanks and sheets made plain.

    Parameters
    ----------
    blanks : sequence of Blank
        What has to be cut.
    stocks : sequence of SheetStock
        The sheets that can be bought.

    Returns
    -------
    Job

    Raises
    ------
    CuttingError
        Naming every blank that no sheet is large enough for.
    """
    plain = plain_stocks(tuple(stocks))
    widest = max((s.width for s in plain), default=0)
    kinds = tuple(kind_of(b[1], b[2], b[3], b[4], widest, b[5]) for b in blanks)
    counts: dict[Kind, int] = {}
    for k in kinds:
        counts[k] = counts.get(k, 0) + 1
    for k in counts:
        if not any(fits(k, s.length, s.width) for s in plain):
            _refuse(blanks, kinds, plain)
    return Job(tuple(b[0] for b in blanks), kinds, counts, plain)


def _refuse(blanks: Sequence[Blank], kinds: Sequence[Kind], stocks: Sequence[Stock]) -> None:
    names = []
    for b, k in zip(blanks, kinds, strict=True):
        if not any(fits(k, s.length, s.width) for s in stocks):
            both = ", both long edges bound" if k.need == 2 else ""
            names.append(f"{b.mark} ({k.along / 10:g} x {k.across / 10:g} mm{both})")
    sizes = ", ".join(f"{s.length / 10:g} x {s.width / 10:g}" for s in stocks) or "none"
    raise CuttingError(f"no sheet is large enough for {'; '.join(names)}; sheets at hand (mm): {sizes}")
