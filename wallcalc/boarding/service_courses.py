"""Heights of horizontal joints that keep off the holes for services and leave room for the noggins behind them.

All lengths are integers of 0.1 mm.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass
from itertools import pairwise

from wallcalc.boarding.course import course_edges
from wallcalc.boarding.courses import (
    UNEVEN_PITCH,
    LevelTimber,
    Lining,
    joint_at_an_edge,
    second_layer,
    split_height,
    thin_strip,
)
from wallcalc.errors import OptionError, Refusal
from wallcalc.framing.noggin_steps import Ways, ways_of
from wallcalc.geometry.profile import Profile
from wallcalc.geometry.rectangles import Clear
from wallcalc.given.wall import Wall
from wallcalc.services.holes import holes_in
from wallcalc.site.frame_rules import FrameRules
from wallcalc.units.lengths import MM

Courses = tuple[tuple[int, int], ...]

CLOSE, THIN = 16, 40
"""Heights near the one wanted that are tried for two layers, and one in how many of those further off."""


@dataclass(frozen=True, slots=True)
class JointRoom:
    """What horizontal joints of one side have to keep off.

    ``holes`` are the heights (bottom, top) of holes in that side's boards with the edge that a hole wants around it;
    ``timber`` the heights that services keep free of noggins, ``level`` the timber whose edges joints keep off.
    """

    holes: tuple[tuple[int, int], ...]
    timber: tuple[tuple[int, int], ...]
    thickness: int
    rules: FrameRules
    level: LevelTimber | None = None

    def fits(self, lining: Lining) -> bool:
        """Return whether every horizontal joint of a lining keeps off them."""
        if len(lining.courses) < 2:
            return True
        backed = not lining.lying or self.rules.back_long_edges
        for below, above in pairwise(course_edges(lining)):
            need = self.rules.centred(below.above or "cut", above.below or "cut")
            half = 0 if not backed else self.thickness // 2 if need <= self.thickness else self.thickness
            y = above.bottom
            if any(low < y < high for low, high in self.holes):
                return False
            if backed and any(y - half < high and low < y + half for low, high in self.timber):
                return False
        return True


def joint_room(
    sides: str,
    wall: Wall,
    rules: FrameRules,
    thickness: int,
    depth: int,
    level: LevelTimber | None = None,
) -> JointRoom | None:
    """Return what horizontal joints have to keep off; None without services.

    Parameters
    ----------
    sides : str
        The sides whose holes they keep off: "A", "B" or "AB".
    wall : Wall
        The given wall.
    rules : FrameRules
        The rules in force.
    thickness, depth : int
        Of the timber, 0.1 mm.
    level : LevelTimber, optional
        None where joints ask for no timber, or floor or ceiling slope.
    """
    ways = ways_of(wall.services, wall.height, thickness, depth, rules.bore_most(depth))
    if ways is None:
        return None
    edge = rules.hole_edge
    holes = tuple((r[1] - edge, r[3] + edge) for side in sides for r in holes_in(side, wall.services))
    return JointRoom(holes, _heights(ways), thickness, rules, level)


def _heights(ways: Ways) -> tuple[tuple[int, int], ...]:
    found = [(r[1], r[3]) for r in ways.closed]
    for run in ways.along:
        low, high = sorted((run.start[0], run.end[0]))
        way = run.rect_between(low, high)
        if way is not None:
            found.append((way[1], way[3]))
    return tuple(found)


def clear_heights(
    lining: Lining,
    step: int,
    room: JointRoom,
    clears: Sequence[Clear],
    near: int,
    *,
    count: bool,
    profile: Profile,
) -> Iterator[int]:
    """Yield heights of a horizontal joint from which courses keep off services, the nearest first, 0.1 mm.

    Heights that leave no narrow strip of board come before those that do.

    Parameters
    ----------
    lining : Lining
        Its courses are those that are in the way.
    step : int
        Full height of a course, 0.1 mm.
    room : JointRoom
        What to keep off.
    clears : sequence of Clear
        Structural openings.
    near : int
        The height wanted, 0.1 mm.
    count : bool
        Whether as few courses come first.
    profile : Profile
        Lines of the wall.
    """
    bottom, top = lining.courses[0][0], lining.courses[-1][1]
    tried = []
    for at in range(-(-bottom // MM) * MM + MM, top, MM if profile.is_level else UNEVEN_PITCH):
        courses = split_height(bottom, top, step, at)
        tried.append((len(courses) if count else 0, abs(at - near), at, courses))
    tried.sort(key=lambda t: t[:3])
    seen = set()
    thick: dict[tuple[Courses, int], bool] = {}  # heights a full course apart give the same courses
    fits: dict[Courses, bool] = {}
    for least in (room.rules.narrow_strip, room.rules.least_strip):
        for _, _, at, courses in tried:
            if at in seen:
                continue
            if (courses, least) not in thick:
                thick[courses, least] = thin_strip(courses, clears, least, profile) is None
            if not thick[courses, least]:
                continue
            if courses not in fits:
                off_edges = joint_at_an_edge(courses, clears, room.level) is None
                fits[courses] = off_edges and room.fits(_with(lining, courses))
            if fits[courses]:
                seen.add(at)
                yield at


def clear_layers(
    lining: Lining,
    step: int,
    start: str | int,
    room: JointRoom,
    clears: Sequence[Clear],
    layers: int,
    profile: Profile,
) -> tuple[Courses, Courses]:
    """Return the courses of a side's first and second layer, moved off services where no height was asked for.

    Parameters
    ----------
    lining, step, room, clears
        As for :func:`clear_heights`; the lining is the first layer with the courses it would have without services.
    start : str or int
        What was asked for: "ceiling", "floor", or a height, which is kept.
    layers : int
        1 or 2; with one layer both answers are the same.
    profile : Profile
        Lines of the wall.

    Raises
    ------
    OptionError
        When the height asked for meets a service, or no height is clear of them.
    """
    courses, rules = lining.courses, room.rules
    bottom, top = courses[0][0], courses[-1][1]

    def both(first: Courses) -> tuple[Courses, Courses]:
        if layers < 2:
            return first, first
        offset, least = rules.layer_offset, rules.least_strip

        def fits(tried: Courses) -> bool:
            return room.fits(_with(lining, tried)) and joint_at_an_edge(tried, clears, room.level) is None

        return first, second_layer(first, step, start, offset, profile, clears, least, fits)

    if room.fits(lining):
        try:
            return both(courses)
        except OptionError:
            if not isinstance(start, str):
                raise
    if isinstance(start, str):
        near = courses[-1][0] if start == "ceiling" else courses[0][1]
        failed = set()
        for number, at in enumerate(
            clear_heights(lining, step, room, clears, near, count=True, profile=profile)
        ):
            if number > CLOSE and number % THIN:
                continue
            other = split_height(bottom, top, step, at)
            if other in failed:
                continue
            with suppress(OptionError):
                return both(other)
            failed.add(other)
    joints = ", ".join(f"{low / MM:g}" for low, _ in courses[1:])
    raise OptionError(
        [
            Refusal(
                "course_from",
                f"side {lining.side}, horizontal joint at {joints} mm",
                "the joint, or the noggin that it needs, meets a service or the edge of its hole",
                "move the service, or use boards that need no horizontal joint",
            )
        ]
    )


def _with(lining: Lining, courses: Courses) -> Lining:
    return Lining(
        lining.side, lining.layer, lining.product, lining.lying, lining.widest, lining.lengths, courses
    )
