"""Cutting pattresses from plywood: sawn, so that every cut takes the saw's width.

The sheets' cutting plans know no kerf. Each pattress is therefore planned larger by one kerf along and across, and so
is the sheet: n pieces in a row then take n - 1 kerfs. The face grain runs along the pattress.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from wallcalc.boarding.sheet_costs import least_cost, quick_cost
from wallcalc.cutting.sheets.plan import Blank, cut_sheets
from wallcalc.records import CutPlan, Member
from wallcalc.trade.price_records import SheetStock

SCOPE = (
    "these pattresses and these sheets, every way of sawing straight through from edge to edge, no piece turned across "
    "the grain"
)


def pattresses(members: Iterable[Member]) -> tuple[Member, ...]:
    """Return the members that are cut from board and not from timber."""
    return tuple(m for m in members if m.role == "pattress")


def cut_pattresses(
    members: Iterable[Member], stocks: Sequence[SheetStock], *, kerf: int, time_limit: float = 0.1
) -> CutPlan | None:
    """Return the plan by which a frame's pattresses are cut, or None where it has none.

    Parameters
    ----------
    members : iterable of Member
        The frame's pieces.
    stocks : sequence of SheetStock
        The plywood sheets that can be bought.
    kerf : int
        Width that a saw cut takes, 0.1 mm.
    time_limit : float
        Seconds to spend at most.

    Returns
    -------
    CutPlan or None

    Raises
    ------
    CuttingError
        When a pattress fits no sheet.
    """
    pieces = pattresses(members)
    if not pieces:
        return None
    blanks = [Blank(m.mark, m.width + kerf, m.height + kerf, 0) for m in pieces]
    plan = cut_sheets(blanks, _larger(stocks, kerf), time_limit=time_limit)
    uses = tuple(
        replace(
            use,
            length=use.length - kerf,
            width=use.width - kerf,
            cuts=tuple(replace(c, length=c.length - kerf, width=c.width - kerf) for c in use.cuts),
            leftovers=tuple(
                replace(left, length=left.length - kerf, width=left.width - kerf, bound=0)
                for left in use.leftovers
                if min(left.length, left.width) > kerf
            ),
        )
        for use in plan.uses
    )
    return replace(plan, uses=uses, scope=SCOPE, material="plywood")


def rough_pattresses(
    members: Iterable[Member], stocks: Sequence[SheetStock], *, kerf: int
) -> tuple[int, int]:
    """Return the cost of a plan for a frame's pattresses made in a hurry and a bound below any plan's, cents.

    Parameters
    ----------
    members, stocks, kerf
        As for :func:`cut_pattresses`.
    """
    shapes = tuple(sorted((m.width + kerf, m.height + kerf, 0, (), 0) for m in pattresses(members)))
    larger = _larger(stocks, kerf)
    return (quick_cost(shapes, larger)[0], least_cost(shapes, larger)) if shapes else (0, 0)


def _larger(stocks: Sequence[SheetStock], kerf: int) -> tuple[SheetStock, ...]:
    return tuple(replace(s, length=s.length + kerf, width=s.width + kerf) for s in stocks)
