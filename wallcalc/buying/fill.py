"""The cavity: clear bays between the members, and the mineral wool slabs that fill them.

All lengths are integers of 0.1 mm.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

from wallcalc.errors import OptionError, Refusal
from wallcalc.framing.tapers import is_square
from wallcalc.geometry.rectangles import Patch, Rect
from wallcalc.geometry.sloped import between
from wallcalc.records import PLATES, Frame, Member, SlabPiece
from wallcalc.trade.prices import FillProduct, SlabStock
from wallcalc.trade.rules import Rules

_RANK = {"friction": 0, "cut": 1, "pieced": 2}

FAR = 10**7
"""Further up or down than any wall, 0.1 mm."""

Rectangle = tuple[int, int, int, int]
"""x, y, width, height in 0.1 mm."""


@dataclass(frozen=True, slots=True)
class _Width:
    """A slab size on offer: length, width (0.1 mm) and price per slab (cents)."""

    length: int
    width: int
    price: float


@dataclass(frozen=True, slots=True)
class _Limits:
    """Rules of the fit, 0.1 mm: oversize range, oversize up a bay, least piece, least offcut to keep."""

    least: int
    most: int
    height_least: int
    least_piece: int
    keep: int


@dataclass(frozen=True, slots=True)
class Way:
    """One way to fill a bay from one stock size.

    Attributes
    ----------
    pieces : tuple of (int, int)
        Length and width of each piece of slab, 0.1 mm.
    how : str
        "friction", "cut" or "pieced".
    used : float
        Price of the slab used up, cents; a rest too small to keep counts as used up.
    cuts : int
        Number of cuts to make.
    turned : bool
        Whether the slab's length runs across the bay.
    stock : object
        The slab size.
    """

    pieces: tuple[tuple[int, int], ...]
    how: str
    used: float
    cuts: int
    turned: bool
    stock: _Width


def bays(frame: Frame, slab: int = 0) -> tuple[Rectangle, ...]:
    """Return the clear bays of a frame: all that is neither timber nor opening, as rectangles.

    Every member bounds a bay whatever face it touches, so a flat noggin does too; but a slab that fits the depth
    behind a pattress passes behind it. The bays tile the clear space: they never overlap and leave nothing out.

    In 0.1 mm, from left to right, then from the floor up.
    """
    return tuple(_placed(p.box) for p in clear_bays(frame, _bounding(frame, slab)))


def _placed(box: Rect) -> Rectangle:
    """Turn edges (left, bottom, right, top) into place and size (x, y, width, height), 0.1 mm."""
    return box[0], box[1], box[2] - box[0], box[3] - box[1]


def _bounding(frame: Frame, slab: int) -> list[Member]:
    """Return the members that bound slabs of a thickness: all but the pattresses that they fit behind."""
    deep = max((m.depth for m in frame.members), default=0)
    return [m for m in frame.members if m.role != "pattress" or not 0 < slab <= deep - m.depth]


def clear_bays(frame: Frame, members: Sequence[Member]) -> tuple[Patch, ...]:
    """Return the clear bays of a frame: what is neither timber nor opening, each with its outline.

    The frame is swept from left to right between the edges of its upright and level pieces; what is free between two
    of them, from sole plate to head plate, is one bay. Together they leave nothing out and nowhere overlap. The
    rectangle round a piece cut to a slope lies on the piece or beyond the plate that it is cut to.

    Left to right, then bottom up.
    """
    profile = frame.profile
    solids = sorted({(m.x, m.right, m.y, m.top) for m in members if m.role not in PLATES})
    solids += [(c.left, c.right, c.bottom, c.top) for c in frame.clears]
    lines = sorted({0, frame.length, *(x for s in solids for x in s[:2] if 0 <= x <= frame.length)})
    running: dict[tuple[int, int], int] = {}
    done: list[tuple[int, int, int, int]] = []
    for x0, x1 in pairwise(lines):
        free = []
        at = -FAR
        for y0, y1 in sorted((c, d) for a, b, c, d in solids if a <= x0 and b >= x1):
            if y0 > at:
                free.append((at, y0))
            at = max(at, y1)
        if at < FAR:
            free.append((at, FAR))
        kept = {span: running.get(span, x0) for span in free}
        done += [(x, lo, x0, hi) for (lo, hi), x in running.items() if (lo, hi) not in kept]
        running = kept
    done += [(x, lo, frame.length, hi) for (lo, hi), x in running.items()]
    found = [p for rect in done for p in between(rect, (), profile.sole, profile.head)]
    return tuple(sorted(found, key=lambda p: p.box[:2]))


def fill_bays(
    frame: Frame,
    slabs: Sequence[SlabStock],
    fill_product: FillProduct,
    rules: Rules,
    stud_depth: int,
    thinner: Sequence[FillProduct] = (),
) -> tuple[SlabPiece, ...]:
    """Return the fill of every bay of a frame, the best way that the slab sizes on offer allow.

    A slab is a friction fit when its width exceeds the bay's by ``fill.friction_least`` to
    ``fill.friction_most``; else a wider slab is cut to the bay plus the least oversize; else several pieces
    stand side by side. Up a bay, whole slabs that meet will do, else the last is cut
    ``fill.friction_height_least`` over; slabs may be turned. Ways rank in that order, then by fewest pieces,
    then by the price of the slab they use up, then by fewest cuts. Deterministic; each size of bay is worked
    out once. A bay with a sloping side is filled like the rectangle round it and the slab cut to the slope on site.

    One per bay, marked C1, C2, ... from left to right, then from the floor up. Raises OptionError: when the
    slab is thicker than the studs are deep, naming the thickest product that fits; or when no stock slab is
    on offer.
    """
    check_thickness(fill_product, stud_depth, thinner)
    if not slabs:
        raise OptionError(
            [
                Refusal(
                    "fill",
                    "price book",
                    f"no stock slab of {fill_product.product}",
                    "add a line to the price book",
                )
            ]
        )
    found = [
        (*_placed(p.box), () if is_square(p.outline) else p.outline)
        for p in clear_bays(frame, _bounding(frame, fill_product.thickness))
    ]
    widths = {_Width(s.length, s.width, s.price_per_pack / s.per_pack) for s in slabs}
    stocks = tuple(sorted(widths, key=lambda w: (w.width, w.length, w.price)))
    limits = _Limits(
        least=rules.tenths("fill.friction_least"),
        most=rules.tenths("fill.friction_most"),
        height_least=rules.tenths("fill.friction_height_least"),
        least_piece=rules.tenths("fill.least_piece"),
        keep=rules.tenths("cutting.keep_slab"),
    )
    out = []
    for number, (x, y, width, height, outline) in enumerate(found, start=1):
        way = _way(width, height, stocks, limits)
        out.append(
            SlabPiece(
                f"C{number}", x, y, width, height, fill_product.thickness, way.pieces, way.how, outline
            ),
        )
    return tuple(out)


def check_thickness(fill_product: FillProduct, stud_depth: int, thinner: Sequence[FillProduct] = ()) -> None:
    """Refuse a slab that is thicker than the studs are deep.

    Raises OptionError: with the thickest product that fits as the nearest change.
    """
    if fill_product.thickness <= stud_depth:
        return
    fits = sorted((p for p in thinner if p.thickness <= stud_depth), key=lambda p: (-p.thickness, p.product))
    change = f"use {fits[0].product}" if fits else "use a thinner slab"
    raise OptionError(
        [
            Refusal(
                "fill.thickness",
                "cavity",
                f"{fill_product.product} is {fill_product.thickness / 10:g} mm thick and the studs are"
                f" {stud_depth / 10:g} mm deep",
                f"{change}, or a deeper stud section",
            )
        ]
    )


def slab_pieces(fill: Iterable[SlabPiece]) -> tuple[tuple[str, int, int], ...]:
    """Return every piece of slab to cut as (mark, length, width), 0.1 mm; the cutting plan takes these.

    Marks are the bay's mark, a stroke and the number of the piece ("C4/2").
    """
    return tuple(
        (f"{bay.mark}/{number}", length, width)
        for bay in fill
        for number, (length, width) in enumerate(bay.pieces, start=1)
    )


def runs(
    extent: int, stock: int, *, need: int, most: int, oversize: int, least_piece: int
) -> tuple[int, ...]:
    """Return the slab dimensions that fill a clear dimension, set one after another.

    Whole slabs and, when they do not do alone, a last cut piece (or two that share).
    """
    number = -(-(extent + need) // stock)
    if number * stock <= extent + most:
        return (stock,) * number
    last = extent + oversize - (number - 1) * stock
    if last < least_piece and number > 1:
        shared = stock + last
        return (*(stock,) * (number - 2), shared - shared // 2, shared // 2)
    return (*(stock,) * (number - 1), last)


@lru_cache(maxsize=16_384)
def _way(width: int, height: int, stocks: tuple[_Width, ...], limits: _Limits) -> Way:
    """Return the best way to fill one bay from the stock sizes, upright or turned."""
    ways = [_way_from(width, height, stock, limits, turned) for stock in stocks for turned in (False, True)]
    return min(ways, key=_order)


def _way_from(width: int, height: int, stock: _Width, limits: _Limits, turned: bool) -> Way:
    price = stock.price / (stock.length * stock.width)
    across, along = (stock.length, stock.width) if turned else (stock.width, stock.length)
    columns = runs(
        width,
        across,
        need=limits.least,
        most=limits.most,
        oversize=limits.least,
        least_piece=limits.least_piece,
    )
    rows = runs(
        height,
        along,
        need=0,
        most=limits.most,
        oversize=min(limits.height_least, limits.most),
        least_piece=limits.least_piece,
    )
    how = "pieced" if len(columns) > 1 else "friction" if columns[0] == across else "cut"
    used = price * sum(_taken(r, along, limits.keep) for r in rows)
    used *= sum(_taken(c, across, limits.keep) for c in columns)
    cuts = sum((r != along) + (c != across) for c in columns for r in rows)
    pieces = tuple((c, r) if turned else (r, c) for c in columns for r in rows)
    return Way(pieces, how, round(used, 6), cuts, turned, stock)


def _taken(size: int, stock: int, keep: int) -> int:
    """Return the slab dimension used up by a piece: all of it when what is left is too small to keep."""
    return size if stock - size >= keep else stock


def _order(way: Way) -> tuple[int, int, float, int, bool, int, int]:
    """Return what ways of filling a bay are ranked by."""
    stock = way.stock
    return (_RANK[way.how], len(way.pieces), way.used, way.cuts, way.turned, stock.width, stock.length)
