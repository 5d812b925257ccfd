"""Where what is cut in a board lies on the sheet that its blank is cut from: cut-outs, service holes, sloping sides."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from matplotlib.path import Path
from matplotlib.transforms import Bbox

from wallcalc.records import Board
from wallcalc.units.lengths import MM

Box = tuple[float, float, float, float]
"""First corner, length and width, mm."""
SLACK = 0.05
"""Places this near are one, mm."""


@dataclass(frozen=True, slots=True)
class OnSheet:
    """A board on its sheet, mm along the sheet and across it.

    Attributes
    ----------
    cut_outs : tuple of Box
        Cut out for openings; other boards may come from them.
    corners : tuple of (float, float)
        Corners of a board with a side on a slope; empty for others.
    holes : tuple of (Box, bool)
        Holes for services, each with whether it is round.
    """

    cut_outs: tuple[Box, ...]
    corners: tuple[tuple[float, float], ...]
    holes: tuple[tuple[Box, bool], ...]


def on_blank(board: Board, x: int, y: int) -> tuple[int, int]:
    """Return where a place of the wall is on a board's blank: along the sheet and across it, 0.1 mm.

    The blank is seen from its face, along to the right and across downwards, as :class:`wallcalc.records.CutOut`.
    """
    along, across = (x - board.x, y - board.y) if board.lying else (y - board.y, x - board.x)
    return (board.along - along if board.lying == (board.side == "A") else along), across


def is_tapered(board: Board) -> bool:
    """Return whether a board has a side on a slope."""
    return any(p[0] != q[0] and p[1] != q[1] for p, q in _sides(board.outline))


def on_sheet(board: Board, cut: tuple[Any, ...], row: Any) -> OnSheet:
    """Return what is cut in a board, on its sheet.

    A blank may be laid on the sheet turned half round, so that its bound edge meets the sheet's; where
    boards come from its cut-outs, they tell which way it lies.
    """
    plain = _placed(board, cut, turned=False)
    other = _placed(board, cut, turned=True)
    children = [c[1:5] for c in row.cuts if c[5] == cut[0]]
    if children:
        fits = [all(any(_inside(c, box) for box in way.cut_outs) for c in children) for way in (plain, other)]
        return other if fits[1] and not fits[0] else plain
    _, _, y, _, width, _ = cut
    low, high = (e in board.bound_edges for e in (("bottom", "top") if board.lying else ("left", "right")))
    at_low, at_high = abs(y) < SLACK, abs(y + width - row.sheet_width) < SLACK
    wrong = (low and not high and at_high and not at_low) or (high and not low and at_low and not at_high)
    return other if wrong else plain


def _placed(board: Board, cut: tuple[Any, ...], *, turned: bool) -> OnSheet:
    _, x, y, length, width, _ = cut

    def box(a: float, b: float, w: float, h: float) -> Box:
        return (x + length - a - w, y + width - b - h, w, h) if turned else (x + a, y + b, w, h)

    cut_outs = tuple(box(c.along / MM, c.across / MM, c.length / MM, c.width / MM) for c in board.cut_outs)
    outline = [on_blank(board, *p) for p in board.outline] if is_tapered(board) else []
    corners = tuple(box(a / MM, b / MM, 0.0, 0.0)[:2] for a, b in outline)
    holes = []
    for p in board.pierced:
        a, b = on_blank(board, p.x, p.y)
        w, h = (p.width, p.height) if board.lying else (p.height, p.width)
        holes.append((box((a - w / 2) / MM, (b - h / 2) / MM, w / MM, h / MM), p.round))
    return OnSheet(cut_outs, corners, tuple(holes))


def _inside(piece: Sequence[float], box: Box) -> bool:
    x, y, w, h = piece
    bx, by, bw, bh = box
    along = bx - SLACK <= x and x + w <= bx + bw + SLACK
    return along and by - SLACK <= y and y + h <= by + bh + SLACK


def _sides(outline: Sequence[tuple[int, int]]) -> zip[tuple[tuple[int, int], tuple[int, int]]]:
    return zip(outline, [*outline[1:], outline[0]], strict=True)


def free_place(
    at: Box, taken: Sequence[Box], w: float, h: float, corners: Sequence[tuple[float, float]] = ()
) -> tuple[float, float] | None:
    """Return the middle of a free place of a size in a blank, nearest to the blank's middle; None: there is none."""
    left, top, wide, tall = at
    if w > wide or h > tall:
        return None
    middle = (left + wide / 2, top + tall / 2)
    steps = 24
    shape = Path([*corners, corners[0]]) if corners else None
    found = []
    for i in range(steps + 1):
        for j in range(steps + 1):
            x = left + w / 2 + (wide - w) * i / steps
            y = top + h / 2 + (tall - h) * j / steps
            hit = any(
                abs(x - hx - hw / 2) < (w + hw) / 2 and abs(y - hy - hh / 2) < (h + hh) / 2
                for hx, hy, hw, hh in taken
            )
            if not hit and (shape is None or _holds(shape, x, y, w, h)):
                found.append((abs(x - middle[0]) + abs(y - middle[1]), x, y))
    return min(found)[1:] if found else None


def _holds(shape: Path, x: float, y: float, w: float, h: float) -> bool:
    box = Bbox.from_bounds(x - w / 2, y - h / 2, w, h)
    return bool(shape.contains_point((x, y))) and not shape.intersects_bbox(box, filled=False)


def cut_text(boards: Sequence[Board]) -> str:
    """Return which boards have holes for services and which are cut to a slope, in words; "" where none."""
    told = []
    pierced = [b.mark for b in boards if b.pierced]
    if pierced:
        told.append(f"Holes for services are drawn in {', '.join(pierced)}.")
    tapered = [b.mark for b in boards if is_tapered(b)]
    if tapered:
        told.append(f"Cut to a slope: {', '.join(tapered)}.")
    return " ".join(told)
