"""A refused wall tried with its services elsewhere: what would let it be built, told with the refusal."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache

from wallcalc.boarding.courses import start_words
from wallcalc.carcass.build import ATTEMPTS, CarcassInput, build_carcass, linings_of, site_of, stand
from wallcalc.errors import OptionError, Refusal
from wallcalc.given.parts import Service
from wallcalc.hanging.studs import BACKING
from wallcalc.records import Frame
from wallcalc.remedies.hung_moves import nearest_changes
from wallcalc.remedies.service_moves import with_changes
from wallcalc.units.lengths import MM

STRIP = "joint.edge_cut"
"""Rule of courses that leave strips too thin for screws; they are told with a height that leaves none."""
MOST_CHANGES = 3
"""Changes told one after the other at the most."""


@lru_cache(maxsize=1024)
def told(given: CarcassInput, refusals: tuple[Refusal, ...], left: int = MOST_CHANGES) -> tuple[Refusal, ...]:
    """Return the refusals of a wall with the nearest change that lets it be built, tried out.

    A wall that cannot be built without its services either has the refusals that it has without them. Where the change
    is not enough, what is in the way after it is told with it, and so on.
    """
    services = given.wall.services
    if not services or any(r.rule in (BACKING, STRIP) for r in refusals):
        found, after = _changed(given, refusals)
        return _and_then(found, after, left)
    bare = replace(given, wall=replace(given.wall, services=()))
    try:
        build_carcass(bare)
    except OptionError as error:
        found, after = _changed(bare, tuple(error.refusals))
        if after is not None:
            after = replace(after, wall=replace(after.wall, services=services))
        return _and_then(found, after, left)
    return with_changes(refusals, given.wall.services, given.rules, given.course_from, WallTries(given))


def _changed(
    given: CarcassInput, refusals: tuple[Refusal, ...]
) -> tuple[tuple[Refusal, ...], CarcassInput | None]:
    """Return refusals with a change of the courses or of what hangs, and the wall so changed (None: none is known)."""
    if any(r.rule == STRIP for r in refusals):
        height = next((value for r in refusals for key, value in r.option if key == "course_from"), None)
        return refusals, None if height is None else replace(given, course_from=height)
    found, wall = nearest_changes(given, refusals)
    return found, None if wall is None else replace(given, wall=wall)


def _and_then(refusals: tuple[Refusal, ...], after: CarcassInput | None, left: int) -> tuple[Refusal, ...]:
    """Return refusals whose changes make a wall that cannot be built yet with the next change."""
    if after is None or left <= 1:
        return refusals
    try:
        build_carcass(after, ATTEMPTS[:2])
    except OptionError as error:
        further = told(after, tuple(error.refusals), left - 1)
    else:
        return refusals
    more = " and ".join(dict.fromkeys(r.nearest_change for r in further))
    return tuple(replace(r, nearest_change=f"{r.nearest_change}, and then {more}") for r in refusals)


class WallTries:
    """The same wall with other services or another course height."""

    def __init__(self, given: CarcassInput) -> None:
        self.given = given

    def _with(self, services: Sequence[Service], course_from: float | None) -> CarcassInput:
        tried = replace(self.given, wall=replace(self.given.wall, services=tuple(services)))
        return tried if course_from is None else replace(tried, course_from=course_from)

    def fits(self, services: Sequence[Service], course_from: float | None = None) -> bool:
        """Return whether studs and courses keep clear of the services."""
        tried = self._with(services, course_from)
        try:
            stand(tried)
            linings_of(tried)
        except OptionError:
            return False
        return True

    def builds(self, services: Sequence[Service], course_from: float | None = None) -> Frame | None:
        """Return the frame, or None; fewer attempts at the boards than for the wall itself."""
        try:
            return build_carcass(self._with(services, course_from), ATTEMPTS[:2]).frame
        except OptionError:
            return None

    def start_words(self, course_from: float) -> str:
        """Return in words how the courses start with a joint at a height [mm]."""
        given = replace(self.given, course_from=course_from)
        lining = max(linings_of(given), key=lambda some: len(some.courses))
        step = lining.widest if lining.lying else lining.lengths[-1]
        return start_words(round(course_from * MM), step, site_of(given).profile)
