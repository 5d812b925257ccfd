"""Rows of board screws: how far apart, how far from edges, between which ends.

All lengths are integers of 0.1 mm.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from wallcalc.geometry.rectangles import Clear, spans
from wallcalc.records import Board, Member


@dataclass(frozen=True, slots=True)
class Spacing:
    """How boards are screwed, 0.1 mm.

    Attributes
    ----------
    most : int
        Largest distance between neighbouring screws along a support.
    corner : int
        The same along an external angle (the edges of an opening).
    edge_bound, edge_cut : int
        Least distance from a bound and from a cut edge of the board.
    timber_edge : int
        Least distance from the edge of the timber.
    """

    most: int
    corner: int
    edge_bound: int
    edge_cut: int
    timber_edge: int


@dataclass(frozen=True, slots=True)
class ScrewLine:
    """A row of screws of one board along one support.

    ``board`` and ``member`` are marks, the ends are the first and last screw, ``count`` the number of
    screws set at equal distances.
    """

    board: str
    side: str
    layer: int
    member: str
    x1: int
    y1: int
    x2: int
    y2: int
    count: int

    def points(self) -> tuple[tuple[float, float], ...]:
        """Return where each screw goes, (x, y) in 0.1 mm."""
        if self.count == 1:
            return (((self.x1 + self.x2) / 2, (self.y1 + self.y2) / 2),)
        step = self.count - 1
        return tuple(
            (self.x1 + (self.x2 - self.x1) * i / step, self.y1 + (self.y2 - self.y1) * i / step)
            for i in range(self.count)
        )


def screws_along(length: int, most: int) -> int:
    """Return the number of screws on a line with one at each end and none further apart than ``most``.

    1 on a line without length.
    """
    return 1 if length <= 0 else -(-length // most) + 1


def beside_openings(
    y1: int, y2: int, member: Member, clears: Sequence[Clear], spacing: Spacing
) -> list[tuple[int, int, int]]:
    """Return the rows along an upright, closer where an opening is beside it, each as (from, to, number of screws)."""
    stops: list[tuple[int, int]] = []
    at = y1
    beside = [c for c in clears if c.left == member.right or c.right == member.x]
    for low, high in sorted((max(c.bottom, y1), min(c.top, y2)) for c in beside):
        if high > max(low, at):
            stops += [(low, spacing.most)] if low > at else []
            stops.append((high, spacing.corner))
            at = high
    if at < y2 or not stops:
        stops.append((y2, spacing.most))
    found = []
    at = y1
    for stop, most in stops:
        count = screws_along(stop - at, most)
        if not found:
            found.append((at, stop, count))
        elif count > 1:  # the first of them is the last of the row before
            found.append((at + (stop - at) // (count - 1), stop, count - 1))
        at = stop
    return found


def infill(x1: int, x2: int, stops: Sequence[int], slack: int, most: int) -> list[tuple[int, int, int]]:
    """Return (first, last, count) of the screws of a level support between the rows that hold it already.

    ``stops`` are where upright rows cross or end at the support; an end of it that is within ``slack`` of one
    needs no screw of its own.
    """
    if not stops:
        return [(x1, x2, screws_along(x2 - x1, most))]
    out = []
    if stops[0] - x1 > slack:
        number = -(-(stops[0] - x1) // most)
        out.append((x1, stops[0] - (stops[0] - x1) // number, number))
    for a, b in pairwise(stops):
        number = -(-(b - a) // most) - 1
        if number > 0:
            step = (b - a) / (number + 1)
            out.append((round(a + step), round(b - step), number))
    if x2 - stops[-1] > slack:
        number = -(-(x2 - stops[-1]) // most)
        out.append((stops[-1] + (x2 - stops[-1]) // number, x2, number))
    return out


@dataclass(frozen=True, slots=True)
class Reach:
    """What a board covers in one direction: its two ends, 0.1 mm, and their names among its bound edges."""

    low: int
    high: int
    bound: Sequence[str]
    names: tuple[str, str]

    def keep(self, end: int, spacing: Spacing) -> int:
        """Return how far a screw stays from an end (0 the lower, 1 the upper), 0.1 mm."""
        return spacing.edge_bound if self.names[end] in self.bound else spacing.edge_cut


def row_across(board: Reach, low: int, high: int, spacing: Spacing) -> int:
    """Return where the row runs across a member: its middle, or in from the board's edge that lies on it."""
    first, last = max(board.low, low), min(board.high, high)
    edge = min(spacing.timber_edge, (last - first) // 2)
    if first == board.low and board.low > low:
        return min(board.low + board.keep(0, spacing), last - edge)
    if last == board.high and board.high < high:
        return max(board.high - board.keep(1, spacing), first + edge)
    return (first + last) // 2


def stretch(board: Board, low: int, high: int, *, upright: bool) -> Reach:
    """Return a stretch across a board: its ends are bound edges only where they are the board's outermost."""
    names = ("bottom", "top") if upright else ("left", "right")
    outer = (board.y, board.top) if upright else (board.x, board.right)
    at = zip(names, (low, high), outer, strict=True)
    return Reach(low, high, [n for n, end, edge in at if end == edge and n in board.bound_edges], names)


def stretches(board: Board, at: int, *, upright: bool) -> list[Reach]:
    """Return where a line across a board lies in it, in order; what is cut out of the board is left out."""
    i, j = (0, 1) if upright else (1, 0)
    ends = [v for span in spans(board.outline, at, upright=upright) for v in span]
    ends += [v for hole in board.holes if hole[i] <= at < hole[i + 2] for v in (hole[j], hole[j + 2])]
    ends.sort()
    return [stretch(board, a, b, upright=upright) for a, b in zip(ends[::2], ends[1::2], strict=True)]


def between_edges(low: int, high: int, board: Reach, spacing: Spacing) -> tuple[int, int]:
    """Return the first and last screw of a row: in from the edges of the board and from those of the timber."""
    first = max(low + spacing.timber_edge, board.low + board.keep(0, spacing))
    last = min(high - spacing.timber_edge, board.high - board.keep(1, spacing))
    if first > last and high > low:
        first = last = (low + high) // 2
    return first, last
