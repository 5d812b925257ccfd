"""Floor and ceiling of an uneven wall, and the lines that plates and boards follow under and over them.

A :class:`Line` runs straight between points in integers of 0.1 mm. Between its points it is exact (fractions);
whoever needs a whole number rounds it himself: down where something has to stay under the line, up where it has to
stay over it, so that no piece is drawn or cut across a line, and none is more than 0.1 mm short of it.
"""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections.abc import Iterable
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import pairwise

from wallcalc.geometry.rectangles import Clear

Point = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Line:
    """A line along the wall, straight between points (x, y) in order of x, 0.1 mm.

    ``flat`` is its height where it is level all along, else None: what level walls ask for is then known at once.
    """

    points: tuple[Point, ...]
    flat: int | None = field(init=False, compare=False, repr=False)

    def __post_init__(self) -> None:
        """Find out whether it is level."""
        first = self.points[0][1]
        level = all(y == first for _, y in self.points)
        object.__setattr__(self, "flat", first if level else None)

    @classmethod
    def through(cls, points: Iterable[Point]) -> Line:
        """Return the line through points, those in a straight run with their neighbours left out."""
        kept: list[Point] = []
        for point in points:
            while len(kept) > 1 and _straight(kept[-2], kept[-1], point):
                kept.pop()
            kept.append(point)
        return cls(tuple(kept))

    def _ends(self, x: int) -> tuple[Point, Point]:
        points = self.points
        i = min(max(bisect_left(points, (x, -(10**9))), 1), len(points) - 1)
        return points[i - 1], points[i]

    def at(self, x: int) -> Fraction:
        """Return the exact height at a distance from the left; ends run on straight."""
        if self.flat is not None:
            return Fraction(self.flat)
        (x1, y1), (x2, y2) = self._ends(x)
        return y1 + Fraction((y2 - y1) * (x - x1), x2 - x1)

    def under(self, x: int) -> int:
        """Return the height at a distance from the left rounded down, 0.1 mm."""
        if self.flat is not None:
            return self.flat
        (x1, y1), (x2, y2) = self._ends(x)
        return y1 + (y2 - y1) * (x - x1) // (x2 - x1)

    def over(self, x: int) -> int:
        """Return the height at a distance from the left rounded up, 0.1 mm."""
        if self.flat is not None:
            return self.flat
        (x1, y1), (x2, y2) = self._ends(x)
        return y1 - ((y1 - y2) * (x - x1) // (x2 - x1))

    def inner(self, left: int, right: int) -> tuple[Point, ...]:
        """Return the points strictly between two distances from the left."""
        points = self.points
        return points[bisect_right(points, (left, 10**9)) : bisect_left(points, (right, -(10**9)))]

    def least(self, left: int, right: int) -> int:
        """Return the lowest height between two distances from the left, rounded down, 0.1 mm."""
        if self.flat is not None:
            return self.flat
        return min(self.under(left), self.under(right), *(y for _, y in self.inner(left, right)))

    def most(self, left: int, right: int) -> int:
        """Return the highest height between two distances from the left, rounded up, 0.1 mm."""
        if self.flat is not None:
            return self.flat
        return max(self.over(left), self.over(right), *(y for _, y in self.inner(left, right)))

    def crossings(self, y: int, left: int, right: int, *, above: bool) -> list[int]:
        """Return where the line crosses a height, rounded to the side on which it is above (or below) that height."""
        found = []
        for (x1, y1), (x2, y2) in pairwise(self.points):
            if (y1 < y) == (y2 < y) and (y1 > y) == (y2 > y):
                continue
            if y1 == y2:
                continue
            upward = (y2 > y1) == above  # the wanted side is to the right of the crossing
            run, rise = (y - y1) * (x2 - x1), y2 - y1
            x = x1 + (-(-run // rise) if upward else run // rise)
            if left < x < right:
                found.append(x)
        return found

    def raised(self, by: int) -> Line:
        """Return the line moved upright, 0.1 mm."""
        return Line(tuple((x, y + by) for x, y in self.points)) if by else self

    def length(self, left: int, right: int) -> int:
        """Return the length along the line between two distances from the left, to the nearest 0.1 mm."""
        if self.flat is not None:
            return right - left
        stops = [(left, self.at(left)), *self.inner(left, right), (right, self.at(right))]
        return round(sum(math.hypot(float(b[0] - a[0]), float(b[1] - a[1])) for a, b in pairwise(stops)))

    def area2(self) -> int:
        """Return twice the area between the line and height 0, (0.1 mm)^2, exact."""
        return sum((x2 - x1) * (y1 + y2) for (x1, y1), (x2, y2) in pairwise(self.points))

    def offset(self, by: int) -> Line:
        """Return the parallel line at a distance square to it: above when positive, below when negative.

        The points are where neighbouring parallels meet (mitres), rounded away from the line, so that what lies
        between the two is nowhere thinner than the distance.

        Raises ValueError: where points are so close that mitres meet.
        """
        found: list[Point] = []
        slopes = [(x2 - x1, y2 - y1) for (x1, y1), (x2, y2) in pairwise(self.points)]
        lengths = [math.hypot(dx, dy) for dx, dy in slopes]
        for i, (x, y) in enumerate(self.points):
            if i in (0, len(slopes)):
                k = min(i, len(slopes) - 1)
                found.append((x, y + _away(by * lengths[k] / slopes[k][0])))
                continue
            (ax, ay), (bx, by_) = slopes[i - 1], slopes[i]
            na, nb = (-ay / lengths[i - 1], ax / lengths[i - 1]), (-by_ / lengths[i], bx / lengths[i])
            scale = by / (1 + na[0] * nb[0] + na[1] * nb[1])
            found.append((x + round(scale * (na[0] + nb[0])), y + _away(scale * (na[1] + nb[1]))))
        if any(a[0] >= b[0] for a, b in pairwise(found)):
            raise ValueError("mitres meet")
        return Line(tuple(found))


def _straight(a: Point, b: Point, c: Point) -> bool:
    return (b[0] - a[0]) * (c[1] - a[1]) == (c[0] - a[0]) * (b[1] - a[1])


def _away(value: float) -> int:
    """Round a distance away from nothing; noise of the last bits counts as whole."""
    near = round(value)
    if abs(value - near) < 1e-6:
        return near
    return math.ceil(value) if value > 0 else math.floor(value)


@dataclass(frozen=True, slots=True)
class Profile:
    """The lines of a wall, each from its left end to its right, 0.1 mm; constant where the wall is level.

    Attributes
    ----------
    floor, ceiling : Line
        As measured; the ceiling is the floor's level plus the height.
    under_packing : Line
        Upper side of the head plate: the ceiling less the packing at the head.
    sole, head : Line
        Upper side of the sole plate and underside of the head plate: what studs stand between. Plates follow floor
        and ceiling in straight pieces, mitred where a point was measured.
    low, high : Line
        Lower and upper edge of the linings.
    """

    floor: Line
    ceiling: Line
    under_packing: Line
    sole: Line
    head: Line
    low: Line
    high: Line

    @classmethod
    def between(
        cls,
        floor: Line,
        ceiling: Line,
        thickness: int,
        packing: int = 0,
        floor_gap: int = 0,
        ceiling_gap: int = 0,
    ) -> Profile:
        """Return the lines of a wall between a floor and a ceiling.

        Raises ValueError: where points are so close that plates cannot be mitred at them.
        """
        packed = ceiling.raised(-packing)
        return cls(
            floor,
            ceiling,
            packed,
            floor.offset(thickness),
            packed.offset(-thickness),
            floor.raised(floor_gap),
            ceiling.raised(-ceiling_gap),
        )

    @classmethod
    def level(cls, length: int, height: int, thickness: int, floor_gap: int = 0) -> Profile:
        """Return the lines of a level wall without packing; ``floor_gap`` is under the linings. Lengths in 0.1 mm."""
        floor, ceiling = Line(((0, 0), (length, 0))), Line(((0, height), (length, height)))
        return cls.between(floor, ceiling, thickness, floor_gap=floor_gap)

    @property
    def is_level(self) -> bool:
        """Whether floor and ceiling are level all along."""
        return self.floor.flat is not None and self.ceiling.flat is not None

    @property
    def length(self) -> int:
        """Length of the wall, 0.1 mm."""
        return self.floor.points[-1][0]

    @property
    def lowest(self) -> int:
        """Lowest level of the floor, 0.1 mm."""
        flat = self.floor.flat
        return flat if flat is not None else min(y for _, y in self.floor.points)

    @property
    def highest(self) -> int:
        """Highest level of the ceiling, 0.1 mm."""
        flat = self.ceiling.flat
        return flat if flat is not None else max(y for _, y in self.ceiling.points)

    @property
    def mean_height(self) -> float:
        """Area of the wall over its length, 0.1 mm."""
        return (self.ceiling.area2() - self.floor.area2()) / (2 * self.length)

    @property
    def perimeter(self) -> int:
        """Length along floor, ceiling and both ends, 0.1 mm."""
        ends = sum(int(self.ceiling.at(x) - self.floor.at(x)) for x in (0, self.length))
        return self.floor.length(0, self.length) + self.ceiling.length(0, self.length) + ends

    def upright(self, x: int, clear: Clear | None, thickness: int) -> int:
        """Return how much timber a stud takes: full height, or over and under an opening, 0.1 mm."""
        sole, head = self.sole.under(x), self.head.over(x)
        if clear is None:
            return head - sole
        under = max(0, clear.bottom - thickness - sole) if clear.kind == "hatch" else 0
        return max(0, head - clear.top - thickness) + under

    def tallest(self, width: int) -> int:
        """Return the height of the tallest board of a width, from the lowest to the highest of its edge, 0.1 mm."""
        if width >= self.length or self.is_level:
            return self.high.most(0, self.length) - self.low.least(0, self.length)
        marks = {x for line in (self.low, self.high) for x, _ in line.points}
        starts = {min(max(x, 0), self.length - width) for m in marks for x in (m, m - width)}
        return max(self.high.most(x, x + width) - self.low.least(x, x + width) for x in starts)
