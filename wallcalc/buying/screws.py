"""Board screws, counted along the real edges and supports of every board.

A board is screwed along every upright member that it covers, from edge to edge of the board, and along every level
member and plate between those lines; a row along a plate slopes with it, and a support begins and ends where its own
outline does. Boards that meet on one member are each screwed to it. All lengths are integers of 0.1 mm.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from wallcalc.buying.screw_rows import (
    Reach,
    ScrewLine,
    Spacing,
    beside_openings,
    between_edges,
    infill,
    row_across,
    stretch,
    stretches,
)
from wallcalc.geometry.profile import Line
from wallcalc.geometry.rectangles import spans
from wallcalc.geometry.sloped import sides_at
from wallcalc.records import FULL_HEIGHT, LEVEL, PLATES, Board, Frame, Member
from wallcalc.trade.rules import Rules

NEAR = 3
"""Pieces no further apart than the rounding of their corners touch, 0.1 mm."""

FAR = 10**6
"""Beyond the other edge of any board, 0.1 mm."""

Post = tuple[int, int, int]
"""An upright row of screws: its place along the wall, its lower and upper end."""


def spacing_of(rules: Rules, centres: int, *, base_layer: bool = False) -> Spacing:
    """Return the spacing that the rules ask for.

    In 0.1 mm.
    """
    near = centres <= rules.tenths("screw.close_studs_to")
    most = rules.tenths("screw.spacing_close_studs" if near else "screw.spacing")
    if base_layer:
        most = rules.tenths("screw.spacing_base_layer")
    return Spacing(
        most=most,
        corner=most if base_layer else min(most, rules.tenths("screw.spacing_corner")),
        edge_bound=rules.tenths("joint.edge_bound"),
        edge_cut=rules.tenths("joint.edge_cut"),
        timber_edge=rules.tenths("joint.timber_edge"),
    )


def largest_centres(frame: Frame) -> int:
    """Return the largest distance between the middles of neighbouring studs, openings left out.

    In 0.1 mm; 0 when there are fewer than two studs.
    """
    studs = sorted({m.x + m.width // 2 for m in frame.members if m.role in FULL_HEIGHT})
    return max(
        (
            b - a
            for a, b in pairwise(studs)
            if not any(c.kind == "door" and a < c.right and b > c.left for c in frame.clears)
        ),
        default=0,
    )


def screw_lines(frame: Frame, rules: Rules) -> tuple[ScrewLine, ...]:
    """Return the rows of screws of every board of a frame.

    In the order of the boards; upright supports first, from the left, then level ones from the floor up.
    """
    centres = largest_centres(frame)
    outer: dict[str, int] = {}
    for board in frame.boards:
        outer[board.side] = max(outer.get(board.side, 1), board.layer)
    spacings = {base: spacing_of(rules, centres, base_layer=base) for base in (False, True)}
    out: list[ScrewLine] = []
    for board in frame.boards:
        spacing = spacings[board.layer < outer[board.side]]
        out += board_screws(board, frame, spacing)
    return tuple(out)


def count_screws(lines: Iterable[ScrewLine]) -> dict[tuple[str, int], int]:
    """Return the number of screws by (side, layer).

    Keys (side, layer), in order.
    """
    total: dict[tuple[str, int], int] = {}
    for line in lines:
        key = (line.side, line.layer)
        total[key] = total.get(key, 0) + line.count
    return dict(sorted(total.items()))


def screw_length(thicknesses: Sequence[int], penetration: int) -> int:
    """Return the least length of a screw: the layers it goes through and its penetration into the timber.

    In 0.1 mm.
    """
    return sum(thicknesses) + penetration


def _supports(board: Board, members: Sequence[Member], least: int) -> list[Member]:
    """Return the members on the board's side of which it covers enough to be screwed to, openings aside."""
    side, left, right, low, top = (
        board.side,
        board.x + least,
        board.right - least,
        board.y + least,
        board.top - least,
    )
    return [
        m
        for m in members
        if m.x <= right
        and m.x + m.width >= left
        and m.y <= top
        and m.y + m.height >= low
        and side in m.faces
        and m.width >= least <= m.height
    ]


def board_screws(board: Board, frame: Frame, spacing: Spacing) -> list[ScrewLine]:
    """Return the rows of screws of one board: on upright supports from the left, then on level ones from the floor up.

    Along the edges of openings screws are closer.
    """
    supports = _supports(board, frame.members, spacing.edge_bound)
    flat = [m for m in supports if m.role in PLATES or m.role in LEVEL]
    uprights = sorted((m for m in supports if m not in flat), key=lambda m: (m.x, m.y))
    work = _Work(board, frame, spacing, max((m.width for m in uprights), default=0))
    out = [row for member in uprights for row in work.upright(member, flat)]
    for member in sorted(flat, key=lambda m: (m.y, m.x)):
        out += work.along_plate(member) if member.role in PLATES else work.along_level(member)
    return out


@dataclass(frozen=True, slots=True)
class _Work:
    """The screws of one board: its upright rows so far, and how far past a support's ends one still counts."""

    board: Board
    frame: Frame
    spacing: Spacing
    reach: int
    posts: list[Post] = field(default_factory=list)

    def _row(self, member: Member, start: tuple[int, int], end: tuple[int, int], count: int) -> ScrewLine:
        board = self.board
        return ScrewLine(board.mark, board.side, board.layer, member.mark, *start, *end, count)

    def upright(self, member: Member, flat: Sequence[Member]) -> list[ScrewLine]:
        """Rows along an upright, over the plates and level timber that it stands between."""
        board, spacing = self.board, self.spacing
        across = Reach(board.x, board.right, board.bound_edges, ("left", "right"))
        x = row_across(across, member.x, member.right, spacing)
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
        for up in stretches(board, x, upright=True):
            first, last = max(up.low, low), min(up.high, high)
            y1, y2 = between_edges(first, last, up, spacing)
            if y1 > y2:
                continue
            self.posts.append((x, first, last))
            rows = beside_openings(y1, y2, member, self.frame.clears, spacing)
            out += [self._row(member, (x, a), (x, b), count) for a, b, count in rows]
        return out

    def _stops(self, heights: Mapping[int, int], left: int, right: int) -> list[int]:
        """Places of upright rows that hold a run of a support; ``heights`` is where the support's row passes them."""
        return sorted(
            {
                x
                for x, low, high in self.posts
                if x in heights and low <= heights[x] <= high and left - self.reach <= x <= right + self.reach
            }
        )

    def _most(self, member: Member) -> int:
        """How far apart screws may be along level timber: closer at an opening."""
        at_opening = any(
            (member.y == c.top or member.top == c.bottom) and member.x < c.right and member.right > c.left
            for c in self.frame.clears
        )
        return self.spacing.corner if at_opening else self.spacing.most

    def along_level(self, member: Member) -> list[ScrewLine]:
        """Rows along level timber, between the upright rows that cross it."""
        board, spacing = self.board, self.spacing
        up = Reach(board.y, board.top, board.bound_edges, ("bottom", "top"))
        y = row_across(up, member.y, member.top, spacing)
        heights = {x: y for x, _, _ in self.posts}
        out = []
        for ends in stretches(board, y, upright=False):
            for left, right in spans(member.corners, y, upright=False):
                x1, x2 = between_edges(max(ends.low, left), min(ends.high, right), ends, spacing)
                if x1 > x2:
                    continue
                slack = spacing.edge_cut + spacing.timber_edge
                stops = self._stops(heights, max(ends.low, left), min(ends.high, right))
                for a, b, count in infill(x1, x2, stops, slack, self._most(member)):
                    if count > 0:
                        out.append(self._row(member, (a, y), (b, y), count))
        return out

    def along_plate(self, member: Member) -> list[ScrewLine]:
        """Rows along a plate, which may slope: their distances are measured along it."""
        board, spacing, profile = self.board, self.spacing, self.frame.profile
        edge = profile.high if member.role == "head plate" else profile.low
        out = []
        for lo, hi in _edge_runs(board, edge):
            left, right = max(lo, member.x), min(hi, member.right)
            x1, x2 = between_edges(left, right, stretch(board, lo, hi, upright=False), spacing)
            if x1 > x2:
                continue
            y1, y2 = self._on_plate(member, x1), self._on_plate(member, x2)
            if y1 is None or y2 is None:
                continue
            heights = {x: h for x, _, _ in self.posts if (h := self._on_plate(member, x)) is not None}
            rise, run = y2 - y1, x2 - x1
            steep = math.hypot(run, rise) / run if run else 1.0
            most = int((self._most(member) + 0.5) / steep)  # measured along the plate, to the nearest 0.1 mm
            slack = spacing.edge_cut + spacing.timber_edge
            for a, b, count in infill(x1, x2, self._stops(heights, left, right), slack, most):
                ya, yb = (y1 + rise * (x - x1) // run if run else y1 for x in (a, b))
                if count > 0:
                    out.append(self._row(member, (a, ya), (b, yb), count))
        return out

    def _on_plate(self, member: Member, x: int) -> int | None:
        """Height of the row along a plate at a place; None where the board does not cover the plate there."""
        board = self.board
        sides, lining = sides_at(member.corners, x), sides_at(board.outline, x)
        if sides is None or lining is None:
            return None
        hanging = member.role == "head plate"
        low, high = (sides[0], lining[1]) if hanging else (lining[0], sides[1])
        if low > high:
            return None
        ends = (low - FAR, high) if hanging else (low, high + FAR)
        return row_across(Reach(*ends, board.bound_edges, ("bottom", "top")), *sides, self.spacing)


def _edge_runs(board: Board, line: Line) -> list[tuple[int, int]]:
    """Stretches of a board's edge that follow a line, left to right, corners within one left out."""
    found: list[tuple[int, int]] = []
    points = board.outline
    for p, q in zip(points, [*points[1:], points[0]], strict=True):
        near = all(abs(y - line.under(x)) <= NEAR for x, y in (p, q))
        if p[0] != q[0] and near:
            found.append((min(p[0], q[0]), max(p[0], q[0])))
    joined: list[tuple[int, int]] = []
    for run in sorted(found):
        if joined and joined[-1][1] == run[0]:
            run = (joined.pop()[0], run[1])
        joined.append(run)
    return joined
