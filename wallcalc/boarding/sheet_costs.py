"""What boardings cost in sheets, quickly enough to compare many: bounds and rough cutting plans.

All lengths are integers of 0.1 mm, money in cents.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from math import ceil

from wallcalc.boarding.course import Shape
from wallcalc.cutting.sheets.bounds import bound_of, lean_job
from wallcalc.cutting.sheets.parts import Job
from wallcalc.cutting.sheets.plan import Blank, rough_sheets
from wallcalc.trade.price_records import SheetStock

ROUNDING = 1e-6
"""What a sum of floats may be off by, cents."""


@lru_cache(maxsize=8192)
def _job(shapes: tuple[Shape, ...], sheets: tuple[SheetStock, ...]) -> Job:
    return lean_job([Blank("", *shape) for shape in shapes], sheets)


@lru_cache(maxsize=8192)
def quick_cost(shapes: tuple[Shape, ...], sheets: tuple[SheetStock, ...]) -> tuple[int, int]:
    """Return the cost of a rough cutting plan, cents, and the area cut from its emptiest sheet."""
    return rough_sheets(_job(shapes, sheets), least_by_area(shapes, sheets))


@lru_cache(maxsize=8192)
def least_by_area(shapes: tuple[Shape, ...], sheets: tuple[SheetStock, ...]) -> int:
    """Return a bound below the cost of the sheets that blanks are cut from, cents: their area at the least price.

    Less what comes out of cut-outs. The finer bound of :func:`least_cost` takes as long as a rough cutting plan, so
    it does not pay where each boarding is looked at once.
    """
    job = _job(shapes, sheets)
    if not job.kinds:
        return 0
    area = sum(k.along * k.across - sum(h.length * h.width for h in k.holes) for k in job.kinds)
    return ceil(area * min(s.price / (s.length * s.width) for s in job.stocks) - ROUNDING)


@lru_cache(maxsize=8192)
def least_cost(shapes: tuple[Shape, ...], sheets: tuple[SheetStock, ...]) -> int:
    """Return a bound below the cost of the sheets that blanks are cut from, cents."""
    return bound_of(_job(shapes, sheets))


class SheetCosts:
    """What boardings cost in sheets: a bound at once, a cutting plan's cost when asked."""

    def __init__(self, sheets: Mapping[str, tuple[SheetStock, ...]]) -> None:
        self.sheets = sheets

    def least(self, blanks: Mapping[str, tuple[Shape, ...]]) -> int:
        """Return a bound below the cost of the sheets that blanks (by product) are cut from, cents."""
        return sum(least_by_area(shapes, self.sheets[product]) for product, shapes in blanks.items())

    def cut(self, blanks: Mapping[str, tuple[Shape, ...]]) -> tuple[int, int]:
        """Return the cost of a cutting plan, cents, and the area cut from the emptiest sheet of each product."""
        costs = [quick_cost(shapes, self.sheets[product]) for product, shapes in blanks.items()]
        return sum(c for c, _ in costs), sum(f for _, f in costs)


@lru_cache(maxsize=1024)
def area_cost(area: int, stocks: tuple[SheetStock, ...]) -> int:
    """Return the least price of whole sheets with at least an area in total, as strips of the sheets' common unit."""
    length = max(s.length for s in stocks)
    across = -(-area // length)
    return 0 if across <= 0 else _cover(area, stocks)


def _cover(area: int, stocks: tuple[SheetStock, ...]) -> int:
    best: dict[int, int] = {0: 0}
    done = None
    while best:
        left, cost = min(best.items(), key=lambda kv: (kv[1], -kv[0]))
        del best[left]
        if done is not None and cost >= done:
            break
        for s in stocks:
            reached, paid = left + s.length * s.width, cost + s.price
            if reached >= area:
                done = paid if done is None else min(done, paid)
            elif paid < best.get(reached, paid + 1):
                best[reached] = paid
    assert done is not None
    return done
