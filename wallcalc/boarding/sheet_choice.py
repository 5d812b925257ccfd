"""Which sheets a lining may be cut from, and the courses that follow from them.

All lengths are integers of 0.1 mm.
"""

from __future__ import annotations

from collections.abc import Sequence

from wallcalc.boarding.courses import (
    LevelTimber,
    Lining,
    check_strips,
    joint_at_an_edge,
    second_layer,
    split_height,
)
from wallcalc.boarding.service_courses import clear_layers, joint_room
from wallcalc.boarding.uneven_boards import widest_in_one
from wallcalc.errors import OptionError, Refusal
from wallcalc.geometry.profile import Profile
from wallcalc.geometry.rectangles import Clear
from wallcalc.given.wall import Wall
from wallcalc.site.frame_rules import FrameRules
from wallcalc.trade.price_records import SheetStock
from wallcalc.units.lengths import MM


def size_name(stock: SheetStock) -> str:
    """Return a sheet's size as options name it: width by length in mm ("1200x2400")."""
    return f"{stock.width / MM:g}x{stock.length / MM:g}"


def pick_sheets(stocks: Sequence[SheetStock], sheet: str | None, product: str) -> tuple[SheetStock, ...]:
    """Return the sheets that may be used: those of one size, or all.

    Parameters
    ----------
    stocks : sequence of SheetStock
        What the price book has of the product.
    sheet : str or None
        A size ("1200x2400", to the nearest mm) or None.
    product : str
        For the message.

    Raises
    ------
    OptionError
        When the product is not sold in that size; names the sizes it is sold in.
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


def lay_out(
    side: str,
    layers: int,
    product: str,
    sheets: Sequence[SheetStock],
    lying: bool,
    wall: Wall,
    clears: Sequence[Clear],
    course_from: str | float,
    rules: FrameRules,
    profile: Profile,
    timber: tuple[int, int] = (0, 0),
    clear_of: str = "",
) -> list[Lining]:
    """Return the linings of one side: as few courses as the sheets allow.

    Upright sheets reach from just above the finished floor to the ceiling when one on sale is long enough; else
    full sheets and a rest make courses. Sheets on their side make courses as high as the widest sheet. Horizontal
    joints keep off the services of the wall.

    Parameters
    ----------
    side : str
        "A" or "B".
    layers : int
        1 or 2.
    product : str
        Board product.
    sheets : sequence of SheetStock
        What may be used.
    lying : bool
        Whether sheets lie on their side.
    wall : Wall
        The given wall.
    clears : sequence of Clear
        Structural openings.
    course_from : str or float
        See :class:`wallcalc.given.option.Option`; a height in mm when it is a number.
    rules : FrameRules
        The rules in force.
    timber : (int, int)
        Thickness and depth of the timber behind horizontal joints, 0.1 mm.
    profile : Profile
        Lines of the wall: courses are level lines all the same, and upright boards reach from floor to ceiling
        where each of them can, however much the two rise along the wall.
    clear_of : str
        The sides whose holes horizontal joints keep off; the side's own where it is empty.
    """
    start = course_from if isinstance(course_from, str) else round(course_from * MM)
    bottom = wall.floor_build_up + rules.floor_gap
    top = wall.height - rules.ceiling_gap
    widest = max(s.width for s in sheets)
    usable = [s for s in sheets if s.width == widest] if lying else list(sheets)
    lengths = tuple(sorted({s.length for s in usable}))
    step = widest if lying else lengths[-1]
    one = 0
    if not profile.is_level:
        bottom, top = profile.low.least(0, profile.length), profile.high.most(0, profile.length)
        one = 0 if lying or not isinstance(start, str) else widest_in_one(profile, sheets)
    courses = ((bottom, top),) if one else split_height(bottom, top, step, start)
    level = None
    if profile.is_level and timber[0] and (not lying or rules.back_long_edges):
        kind = "bound" if lying else "cut"
        head = wall.height - rules.head_packing - timber[0]
        level = LevelTimber(wall.height, head, timber[0], rules.centred(kind, kind))
    check_strips(side, courses, step, clears, rules.least_strip, rules.narrow_strip, profile, level)
    room = joint_room(clear_of or side, wall, rules, *timber, level)
    if room is None or one:
        offset, least = rules.layer_offset, rules.least_strip
        second = courses
        if layers == 2:
            second = second_layer(
                courses, step, start, offset, profile, clears, least,
                lambda tried: joint_at_an_edge(tried, clears, level) is None,
            )  # fmt: skip
    else:
        first = Lining(side, 1, product, lying, widest, lengths, courses)
        courses, second = clear_layers(first, step, start, room, clears, layers, profile)
    found = []
    for layer, chosen in enumerate((courses, second)[:layers], start=1):
        highest = max(high - low for low, high in chosen)
        if one:
            widest = one
        elif not lying:
            widest = max(s.width for s in sheets if s.length >= highest)
        found.append(Lining(side, layer, product, lying, widest, lengths, chosen))
    return found


def cheapest_sheet(sheets: Sequence[SheetStock], lining: Lining) -> SheetStock:
    """Return the cheapest sheet by area that can take the lining's highest course at its full width."""
    highest = max(high - low for low, high in lining.courses)
    need = (lining.lengths[0], highest) if lining.lying else (highest, lining.widest)
    able = [s for s in sheets if s.length >= need[0] and s.width >= need[1]] or list(sheets)
    return min(able, key=lambda s: (s.price / (s.length * s.width), s.length, s.code))
