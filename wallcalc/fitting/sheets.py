"""What the sheets of a wall cost at the least, wherever the joints between boards fall.

Boards cover a course from one end to the other, so what a weighing of heights asks of them is known before any is
laid: so much for every 0.1 mm along the wall. Whole sheets are then mixed until every weighing is met at once
(:mod:`wallcalc.cutting.sheets.bounds`). All lengths are integers of 0.1 mm, money is integer cents.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

import numpy as np

from wallcalc.boarding.course import Course, course_edges
from wallcalc.boarding.courses import Lining
from wallcalc.carcass.build import CarcassInput, least_sheet_cost
from wallcalc.cutting.sheets.bounds import Weighings, cheapest_mix, scales
from wallcalc.geometry.rectangles import Clear
from wallcalc.trade.price_records import SheetStock

ANY_NUMBER = 10**6
"""How often a height may occur: boards are not counted before they are laid."""
MIXES = 500
"""Mixes of sheets looked at for each product."""


def sheet_floor(
    given: CarcassInput,
    linings: Sequence[Lining],
    sheets: Mapping[str, tuple[SheetStock, ...]],
    level: bool = True,
) -> int:
    """Return what the sheets of any boarding cost at the least, cents.

    Parameters
    ----------
    given : CarcassInput
        Wall and choices.
    linings : sequence of Lining
        What is laid.
    sheets : mapping of str to tuple of SheetStock
        What each product is sold in.
    level : bool
        Whether floor and ceiling are level; else the area alone is reckoned.
    """
    if not level:
        return least_sheet_cost(given, list(linings), sheets)
    total = 0
    for product, stocks in sheets.items():
        own = [lining for lining in linings if lining.product == product]
        if own:
            total += _least_mix(given, own, stocks)
    return total


def _least_mix(given: CarcassInput, linings: Sequence[Lining], stocks: Sequence[SheetStock]) -> int:
    """Least price of sheets that meet every weighing of one product's boards."""
    lying = linings[0].lying
    tall = tuple((s.width if lying else s.length) for s in stocks)
    wide = np.array([(s.length if lying else s.width) for s in stocks], np.int64)
    heights, holes = _heights(given, linings)
    values, most = scales(tuple((h, ANY_NUMBER) for h in heights), (*tall, *holes), len(tall))
    totals, yields = [], []
    for value, room in zip(values.tolist(), most.tolist(), strict=True):
        of = dict(zip(heights, value, strict=True))
        from_hole = dict(zip(holes, room[len(tall) :], strict=True))

        def whole(course: Course, _widest: int, of: dict[int, int] = of) -> int:
            return of[course.top - course.bottom]

        def beside(course: Course, c: Clear, of: dict[int, int] = of) -> int:
            return sum(of[h] for h in _parts(course, c))

        def out_of(course: Course, c: Clear, from_hole: dict[int, int] = from_hole) -> int:
            return from_hole[_hole(course, c)]

        totals.append(_along(given, linings, whole, beside, out_of))
        yields.append(np.array(room[: len(tall)], np.int64) * wide)
    if lying:
        totals.append(_along(given, linings, _bound_edges, _bound_beside, lambda *_: 1))
        yields.append(2 * wide)
    rows = [i for i, total in enumerate(totals) if total > 0]
    asked = Weighings(np.array([totals[i] for i in rows], np.int64), np.array([yields[i] for i in rows]))
    return cheapest_mix(asked, [s.price for s in stocks], MIXES)


def _along(
    given: CarcassInput,
    linings: Sequence[Lining],
    whole: Callable[[Course, int], int],
    beside: Callable[[Course, Clear], int],
    out_of: Callable[[Course, Clear], int],
) -> int:
    """Sum a weighing over all courses, 0.1 mm of wall by 0.1 mm.

    Where an opening takes a part of a course's height, a board that reaches past its jamb line weighs whole, less
    what may come out of its cut-out; one that lies within the opening's width weighs what is left of the height. No
    joint comes nearer to a jamb line than the rules allow, so up to there it is the former.
    """
    total = 0
    for lining in linings:
        for course in course_edges(lining):
            each = whole(course, lining.widest)
            total += each * given.wall.length
            for c in given.clears:
                width = c.right - c.left
                if c.bottom <= course.bottom and c.top >= course.top:
                    total -= width * each
                elif c.bottom < course.top and c.top > course.bottom:
                    past = each - out_of(course, c)
                    middle = max(0, width - 2 * given.rules.jamb_fail)
                    total += (width - middle) * past + middle * min(past, beside(course, c)) - width * each
    return total


def _heights(given: CarcassInput, linings: Sequence[Lining]) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """Heights that boards have in the wall, and those of the cut-outs they may have."""
    heights: set[int] = set()
    holes: set[int] = set()
    for lining in linings:
        for course in course_edges(lining):
            heights.add(course.top - course.bottom)
            for c in given.clears:
                if c.bottom < course.top and c.top > course.bottom:
                    heights.update(_parts(course, c))
                    holes.add(_hole(course, c))
    return tuple(sorted(heights)), tuple(sorted(holes))


def _parts(course: Course, c: Clear) -> list[int]:
    """Return what an opening leaves of a course's height, below and above it."""
    return [h for h in (c.bottom - course.bottom, course.top - c.top) if h > 0]


def _hole(course: Course, c: Clear) -> int:
    """Height that an opening takes out of a course."""
    return min(course.top, c.top) - max(course.bottom, c.bottom)


def _bound_edges(course: Course, widest: int) -> int:
    """Bound edges that boards on their side need in a course: both where it is as high as the sheet is wide."""
    full = course.top - course.bottom == widest
    return 2 if full else (course.below == "bound") + (course.above == "bound")


def _bound_beside(course: Course, c: Clear) -> int:
    """Bound edges needed by the pieces below and above an opening: one where another course is beyond."""
    return (c.bottom > course.bottom and course.below != "") + (c.top < course.top and course.above != "")
