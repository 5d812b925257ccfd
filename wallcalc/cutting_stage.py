"""The second stage of a design: what the frame and the boards are cut from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from wallcalc.carcass import Carcass, CarcassInput, carcass
from wallcalc.cut_sheets import Blank, cut_sheets
from wallcalc.cut_timber import cut_timber
from wallcalc.price_records import TimberStock
from wallcalc.records import Board, CutPlan, Frame

PLATES = ("sole plate", "head plate")


@dataclass(frozen=True, slots=True)
class CuttingRules:
    """Saw and patience.

    Kerf, trim of bought ends and how short a plate may be (0.1 mm); seconds for each plan, and the share of the usual
    search effort for timber.
    """

    kerf: int
    end_trim: int
    plate_short: int
    seconds: float
    effort: float = 1.0


@dataclass(frozen=True, slots=True)
class Cut:
    """Frame and boards with the plans they are cut by."""

    carcass: Carcass
    timber: CutPlan
    sheets: tuple[CutPlan, ...]

    @property
    def frame(self) -> Frame:
        """Members, boards and joints."""
        return self.carcass.frame


@lru_cache(maxsize=1024)
def cut_carcass(given: CarcassInput, cutting: CuttingRules) -> Cut:
    """Return frame and boards with their cutting plans.

    Parameters
    ----------
    given : CarcassInput
        Input of the first stage.
    cutting : CuttingRules
        Kerf, trim, patience.
    """
    made = carcass(given)
    frame = made.frame
    timber = cut_timber(
        timber_pieces(frame, given.timber, cutting),
        given.timber,
        kerf=cutting.kerf,
        end_trim=cutting.end_trim,
        time_limit=cutting.seconds,
        effort=cutting.effort,
    )
    plans = []
    for product, stocks in sorted(made.sheets.items()):
        blanks = [
            Blank(b.mark, b.along, b.across, b.need_bound, b.cut_outs, _bound_side(b))
            for b in frame.boards
            if b.product == product
        ]
        if blanks:
            plans.append(cut_sheets(blanks, stocks, time_limit=cutting.seconds))
    return Cut(made, timber, tuple(plans))


def _bound_side(board: Board) -> int:
    """Which long edge of a board with cut-outs has to be its one bound edge: -1 the low, 1 the high, 0 either."""
    if board.need_bound != 1 or not board.cut_outs:
        return 0
    return -1 if ("bottom" if board.lying else "left") in board.bound_edges else 1


def timber_pieces(
    frame: Frame, stocks: Sequence[TimberStock], cutting: CuttingRules
) -> list[tuple[str, int]]:
    """Return (mark, length to cut) of every member and of the noggins between joists, 0.1 mm.

    A plate is cut short, by no more than the rule allows, where that lets it come from a stock length without
    the next longer one.
    """
    most = [s.length - cutting.end_trim for s in stocks]
    pieces = []
    for m in frame.members:
        length = m.length
        if m.role in PLATES:
            length = max((x for x in most if x < length <= x + cutting.plate_short), default=length)
        pieces.append((m.mark, length))
    return pieces + [(n.mark, n.length) for n in frame.joist_noggins]
