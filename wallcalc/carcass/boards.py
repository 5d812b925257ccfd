"""Boards as fixed, with their marks: what was laid in a lining becomes pieces. All lengths are integers of 0.1 mm."""

from __future__ import annotations

from collections.abc import Sequence

from wallcalc.boarding.course import Laid, Shape
from wallcalc.boarding.courses import Lining
from wallcalc.geometry.sloped import edges_at
from wallcalc.records import EDGES, Board, CutOut


def marked_boards(
    lining: Lining, laid: Sequence[tuple[int, Laid]]
) -> list[tuple[Board, tuple[str, str, str, str]]]:
    """Return the boards of a lining, marked, each with the kinds of its edges: left, right, bottom, top."""
    pieces = []
    for course, board in laid:
        for patch, shape, kinds in zip(board.patches, board.shapes, board.kinds, strict=True):
            pieces.append((course, patch, shape, kinds))
    pieces.sort(key=lambda p: (p[0], p[1].box[0], p[1].box[1]))
    groups: dict[tuple, str] = {}
    found = []
    for number, (course, patch, shape, kinds) in enumerate(pieces, start=1):
        x0, y0, x1, y1 = patch.box
        key = (shape, tuple((x - x0, y - y0) for x, y in patch.outline), patch.holes and (x0, y0))
        groups.setdefault(key, f"{lining.side}{lining.layer}-{number}")
        named = dict(zip(EDGES, (kinds[0], kinds[1], kinds[3], kinds[2]), strict=True))
        bound = {e for e, k in named.items() if k == "bound"}
        if shape[2] == 2:
            bound |= {"top", "bottom"} if lining.lying else {"left", "right"}
        bound = _real_edges(patch.outline, bound)
        board = Board(
            mark=f"{lining.side}{lining.layer}-{number}",
            side=lining.side,
            layer=lining.layer,
            course=course,
            product=lining.product,
            x=x0,
            y=y0,
            width=x1 - x0,
            height=y1 - y0,
            outline=patch.outline,
            bound_edges=tuple(e for e in EDGES if e in bound),
            lying=lining.lying,
            need_bound=shape[2],
            cut_outs=_face_up(shape, lining),
            holes=patch.holes,
            cut_group=groups[key],
        )
        found.append((board, kinds))
    return found


def _face_up(shape: Shape, lining: Lining) -> tuple[CutOut, ...]:
    """Return a blank's cut-outs as seen from its face.

    Boards are laid in the elevation seen from side A. Upright boards of side B and boards on their side of side A
    would be drawn from the back: those are turned end for end, which leaves their long edges where they are.
    """
    along, cut_outs = shape[0], shape[3]
    if lining.lying != (lining.side == "A"):
        return cut_outs
    return tuple(CutOut(along - c.along - c.length, c.across, c.length, c.width, c.bound) for c in cut_outs)


def _real_edges(board_outline: Sequence[tuple[int, int]], bound: set[str]) -> set[str]:
    """Return the bound edges that are there: a board cut to a point has no edge on that side."""
    xs, ys = [x for x, _ in board_outline], [y for _, y in board_outline]
    at = {"left": min(xs), "right": max(xs), "top": max(ys), "bottom": min(ys)}
    return {e for e in EDGES if e in bound and edges_at(board_outline, at[e], upright=e in ("left", "right"))}
