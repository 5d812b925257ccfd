"""The nearest change that lets services stand: which of them moves, which way, by the fewest millimetres.

Every change named has been tried: the wall with it can be built. Lengths are integers of 0.1 mm.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Protocol

from wallcalc.errors import Refusal
from wallcalc.given.parts import Service
from wallcalc.records import Frame
from wallcalc.services.clearances import opening_rect
from wallcalc.services.places import fall_short
from wallcalc.site.frame_rules import FrameRules
from wallcalc.units.lengths import MM

WAYS = (("right", 1, 0), ("left", -1, 0), ("up", 0, 1), ("down", 0, -1))
"""Ways to move: name, along, up."""
STEPS = (1, 2, 4, 7, 12, 20, 35, 60, 100, 160, 250)
"""Distances tried after those that timber suggests, mm (a bound on the search, not a trade rule)."""
FARTHEST = 1500 * MM
"""No service is moved further than this, 0.1 mm (a bound on the search)."""
HEIGHTS = (*range(1, 60), *range(60, 300, 5), *range(300, FARTHEST // MM, 20))
"""Distances at which another height for a horizontal joint is looked for, mm; between them every mm is."""
TRIES = 24
"""Walls built to the end to find one service's move."""
PLACES = 120
"""Moves clear of timber that are looked at for one service."""


class Tries(Protocol):
    """Tries a wall with other services or another course height."""

    def fits(self, services: Sequence[Service], course_from: float | None = None) -> bool:
        """Return whether its studs and courses keep clear of the services: quick, and no promise."""
        ...

    def builds(self, services: Sequence[Service], course_from: float | None = None) -> Frame | None:
        """Return the frame of the wall built to the end, or None."""
        ...

    def start_words(self, course_from: float) -> str:
        """Return in words how its courses start with a joint at a height in mm."""
        ...


def with_changes(
    refusals: Sequence[Refusal],
    services: Sequence[Service],
    rules: FrameRules,
    course_from: str | float,
    tries: Tries,
) -> tuple[Refusal, ...]:
    """Return refusals with the nearest change that works, where services are what stands in the way.

    Units: ``course_from`` mm.
    """
    changes = []
    if not isinstance(course_from, str):
        height = _other_height(services, float(course_from), tries)
        if height is not None:
            changes.append(tries.start_words(height))
    moves = nearest_change(services, rules, tries)
    if moves is not None:
        changes.append(moves)
    if not changes:
        changes.append("take the services out of this wall, or use other stud centres, section or boards")
    return tuple(replace(r, nearest_change="; or ".join(changes)) for r in refusals)


def _other_height(services: Sequence[Service], wanted: float, tries: Tries) -> float | None:
    """Return the nearest height of a horizontal joint that works, in whole mm from the one wanted."""
    left = 3
    before = 0
    for distance in HEIGHTS:
        for way in (1, -1):
            if not tries.fits(services, wanted + way * distance):
                continue
            nearest = next(
                d for d in range(before + 1, distance + 1) if tries.fits(services, wanted + way * d)
            )
            for off in dict.fromkeys((nearest, distance)):
                if tries.builds(services, wanted + way * off) is not None:
                    return wanted + way * off
            left -= 1
            if not left:
                return None
        before = distance
    return None


def nearest_change(services: Sequence[Service], rules: FrameRules, tries: Tries) -> str | None:
    """Return the moves that let a wall with services be built, in words; None where none was found.

    Services are set in the order given; each that cannot stand beside those before it is moved the least.
    """
    frame = tries.builds(())
    if frame is None:
        return None
    placed: list[Service] = []
    told = []
    for service in services:
        tried = tries.builds((*placed, service)) if tries.fits((*placed, service)) else None
        if tried is not None:
            frame = tried
            placed.append(service)
            continue
        found = _Mover(service, tuple(placed), frame, rules, tries).least()
        if found is None:
            return None
        words, moved, frame = found
        told.append(words)
        placed.append(moved)
    return " and ".join(told) if told else None


class _Mover:
    """Moves one service until it stands beside others."""

    def __init__(
        self, service: Service, placed: tuple[Service, ...], frame: Frame, rules: FrameRules, tries: Tries
    ) -> None:
        self.service, self.placed, self.frame, self.rules, self.tries = service, placed, frame, rules, tries
        self.left = TRIES

    def build(self, service: Service) -> Frame | None:
        """Build the wall with the service changed; None as well when the tries are used up."""
        with_it = (*self.placed, service)
        if self.left <= 0 or not self.tries.fits(with_it):
            return None
        self.left -= 1
        return self.tries.builds(with_it)

    def least(self) -> tuple[str, Service, Frame] | None:
        """Return the shortest move found, in words, the service moved, and the frame with it."""
        short = fall_short(self.service, self.rules)
        if short > 0 and self.service.to is not None:
            return _fall(self.service, short, self.build)
        for candidates in (self._clear_of_timber(), self._steps()):
            for distance, way in candidates:
                frame = self.build(_moved(self.service, way, distance))
                if frame is not None:
                    return self._refined(way, distance, frame)
        return None

    def _steps(self) -> list[tuple[int, int]]:
        self.left = max(self.left, TRIES // 2)
        return [(step * MM, way) for step in STEPS for way in range(len(WAYS))]

    def _small_steps(self, below: int) -> list[tuple[int, int]]:
        """Return steps shorter than a move that works: what works may have gaps."""
        return [(step * MM, way) for step in STEPS if step * MM < below for way in range(len(WAYS))]

    def _clear_of_timber(self) -> list[tuple[int, int]]:
        """Return distances in whole mm, and ways, that clear timber, joints and openings beside it, shortest first."""
        left, bottom, right, top = opening_rect(self.service)
        edge = self.rules.hole_edge - self.service.clearance
        spots = [(m.x, m.y, m.right, m.top, 0) for m in self.frame.members]
        spots += [(j.x1, j.y1, j.x2, j.y2, max(edge, 0)) for j in self.frame.joints]
        spots += [(c.left, c.bottom, c.right, c.top, max(edge, 0)) for c in self.frame.clears]
        found = set()
        for a, b, c, d, more in spots:
            ways = []
            if b < top + more and bottom - more < d:
                ways += [(c + more - left, 0), (right - a + more, 1)]
            if a < right + more and left - more < c:
                ways += [(d + more - bottom, 2), (top - b + more, 3)]
            found |= {(-(-far // MM) * MM, way) for far, way in ways if 0 < far <= FARTHEST}
        return sorted(found)[:PLACES]

    def _refined(self, way: int, distance: int, frame: Frame) -> tuple[str, Service, Frame]:
        """Shorten a move that works, in whole mm, while it still does; then see whether another way is shorter."""
        self.left = max(self.left, TRIES)
        best = way, distance, frame
        for other in (way, *(w for w in range(len(WAYS)) if w != way)):
            high = best[1] if other == way else best[1] - MM
            if other != way:
                tried = self.build(_moved(self.service, other, high)) if high > 0 else None
                if tried is None:
                    continue
                best = other, high, tried
            low = 0
            while high - low > MM:
                middle = (low + high) // (2 * MM) * MM
                tried = self.build(_moved(self.service, other, middle))
                if tried is None:
                    low = middle
                else:
                    high = middle
                    best = other, high, tried
        self.left = max(self.left, TRIES // 2)
        for step, other in self._small_steps(best[1]):
            tried = self.build(_moved(self.service, other, step))
            if tried is not None:
                best = other, step, tried
                break
        way, distance, frame = best
        words = f"move the {self.service.name} {distance / MM:g} mm {WAYS[way][0]}"
        return words, _moved(self.service, way, distance), frame


def _fall(
    service: Service, short: int, build: Callable[[Service], Frame | None]
) -> tuple[str, Service, Frame] | None:
    """Lower the far end of a waste pipe, or raise its start."""
    assert service.to is not None
    by = -(-short // MM) * MM
    lower = replace(service, to=(service.to[0], service.to[1] - by))
    higher = replace(service, at=(service.at[0], service.at[1] + by))
    for tried, words in (
        (lower, f"let the {service.name} end {by / MM:g} mm lower, at {(service.to[1] - by) / MM:g} mm"),
        (higher, f"let the {service.name} start {by / MM:g} mm higher, at {(service.at[1] + by) / MM:g} mm"),
    ):
        frame = build(tried)
        if frame is not None:
            return words, tried, frame
    return None


def _moved(service: Service, way: int, distance: int) -> Service:
    """Return a service moved as a whole."""
    _, along, up = WAYS[way]
    at = service.at[0] + along * distance, service.at[1] + up * distance
    to = None if service.to is None else (service.to[0] + along * distance, service.to[1] + up * distance)
    return replace(service, at=at, to=to)
