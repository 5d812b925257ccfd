"""The lines of floor and ceiling of a given wall, and what has to fit between them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from itertools import pairwise

from wallcalc.errors import OptionError, Refusal
from wallcalc.geometry.profile import Line, Point, Profile
from wallcalc.given.wall import Wall
from wallcalc.site.frame_rules import FrameRules
from wallcalc.units.lengths import MM


def floor_and_ceiling(wall: Wall) -> tuple[Line, Line]:
    """Return the floor and ceiling lines of a wall.

    Between the points given both run straight; the ceiling is the floor's level plus the height, rounded down where
    one of the two was not measured.
    """
    floor = _whole(wall.floor_levels or ((0, 0),), wall.length)
    height = _whole(wall.heights, wall.length)
    places = sorted({x for line in (floor, height) for x, _ in line.points})
    ceiling = Line.through((x, math.floor(floor.at(x) + height.at(x))) for x in places)
    return Line.through(floor.points), ceiling


def _whole(points: Sequence[Point], length: int) -> Line:
    """Return the line through points taken to both ends of the wall, level beyond the first and the last."""
    found = [p for p in points if 0 <= p[0] <= length]
    if found[0][0] > 0:
        found.insert(0, (0, found[0][1]))
    if found[-1][0] < length:
        found.append((length, found[-1][1]))
    return Line(tuple(found))


@lru_cache(maxsize=256)
def profile_of(wall: Wall, thickness: int, rules: FrameRules) -> Profile:
    """Return the lines of a wall.

    Units: ``thickness`` 0.1 mm. Raises OptionError: where measured points are so close, or the ceiling so
    near the floor, that no plates can follow them.
    """
    floor, ceiling = floor_and_ceiling(wall)
    gap = wall.floor_build_up + rules.floor_gap
    try:
        profile = Profile.between(floor, ceiling, thickness, rules.head_packing, gap, rules.ceiling_gap)
    except ValueError:
        raise OptionError([_too_close(floor, ceiling, thickness)]) from None
    _check_studs(profile, rules.least_bay)
    return profile


def _too_close(floor: Line, ceiling: Line, thickness: int) -> Refusal:
    gap, at = min(((b[0] - a[0], a[0]) for line in (floor, ceiling) for a, b in pairwise(line.points)))
    return Refusal(
        "measured heights",
        f"points at {at / MM:g} and {(at + gap) / MM:g} mm",
        f"plates {thickness / MM:g} mm thick cannot be mitred to follow points {gap / MM:g} mm apart",
        "leave one of the two points out",
    )


def _check_studs(profile: Profile, least: int) -> None:
    """Refuse a wall that leaves less than a least bay between its plates, naming the place."""
    places = {x for line in (profile.sole, profile.head) for x, _ in line.points if 0 <= x <= profile.length}
    room, at = min((profile.head.under(x) - profile.sole.over(x), x) for x in places)
    if room >= least:
        return
    height = profile.ceiling.at(at) - profile.floor.at(at)
    wanted = f"{(math.ceil(height) - room + least) / MM:g} mm"
    if profile.is_level:
        place, change = "whole wall", f"at least {wanted} of height"
    else:
        place, change = f"at {at / MM:g} mm from the left", f"end the wall where it is {wanted} high"
    found = f"{round(float(height) / MM, 1):g} mm of height leave {room / MM:g} mm between the plates"
    raise OptionError([Refusal("stud length", place, found, change)])
