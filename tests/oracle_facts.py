"""A design's records next to shapely's view of them, for what has to hold of every design.

Nothing here uses the product's own geometry: polygons are shapely's, rules are read from the rule book by key.
Lengths are integers of 0.1 mm.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cached_property
from itertools import combinations, pairwise

import numpy as np
import shapely

from wallcalc.records import Board, Member

VERTICAL = ("end stud", "stud", "double stud", "jamb stud", "trimmer", "short stud")
MODULE = ("stud", "double stud", "short stud")
HAIR = 1.0
"""Tolerance of areas, (0.1 mm)^2, and of odd halves of a tenth of a millimetre."""


class Facts:
    """A design's records next to shapely's view of them."""

    def __init__(self, design) -> None:
        self.design = design
        self.frame = design.frame
        self.option = design.option
        self.rules = design.rules
        self.length, self.height = self.frame.length, self.frame.height
        self.thickness = min(m.width for m in self.frame.members if m.role == "end stud")
        self.lining_low = design.wall.floor_build_up + self.t("board.floor_gap")
        self.lining_high = self.height - self.t("board.ceiling_gap")
        self.head = self.height - self.t("frame.head_packing") - self.thickness
        wall = design.wall
        self.uneven = len({h for _, h in wall.heights}) > 1 or any(y for _, y in wall.floor_levels)
        places = sorted({0, self.length, *(x for x, _ in wall.heights), *(x for x, _ in wall.floor_levels)})
        levels = wall.floor_levels or ((0, 0),)
        self.floor_line = [(x, float(np.interp(x, *zip(*levels, strict=True)))) for x in places]
        self.ceiling_line = [
            (x, y + float(np.interp(x, *zip(*wall.heights, strict=True)))) for x, y in self.floor_line
        ]
        self.slack = 0.0
        """What rounding to 0.1 mm inwards may take off an area, (0.1 mm)^2."""
        if self.uneven:
            self.slack = 2.0 * (shapely.LineString(self.floor_line).length + self.ceiling_length)

    def t(self, key: str) -> int:
        return self.rules.tenths(key)

    @property
    def ceiling_length(self) -> float:
        return shapely.LineString(self.ceiling_line).length

    def between(self, up: float, down: float) -> shapely.Polygon:
        """What lies a height over the floor and another under the ceiling."""
        low = [(x, y + up) for x, y in self.floor_line]
        high = [(x, y - down) for x, y in reversed(self.ceiling_line)]
        return shapely.Polygon([*low, *high])

    @cached_property
    def wall(self) -> shapely.Polygon:
        return self.between(0, 0)

    @cached_property
    def face(self) -> shapely.Geometry:
        up = self.design.wall.floor_build_up + self.t("board.floor_gap")
        return self.between(up, self.t("board.ceiling_gap")).difference(self.openings)

    def name(self, m: Member | Board) -> str:
        return f"{m.mark} ({m.x}, {m.y}) {m.width} x {m.height}"

    @cached_property
    def members(self) -> list[Member]:
        return list(self.frame.members)

    @cached_property
    def member_boxes(self) -> np.ndarray:
        boxes = shapely.box(*np.array([(m.x, m.y, m.x + m.width, m.y + m.height) for m in self.members]).T)
        for i, m in enumerate(self.members):
            if m.outline:
                boxes[i] = shapely.Polygon(m.outline)
        return boxes

    @cached_property
    def openings(self) -> shapely.Geometry:
        return shapely.union_all([shapely.box(c.left, c.bottom, c.right, c.top) for c in self.frame.clears])

    @cached_property
    def linings(self) -> dict[tuple[str, int], list[Board]]:
        found: dict[tuple[str, int], list[Board]] = {}
        for b in self.frame.boards:
            found.setdefault((b.side, b.layer), []).append(b)
        return found

    @cached_property
    def polygons(self) -> dict[str, shapely.Polygon]:
        return {
            b.mark: shapely.Polygon(
                b.outline, [[(x0, y0), (x1, y0), (x1, y1), (x0, y1)] for x0, y0, x1, y1 in b.holes]
            )
            for b in self.frame.boards
        }

    @cached_property
    def timber(self) -> dict[str, shapely.Geometry]:
        """All timber that touches a face, in one piece, prepared."""
        found = {}
        for side in "AB":
            faces = np.array([side in m.faces for m in self.members])
            found[side] = shapely.union_all(self.member_boxes[faces])
            shapely.prepare(found[side])
        return found

    @cached_property
    def meetings(self) -> list[Meeting]:
        """Every straight line along which two boards of one lining meet, found from their polygons."""
        found = []
        for (side, layer), boards in self.linings.items():
            pairs = list(combinations(boards, 2))
            if not pairs:
                continue
            first = np.array([self.polygons[a.mark] for a, _ in pairs])
            second = np.array([self.polygons[b.mark] for _, b in pairs])
            for (a, b), line in zip(pairs, shapely.intersection(first, second), strict=True):
                for x0, y0, x1, y1 in _straight(line):
                    found.append(Meeting(side, layer, a, b, x0, y0, x1, y1))
        return found


class Meeting:
    """Two boards of one lining that meet along a straight line; ``low`` is the board to the left or below."""

    def __init__(self, side: str, layer: int, a: Board, b: Board, x0: int, y0: int, x1: int, y1: int) -> None:
        self.side, self.layer = side, layer
        self.upright = x0 == x1
        self.x0, self.y0, self.x1, self.y1 = x0, y0, x1, y1
        first = a.x < b.x if self.upright else a.y < b.y
        self.low, self.high = (a, b) if first else (b, a)
        ends = ("right", "left") if self.upright else ("top", "bottom")
        self.kinds = tuple(_kind(m, e, self) for m, e in zip((self.low, self.high), ends, strict=True))

    @property
    def length(self) -> int:
        return (self.x1 - self.x0) + (self.y1 - self.y0)

    def __str__(self) -> str:
        return (
            f"joint {self.side}{self.layer} ({self.x0}, {self.y0})-({self.x1}, {self.y1}) "
            f"{'-'.join(self.kinds)} of {self.low.mark} and {self.high.mark}"
        )


def _kind(board: Board, edge: str, meeting: Meeting) -> str:
    outermost = {
        "left": board.x,
        "right": board.x + board.width,
        "bottom": board.y,
        "top": board.y + board.height,
    }[edge]
    at = meeting.x0 if meeting.upright else meeting.y0
    return "bound" if edge in board.bound_edges and at == outermost else "cut"


def _straight(shape: shapely.Geometry) -> list[tuple[int, int, int, int]]:
    merged = shapely.line_merge(shape) if shape.geom_type == "MultiLineString" else shape
    found = []
    for part in getattr(merged, "geoms", [merged]):
        if part.geom_type != "LineString" or part.is_empty:
            continue
        for (xa, ya), (xb, yb) in pairwise(part.simplify(0).coords):
            found.append(tuple(round(v) for v in (min(xa, xb), min(ya, yb), max(xa, xb), max(ya, yb))))
    return found


def merged(pieces: Iterable[tuple[int, int]]) -> list[tuple[int, int]]:
    done: list[tuple[int, int]] = []
    for low, high in sorted(pieces):
        if done and low <= done[-1][1]:
            done[-1] = (done[-1][0], max(high, done[-1][1]))
        else:
            done.append((low, high))
    return done
