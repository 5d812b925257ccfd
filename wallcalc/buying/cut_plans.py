"""The second stage of a design: what the frame and the boards are cut from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from wallcalc.buying.pattress_boards import cut_pattresses
from wallcalc.carcass.build import Carcass, CarcassInput, carcass
from wallcalc.cutting.sheets.plan import Blank, cut_sheets
from wallcalc.cutting.timber.plan import cut_timber
from wallcalc.records import PLATES, Board, CutPlan, Frame
from wallcalc.trade.price_records import TimberStock


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


@dataclass(frozen=True, slots=True, eq=False)
class Cut:
    """Frame and boards with the plans they are cut by; ``plywood`` is that of the pattresses, where there are any.

    Told apart by identity: made again under a time limit its plans may be others, and what was bought for the first
    would not fit the second.
    """

    carcass: Carcass
    timber: CutPlan
    sheets: tuple[CutPlan, ...]
    plywood: CutPlan | None = None

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
    timber = timber_plan(given, cutting)
    used = {b.product for b in frame.boards}
    sheets = tuple(sheet_plan(given, cutting, product) for product in sorted(made.sheets) if product in used)
    plywood = cut_pattresses(frame.members, given.ply, kerf=cutting.kerf, time_limit=cutting.seconds)
    return Cut(made, timber, sheets, plywood)


@lru_cache(maxsize=2048)
def sheet_plan(given: CarcassInput, cutting: CuttingRules, product: str) -> CutPlan:
    """Return the plan that the boards of one product are cut by; other parameters as for :func:`cut_carcass`."""
    made = carcass(given)
    blanks = [
        Blank(b.mark, b.along, b.across, b.need_bound, b.cut_outs, _bound_side(b))
        for b in made.frame.boards
        if b.product == product
    ]
    return cut_sheets(blanks, made.sheets[product], time_limit=cutting.seconds)


@lru_cache(maxsize=1024)
def timber_plan(given: CarcassInput, cutting: CuttingRules) -> CutPlan:
    """Return the plan that the timber of frame and boards is cut by; parameters as for :func:`cut_carcass`."""
    return cut_timber(
        timber_pieces(carcass(given).frame, given.timber, cutting),
        given.timber,
        kerf=cutting.kerf,
        end_trim=cutting.end_trim,
        time_limit=cutting.seconds,
        effort=cutting.effort,
    )


def count_cuts(cut: Cut) -> int:
    """Return the number of cuts in timber and board.

    One for every piece of timber that is not a whole bought length; for every board or pattress one for each side
    shorter than its sheet, two for each cut-out at an edge (four for a hole), and one for each hole for a service.
    """
    saw = sum(len(bar.cuts) - (bar.offcut == 0) for bar in cut.timber.uses)  # type: ignore[union-attr]
    for use in cut.plywood.uses if cut.plywood is not None else ():
        saw += sum((c.length < use.length) + (c.width < use.width) for c in use.cuts)  # type: ignore[union-attr]
    knife = 0
    sizes = {c.mark: (use.length, use.width) for plan in cut.sheets for use in plan.uses for c in use.cuts}  # type: ignore[union-attr]
    for b in cut.frame.boards:
        length, width = sizes[b.mark]
        knife += (b.along < length) + (b.across < width) + 2 * len(b.cut_outs) + 2 * len(b.holes)
        knife += len(b.pierced)
    return saw + knife


def _bound_side(board: Board) -> int:
    """Which long edge of a board with cut-outs has to be its one bound edge: -1 the low, 1 the high, 0 either."""
    if board.need_bound != 1 or not board.cut_outs:
        return 0
    return -1 if ("bottom" if board.lying else "left") in board.bound_edges else 1


def timber_pieces(
    frame: Frame, stocks: Sequence[TimberStock], cutting: CuttingRules
) -> list[tuple[str, int]]:
    """Return (mark, length to cut) of every piece of timber in a frame, 0.1 mm.

    A plate is cut short, by no more than the rule allows, where that lets it come from a stock length without
    the next longer one.
    """
    most = [s.length - cutting.end_trim for s in stocks]
    pieces = []
    for m in frame.members:
        if m.role == "pattress":
            continue
        length = m.length
        if m.role in PLATES:
            length = max((x for x in most if x < length <= x + cutting.plate_short), default=length)
        pieces.append((m.mark, length))
    return pieces + [(n.mark, n.length) for n in frame.loose]
