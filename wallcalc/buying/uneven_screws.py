"""Board screws of an uneven wall: along tapered studs, along plates that follow a slope, along level pieces.

The rules are those of :mod:`wallcalc.buying.screws`; here a row may slope, and a support begins and ends where its own
outline does. All lengths are integers of 0.1 mm.
"""

from __future__ import annotations

from collections.abc import Sequence

from wallcalc.buying.screw_rows import (
    ScrewLine,
    Spacing,
    beside_openings,
    between_edges,
    infill,
    row_across,
)
from wallcalc.geometry.profile import Line, Profile
from wallcalc.geometry.rectangles import Clear, spans
from wallcalc.geometry.sloped import sides_at
from wallcalc.records import LEVEL, PLATES, Board, Member

NEAR = 3
"""Pieces no further apart than the rounding of their corners touch, 0.1 mm."""

Post = tuple[int, int, int]
"""An upright row of screws: its place along the wall, its lower and upper end."""


def uneven_board_screws(
    board: Board,
    supports: Sequence[Member],
    clears: Sequence[Clear],
    spacing: Spacing,
    profile: Profile,
) -> list[ScrewLine]:
    """Return the rows of screws of one board of an uneven wall.

    Parameters
    ----------
    board : Board
        The board.
    supports : sequence of Member
        Members on its side that its rectangle covers.
    clears : sequence of Clear
        Openings: along their edges screws are closer.
    spacing : Spacing
        Distances, 0.1 mm.
    profile : Profile
        Lines of the wall.
    """
    flat = [m for m in supports if m.role in PLATES or m.role in LEVEL]
    uprights = sorted((m for m in supports if m not in flat), key=lambda m: (m.x, m.y))
    out: list[ScrewLine] = []
    posts: list[Post] = []
    for member in uprights:
        out += _upright(board, member, flat, clears, spacing, posts)
    reach = max((m.width for m in uprights), default=0)
    for member in sorted(flat, key=lambda m: (m.y, m.x)):
        if member.role in PLATES:
            out += _along_plate(board, member, clears, spacing, posts, reach, profile)
        else:
            out += _along_level(board, member, clears, spacing, posts, reach)
    return out


def _row(board: Board, member: Member, x1: int, y1: int, x2: int, y2: int, count: int) -> ScrewLine:
    return ScrewLine(board.mark, board.side, board.layer, member.mark, x1, y1, x2, y2, count)


def _upright(
    board: Board,
    member: Member,
    flat: Sequence[Member],
    clears: Sequence[Clear],
    spacing: Spacing,
    posts: list[Post],
) -> list[ScrewLine]:
    x = row_across(
        board.x, board.right, member.x, member.right, board.bound_edges, ("left", "right"), spacing
    )
    own = sides_at(member.corners, x)
    if own is None:
        return []
    low, high = own
    for other in flat:
        if other.x <= x <= other.right:
            sides = sides_at(other.corners, x)
            if sides is not None and abs(sides[1] - own[0]) <= NEAR:
                low = sides[0]
            elif sides is not None and abs(sides[0] - own[1]) <= NEAR:
                high = sides[1]
    out = []
    for lo, hi in spans(board.outline, x, upright=True):
        first, last = max(lo, low), min(hi, high)
        y1, y2 = between_edges(first, last, lo, hi, board.bound_edges, ("bottom", "top"), spacing)
        if y1 > y2:
            continue
        posts.append((x, first, last))
        rows = beside_openings(y1, y2, member, clears, spacing)
        out += [_row(board, member, x, a, x, b, count) for a, b, count in rows]
    return out


def _stops(
    posts: Sequence[Post], heights: Sequence[tuple[int, int]], member: Member, reach: int
) -> list[int]:
    """Places of upright rows that hold a support already; ``heights`` pairs a place with the row's height there."""
    at = dict(heights)
    return sorted(
        {
            x
            for x, low, high in posts
            if x in at and low <= at[x] <= high and member.x - reach <= x <= member.right + reach
        }
    )


def _along_level(
    board: Board,
    member: Member,
    clears: Sequence[Clear],
    spacing: Spacing,
    posts: Sequence[Post],
    reach: int,
) -> list[ScrewLine]:
    y = row_across(board.y, board.top, member.y, member.top, board.bound_edges, ("bottom", "top"), spacing)
    most = spacing.corner if _at_opening(member, clears) else spacing.most
    pieces = spans(member.corners, y, upright=False)
    out = []
    for lo, hi in spans(board.outline, y, upright=False):
        for left, right in pieces:
            x1, x2 = between_edges(
                max(lo, left), min(hi, right), lo, hi, board.bound_edges, ("left", "right"), spacing
            )
            if x1 > x2:
                continue
            stops = _stops(posts, [(x, y) for x, _, _ in posts], member, reach)
            for a, b, count in infill(x1, x2, stops, spacing.edge_cut + spacing.timber_edge, most):
                if count > 0:
                    out.append(_row(board, member, a, y, b, y, count))
    return out


def _along_plate(
    board: Board,
    member: Member,
    clears: Sequence[Clear],
    spacing: Spacing,
    posts: Sequence[Post],
    reach: int,
    profile: Profile,
) -> list[ScrewLine]:
    hanging = member.role == "head plate"
    edge = profile.high if hanging else profile.low

    def height(x: int) -> int | None:
        sides, lining = sides_at(member.corners, x), sides_at(board.outline, x)
        if sides is None or lining is None:
            return None
        low, high = (sides[0], lining[1]) if hanging else (lining[0], sides[1])
        if low > high:
            return None
        names = ("bottom", "top")
        ends = (low - FAR, high) if hanging else (low, high + FAR)
        return row_across(*ends, sides[0], sides[1], board.bound_edges, names, spacing)

    most = spacing.corner if _at_opening(member, clears) else spacing.most
    out = []
    for lo, hi in _edge_runs(board, edge):
        x1, x2 = between_edges(
            max(lo, member.x), min(hi, member.right), lo, hi, board.bound_edges, ("left", "right"), spacing
        )
        if x1 > x2:
            continue
        ends = height(x1), height(x2)
        if ends[0] is None or ends[1] is None:
            continue
        heights = [(x, h) for x, h in ((x, height(x)) for x, _, _ in posts) if h is not None]
        stops = _stops(posts, heights, member, reach)
        rise, run = ends[1] - ends[0], x2 - x1
        steep = (run * run + rise * rise) ** 0.5 / run if run else 1.0
        for a, b, count in infill(x1, x2, stops, spacing.edge_cut + spacing.timber_edge, int(most / steep)):
            ya, yb = (ends[0] + rise * (x - x1) // run if run else ends[0] for x in (a, b))
            if count > 0:
                out.append(_row(board, member, a, ya, b, yb, count))
    return out


FAR = 10**6
"""Beyond the other edge of any board, 0.1 mm."""


def _edge_runs(board: Board, line: Line) -> list[tuple[int, int]]:
    """Stretches of a board's edge that follow a line, left to right."""
    found = []
    points = board.outline
    for p, q in zip(points, [*points[1:], points[0]], strict=True):
        near = all(abs(y - line.under(x)) <= NEAR for x, y in (p, q))
        if p[0] != q[0] and near:
            found.append((min(p[0], q[0]), max(p[0], q[0])))
    return sorted(found)


def _at_opening(member: Member, clears: Sequence[Clear]) -> bool:
    return any(
        (member.y == c.top or member.top == c.bottom) and member.x < c.right and member.right > c.left
        for c in clears
    )
