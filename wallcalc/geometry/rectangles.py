"""Integer rectangles and rectilinear outlines.

A rectangle is a tuple ``(left, bottom, right, top)`` of integers (0.1 mm in this package).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache

Rect = tuple[int, int, int, int]
Point = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Patch:
    """One connected piece of a rectangle with rectangles taken out of it.

    ``box`` is its bounding rectangle, ``outline`` its outer boundary anticlockwise from the lowest of its
    leftmost corners, ``holes`` the rectangles wholly inside it.
    """

    box: Rect
    outline: tuple[Point, ...]
    holes: tuple[Rect, ...] = ()


def clip(rect: Rect, window: Rect) -> Rect | None:
    """Return the part of a rectangle inside a window, or None when they share no area."""
    left, bottom = max(rect[0], window[0]), max(rect[1], window[1])
    right, top = min(rect[2], window[2]), min(rect[3], window[3])
    if left >= right or bottom >= top:
        return None
    return left, bottom, right, top


def corners(rect: Rect) -> tuple[Point, ...]:
    """Return the corners of a rectangle anticlockwise from the lower left."""
    left, bottom, right, top = rect
    return (left, bottom), (right, bottom), (right, top), (left, top)


def subtract(rect: Rect, cutters: Iterable[Rect]) -> tuple[Patch, ...]:
    """Return what is left of a rectangle when others are taken out of it, one patch a connected piece.

    Left to right, then bottom up. Pieces that touch only at a corner are separate.
    """
    cuts = [c for c in (clip(r, rect) for r in cutters) if c is not None]
    if not cuts:
        return (Patch(rect, corners(rect)),)
    xs, ys, pieces = _pieces_of(rect, cuts)
    patches = [
        Patch(
            (xs[box[0]], ys[box[1]], xs[box[2]], ys[box[3]]),
            tuple([(xs[i], ys[j]) for i, j in outer]),
            tuple(sorted((xs[a], ys[b], xs[c], ys[d]) for a, b, c, d in holes)),
        )
        for box, outer, holes in pieces
    ]
    return tuple(sorted(patches, key=lambda p: p.box[:2]))


def boxes(rect: Rect, cuts: Sequence[Rect]) -> list[Rect]:
    """Return the bounding rectangles of what :func:`subtract` leaves, in its order; the cutters lie inside."""
    xs, ys, pieces = _pieces_of(rect, cuts)
    found = [(xs[a], ys[b], xs[c], ys[d]) for (a, b, c, d), _, _ in pieces]
    return sorted(found, key=lambda box: box[:2])


def _pieces_of(rect: Rect, cuts: Sequence[Rect]) -> tuple[list[int], list[int], tuple[Piece, ...]]:
    """Return the lines of the grid that cutters make of a rectangle, and what is left of its cells."""
    xs = sorted({rect[0], rect[2], *(v for c in cuts for v in (c[0], c[2]))})
    ys = sorted({rect[1], rect[3], *(v for c in cuts for v in (c[1], c[3]))})
    taken = {
        (i, j)
        for c in cuts
        for i in range(xs.index(c[0]), xs.index(c[2]))
        for j in range(ys.index(c[1]), ys.index(c[3]))
    }
    return xs, ys, _pieces(len(xs) - 1, len(ys) - 1, frozenset(taken))


Piece = tuple[Rect, tuple[Point, ...], tuple[Rect, ...]]
"""A connected piece of a grid of cells, counted in cells: bounding rectangle, outline, holes."""


@lru_cache(maxsize=512)
def _pieces(columns: int, rows: int, taken: frozenset[Point]) -> tuple[Piece, ...]:
    """Return the connected pieces of a grid from which cells are taken; few grids occur, with many sizes."""
    solid = {(i, j) for i in range(columns) for j in range(rows)} - taken
    pieces = []
    while solid:
        group = _flood(solid)
        solid -= group
        pieces.append(_piece(group))
    return tuple(pieces)


def _flood(cells: set[Point]) -> set[Point]:
    todo = [min(cells)]
    group = set(todo)
    while todo:
        i, j = todo.pop()
        for cell in ((i + 1, j), (i - 1, j), (i, j + 1), (i, j - 1)):
            if cell in cells and cell not in group:
                group.add(cell)
                todo.append(cell)
    return group


def _piece(group: set[Point]) -> Piece:
    following: dict[Point, list[Point]] = {}
    for i, j in group:
        for beside, start, end in (
            ((i, j - 1), (i, j), (i + 1, j)),
            ((i + 1, j), (i + 1, j), (i + 1, j + 1)),
            ((i, j + 1), (i + 1, j + 1), (i, j + 1)),
            ((i - 1, j), (i, j + 1), (i, j)),
        ):
            if beside not in group:
                following.setdefault(start, []).append(end)
    loops = []
    while following:
        start = min(following)
        loop, here, came = [start], start, None
        while True:
            ends = following[here]
            nxt = ends[0] if len(ends) == 1 or came is None else _leftmost_turn(came, here, ends)
            ends.remove(nxt)
            if not ends:
                del following[here]
            came, here = here, nxt
            if here == start:
                break
            loop.append(here)
        loops.append(_drop_straight(loop))
    outer = min(loops, key=lambda lp: min(lp))
    holes = tuple(
        sorted(
            (min(x for x, _ in lp), min(y for _, y in lp), max(x for x, _ in lp), max(y for _, y in lp))
            for lp in loops
            if lp is not outer
        )
    )
    px, py = [x for x, _ in outer], [y for _, y in outer]
    return (min(px), min(py), max(px), max(py)), tuple(outer), holes


def _leftmost_turn(came: Point, here: Point, ends: list[Point]) -> Point:
    dx, dy = here[0] - came[0], here[1] - came[1]
    return max(ends, key=lambda e: dx * (e[1] - here[1]) - dy * (e[0] - here[0]))


def _drop_straight(loop: list[Point]) -> list[Point]:
    kept = [
        p
        for q, p, r in zip(loop[-1:] + loop[:-1], loop, loop[1:] + loop[:1], strict=True)
        if not (q[0] == p[0] == r[0] or q[1] == p[1] == r[1])
    ]
    first = kept.index(min(kept))
    return kept[first:] + kept[:first]


def covered(low: int, high: int, pieces: Iterable[tuple[int, int]]) -> bool:
    """Return whether intervals together cover the interval from low to high without a gap."""
    reach = low
    for start, end in sorted(pieces):
        if start > reach:
            break
        reach = max(reach, end)
        if reach >= high:
            return True
    return reach >= high


def spans(outline: Sequence[tuple[int, int]], at: int, *, upright: bool) -> tuple[tuple[int, int], ...]:
    """Return where a line across an outline lies inside it, rounded down where a side slopes.

    Lower and upper ends, ascending. On an edge itself, the inside to the right of (above) it counts.
    """
    i, j = (0, 1) if upright else (1, 0)
    crossings = []
    previous = outline[-1]
    for point in outline:
        if previous[j] == point[j] and min(previous[i], point[i]) <= at < max(previous[i], point[i]):
            crossings.append(point[j])
        elif previous[j] != point[j] and min(previous[i], point[i]) <= at < max(previous[i], point[i]):
            rise, run = point[j] - previous[j], point[i] - previous[i]
            crossings.append(previous[j] + rise * (at - previous[i]) // run)
        previous = point
    crossings.sort()
    return tuple(zip(crossings[::2], crossings[1::2], strict=True))


@dataclass(frozen=True, slots=True)
class Clear:
    """A structural opening: the clear rectangle left in the frame for a door or hatch.

    ``index`` is its place in ``wall.openings``, ``kind`` is "door" or "hatch".
    """

    index: int
    kind: str
    left: int
    right: int
    bottom: int
    top: int
