"""Cutting diagrams for paper: bought lengths as bars, bought sheets as rectangles, readable in black and white."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any

from wallcalc.print_page import LEFT, RIGHT, Paper
from wallcalc.print_text import shorten, text_width, wrap
from wallcalc.records import Board

BAR_HEIGHT, BAR_STEP = 7.5, 12.0
SHEETS_ACROSS = 3
SHEET_STEP = 56.0


def draw_timber(paper: Paper, bars: Iterable[Any], show: Callable[[float], str]) -> None:
    """Draw each bought length of timber with its cuts in order.

    Parameters
    ----------
    paper : Paper
        Where to draw, from its current place on.
    bars : iterable
        Rows of ``timber_cuts``: ``stock, stock_length, cuts, offcut``.
    show : callable
        Turns mm into text.
    """
    rows = list(bars)
    longest = max((r.stock_length for r in rows), default=1.0)
    x0, wide = LEFT + 34, RIGHT - LEFT - 34 - 26
    scale = wide / longest
    for number, row in enumerate(rows, start=1):
        paper.need(BAR_STEP)
        y = paper.y + 1
        paper.text(LEFT, y + 3.2, f"T{number}", 9, bold=True)
        paper.text(LEFT, y + 6.8, shorten(str(row.stock), 32, 7), 7)
        paper.box(x0, y, row.stock_length * scale, BAR_HEIGHT, hatch="////", width=0.5)
        x = x0
        for mark, length in row.cuts:
            paper.box(x, y, length * scale, BAR_HEIGHT, fill="white")
            _label(paper, x, y, length * scale, BAR_HEIGHT, str(mark), show(length))
            x += length * scale
        paper.text(x0 + row.stock_length * scale + 1.5, y + 4.8, f"left {show(row.offcut)}", 7.5)
        paper.y += BAR_STEP


def _label(paper: Paper, x: float, y: float, w: float, h: float, mark: str, size: str) -> None:
    """Put a piece's mark and length into its box: in one line, in two, or the mark alone turned upright."""
    one = f"{mark}  {size}"
    if text_width(one, 7.5) <= w - 1.5:
        paper.text(x + w / 2, y + h / 2 + 1.0, one, 7.5, align="center")
    elif max(text_width(mark, 6.5), text_width(size, 6.5)) <= w - 0.6:
        paper.text(x + w / 2, y + h / 2 - 0.6, mark, 6.5, align="center")
        paper.text(x + w / 2, y + h / 2 + 2.2, size, 6.5, align="center")
    elif w > 2.4:
        paper.text(
            x + w / 2, y + h / 2, shorten(mark, h - 0.5, 6.0), 6.0, align="center", base="center", turn=90
        )


def draw_sheets(
    paper: Paper, sheets: Iterable[Any], boards: Mapping[str, Board], show: Callable[[float], str]
) -> None:
    """Draw each bought sheet with the blanks cut from it; thick lines are bound edges, hatching is left over.

    Parameters
    ----------
    paper : Paper
        Where to draw, from its current place on.
    sheets : iterable
        Rows of ``sheet_cuts``: ``stock, sheet_length, sheet_width, cuts``.
    boards : mapping of str to Board
        Boards by mark, whose cut-outs are shown.
    show : callable
        Turns mm into text.
    """
    rows = [(f"B{n}", str(r.stock), r, "") for n, r in enumerate(sheets, start=1)]
    _grid(paper, rows, boards, show, bound=True)


def draw_slabs(paper: Paper, slabs: Iterable[Any], show: Callable[[float], str]) -> None:
    """Draw each way of cutting a slab once, with how many are cut so and for which bays.

    Parameters
    ----------
    paper : Paper
        Where to draw, from its current place on.
    slabs : iterable
        Rows of ``slab_cuts``, as ``sheet_cuts``; pieces are marked with the bay, a stroke and a number.
    show : callable
        Turns mm into text.
    """
    alike: dict[Any, list[Any]] = {}
    for row in slabs:
        key = (row.stock, row.sheet_length, row.sheet_width, tuple(tuple(c[1:5]) for c in row.cuts))
        alike.setdefault(key, []).append(row)
    rows = []
    for same in alike.values():
        bays = dict.fromkeys(str(cut[0]).split("/")[0] for row in same for cut in row.cuts)
        title = f"{len(same)} x" if len(same) > 1 else "1"
        rows.append((title, str(same[0].stock), same[0], f"for {', '.join(bays)}"))
    _grid(paper, rows, {}, show, bound=False)


def _grid(
    paper: Paper,
    rows: Sequence[tuple[str, str, Any, str]],
    boards: Mapping[str, Board],
    show: Callable[[float], str],
    *,
    bound: bool,
) -> None:
    longest = max((r.sheet_length for _, _, r, _ in rows), default=1.0)
    widest = max((r.sheet_width for _, _, r, _ in rows), default=1.0)
    step = (RIGHT - LEFT) / SHEETS_ACROSS
    scale = min((step - 6) / longest, (SHEET_STEP - 12) / widest)
    notes = 7.0 if any(note for *_, note in rows) else 0.0
    tall = widest * scale + notes
    for number, (name, stock, row, note) in enumerate(rows):
        place = number % SHEETS_ACROSS
        if place == 0:
            if number:
                paper.y += tall + 11
            paper.need(tall + 10)
        x0, y0 = LEFT + place * step, paper.y + 5
        paper.text(x0, y0 - 1.6, name, 9, bold=True)
        paper.text(x0 + 9, y0 - 1.6, shorten(stock, step - 16, 7.5), 7.5)
        _one_sheet(paper, row, boards, x0, y0, scale, show, bound)
        for n, line in enumerate(wrap(note, step - 8, 7)[:2] if note else ()):
            paper.text(x0, y0 + row.sheet_width * scale + 3.4 + 3.2 * n, line, 7)
    if rows:
        paper.y += tall + 11


def _one_sheet(
    paper: Paper,
    row: Any,
    boards: Mapping[str, Board],
    x0: float,
    y0: float,
    scale: float,
    show: Callable[[float], str],
    bound: bool,
) -> None:
    long, wide = row.sheet_length * scale, row.sheet_width * scale
    paper.box(x0, y0, long, wide, hatch="////", width=0.5)
    ordered = sorted(row.cuts, key=lambda c: c[5] is not None)
    labels = []
    for cut in ordered:
        mark, x, y, length, width, parent = cut
        at = (x0 + x * scale, y0 + y * scale, length * scale, width * scale)
        paper.box(*at, fill="white", width=0.9)
        board = boards.get(mark)
        holes = [
            (x0 + a * scale, y0 + b * scale, w * scale, h * scale)
            for a, b, w, h in (cut_out_boxes(board, cut, row) if board is not None else ())
        ]
        for hole in holes:
            paper.box(*hole, hatch="....", width=0.5)
        size = f"{show(length)} x {show(width)}"
        lines = [str(mark), size, *([f"from {parent}"] if parent else [])] if bound else [size]
        labels.append((at, holes, lines))
    for at, holes, lines in labels:
        _blank_label(paper, at, holes, lines)
    if bound:
        for edge in (y0, y0 + wide):
            paper.line(x0, edge, x0 + long, edge, 2.0)


def _blank_label(
    paper: Paper,
    at: tuple[float, float, float, float],
    holes: Sequence[tuple[float, float, float, float]],
    lines: Sequence[str],
) -> None:
    """Put a blank's label where it meets neither edge nor cut-out: in lines, else in one, else the mark alone."""
    tries: list[tuple[list[str], float, float]] = [
        (list(lines), 7.0, 0.0),
        ([" ".join(lines)], 6.5, 0.0),
        (list(lines), 6.5, 90.0),
        ([" ".join(lines)], 6.5, 90.0),
        ([" ".join(lines)], 5.3, 0.0),
        ([" ".join(lines)], 5.3, 90.0),
        ([lines[0]], 6.5, 0.0),
        ([lines[0]], 6.0, 90.0),
    ]
    for texts, size, turn in tries:
        step = size * 0.45
        long, deep = max(text_width(t, size, True) for t in texts) + 1.0, step * len(texts) + 0.9
        w, h = (deep, long) if turn else (long, deep)
        place = _free_place(at, holes, w, h)
        if place is None:
            continue
        x, y = place
        for n, text in enumerate(texts):
            off = (n - (len(texts) - 1) / 2) * step
            dx, dy = (off, 0.0) if turn else (0.0, off)
            paper.text(x + dx, y + dy, text, size, bold=n == 0, align="center", base="center", turn=turn)
        return


def _free_place(
    at: tuple[float, float, float, float],
    holes: Sequence[tuple[float, float, float, float]],
    w: float,
    h: float,
) -> tuple[float, float] | None:
    """Return the middle of a free place of this size in a rectangle, nearest to its middle; None: there is none."""
    left, top, wide, tall = at
    if w > wide or h > tall:
        return None
    middle = (left + wide / 2, top + tall / 2)
    steps = 24
    found = []
    for i in range(steps + 1):
        for j in range(steps + 1):
            x = left + w / 2 + (wide - w) * i / steps
            y = top + h / 2 + (tall - h) * j / steps
            hit = any(
                abs(x - hx - hw / 2) < (w + hw) / 2 and abs(y - hy - hh / 2) < (h + hh) / 2
                for hx, hy, hw, hh in holes
            )
            if not hit:
                found.append((abs(x - middle[0]) + abs(y - middle[1]), x, y))
    return min(found)[1:] if found else None


def cut_out_boxes(board: Board, cut: tuple[Any, ...], row: Any) -> list[tuple[float, float, float, float]]:
    """Return where a board's cut-outs lie on its sheet, (x, y, length, width) in mm.

    A blank may be laid on the sheet turned half round, so that its bound edge meets the sheet's; where
    boards come from its cut-outs, they tell which way it lies.

    Parameters
    ----------
    board : Board
        The board.
    cut : tuple
        Its blank on the sheet: mark, x, y, length, width, parent.
    row : row of sheet_cuts
        The sheet.

    Returns
    -------
    list of tuple of float
    """
    mark, x, y, length, width, _ = cut
    both = []
    for turned in (False, True):
        boxes = []
        for c in board.cut_outs:
            a, b, w, h = c.along / 10, c.across / 10, c.length / 10, c.width / 10
            if turned:
                a, b = length - a - w, width - b - h
            boxes.append((x + a, y + b, w, h))
        both.append(boxes)
    children = [c for c in row.cuts if c[5] == mark]
    if children:
        fits = [all(any(_inside(c[1:5], box) for box in boxes) for c in children) for boxes in both]
        return both[1] if fits[1] and not fits[0] else both[0]
    low, high = ("bottom", "top") if board.lying else ("left", "right")
    at_low, at_high = abs(y) < 0.05, abs(y + width - row.sheet_width) < 0.05
    wants_low, wants_high = low in board.bound_edges, high in board.bound_edges
    wrong = (wants_low and not wants_high and at_high and not at_low) or (
        wants_high and not wants_low and at_low and not at_high
    )
    return both[1] if wrong else both[0]


def _inside(piece: tuple[float, ...], box: tuple[float, ...]) -> bool:
    x, y, w, h = piece
    bx, by, bw, bh = box
    slack = 0.05
    return x >= bx - slack and y >= by - slack and x + w <= bx + bw + slack and y + h <= by + bh + slack
