"""Studs moved off the intervals that services close, no further than they must, or one put at each side.

All lengths are integers of 0.1 mm; studs are named by their middles.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass

from wallcalc.services.clearances import Interval

Way = tuple[int, int, tuple[int, ...]]
"""Studs in a stretch: how many, how far they are moved in all, their middles."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """A clear run between fixed uprights, by the middles that bays and centres are measured from.

    ``low`` and ``high`` are the middles of the uprights that bound it; ``first`` and ``last`` those from which
    centres count, which are further out where trimmers stand before king studs.
    """

    low: int
    high: int
    first: int
    last: int


def clear_of(
    middles: Sequence[int],
    stretch: Stretch,
    thickness: int,
    centres: int,
    least_bay: int,
    closed: Sequence[Interval],
) -> list[int] | None:
    """Return the middles of the studs of a stretch, none in a closed interval.

    As few studs as keep the centres, moved the least in all; studs that are not in the way stay where they are
    unless nothing else keeps the centres and the least bay.

    None where no placing keeps the rules.
    """
    half = thickness // 2
    xs = list(middles)

    def open_at(x: int) -> bool:
        return not any(a < x - half + thickness and x - half < b for a, b in closed)

    place = 0
    done: list[int] = []
    while place < len(xs):
        if open_at(xs[place]):
            done.append(xs[place])
            place += 1
            continue
        end = place
        while end < len(xs) and not open_at(xs[end]):
            end += 1
        found = None
        for wider in range(len(xs) + 1):
            start, stop = max(0, place - wider), min(len(xs), end + wider)
            if any(not open_at(x) for x in xs[end:stop]):  # the next ones in the way are settled with these
                while stop < len(xs) and not open_at(xs[stop]):
                    stop += 1
            kept = [x for x in done if x < xs[start]]
            before = (kept[-1], kept[-1]) if kept else (stretch.low, stretch.first)
            after = (xs[stop], xs[stop]) if stop < len(xs) else (stretch.high, stretch.last)
            found = _fewest(xs[start:stop], before, after, thickness, centres, least_bay, closed)
            if found is not None or (start == 0 and stop == len(xs)):
                break
        if found is None:
            return None
        done = [*kept, *found]
        place = stop
    return done


def _fewest(
    wanted: Sequence[int],
    before: tuple[int, int],
    after: tuple[int, int],
    thickness: int,
    centres: int,
    least_bay: int,
    closed: Sequence[Interval],
) -> list[int] | None:
    """Fewest studs between two that stand, then the least moves; ``before`` and ``after`` as (bay, centres)."""
    half, near = thickness // 2, thickness + least_bay
    low, high = before[0], after[0]
    edges = {x for a, b in closed for x in (a - thickness + half, b + half)}
    edges |= {before[1] + centres, after[1] - centres}
    steps = (0, thickness, -thickness, near, -near, centres, -centres)
    spots = {x + step for x in {*edges, low, high, *wanted} for step in steps} | {*wanted}
    spots |= {
        x + step for x in edges for k in steps for step in (k + thickness, k - thickness, k + near, k - near)
    }
    free = sorted(
        x
        for x in spots
        if low < x < high and not any(a < x - half + thickness and x - half < b for a, b in closed)
    )

    def apart(left: int, right: int) -> bool:
        return right - left == thickness or right - left >= near

    at: list[int] = []
    best: list[Way] = []  # of each spot in ``at`` that can be reached
    for x in free:
        move = min(abs(x - w) for w in wanted)
        ways = best[bisect_left(at, x - centres) : bisect_right(at, x - near)]
        touching = bisect_left(at, x - thickness)
        if touching < len(at) and at[touching] == x - thickness and thickness <= centres:
            ways.append(best[touching])
        if apart(low, x) and x - before[1] <= centres:
            ways.append((0, 0, ()))
        if ways:
            count, moved, chosen = min(ways)
            at.append(x)
            best.append((count + 1, moved + move, (*chosen, x)))
    ends = [way for x, way in zip(at, best, strict=True) if apart(x, high) and after[1] - x <= centres]
    if after[1] - before[1] <= centres:
        ends.append((0, 0, ()))
    return list(min(ends)[2]) if ends else None
