"""Waste: what is bought and not fixed, split into what is worth keeping and scrap.

Timber by length, boards by area less holes, fill by volume. Lengths are integers of 0.1 mm.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from wallcalc.records import Bar, Board, CutPlan, Leftover, SheetUse, SlabPiece
from wallcalc.trade.rules import Rules


@dataclass(frozen=True, slots=True)
class Waste:
    """What was bought, what is fixed, and what becomes of the rest.

    Attributes
    ----------
    bought, fixed, kept : float
        Quantities in ``unit``: timber in m, boards in m2, fill in m3. ``kept`` is what is left in pieces
        worth keeping.
    unit : str
        "m", "m2" or "m3".
    """

    bought: float
    fixed: float
    kept: float
    unit: str

    @property
    def scrap(self) -> float:
        """What is neither fixed nor worth keeping, in ``unit``."""
        return self.bought - self.fixed - self.kept

    @property
    def share(self) -> float:
        """Waste as a share of what is bought, 1 - fixed / bought; 0 when nothing is bought."""
        return 1.0 - self.fixed / self.bought if self.bought else 0.0

    @property
    def kept_share(self) -> float:
        """The part of ``share`` that is worth keeping."""
        return self.kept / self.bought if self.bought else 0.0

    @property
    def scrap_share(self) -> float:
        """The part of ``share`` that is scrap."""
        return self.scrap / self.bought if self.bought else 0.0


def fixed_area2(board: Board) -> float:
    """Return twice the area of a board as fixed, openings in it and holes for services taken off.

    In units of (0.1 mm)^2; a whole number, exact, where no round hole is in it.
    """
    openings = 2 * sum((right - left) * (top - low) for left, low, right, top in board.holes)
    return board.area2 - openings - 2 * sum(p.area for p in board.pierced)


def timber_waste(plans: CutPlan | Iterable[CutPlan], rules: Rules, spare: Sequence[int] = ()) -> Waste:
    """Return the timber waste by length.

    In m.
    """
    keep = rules.tenths("cutting.keep_timber")
    bars = [use for plan in _plans(plans) for use in plan.uses if isinstance(use, Bar)]
    bought = sum(b.length for b in bars) + sum(spare)
    fixed = sum(length for b in bars for _, length in b.cuts)
    kept = sum(b.offcut for b in bars if b.offcut >= keep) + sum(spare)
    return Waste(bought / 1e4, fixed / 1e4, kept / 1e4, "m")


def board_waste(
    plans: CutPlan | Iterable[CutPlan],
    boards: Iterable[Board],
    rules: Rules,
    spare: Sequence[tuple[int, int]] = (),
) -> Waste:
    """Return the board waste by area; holes and notches are waste unless another board came of them.

    In m2.
    """
    keep = rules.tenths("cutting.keep_board")
    sheets = _sheets(plans)
    fixed = tuple(boards)
    bought2 = sum(2 * s.length * s.width for s in sheets) + sum(2 * a * b for a, b in spare)
    fixed2 = sum(fixed_area2(b) for b in fixed)
    kept2 = sum(2 * left.length * left.width for left in _kept(sheets, keep)) + sum(
        2 * a * b for a, b in spare
    )
    used = {cut.parent for s in sheets for cut in s.cuts}
    kept2 += sum(
        2 * c.length * c.width
        for b in fixed
        if b.mark not in used
        for c in b.cut_outs
        if min(c.length, c.width) >= keep
    )
    return Waste(bought2 / 2e8, fixed2 / 2e8, kept2 / 2e8, "m2")


def plywood_waste(plan: CutPlan, rules: Rules, spare: Sequence[tuple[int, int]] = ()) -> Waste:
    """Return the waste of the plywood that pattresses are cut from, by area.

    In m2.
    """
    sheets = _sheets(plan)
    extra = sum(a * b for a, b in spare)
    bought = sum(s.length * s.width for s in sheets) + extra
    fixed = sum(c.length * c.width for s in sheets for c in s.cuts)
    kept = sum(p.length * p.width for p in _kept(sheets, rules.tenths("cutting.keep_board"))) + extra
    return Waste(bought / 1e8, fixed / 1e8, kept / 1e8, "m2")


def fill_waste(
    plans: CutPlan | Iterable[CutPlan],
    fill: Iterable[SlabPiece],
    rules: Rules,
    pack_of: Callable[[str], int] | None = None,
    spare: Sequence[tuple[int, int]] = (),
) -> Waste:
    """Return the fill waste by volume: slabs bought in whole packs, against the bays they fill.

    Slabs of an opened pack that no bay needs are kept.

    In m3.
    """
    keep = rules.tenths("cutting.keep_slab")
    bays = tuple(fill)
    thickness = bays[0].thickness if bays else 0
    slabs = _sheets(plans)
    bought = sum(s.length * s.width for s in slabs) + sum(a * b for a, b in spare)
    kept = sum(left.length * left.width for left in _kept(slabs, keep)) + sum(a * b for a, b in spare)
    if pack_of is not None:
        for code in sorted({s.code for s in slabs}):
            of_code = [s for s in slabs if s.code == code]
            whole = -(-len(of_code) // pack_of(code)) * pack_of(code) - len(of_code)
            bought += whole * of_code[0].length * of_code[0].width
            kept += whole * of_code[0].length * of_code[0].width
    fixed = sum(b.area for b in bays)
    scale = thickness / 1e12
    return Waste(bought * scale, fixed * scale, kept * scale, "m3")


def _plans(plans: CutPlan | Iterable[CutPlan]) -> tuple[CutPlan, ...]:
    return (plans,) if isinstance(plans, CutPlan) else tuple(plans)


def _sheets(plans: CutPlan | Iterable[CutPlan]) -> list[SheetUse]:
    return [use for plan in _plans(plans) for use in plan.uses if isinstance(use, SheetUse)]


def _kept(sheets: Iterable[SheetUse], keep: int) -> list[Leftover]:
    return [left for s in sheets for left in s.leftovers if min(left.length, left.width) >= keep]
