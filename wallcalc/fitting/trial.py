"""One layout tried: what it costs, roughly, at the least and as cut, and what layouts are compared by."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from wallcalc.boarding.choose import joints_of
from wallcalc.boarding.course import Shape
from wallcalc.boarding.sheet_costs import least_cost
from wallcalc.buying.cut_plans import (
    Cut,
    CuttingRules,
    count_cuts,
    cut_carcass,
    sheet_plan,
    timber_pieces,
    timber_plan,
)
from wallcalc.buying.pattress_boards import rough_pattresses
from wallcalc.carcass.build import Carcass, CarcassInput, build_carcass, carcass
from wallcalc.cutting.timber.plan import rough_timber
from wallcalc.fitting.bound import timber_floor
from wallcalc.fitting.candidates import Lines
from wallcalc.records import FULL_HEIGHT, CutPlan, Frame

Rank = tuple[int, int, int, int]
"""Cost of timber and boards in cents, cuts, members, bays that no slab of the fill holds in by friction."""


def plans_of(cut: Cut) -> Sequence[CutPlan]:
    """Return the cutting plans of timber and boards, pattresses among them."""
    return (cut.timber, *cut.sheets) if cut.plywood is None else (cut.timber, *cut.sheets, cut.plywood)


def bought(cut: Cut) -> int:
    """Return what timber and boards cost as bought, cents."""
    return sum(plan.cost for plan in plans_of(cut))


def rank_of(cut: Cut, snug: Sequence[tuple[int, int]] = ()) -> Rank:
    """Return what layouts are compared by: cost of timber and boards, then cuts, then members, then slab fit.

    Parameters
    ----------
    cut : Cut
        The layout as cut.
    snug : sequence of (int, int)
        Least and greatest clear width of bays that slabs fill by friction, 0.1 mm; empty without a fill.
    """
    return bought(cut), count_cuts(cut), len(cut.frame.members), loose_bays(cut.frame, snug)


def loose_bays(frame: Frame, snug: Sequence[tuple[int, int]]) -> int:
    """Return how many bays between full-height uprights are of no width that slabs fill by friction."""
    if not snug:
        return 0
    studs = sorted((m.x, m.right) for m in frame.members if m.role in FULL_HEIGHT)
    loose = 0
    for (_, left), (right, _) in pairwise(studs):
        if left < right and not any(left <= c.left and c.right <= right for c in frame.clears):
            loose += not any(low <= right - left <= high for low, high in snug)
    return loose


def least_sheets(made: Carcass) -> dict[str, int]:
    """Return what the sheets of each product of a carcass cost at the least, cents."""
    shapes: dict[str, list[Shape]] = {}
    for slot, way in joints_of(made.boarding):
        shapes.setdefault(made.linings[slot.lining].product, []).extend(way.shapes)
    return {
        product: least_cost(tuple(sorted(some)), made.sheets[product]) for product, some in shapes.items()
    }


@dataclass(slots=True)
class Trial:
    """A layout framed and boarded.

    ``estimate`` is what it costs by quick plans, ``sheets`` the part of the boards, ``least`` what it costs at the
    least (all in cents); ``fits`` tells whether it keeps the largest bay, ``rank`` is what it costs as cut (None: not
    cut yet).
    """

    given: CarcassInput
    lines: Lines
    estimate: int
    sheets: int
    least: int
    fits: bool
    module: bool
    order: int
    rank: Rank | None = None


def try_layout(
    given: CarcassInput, lines: Lines, cutting: CuttingRules, floor: int, fits: bool, module: bool, order: int
) -> Trial:
    """Frame and board a layout, and tell roughly what it costs.

    Parameters
    ----------
    given : CarcassInput
        The layout.
    lines : tuple of int
        Where its studs stand, 0.1 mm.
    cutting : CuttingRules
        Kerf and trim.
    floor : int
        What it costs at the least before it is boarded, cents.
    fits, module, order
        See :class:`Trial`.

    Raises
    ------
    OptionError
        When it cannot be built.
    """
    made = build_carcass(given)
    pieces = timber_pieces(made.frame, given.timber, cutting)
    kerf, end_trim = cutting.kerf, cutting.end_trim
    high, low = rough_timber(pieces, given.timber, kerf=kerf, end_trim=end_trim)
    low = max(low, timber_floor(Counter(n for _, n in pieces), 0, given.timber, kerf, end_trim))
    ply = rough_pattresses(made.frame.members, given.ply, kerf=kerf)
    boards = made.boarding.sheet_cost + ply[0]
    least = max(floor, low + sum(least_sheets(made).values()) + ply[1])
    return Trial(given, lines, (high + low) // 2 + boards, boards, least, fits, module, order)


def cut_trial(
    trial: Trial, cutting: CuttingRules, enough: int | None, snug: Sequence[tuple[int, int]] = ()
) -> None:
    """Cut a layout exactly, unless its timber, or that and some of its sheets, show that it costs more than enough.

    Parameters
    ----------
    trial : Trial
        Its ``rank`` and ``least`` are set.
    cutting : CuttingRules
        Kerf, trim, patience.
    enough : int or None
        Cost in cents above which a layout is of no interest.
    snug : sequence of (int, int)
        As for :func:`rank_of`.
    """
    timber = timber_plan(trial.given, cutting)
    least = least_sheets(carcass(trial.given))
    for product in ("", *sorted(least, key=lambda p: -least[p])):
        if product:
            least[product] = sheet_plan(trial.given, cutting, product).lower_bound
        trial.least = max(trial.least, timber.lower_bound + sum(least.values()))
        if enough is not None and trial.least > enough:
            return
    cut = cut_carcass(trial.given, cutting)
    trial.rank = rank_of(cut, snug)
    trial.least = max(trial.least, sum(plan.lower_bound for plan in plans_of(cut)))
