"""The nearest change that lets services stand: which of them moves, which way, by the fewest millimetres.

Every change named has been tried: the wall with it can be built. Lengths are integers of 0.1 mm.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from wallcalc.errors import Refusal
from wallcalc.frame_rules import FrameRules
from wallcalc.given import MM, Service
from wallcalc.records import Frame
from wallcalc.service_places import fall_short
from wallcalc.services import opening_rect

WAYS = (("right", 1, 0), ("left", -1, 0), ("up", 0, 1), ("down", 0, -1))
"""Ways to move: name, along, up."""
STEPS = (1, 2, 4, 7, 12, 20, 35, 60, 100, 160, 250)
"""Distances tried beside those that timber suggests, mm (a bound on the search, not a trade rule)."""
TRIES = 160
"""Walls built to find one service's move."""

Builds = Callable[[Sequence[Service]], Frame | None]
"""Builds a wall with some services; None where that cannot be done."""


def with_changes(
    refusals: Sequence[Refusal],
    services: Sequence[Service],
    rules: FrameRules,
    course_from: str | float,
    builds: Callable[..., Frame | None],
) -> tuple[Refusal, ...]:
    """Return refusals with the nearest change that works, where services are what stands in the way.

    Parameters
    ----------
    refusals : sequence of Refusal
        Of a wall with services.
    services : sequence of Service
        What the wall file gives.
    rules : FrameRules
        The rules in force.
    course_from : str or float
        What the option asks; a height in mm is moved as well as the services.
    builds : callable
        Builds the wall with some services and, where given, another ``course_from``.
    """
    changes = []
    if not isinstance(course_from, str):
        height = _other_height(course_from, lambda at: builds(services, at))
        if height is not None:
            changes.append(f"put a horizontal joint at {height:g} mm (course_from={height:g})")
    moves = nearest_change(services, rules, builds)
    if moves is not None:
        changes.append(moves)
    if not changes:
        changes.append("take the services out of this wall, or use other stud centres, section or boards")
    return tuple(replace(r, nearest_change="; or ".join(changes)) for r in refusals)


def _other_height(wanted: float, build: Callable[[float], Frame | None]) -> float | None:
    """Return the nearest height of a horizontal joint that works, mm: by growing steps, then no further than needed."""
    for step in STEPS:
        for sign in (1, -1):
            if build(wanted + sign * step) is None:
                continue
            low, high = 0, step
            while high - low > 1:
                middle = (low + high) // 2
                if build(wanted + sign * middle) is None:
                    low = middle
                else:
                    high = middle
            return wanted + sign * high
    return None


def nearest_change(services: Sequence[Service], rules: FrameRules, builds: Builds) -> str | None:
    """Return the moves that let a wall with services be built, in words; None where none was found.

    Services are set in the order given; each that cannot stand beside those before it is moved the least.

    Parameters
    ----------
    services : sequence of Service
        What the wall file gives.
    rules : FrameRules
        For the fall of waste pipes.
    builds : callable
        Builds the wall with some services.
    """
    frame = builds(())
    if frame is None:
        return None
    placed: list[Service] = []
    told = []
    for service in services:
        tried = builds((*placed, service))
        if tried is not None:
            frame = tried
            placed.append(service)
            continue
        found = _least(service, frame, rules, lambda s: builds((*placed, s)))
        if found is None:
            return None
        words, moved, frame = found
        told.append(words)
        placed.append(moved)
    return " and ".join(told) if told else None


def _least(
    service: Service, frame: Frame, rules: FrameRules, build: Callable[[Service], Frame | None]
) -> tuple[str, Service, Frame] | None:
    short = fall_short(service, rules)
    if short > 0 and service.to is not None:
        return _fall(service, short, build)
    left = TRIES
    for distance, way in _candidates(service, frame):
        if left <= 0:
            break
        left -= 1
        if build(_moved(service, way, distance)) is not None:
            return _refined(service, way, distance, build)
    return None


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


def _candidates(service: Service, frame: Frame) -> Iterator[tuple[int, int]]:
    """Distances and ways, the shortest first: whole mm that clear the edges of timber and joints, and steps."""
    left, bottom, right, top = opening_rect(service)
    found = {(step * MM, way) for step in STEPS for way in range(4)}
    spots = [(m.x, m.y, m.right, m.top) for m in frame.members]
    spots += [(j.x1, j.y1, j.x2, j.y2) for j in frame.joints]
    spots += [(c.left, c.bottom, c.right, c.top) for c in frame.clears]
    for a, b, c, d in spots:
        for distance, way in ((c - left, 0), (right - a, 1), (d - bottom, 2), (top - b, 3)):
            if 0 < distance <= 600 * MM:
                found.add((-(-distance // MM) * MM, way))
    return iter(sorted(found))


def _refined(
    service: Service, way: int, distance: int, build: Callable[[Service], Frame | None]
) -> tuple[str, Service, Frame]:
    """Shorten a move that works, in whole mm, while it still does; then see whether another way is shorter."""
    best_way, best = way, distance
    for other in (way, *(w for w in range(4) if w != way)):
        if other != way and build(_moved(service, other, best - MM)) is None:
            continue
        high = best if other == way else best - MM
        low = 0
        while high - low > MM:
            middle = (low + high) // (2 * MM) * MM
            if middle <= low:
                break
            if build(_moved(service, other, middle)) is None:
                low = middle
            else:
                high = middle
        best_way, best = other, high
    moved = _moved(service, best_way, best)
    frame = build(moved)
    assert frame is not None
    return f"move the {service.name} {best / MM:g} mm {WAYS[best_way][0]}", moved, frame
