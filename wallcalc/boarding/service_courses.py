"""Heights of horizontal joints that keep off the holes for services and leave room for the noggins behind them.

All lengths are integers of 0.1 mm.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass, replace
from itertools import pairwise

from wallcalc.boarding.course import course_edges
from wallcalc.boarding.courses import (
    Courses,
    Lining,
    TimberEdges,
    second_layer,
    split_height,
    thin_strip,
)
from wallcalc.errors import OptionError, Refusal
from wallcalc.framing.noggin_steps import Ways, ways_of
from wallcalc.given.wall import Wall
from wallcalc.services.holes import holes_in
from wallcalc.site.site import Site
from wallcalc.units.lengths import MM

CLOSE, THIN = 16, 40
"""Heights near the one wanted that are tried for two layers, and one in how many of those further off."""


@dataclass(frozen=True, slots=True)
class JointRoom:
    """What horizontal joints of one side have to keep off.

    ``holes`` are the heights (bottom, top) of holes in that side's boards with the edge that a hole wants around it;
    ``timber`` the heights that services keep free of noggins, ``edges`` those of timber that joints keep off.
    """

    holes: tuple[tuple[int, int], ...]
    timber: tuple[tuple[int, int], ...]
    site: Site
    edges: TimberEdges | None = None

    def off_edges(self, courses: Courses) -> bool:
        """Return whether every horizontal joint keeps off the edges of level timber."""
        return self.edges is None or self.edges.met_by(courses) is None

    def fits(self, lining: Lining) -> bool:
        """Return whether every horizontal joint of a lining keeps off the services."""
        if len(lining.courses) < 2:
            return True
        rules, thickness = self.site.rules, self.site.thickness
        backed = not lining.lying or rules.back_long_edges
        for below, above in pairwise(course_edges(lining)):
            need = rules.centred(below.above or "cut", above.below or "cut")
            half = 0 if not backed else thickness // 2 if need <= thickness else thickness
            y = above.bottom
            if any(low < y < high for low, high in self.holes):
                return False
            if backed and any(y - half < high and low < y + half for low, high in self.timber):
                return False
        return True


def joint_room(sides: str, wall: Wall, site: Site, edges: TimberEdges | None = None) -> JointRoom | None:
    """Return what horizontal joints have to keep off; None without services.

    ``sides`` are those whose holes they keep off: "A", "B" or "AB".
    """
    rules, depth = site.rules, site.depth
    ways = ways_of(wall.services, site.height, site.thickness, depth, rules.bore_most(depth))
    if ways is None:
        return None
    edge = rules.hole_edge
    holes = tuple((r[1] - edge, r[3] + edge) for side in sides for r in holes_in(side, wall.services))
    return JointRoom(holes, _heights(ways), site, edges)


def _heights(ways: Ways) -> tuple[tuple[int, int], ...]:
    found = [(r[1], r[3]) for r in ways.closed]
    for run in ways.along:
        low, high = sorted((run.start[0], run.end[0]))
        way = run.rect_between(low, high)
        if way is not None:
            found.append((way[1], way[3]))
    return tuple(found)


def clear_heights(lining: Lining, step: int, room: JointRoom, near: int, *, count: bool) -> Iterator[int]:
    """Yield heights of a horizontal joint from which courses keep off services, the nearest first, 0.1 mm.

    Heights that leave no narrow strip of board come before those that do.
    """
    site = room.site
    bottom, top = lining.courses[0][0], lining.courses[-1][1]
    tried = []
    for at in range(-(-bottom // MM) * MM + MM, top, MM):
        courses = split_height(bottom, top, step, at)
        tried.append((len(courses) if count else 0, abs(at - near), at, courses))
    tried.sort(key=lambda t: t[:3])
    seen = set()
    thick: dict[tuple[Courses, int], bool] = {}  # heights a full course apart give the same courses
    fits: dict[Courses, bool] = {}
    for least in (site.rules.narrow_strip, site.rules.least_strip):
        for _, _, at, courses in tried:
            if at in seen:
                continue
            if (courses, least) not in thick:
                thick[courses, least] = thin_strip(courses, site.clears, least, site.profile) is None
            if not thick[courses, least]:
                continue
            if courses not in fits:
                fits[courses] = room.off_edges(courses) and room.fits(replace(lining, courses=courses))
            if fits[courses]:
                seen.add(at)
                yield at


def clear_layers(
    lining: Lining, step: int, start: str | int, room: JointRoom, layers: int
) -> tuple[Courses, Courses]:
    """Return the courses of a side's first and second layer, moved off services where no height was asked for.

    Raises OptionError: when the height asked for meets a service, or no height is clear of them.
    """
    courses = lining.courses
    bottom, top = courses[0][0], courses[-1][1]

    def both(first: Courses) -> tuple[Courses, Courses]:
        if layers < 2:
            return first, first

        def fits(tried: Courses) -> bool:
            return room.fits(replace(lining, courses=tried)) and room.off_edges(tried)

        return first, second_layer(first, step, start, room.site, fits)

    if room.fits(lining):
        try:
            return both(courses)
        except OptionError:
            if not isinstance(start, str):
                raise
    if isinstance(start, str):
        near = courses[-1][0] if start == "ceiling" else courses[0][1]
        failed = set()
        for number, at in enumerate(clear_heights(lining, step, room, near, count=True)):
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
