"""Cutting diagrams for paper: bought lengths as bars, bought sheets as rectangles, readable in black and white."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any

from wallcalc.boarding.blanks import OnSheet, free_place, on_sheet
from wallcalc.draw.text_fit import shorten, text_width, wrap
from wallcalc.output.page import LEFT, RIGHT, Box, Paper, Point, Scale
from wallcalc.records import Board

BAR_HEIGHT, BAR_STEP = 7.5, 12.0
SHEETS_ACROSS = 3
SHEET_STEP = 56.0


def draw_timber(paper: Paper, bars: Iterable[Any], show: Callable[[float], str]) -> None:
    """Draw each bought length of timber (rows of ``timber_cuts``) with its cuts in order; ``show`` makes mm text."""
    rows = list(bars)
    longest = max((r.stock_length for r in rows), default=1.0)
    x0, wide = LEFT + 34, RIGHT - LEFT - 34 - 26
    scale = wide / longest
    for number, row in enumerate(rows, start=1):
        paper.need(BAR_STEP)
        y = paper.y + 1
        paper.text((LEFT, y + 3.2), f"T{number}", 9, bold=True)
        paper.text((LEFT, y + 6.8), shorten(str(row.stock), 32, 7), 7)
        paper.box((x0, y, row.stock_length * scale, BAR_HEIGHT), hatch="////", width=0.5)
        x = x0
        for mark, length in row.cuts:
            box = (x, y, length * scale, BAR_HEIGHT)
            paper.box(box, fill="white")
            _label(paper, box, str(mark), show(length))
            x += length * scale
        paper.text((x0 + row.stock_length * scale + 1.5, y + 4.8), f"left {show(row.offcut)}", 7.5)
        paper.y += BAR_STEP


def _label(paper: Paper, box: Box, mark: str, size: str) -> None:
    """Put a piece's mark and length into its box: in one line, in two, or the mark alone turned upright."""
    x, y, w, h = box
    one = f"{mark}  {size}"
    if text_width(one, 7.5) <= w - 1.5:
        paper.text((x + w / 2, y + h / 2 + 1.0), one, 7.5, align="center")
    elif max(text_width(mark, 6.5), text_width(size, 6.5)) <= w - 0.6:
        paper.text((x + w / 2, y + h / 2 - 0.6), mark, 6.5, align="center")
        paper.text((x + w / 2, y + h / 2 + 2.2), size, 6.5, align="center")
    elif w > 2.4:
        paper.text((x + w / 2, y + h / 2), shorten(mark, h - 0.5, 6.0), 6.0, align="center", turn=90)


def draw_sheets(
    paper: Paper, sheets: Iterable[Any], boards: Mapping[str, Board], show: Callable[[float], str]
) -> None:
    """Draw each sheet (rows of ``sheet_cuts``) with its blanks; thick lines are bound edges, hatched is left over.

    ``boards`` are the boards by mark, whose cut-outs, service holes and sloping sides are shown.
    """
    rows = [(f"B{n}", str(r.stock), r, "") for n, r in enumerate(sheets, start=1)]
    _grid(paper, rows, boards, show, bound=True)


def draw_slabs(paper: Paper, slabs: Iterable[Any], show: Callable[[float], str]) -> None:
    """Draw each way of cutting a slab (rows of ``slab_cuts``) once, with how many are cut so and for which bays."""
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
        paper.text((x0, y0 - 1.6), name, 9, bold=True)
        paper.text((x0 + 9, y0 - 1.6), shorten(stock, step - 16, 7.5), 7.5)
        _one_sheet(paper, row, boards, Scale(x0, y0, scale), show, bound)
        for n, line in enumerate(wrap(note, step - 8, 7)[:2] if note else ()):
            paper.text((x0, y0 + row.sheet_width * scale + 3.4 + 3.2 * n), line, 7)
    if rows:
        paper.y += tall + 11


def _one_sheet(
    paper: Paper,
    row: Any,
    boards: Mapping[str, Board],
    scale: Scale,
    show: Callable[[float], str],
    bound: bool,
) -> None:
    whole = scale.box(0, 0, row.sheet_length, row.sheet_width)
    paper.box(whole, hatch="////", width=0.5)
    ordered = sorted(row.cuts, key=lambda c: c[5] is not None)
    labels = []
    for cut in ordered:
        mark, x, y, length, width, parent = cut
        at = scale.box(x, y, length, width)
        board = boards.get(mark)
        put = on_sheet(board, cut, row) if board is not None else None
        taken, corners = _draw_blank(paper, at, put, scale)
        size = f"{show(length)} x {show(width)}"
        lines = [str(mark), size, *([f"from {parent}"] if parent else [])] if bound else [size]
        labels.append((at, taken, corners, lines))
    for label in labels:
        _blank_label(paper, *label)
    if bound:
        x, y, long, wide = whole
        for edge in (y, y + wide):
            paper.line(x, edge, x + long, edge, 2.0)


def _draw_blank(paper: Paper, at: Box, put: OnSheet | None, scale: Scale) -> tuple[list[Box], list[Point]]:
    """Draw a blank with what is cut in it; return what its label keeps clear of, and the corners it stays within."""
    if put is None:
        paper.box(at, fill="white", width=0.9)
        return [], []
    corners = [scale.point(*p) for p in put.corners]
    if corners:
        paper.box(at, width=0.5)
        paper.polygon(corners)
    else:
        paper.box(at, fill="white", width=0.9)
    taken = [scale.box(*cut_out) for cut_out in put.cut_outs]
    for box in taken:
        paper.box(box, hatch="....", width=0.5)
    for edges, is_round in put.holes:
        hole = scale.box(*edges)
        (paper.oval if is_round else paper.box)(hole, fill="white", width=0.6)
        taken.append(hole)
    return taken, corners


def _blank_label(
    paper: Paper,
    at: Box,
    taken: Sequence[Box],
    corners: Sequence[Point],
    lines: Sequence[str],
) -> None:
    """Put a blank's label where it meets neither edge, hole nor cut-out: in lines, else in one, else the mark alone."""
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
        place = free_place(at, taken, w, h, corners)
        if place is None:
            continue
        x, y = place
        for n, text in enumerate(texts):
            off = (n - (len(texts) - 1) / 2) * step
            dx, dy = (off, 0.0) if turn else (0.0, off)
            paper.text((x + dx, y + dy), text, size, bold=n == 0, align="center", turn=turn)
        return
