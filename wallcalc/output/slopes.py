"""Printed tables of what is cut to a slope: long and short points of timber, corners of boards."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from wallcalc.framing.tapers import bevels_text, piece, solid_at, stands
from wallcalc.output.page import LEFT, RIGHT, Column, Paper
from wallcalc.records import LEVEL

Show = Callable[[float], str]


def sloped_timber(paper: Paper, design: Any, show: Show) -> None:
    """Put the table of timber cut to a slope, if any: from the longest point, the shorter side, degrees off square."""
    pieces = [m for m in getattr(design.frame, "members", ()) if m.outline]
    if not pieces:
        return
    paper.heading2("Pieces cut to a slope")
    paper.paragraph(
        "Cut from the bar by the long point, tip to tip. Bevels in degrees off a square cut: the lower end before the "
        "upper of uprights, the left before the right of plates and noggins. A letter says where the cut leaves the "
        "piece longer: an upright on its left (L) or right (R) side, seen from side A, other pieces at their top (T) "
        "or bottom (B) face. Where a level piece is lower at an end than its section, it is cut along the slope of the "
        "plate there.",
        8.5,
    )
    groups: dict[tuple[str, ...], list[str]] = {}
    for m in pieces:
        long, short, low, high = piece(m)
        cuts = " / ".join(
            " and ".join(_cut(b, end, stands(m)) for b in ends) for end, ends in ((0, low), (1, high))
        )
        ends = ""
        if m.role in LEVEL:
            ends = " / ".join(
                show((high - low) / 10) for low, high in (solid_at(m, x) for x in (m.x, m.right))
            )
        key = (m.role, show(long / 10), show(short / 10), ends, cuts if bevels_text(m) else "square")
        groups.setdefault(key, []).append(m.mark)
    columns = [
        Column("Marks", RIGHT - LEFT - 144, bold=True),
        Column("What", 26),
        Column("Long point", 24, "right"),
    ]
    columns += [Column("Short side", 24, "right"), Column("End heights", 30, "right"), Column("Bevels", 40)]
    paper.table(columns, [[", ".join(marks), *key] for key, marks in groups.items()])


def _cut(bevel: float, end: int, upright: bool) -> str:
    """Return a bevel as text: degrees, and the side or face on which the piece is longer at that end."""
    if bevel == 0:
        return "0"
    # right where an upper end rises to the right or a lower one falls, top where either end leans outwards
    further = (bevel > 0) == bool(end)
    return f"{abs(bevel):g} {('LR' if upright else 'BT')[further]}"


def sloped_boards(paper: Paper, design: Any, show: Show) -> None:
    """Put the table of boards cut to a slope, if any is: their corners from the lower left corner of the blank."""
    rows = []
    for b in getattr(design.frame, "boards", ()):
        sides = zip(b.outline, [*b.outline[1:], b.outline[0]], strict=True)
        if all(p[0] == q[0] or p[1] == q[1] for p, q in sides):
            continue
        face = [((x - b.x if b.side == "A" else b.right - x) / 10, (y - b.y) / 10) for x, y in b.outline]
        if b.side == "B":
            face.reverse()
        first = face.index(min(face, key=lambda c: (c[1], c[0])))
        face = face[first:] + face[:first]
        corners = "; ".join(f"{show(x)}, {show(y)}" for x, y in face)
        rows.append([b.mark, f"{show(b.width / 10)} x {show(b.height / 10)}", corners])
    if not rows:
        return
    paper.heading2("Boards cut to a slope")
    paper.paragraph(
        "Each board as it stands on the wall, seen from its face. Corners from the lower left corner of the blank: to "
        "the right, up.",
        8.5,
    )
    columns = [Column("Board", 20, bold=True), Column("Blank, wide x high", 46)]
    columns += [Column("Corners: right, up", RIGHT - LEFT - 66)]
    paper.table(columns, rows)
