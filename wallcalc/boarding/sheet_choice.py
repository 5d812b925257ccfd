"""Which sheets a lining may be cut from, and the courses that follow from them.

All lengths are integers of 0.1 mm.
"""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass

from wallcalc.boarding.courses import (
    Courses,
    Lining,
    check_strips,
    pieces_of,
    second_layer,
    split_height,
    timber_edges,
)
from wallcalc.boarding.service_courses import clear_layers, joint_room
from wallcalc.errors import OptionError, Refusal
from wallcalc.geometry.profile import Profile
from wallcalc.geometry.rectangles import Clear
from wallcalc.geometry.sloped import area2
from wallcalc.given.wall import Wall
from wallcalc.site.site import Site
from wallcalc.trade.price_records import SheetStock
from wallcalc.units.lengths import MM


def size_name(stock: SheetStock) -> str:
    """Return a sheet's size as options name it: width by length in mm ("1200x2400")."""
    return f"{stock.width / MM:g}x{stock.length / MM:g}"


def pick_sheets(stocks: Sequence[SheetStock], sheet: str | None, product: str) -> tuple[SheetStock, ...]:
    """Return the sheets that may be used: those of one size, or all.

    Raises OptionError: when the product is not sold in that size; names the sizes it is sold in.
    """
    if sheet is None:
        return tuple(stocks)
    wanted = tuple(round(float(p)) for p in sheet.split("x"))
    found = tuple(s for s in stocks if (round(s.width / MM), round(s.length / MM)) == wanted)
    if not found:
        sizes = ", ".join(sorted({size_name(s) for s in stocks}))
        raise OptionError(
            [
                Refusal(
                    "sheet", product, f"no sheet of {sheet} in the price book", f"use one of {sizes}, or None"
                )
            ]
        )
    return found


@dataclass(frozen=True, slots=True)
class Wanted:
    """What is asked of one side: layers (1 or 2) of a product, from which sheets, which way, from where.

    ``course_from`` is that of :class:`wallcalc.given.option.Option`; a height in mm when it is a number.
    """

    side: str
    layers: int
    product: str
    sheets: tuple[SheetStock, ...]
    lying: bool
    course_from: str | float


def lay_out(wanted: Wanted, wall: Wall, site: Site, clear_of: str = "") -> list[Lining]:
    """Return the linings of one side: as few courses as the sheets allow.

    Upright sheets reach from just above the finished floor to the ceiling when one on sale is long enough wherever it
    stands, however much the two rise along the wall; else full sheets and a rest make courses, which are level.
    Sheets on their side make courses as high as the widest sheet. Horizontal joints keep off the services of the wall.
    """
    side, layers, sheets, lying = wanted.side, wanted.layers, wanted.sheets, wanted.lying
    start = wanted.course_from if isinstance(wanted.course_from, str) else round(wanted.course_from * MM)
    profile, rules = site.profile, site.rules
    bottom, top = profile.low.least(0, profile.length), profile.high.most(0, profile.length)
    widest = max(s.width for s in sheets)
    usable = [s for s in sheets if s.width == widest] if lying else list(sheets)
    lengths = tuple(sorted({s.length for s in usable}))
    step = widest if lying else lengths[-1]
    one = 0 if lying or not isinstance(start, str) else _widest_in_one(profile, sheets)
    courses = ((bottom, top),) if one else split_height(bottom, top, step, start)
    edges = None
    if not lying or rules.back_long_edges:
        kind = "bound" if lying else "cut"
        edges = timber_edges(site, rules.centred(kind, kind))

    room = joint_room(clear_of or side, wall, site, edges)

    def off_edges(tried: Courses) -> bool:
        return edges is None or edges.met_by(tried) is None

    def both(first: Courses, begun: str | int) -> tuple[Courses, Courses]:
        """Courses of the first and the second layer, clear of services."""
        if room is not None and not one:
            lining = Lining(side, 1, wanted.product, lying, widest, lengths, first)
            return clear_layers(lining, step, begun, room, layers)
        if layers < 2:
            return first, first
        return first, second_layer(first, step, begun, site, off_edges)

    def goes_on(tried: Courses) -> bool:
        with suppress(OptionError):
            return bool(both(tried, tried[1][0]))
        return False

    check_strips(side, courses, step, site, edges, goes_on)
    courses, second = both(courses, start)
    found = []
    for layer, chosen in enumerate((courses, second)[:layers], start=1):
        highest = max(high - low for low, high in chosen)
        if one:
            widest = one
        elif not lying:
            widest = max(s.width for s in sheets if s.length >= highest)
        found.append(Lining(side, layer, wanted.product, lying, widest, lengths, chosen))
    return found


def cheapest_sheet(sheets: Sequence[SheetStock], lining: Lining) -> SheetStock:
    """Return the cheapest sheet by area that can take the lining's highest course at its full width."""
    highest = max(high - low for low, high in lining.courses)
    need = (lining.lengths[0], highest) if lining.lying else (highest, lining.widest)
    able = [s for s in sheets if s.length >= need[0] and s.width >= need[1]] or list(sheets)
    return min(able, key=lambda s: (s.price / (s.length * s.width), s.length, s.code))


def _widest_in_one(profile: Profile, sheets: Sequence[SheetStock]) -> int:
    """Return the widest upright sheet that reaches from floor to ceiling wherever it stands; 0 where none does."""
    return max((s.width for s in sheets if s.length >= profile.tallest(s.width)), default=0)


def face_area(profile: Profile, clears: Sequence[Clear]) -> int:
    """Return an area that the boards of one layer have at least, (0.1 mm)^2.

    Boards may fall short of sloping lines by the rounding of their corners, 0.1 mm along floor and ceiling.
    """
    low, high = profile.low.least(0, profile.length), profile.high.most(0, profile.length)
    area = sum(
        area2(patch.outline) // 2 - sum((c - a) * (d - b) for a, b, c, d in patch.holes)
        for patch in pieces_of((low, high), clears, profile)
    )
    return area if profile.is_level else max(0, area - 2 * profile.perimeter)
