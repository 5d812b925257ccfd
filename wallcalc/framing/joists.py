"""Joists above and below: where plates cross them, and the noggins between joists that run along the wall.

All lengths are integers of 0.1 mm.
"""

from __future__ import annotations

from collections.abc import Sequence

from wallcalc.given.parts import Joists
from wallcalc.records import JoistNoggin, Member

PLATE = {"above": "head plate", "below": "sole plate"}
"""The plate that is fixed to joists."""
MARK = {"above": "JN", "below": "JB"}
"""How marks of noggins between them begin."""
HARD_FLOORS = ("solid", "heated screed")
"""Floors that a sole plate is fixed to without regard to joists."""


def joists_crossed(joists: Joists, start: int, end: int) -> tuple[int, ...]:
    """Return the centres of the joists that a stretch of wall crosses.

    From left to right; empty unless the joists run across and first and centres are known.
    """
    if joists.direction != "across" or joists.first is None or not joists.centres:
        return ()
    ahead = max(0, -(-(start - joists.first) // joists.centres))
    return tuple(range(joists.first + ahead * joists.centres, end + 1, joists.centres))


def evenly(start: int, end: int, from_end: int, centres: int, least: int) -> tuple[int, ...]:
    """Return places along a plate: one near each end, the others evenly between them.

    From left to right.
    """
    inset = min(from_end, (end - start) // 4)
    first, last = start + inset, end - inset
    gaps = max(-(-(last - first) // centres), least - 1, 1)
    return tuple(first + (last - first) * i // gaps for i in range(gaps + 1))


def joist_noggins(
    members: Sequence[Member],
    joists: Joists,
    section: str,
    *,
    thickness: int,
    centres: int,
    from_end: int,
    least: int,
    place: str = "above",
) -> tuple[JoistNoggin, ...]:
    """Return the noggins let in between joists that run along the wall, for a plate to be fixed to.

    From left to right, marked JN1, JN2, ... above and JB1, JB2, ... below.
    """
    if joists.direction != "along" or not joists.centres or joists.centres <= thickness:
        return ()
    places = [
        x
        for plate in members
        if plate.role == PLATE[place]
        for x in evenly(plate.x, plate.right, from_end, centres, least)
    ]
    length = joists.centres - thickness
    return tuple(
        JoistNoggin(f"{MARK[place]}{n}", section, x, length, place) for n, x in enumerate(sorted(places), 1)
    )
