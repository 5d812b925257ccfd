"""Sheets to print for what hangs on the wall and comes through it: fixings, services, holes in timber and boards."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import Any

from wallcalc.draw.text_fit import shorten, text_width
from wallcalc.given.parts import Service
from wallcalc.output.cover import in_inches
from wallcalc.output.page import LEFT, RIGHT, Column, Paper, Scale
from wallcalc.records import Board
from wallcalc.units.quantities import format_mass

Show = Callable[[float], str]
ACROSS, TALL, TALL_ALONE = 4, 52.0, 88.0
"""Boards drawn side by side, and the height of a row of them, and of the only row, mm."""
WAYS = {"through": "through to the other side", "down": "down", "up": "up", "not told": ""}


def fittings_pages(paper: Paper, design: Any, show: Show) -> None:
    """Put what carries each fixing, where each service comes through, and the holes to bore in timber, if any."""
    wall = design.wall
    if not wall.hung and not wall.services:
        return
    paper.page("Hung items and services")
    paper.paragraph(
        "Seen from side A, as all marks: from the left and the right end of the clear length, from the floor.",
        8.5,
    )
    if wall.hung:
        paper.heading2("What carries each fixing")
        _fixings(paper, design, show)
    if wall.services:
        paper.heading2("Where services come through")
        _services(paper, wall.services, wall.length / 10, show)
    bored = getattr(design, "bored", None)
    if bored is not None and len(bored):
        paper.heading2("Holes to bore in timber, in the middle of its depth")
        _bored(paper, bored, show)


def _fixings(paper: Paper, design: Any, show: Show) -> None:
    columns = [
        Column("Item", 62, bold=True), Column("Side", 12), Column("Fixing", 16, "right"),
        Column("From left", 30, "right"), Column("From right", 30, "right"), Column("From floor", 30, "right"),
        Column("Carried by", 54), Column("Screw to edge", 34, "right"),
    ]  # fmt: skip
    pounds, length = in_inches(design), design.wall.length / 10
    names = {i.name: f"{i.name}, {format_mass(i.mass + i.extra, pounds)}" for i in design.wall.hung}
    rows = []
    for r in design.hung_fixings.itertuples():
        by = f"{r.member}, {r.role}" if r.member else "nothing"
        rows.append(
            [
                names.get(str(r.item), str(r.item)) if r.fixing == 1 else "", str(r.side), f"{r.fixing}", show(r.x),
                show(length - r.x), show(r.y), by, show(r.from_edge) if r.member else "",
            ]
        )  # fmt: skip
    paper.table(columns, rows)


def _services(paper: Paper, services: Iterable[Service], length: float, show: Show) -> None:
    columns = [
        Column("Service", 46, bold=True), Column("Side", 12), Column("Size", 32, "right"),
        Column("Kept clear", 24, "right"), Column("From left", 28, "right"), Column("From right", 28, "right"),
        Column("From floor", 28, "right"), Column("Runs to, goes", 70),
    ]  # fmt: skip
    rows = []
    for s in services:
        size = " x ".join(show(v / 10) for v in s.size or (s.diameter,))
        way = [f"to {show(s.to[0] / 10)} from the left, {show(s.to[1] / 10)} up"] if s.to is not None else []
        way += [WAYS[s.goes]] if WAYS[s.goes] else []
        rows.append(
            [
                s.name, s.side, size, show(s.clearance / 10), show(s.at[0] / 10), show(length - s.at[0] / 10),
                show(s.at[1] / 10), ", ".join(way),
            ]
        )  # fmt: skip
    paper.table(columns, rows)


def _bored(paper: Paper, bored: Any, show: Show) -> None:
    columns = [
        Column("Piece", 24, bold=True), Column("What", 34), Column("For", 60), Column("Diameter", 30, "right"),
        Column("Middle from its lower or left end", 60, "right"), Column("Wood left at each face", 40, "right"),
    ]  # fmt: skip
    rows = [
        [str(r.member), str(r.role), str(r.service), show(r.diameter), show(r.along), show(r.from_edge)]
        for r in bored.itertuples()
    ]
    paper.table(columns, rows)


def pierced_pages(paper: Paper, design: Any, show: Show) -> None:
    """Draw every board that a service comes through, seen from its face, with its holes measured from its edges."""
    holes = design.board_holes
    if not len(holes):
        return
    by_mark = {b.mark: b for b in design.frame.boards}
    marks = list(dict.fromkeys(holes["board"]))
    paper.page(f"Holes in boards: {len(marks)} {'boards' if len(marks) > 1 else 'board'}")
    paper.paragraph(
        "Each board seen from its face, as it stands on the wall. Distances are from the board's edges to the middle "
        "of the hole; cut it before the board is put up.",
        8.5,
    )
    numbers = {}
    for mark in marks:
        for number, row in enumerate(holes[holes["board"] == mark].itertuples(), 1):
            numbers[row.Index] = number
    _draw_boards(paper, [by_mark[mark] for mark in marks], holes, numbers)
    columns = [
        Column("Board", 24, bold=True), Column("Hole", 14, "right"), Column("For", 62), Column("Shape", 22),
        Column("Size", 34, "right"), Column("From left", 28, "right"), Column("From right", 28, "right"),
        Column("From bottom", 28, "right"), Column("From top", 28, "right"),
    ]  # fmt: skip
    rows = [
        [
            str(r.board), f"{numbers[r.Index]}", str(r.service), str(r.shape),
            show(r.width) if r.shape == "round" else f"{show(r.width)} x {show(r.height)}", show(r.from_left),
            show(r.from_right), show(r.from_bottom), show(r.from_top),
        ]
        for r in holes.itertuples()
    ]  # fmt: skip
    paper.table(columns, rows)


def _draw_boards(paper: Paper, boards: Sequence[Board], holes: Any, numbers: dict[Any, int]) -> None:
    step = (RIGHT - LEFT) / ACROSS
    widest = max(b.width for b in boards) / 10
    highest = max(b.height for b in boards) / 10
    most = TALL if len(boards) > ACROSS else TALL_ALONE
    scale = min((step - 12) / widest, (most - 6) / highest)
    tall = highest * scale
    for place, board in enumerate(boards):
        column = place % ACROSS
        if column == 0:
            if place:
                paper.y += tall + 9
            paper.need(tall + 9)
        x0, y0 = LEFT + column * step, paper.y + 5
        paper.text((x0, y0 - 1.4), shorten(f"{board.mark}, side {board.side}", step - 4, 8.5), 8.5, bold=True)
        _draw_board(paper, board, holes[holes["board"] == board.mark], numbers, Scale(x0, y0, scale))
    paper.y += tall + 11


def _draw_board(paper: Paper, board: Board, holes: Any, numbers: dict[Any, int], scale: Scale) -> None:
    flip = board.side == "B"

    def at(x: int, y: int) -> tuple[float, float]:
        across = board.right - x if flip else x - board.x
        return scale.point(across / 10, (board.top - y) / 10)

    corners = [at(x, y) for x, y in board.outline]
    for (xa, ya), (xb, yb) in zip(corners, [*corners[1:], corners[0]], strict=True):
        paper.line(xa, ya, xb, yb, 0.9)
    for left, bottom, right, top in board.holes:
        (xa, ya), (xb, yb) = at(left, top), at(right, bottom)
        paper.box((min(xa, xb), ya, abs(xb - xa), yb - ya), width=0.7)
    taken = []
    for r in holes.itertuples():
        x, y = scale.point(r.from_left, r.from_top)
        w, h = max(r.width * scale.scale, 0.9), max(r.height * scale.scale, 0.9)
        put = paper.oval if r.shape == "round" else paper.box
        put((x - w / 2, y - h / 2, w, h), fill="white", width=0.8)
        taken.append((x, y, w, h))
    for r, (x, y, w, h) in zip(holes.itertuples(), tuple(taken), strict=True):
        number = f"{numbers[r.Index]}"
        wide, tall = text_width(number, 7) + 0.4, 2.4
        around = [(x + i * (w + wide + 0.8) / 2, y + j * (h + tall + 0.6) / 2) for i, j in _SPOTS]
        left, right = scale.x, scale.point(board.width / 10, 0)[0]
        inside = [s for s in around if left < s[0] - wide / 2 and s[0] + wide / 2 < right]
        spot = next((s for s in inside if not _covers((*s, wide, tall), taken)), around[0])
        taken.append((*spot, wide, tall))
        paper.text(spot, number, 7, align="center", turn=0)


_SPOTS = ((1, -1), (1, 0), (1, 1), (0, -1), (0, 1), (-1, -1), (-1, 0), (-1, 1))
"""Where a hole's number is tried, from the hole's middle: right, above, below, left."""


def _covers(
    box: tuple[float, float, float, float], taken: Iterable[tuple[float, float, float, float]]
) -> bool:
    """Return whether a box (middle, width, height) meets another."""
    x, y, w, h = box
    return any(abs(x - a) < (w + c) / 2 and abs(y - b) < (h + d) / 2 for a, b, c, d in taken)
