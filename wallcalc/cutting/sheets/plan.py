"""Cutting boards' blanks from sheets: the cheapest plan found, with a bound that says how good it is.

Sheets are scored and snapped: every cut goes right through the piece it is made in and takes no width. The
grain is fixed. Where a blank has a cut-out for an opening, other blanks may come from the cut-out.
"""

from __future__ import annotations

import time
from collections.abc import Sequence

import numpy as np

from wallcalc.cutting.sheets.bounds import (
    Weighings,
    bound_of,
    cheapest_mix,
    lean_job,
    sheet_bound,
    weighings,
)
from wallcalc.cutting.sheets.check import sheet_faults
from wallcalc.cutting.sheets.flow import blank_values, build, certify, solve
from wallcalc.cutting.sheets.greedy import MATERIAL, Layout, as_plan, best_layout
from wallcalc.cutting.sheets.parts import Blank, Job, StockLike
from wallcalc.cutting.sheets.pool import cover, gather
from wallcalc.cutting.sheets.unfold import free_rooms, unfold
from wallcalc.records import CutPlan

__all__ = ["Blank", "cut_sheets", "quick_sheets", "rough_sheets", "sheet_bound"]

SCOPE = (
    "these blanks and these sheets, every way of cutting straight through from edge to edge, no blank turned "
    "across the grain, bound edges where they are needed, cut-outs of boards used again"
)
WEIGHED = "area, bound-edge length and one-dimensional weighings of the blanks"
VALUED = "values of the blanks that no sheet can beat, rechecked by recursion"
SEARCHED = "integer programme of all cuts"
NEVER_MET = -1
MIX_STEPS = 400
"""Mixes of sheets to look at when a bound is raised."""
POOL_SHARE = 0.5
"""Part of the time after which sheets of quick plans are no longer put together afresh."""


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
    job = lean_job(blanks, stocks)
    if not job.kinds:
        return _nothing()
    bound = bound_of(job)
    plan = best_layout(job, job.stocks, bound)
    return as_plan(job, job.stocks, plan, bound, SCOPE, f"best of a few orders; bound by {WEIGHED}")


def rough_sheets(job: Job, least: int) -> tuple[int, int]:
    """Return the cost of a plan made in a hurry, for searches that compare many jobs.

    Parameters
    ----------
    job : Job
        What has to be cut and the sheets worth buying, as :func:`wallcalc.cutting.sheets.bounds.lean_job` returns them.
    least : int
        Cost that no plan can go below (:func:`wallcalc.cutting.sheets.bounds.bound_of`), cents.

    Returns
    -------
    tuple of (int, int)
        Cost in cents, and the area in (0.1 mm)^2 cut from the plan's emptiest sheet.
    """
    if not job.kinds:
        return 0, 0
    plan = best_layout(job, job.stocks, least, rough=True)
    used = [0] * len(plan.bought)
    for kind, (sheet, _, _, parent) in zip(job.kinds, plan.spots, strict=True):
        if parent < 0:
            used[sheet] += kind.along * kind.across
    return plan.cost, min(used, default=0)


def cut_sheets(blanks: Sequence[Blank], stocks: Sequence[StockLike], *, time_limit: float = 0.1) -> CutPlan:
    """Return the cheapest cutting plan found within the time, of those the one with fewest sheets.

    Quick plans come first; when they do not meet the bound by weighing, blanks get values from the linear
    relaxation of the integer programme of all cuts, the sheets of many quick plans are put together afresh, and
    what time remains is given to the integer programme itself. Each stops as soon as cost and bound meet.

    Parameters
    ----------
    blanks : sequence of Blank
        What has to be cut, lengths in 0.1 mm; marks all different.
    stocks : sequence of SheetStock
        The sheets that can be bought, prices in cents.
    time_limit : float
        Seconds to spend at most (a solver's own start may add some).

    Returns
    -------
    CutPlan
        ``proven`` only when no plan in ``scope`` is cheaper; ``method`` says how that is known. Of plans that
        cost the same the one with fewest sheets, then with the largest single leftover, of those looked at.

    Raises
    ------
    CuttingError
        When a blank fits no sheet.
    """
    until = time.thread_time() + time_limit
    job = lean_job(blanks, stocks)
    if not job.kinds:
        return _nothing()
    search = _Search(job, until, blanks, stocks)
    search.run(time_limit)
    return search.plan()


class _Search:
    """The best plan and the best bound so far."""

    def __init__(self, job: Job, until: float, blanks: Sequence[Blank], stocks: Sequence[StockLike]) -> None:
        self.job, self.until = job, until
        self.blanks, self.stocks = blanks, stocks
        self.prices = [s.price for s in job.stocks]
        self.rows = weighings(job)
        self.bound = cheapest_mix(self.rows, self.prices)
        self.method = WEIGHED
        # all of the quick plans, not the first that meets the bound: of equal cost the best leftover counts
        self.best = self._ranked(best_layout(job, job.stocks, NEVER_MET))

    def _ranked(self, layout: Layout) -> Layout:
        return free_rooms(layout, self.job, self.job.stocks)

    def plan(self) -> CutPlan:
        """Return the plan as it stands."""
        return self._as_plan(self.best)

    def _as_plan(self, layout: Layout) -> CutPlan:
        return as_plan(self.job, self.job.stocks, layout, self.bound, SCOPE, f"bound by {self.method}")

    @property
    def settled(self) -> bool:
        return self.best.cost <= self.bound

    def _left(self) -> float:
        return self.until - time.thread_time()

    def offer(self, layout: Layout | None) -> None:
        """Keep a layout when it is better, and when a check of its rectangles alone finds no fault."""
        if layout is None:
            return
        layout = self._ranked(layout)
        if layout.rank() < self.best.rank() and not sheet_faults(
            self._as_plan(layout), self.blanks, self.stocks
        ):
            self.best = layout

    def raise_bound(self, bound: int, method: str) -> None:
        """Raise the bound to the price of the cheapest mix of sheets that costs at least this much."""
        least = max(bound, self.bound)  # a search stopped at once may know nothing
        asked = Weighings(np.append(self.rows.total, least), np.vstack([self.rows.most, self.prices]))
        bound = min(cheapest_mix(asked, self.prices, MIX_STEPS), self.best.cost)
        if bound > self.bound:
            self.bound, self.method = bound, method

    def run(self, seconds: float) -> None:
        """Spend the time until cost and bound meet."""
        job, stocks = self.job, self.job.stocks
        if self.settled:
            return
        programme = build(job, stocks, self.until)
        certificate = None
        if programme is not None:
            values = blank_values(programme, self._left())
            if values is not None:
                certificate = certify(programme, values)
                self.raise_bound(certificate.bound, VALUED)
        if self.settled:
            return
        pool = gather(job, stocks, [self.best], self.until - POOL_SHARE * seconds / 2)
        if self._left() > 0:
            self.offer(cover(job, stocks, pool, self.best.cost, min(self._left(), POOL_SHARE * seconds)))
        if programme is None or self.settled or self._left() <= 0:
            return
        found = solve(programme, certificate, self._strongest(), self.bound, self.best.cost - 1, self._left())
        if found.counts is not None:
            self.offer(unfold(programme, found.counts, job, stocks))
        bound = self.best.cost if found.bound is None else int(np.ceil(found.bound - 1e-6))
        self.raise_bound(min(bound, self.best.cost), SEARCHED)

    def _strongest(self) -> Weighings:
        """Return the weighings that ask for most of one kind of sheet alone or of all."""
        total, most = self.rows
        asked = total[:, None] / np.maximum(most, 1e-9)
        picked = sorted({*asked.argmax(axis=0).tolist(), *np.argsort(-asked.min(axis=1))[:4].tolist()})
        return Weighings(total[picked], most[picked])


def _nothing() -> CutPlan:
    return CutPlan(MATERIAL, (), 0, 0, True, SCOPE, "nothing to cut")
