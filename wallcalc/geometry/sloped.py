"""Shapes between two lines: what is left of a rectangle under a sloping ceiling and over an uneven floor.

Corners are whole tenths of a millimetre, rounded so that no shape reaches across a line; two shapes that meet at an
upright edge are rounded alike there, so they meet exactly. All lengths are integers of 0.1 mm.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from functools import lru_cache
from itertools import pairwise

from wallcalc.geometry.profile import Line
from wallcalc.geometry.rectangles import Patch, Point, Rect, clip, subtract

_Piece = tuple[int, int, int, int, int, int]
"""A slice of a shape: left and right, lower and upper end of its left side, lower and upper end of its right."""


def between(rect: Rect, cutters: Iterable[Rect], low: Line, high: Line) -> tuple[Patch, ...]:
    """Return what is left of a rectangle over one line and under another, with rectangles taken out of it.

    One for each connected piece, left to right, then bottom up.
    """
    left, bottom, right, top = rect
    if low.flat is not None and high.flat is not None:
        bottom, top = max(bottom, low.flat), min(top, high.flat)
        if bottom >= top:
            return ()
        return subtract((left, bottom, right, top), cutters)
    return _between(rect, tuple(cutters), low, high)


@lru_cache(maxsize=1 << 15)
def _between(rect: Rect, cutters: tuple[Rect, ...], low: Line, high: Line) -> tuple[Patch, ...]:
    left, bottom, right, top = rect
    cuts = [c for c in (clip(r, rect) for r in cutters) if c is not None]
    levels = {bottom, top, *(c[1] for c in cuts), *(c[3] for c in cuts)}
    turns = {left, right}
    for line, above in ((low, False), (high, True)):
        turns.update(x for x, _ in line.inner(left, right))
        for y in levels:
            turns.update(line.crossings(y, left, right, above=above))
    stops = sorted(turns | {x for c in cuts for x in (c[0], c[2])})
    slices: list[list[_Piece]] = []
    for u, v in pairwise(stops):
        solid = sorted((c[1], c[3]) for c in cuts if c[0] <= u and v <= c[2])
        under = (low.over(u), low.over(v), high.under(u), high.under(v))
        column = []
        at = bottom
        for lo, hi in [*solid, (top, top)]:
            if lo > at:
                piece = (u, v, max(at, under[0]), min(lo, under[2]), max(at, under[1]), min(lo, under[3]))
                tall = (piece[3] - piece[2], piece[5] - piece[4])
                if min(tall) >= 0 and max(tall) > 0:
                    column.append(piece)
            at = max(at, hi)
        slices.append(column)
    patches = [_patch(group, turns) for group in _groups(slices)]
    return tuple(sorted(patches, key=lambda p: p.box[:2]))


def _groups(slices: Sequence[Sequence[_Piece]]) -> list[list[_Piece]]:
    """Put slices that share part of an upright side together."""
    number: dict[_Piece, int] = {}
    groups: list[list[_Piece]] = []
    for column, following in pairwise([[], *slices]):
        for piece in following:
            touching = {number[p] for p in column if min(p[5], piece[3]) > max(p[4], piece[2])}
            home = min(touching, default=len(groups))
            if home == len(groups):
                groups.append([])
            for other in touching - {home}:
                for moved in groups[other]:
                    number[moved] = home
                groups[home] += groups[other]
                groups[other] = []
            groups[home].append(piece)
            number[piece] = home
    return [g for g in groups if g]


def _patch(pieces: Sequence[_Piece], turns: set[int]) -> Patch:
    following: dict[Point, list[Point]] = {}
    uprights: dict[int, list[tuple[int, int, int]]] = {}
    for u, v, bu, tu, bv, tv in pieces:
        following.setdefault((u, bu), []).append((v, bv))
        following.setdefault((v, tv), []).append((u, tu))
        if tv > bv:
            uprights.setdefault(v, []).append((bv, tv, 1))
        if tu > bu:
            uprights.setdefault(u, []).append((bu, tu, -1))
    for x, sides in uprights.items():
        stops = sorted({y for a, b, _ in sides for y in (a, b)})
        for a, b in pairwise(stops):
            way = sum(w for lo, hi, w in sides if lo <= a and b <= hi)
            if way > 0:
                following.setdefault((x, a), []).append((x, b))
            elif way < 0:
                following.setdefault((x, b), []).append((x, a))
    loops = []
    while following:
        start = min(following)
        loop, here, came = [start], start, None
        while True:
            ends = following[here]
            nxt = ends[0] if len(ends) == 1 or came is None else _leftmost(came, here, ends)
            ends.remove(nxt)
            if not ends:
                del following[here]
            came, here = here, nxt
            if here == start:
                break
            loop.append(here)
        loops.append(_plain(loop, turns))
    outer = min(loops, key=min)
    holes = tuple(sorted(_box(lp) for lp in loops if lp is not outer))
    return Patch(_box(outer), tuple(outer), holes)


def _leftmost(came: Point, here: Point, ends: list[Point]) -> Point:
    back = math.atan2(came[1] - here[1], came[0] - here[0])
    return min(ends, key=lambda e: (back - math.atan2(e[1] - here[1], e[0] - here[0])) % math.tau or math.tau)


def _plain(loop: list[Point], turns: set[int]) -> list[Point]:
    """Leave out points that are no corner: on a straight side, or where a line only passes over a cutter's edge."""
    passed = [p for q, p, r in _threes(loop) if p[0] in turns or q[0] == p[0] or r[0] == p[0]]
    kept = [
        p for q, p, r in _threes(passed) if (p[0] - q[0]) * (r[1] - p[1]) != (r[0] - p[0]) * (p[1] - q[1])
    ]
    first = kept.index(min(kept))
    return kept[first:] + kept[:first]


def _threes(loop: list[Point]) -> Iterable[tuple[Point, Point, Point]]:
    return zip(loop[-1:] + loop[:-1], loop, loop[1:] + loop[:1], strict=True)


def _box(loop: Sequence[Point]) -> Rect:
    xs, ys = [x for x, _ in loop], [y for _, y in loop]
    return min(xs), min(ys), max(xs), max(ys)


def edges_at(outline: Sequence[Point], at: int, *, upright: bool) -> list[tuple[int, int]]:
    """Return the sides of an outline that lie on an upright line at x (or a level line at y), 0.1 mm."""
    i, j = (0, 1) if upright else (1, 0)
    found = []
    for p, q in zip(outline, [*outline[1:], outline[0]], strict=True):
        if p[i] == q[i] == at:
            found.append((min(p[j], q[j]), max(p[j], q[j])))
    return found


def area2(outline: Sequence[Point]) -> int:
    """Return twice the area of an outline given anticlockwise, (0.1 mm)^2, exact."""
    return sum(
        x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in zip(outline, [*outline[1:], outline[0]], strict=True)
    )


def share_area(outline: Sequence[Point], window: Rect) -> bool:
    """Return whether an outline and a rectangle have area in common."""
    left, bottom, right, top = window
    points: list[tuple[float, float]] = list(outline)
    for axis, limit, sign in ((0, left, 1), (0, right, -1), (1, bottom, 1), (1, top, -1)):
        clipped: list[tuple[float, float]] = []
        for p, q in zip(points[-1:] + points[:-1], points, strict=True):
            a, b = sign * (p[axis] - limit), sign * (q[axis] - limit)
            if (a > 0 > b) or (a < 0 < b):
                part = a / (a - b)
                clipped.append((p[0] + (q[0] - p[0]) * part, p[1] + (q[1] - p[1]) * part))
            if b >= 0:
                clipped.append(q)
        points = clipped
        if len(points) < 3:
            return False
    return abs(area2(points)) > 1e-6  # type: ignore[arg-type]


def sides_at(outline: Sequence[Point], x: int) -> tuple[int, int] | None:
    """Return the lowest and highest height of an outline at a distance from the left, rounded inwards; None outside."""
    found: list[int] = []
    ceil: list[int] = []
    for (x1, y1), (x2, y2) in zip(outline, [*outline[1:], outline[0]], strict=True):
        if min(x1, x2) <= x <= max(x1, x2):
            if x1 == x2:
                found += [y1, y2]
                ceil += [y1, y2]
            else:
                found.append(y1 + (y2 - y1) * (x - x1) // (x2 - x1))
                ceil.append(y1 - ((y1 - y2) * (x - x1) // (x2 - x1)))
    return (min(ceil), max(found)) if found else None
