"""One layout tried: what it costs, at the least and as cut, and what layouts are compared by."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from wallcalc.carcass import Carcass, CarcassInput
from wallcalc.cut_sheets import Blank, sheet_bound
from wallcalc.cutting_stage import Cut, count_cuts
from wallcalc.fitted_candidates import Lines
from wallcalc.records import CutPlan

Rank = tuple[int, int, int]
"""Cost of timber and boards in cents, cuts, members."""


def bought(cut: Cut) -> int:
    """Return what timber and boards cost as bought, cents."""
    return sum(plan.cost for plan in plans_of(cut))


def rank_of(cut: Cut) -> Rank:
    """Return what layouts are compared by: cost of timber and boards, then cuts, then members."""
    return bought(cut), count_cuts(cut), len(cut.frame.members)


def least_sheets(made: Carcass) -> int:
    """Return what the sheets of a carcass cost at the least, cents."""
    total = 0
    for product, stocks in made.sheets.items():
        boards = [b for b in made.frame.boards if b.product == product]
        blanks = [Blank(b.mark, b.along, b.across, b.need_bound, b.cut_outs) for b in boards]
        total += sheet_bound(blanks, stocks) if blanks else 0
    return total


def plans_of(cut: Cut) -> Sequence[CutPlan]:
    """Return the cutting plans of timber and boards."""
    return cut.timber, *cut.sheets


@dataclass(slots=True)
class Trial:
    """A layout framed and boarded: what it costs by quick plans, and at the least."""

    given: CarcassInput
    lines: Lines
    estimate: int
    least: int
    fits: bool
    module: bool
    order: int
    rank: Rank | None = None
