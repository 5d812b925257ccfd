"""A refused wall tried with its services elsewhere: what would let it be built, told with the refusal."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache

from wallcalc.carcass import ATTEMPTS, CarcassInput, build_carcass, linings_of, stand
from wallcalc.errors import OptionError, Refusal
from wallcalc.given import Service
from wallcalc.hung_moves import nearest_changes
from wallcalc.hung_studs import BACKING
from wallcalc.records import Frame
from wallcalc.service_moves import with_changes


@lru_cache(maxsize=1024)
def told(given: CarcassInput, refusals: tuple[Refusal, ...]) -> tuple[Refusal, ...]:
    """Return the refusals of a wall with the nearest change that lets it be built, tried out.

    A wall that cannot be built without its services either has the refusals that it has without them.

    Parameters
    ----------
    given : CarcassInput
        What could not be built.
    refusals : tuple of Refusal
        Why not.
    """
    if not given.wall.services or any(r.rule == BACKING for r in refusals):
        return nearest_changes(given, refusals)
    bare = replace(given, wall=replace(given.wall, services=()))
    try:
        build_carcass(bare)
    except OptionError as error:
        return nearest_changes(bare, tuple(error.refusals))
    return with_changes(refusals, given.wall.services, given.rules, given.course_from, WallTries(given))


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
