"""Where pipes, cables and boxes keep timber away: what no member may enter, what no upright may enter, runs.

A service comes through a lining at one place; from there it may run inside the wall, and drop or rise to a plate.
All lengths are integers of 0.1 mm; rectangles are (left, bottom, right, top) in the elevation seen from side A.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise

from wallcalc.geometry.rectangles import Clear, Point, Rect, clip
from wallcalc.given.parts import Service, is_box

Interval = tuple[int, int]
"""Left and right end of a stretch along the wall that stays free of timber; its ends may be touched."""


@dataclass(frozen=True, slots=True)
class Space:
    """A rectangle that one service keeps free; ``what`` is "opening", "drop" or "run"."""

    service: str
    what: str
    rect: Rect


@dataclass(frozen=True, slots=True)
class Drop:
    """An upright stretch of pipe at ``x`` from ``bottom`` to ``top``, reaching the sole or the head plate or neither.

    Level timber in its way is bored; uprights keep clear of it.
    """

    service: str
    x: int
    bottom: int
    top: int
    diameter: int
    clearance: int

    @property
    def rect(self) -> Rect:
        """What it keeps free of uprights, 0.1 mm."""
        half = (self.diameter + 1) // 2 + self.clearance
        return self.x - half, self.bottom, self.x + half, self.top


@dataclass(frozen=True, slots=True)
class Run:
    """A stretch of pipe along the wall from one point to another; uprights in its way are bored."""

    service: str
    start: tuple[int, int]
    end: tuple[int, int]
    diameter: int
    clearance: int

    def height_at(self, x: int) -> int:
        """Return the height of its middle at a distance from the left, 0.1 mm (that of the nearer end outside)."""
        (x0, y0), (x1, y1) = sorted((self.start, self.end))
        x = min(max(x, x0), x1)
        return y0 + (2 * (y1 - y0) * (x - x0) + (x1 - x0)) // (2 * (x1 - x0))

    def rect_between(self, left: int, right: int) -> Rect | None:
        """Return what it keeps free of level timber between two places, or None where it does not pass."""
        low, high = sorted((self.start[0], self.end[0]))
        half = (self.diameter + 1) // 2 + self.clearance
        a, b = max(left, low - half), min(right, high + half)
        if a >= b:
            return None
        ys = (self.height_at(a), self.height_at(b))
        return a, min(ys) - half, b, max(ys) + half


def opening_rect(service: Service) -> Rect:
    """Return what a service keeps free where it comes through: its opening and the clearance around it."""
    left, bottom, right, top = service.opening
    c = service.clearance
    return left - c, bottom - c, right + c, top + c


def end_rect(service: Service) -> Rect | None:
    """Return what the far end of a run keeps free where the pipe turns or goes through there, or None without one."""
    if service.to is None:
        return None
    half = (service.diameter + 1) // 2 + service.clearance
    x, y = service.to
    return x - half, y - half, x + half, y + half


def keep_clear(services: Iterable[Service]) -> tuple[Rect, ...]:
    """Return the rectangles that no member at all may enter.

    Around every place where a service comes through or a run ends: its opening with the clearance on all sides.
    """
    return tuple(space.rect for space in spaces(services))


def spaces(services: Iterable[Service]) -> tuple[Space, ...]:
    """Return the rectangles of :func:`keep_clear` with the names of their services."""
    found = []
    for s in services:
        found.append(Space(s.name, "opening", opening_rect(s)))
        end = end_rect(s)
        if end is not None:
            found.append(Space(s.name, "run", end))
    return tuple(found)


def runs(services: Iterable[Service]) -> tuple[Run, ...]:
    """Return the stretches along the wall; upright stretches are among :func:`drops`."""
    return tuple(
        Run(s.name, s.at, s.to, s.diameter, s.clearance)
        for s in services
        if s.to is not None and s.to[0] != s.at[0]
    )


def drops(services: Iterable[Service], height: int) -> tuple[Drop, ...]:
    """Return the upright stretches: down to the floor, up to the ceiling, or from one height to another.

    A box drops nothing: the cable behind it is not told.
    """
    found = []
    for s in services:
        x, y = s.to if s.to is not None else s.at
        if s.to is not None and s.to[0] == s.at[0]:
            low, high = sorted((s.at[1], s.to[1]))
            found.append(Drop(s.name, x, low, high, s.diameter, s.clearance))
        if is_box(s) and s.to is None:
            continue
        if s.goes == "down":
            found.append(Drop(s.name, x, 0, y, s.diameter, s.clearance))
        elif s.goes == "up":
            found.append(Drop(s.name, x, y, height, s.diameter, s.clearance))
    return tuple(found)


def meetings(services: Sequence[Service], height: int) -> tuple[tuple[str, str, int, int], ...]:
    """Return where pipes and cables in the wall would be in one place, both in the middle of its depth.

    Each pair of services once: their names, and the first place from the left, 0.1 mm.
    """
    ways = [(r.service, r.diameter, r.start, r.end) for r in runs(services)]
    ways += [(d.service, d.diameter, (d.x, d.bottom), (d.x, d.top)) for d in drops(services, height)]
    ways += [(s.name, s.diameter, s.at, s.at) for s in services if not is_box(s)]
    found: dict[tuple[str, str], tuple[int, int]] = {}
    for (one, wide, *first), (other, broad, *second) in combinations(ways, 2):
        apart, place = _nearest(*first, *second)
        if one != other and 2 * apart < wide + broad:
            pair = (one, other) if (other, one) not in found else (other, one)
            found[pair] = min(found.get(pair, place), place)
    return tuple((*pair, *place) for pair, place in found.items())


def _nearest(a: Point, b: Point, c: Point, d: Point) -> tuple[float, Point]:
    """Return how near two straight stretches come, from a to b and from c to d, and where, 0.1 mm."""
    one, other, between = (b[0] - a[0], b[1] - a[1]), (d[0] - c[0], d[1] - c[1]), (c[0] - a[0], c[1] - a[1])
    turn = one[0] * other[1] - one[1] * other[0]
    if turn:
        t = (between[0] * other[1] - between[1] * other[0]) / turn
        u = (between[0] * one[1] - between[1] * one[0]) / turn
        if 0 <= t <= 1 and 0 <= u <= 1:
            return 0.0, (round(a[0] + t * one[0]), round(a[1] + t * one[1]))
    return min(_beside(p, *line) for p, line in ((a, (c, d)), (b, (c, d)), (c, (a, b)), (d, (a, b))))


def _beside(p: Point, a: Point, b: Point) -> tuple[float, Point]:
    """Return how far a point is from a straight stretch, and the point."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    length = dx * dx + dy * dy
    t = min(max(((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / length, 0), 1) if length else 0
    return math.hypot(p[0] - a[0] - t * dx, p[1] - a[1] - t * dy), p


def closed_to_uprights(services: Sequence[Service], height: int) -> tuple[Space, ...]:
    """Return the rectangles that no upright may enter: those of :func:`keep_clear` and the drops."""
    dropped = (Space(d.service, "drop", d.rect) for d in drops(services, height))
    return (*spaces(services), *dropped)


def closed_intervals(
    services: Sequence[Service], clears: Sequence[Clear], height: int, head: int, thickness: int
) -> dict[int, tuple[Interval, ...]]:
    """Return where along the wall no upright may stand, by zone.

    Zone -1 is for full-height studs: every service closes its stretch. The zones of the openings are for short
    studs: a service counts where it lies in the height in which they stand, over or under the opening.

    Intervals by zone, left to right, apart from one another. Empty without services.
    """
    return dict(closed_of(services, clears, height, head, thickness).intervals)


@dataclass(frozen=True, slots=True)
class Closed:
    """What services close to uprights, by zone (see :func:`closed_intervals`), and which services do.

    ``spaces`` are the rectangles behind the intervals, those that count in each zone.
    """

    intervals: Mapping[int, tuple[Interval, ...]]
    spaces: Mapping[int, tuple[Space, ...]]

    def __bool__(self) -> bool:
        return bool(self.intervals)

    def free(self, left: int, right: int, zone: int) -> bool:
        """Return whether timber from left to right stays out of every closed interval of its zone."""
        return free(left, right, zone, self.intervals)

    def names(self, left: int, right: int, zone: int) -> tuple[str, ...]:
        """Return the services that close a stretch, each once, left to right."""
        hit = (s for s in self.spaces.get(zone, ()) if s.rect[0] < right and left < s.rect[2])
        return tuple(dict.fromkeys(s.service for s in sorted(hit, key=lambda s: s.rect)))


OPEN = Closed({}, {})
"""Nothing closed: a wall without services."""


def closed_of(
    services: Sequence[Service], clears: Sequence[Clear], height: int, head: int, thickness: int
) -> Closed:
    """Return what services close to uprights; parameters as for :func:`closed_intervals`."""
    if not services:
        return OPEN
    closed = closed_to_uprights(services, height)
    by_zone = {-1: closed}
    for zone, c in enumerate(clears):
        stretches = [(c.left, c.top + thickness, c.right, head)]
        if c.bottom > 0:
            stretches.append((c.left, thickness, c.right, c.bottom - thickness))
        stretches = [r for r in stretches if r[1] < r[3]]
        by_zone[zone] = tuple(s for s in closed if any(clip(s.rect, r) is not None for r in stretches))
    intervals = {zone: merged((s.rect[0], s.rect[2]) for s in found) for zone, found in by_zone.items()}
    return Closed(intervals, by_zone)


def merged(intervals: Iterable[Interval]) -> tuple[Interval, ...]:
    """Return intervals left to right, those that overlap put together."""
    done: list[Interval] = []
    for low, high in sorted(intervals):
        if done and low < done[-1][1]:
            done[-1] = done[-1][0], max(done[-1][1], high)
        else:
            done.append((low, high))
    return tuple(done)


def free(left: int, right: int, zone: int, closed: Mapping[int, Sequence[Interval]]) -> bool:
    """Return whether timber from left to right stays out of every closed interval of its zone."""
    return not any(a < right and left < b for a, b in closed.get(zone, ()))


def places(left: int, right: int, width: int, intervals: Sequence[Interval]) -> list[Interval]:
    """Return where the left edge of timber may be so that it stays in a stretch and out of closed intervals.

    Least and greatest position of the left edge of each free stretch wide enough, left to right.
    """
    inside = [(a, b) for a, b in intervals if b > left and a < right]
    edges = [(left, left), *inside, (right, right)]
    return [(b, c - width) for (_, b), (c, _) in pairwise(edges) if c - b >= width]


def nearest_free(x: int, width: int, left: int, right: int, intervals: Sequence[Interval]) -> int | None:
    """Return the place nearest to ``x`` for the left edge of timber, or None where there is none."""
    near = [min(max(x, a), b) for a, b in places(left, right, width, intervals)]
    return min(near, key=lambda p: (abs(p - x), p), default=None)


def level_free(rect: Rect, cleared: Sequence[Rect], along: Sequence[Run] = ()) -> bool:
    """Return whether a level member stays clear of what no member may enter and of the runs."""
    if any(clip(rect, r) is not None for r in cleared):
        return False
    for run in along:
        way = run.rect_between(rect[0], rect[2])
        if way is not None and clip(rect, way) is not None:
            return False
    return True
