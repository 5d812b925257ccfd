"""Heights of the courses of a lining, and what each course's long edges meet.

All lengths are integers of 0.1 mm.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from wallcalc.errors import OptionError, Refusal
from wallcalc.geometry.profile import Profile
from wallcalc.geometry.rectangles import Clear, Patch
from wallcalc.geometry.sloped import between
from wallcalc.site.site import Site
from wallcalc.units.lengths import MM

ROUNDING = 1
"""What corners on a slope are rounded by, 0.1 mm."""

Courses = tuple[tuple[int, int], ...]
"""Bottom and top of each course, from the floor up, 0.1 mm."""


@dataclass(frozen=True, slots=True)
class Lining:
    """One layer of boards on one side: its product, the sheets it may be cut from, and its courses.

    ``courses`` are (bottom, top) from the floor up; ``widest`` and ``longest`` are the largest board across and
    along the sheet; ``lying`` is True when sheets lie on their side.
    """

    side: str
    layer: int
    product: str
    lying: bool
    widest: int
    lengths: tuple[int, ...]
    courses: tuple[tuple[int, int], ...]

    @property
    def reach(self) -> int:
        """The longest board along the wall, 0.1 mm."""
        return self.lengths[-1] if self.lying else self.widest


def split_height(bottom: int, top: int, step: int, course_from: str | int) -> tuple[tuple[int, int], ...]:
    """Return courses of at most ``step`` between two heights, from the bottom up."""
    if course_from == "ceiling":
        joints = list(range(top - step, bottom, -step))
    elif course_from == "floor":
        joints = list(range(bottom + step, top, step))
    else:
        at = int(course_from)
        if not bottom < at < top:
            raise OptionError(
                [
                    Refusal(
                        "course_from",
                        "option",
                        f"a horizontal joint at {at / MM:g} mm",
                        f"give a height between {bottom / MM:g} and {top / MM:g} mm",
                    )
                ]
            )
        joints = [*range(at, bottom, -step), *range(at + step, top, step)]
    edges = [bottom, *sorted(joints), top]
    return tuple(itertools.pairwise(edges))


METRE = 1000 * MM

Strip = tuple[int, int, str]
"""Lower edge and upper edge of a strip of board, and what is beside it."""


def thin_strip(courses: Courses, clears: Sequence[Clear], least: int, profile: Profile) -> Strip | None:
    """Return the first strip of board, of a course or between a joint and an opening, that is too thin to fix.

    A course may be thin all along, or only where a slope leaves little of it; ``least`` is the height that takes a
    screw, 0.1 mm.
    """
    for low, high in courses:
        may_be_thin = high - low < least or not profile.is_level
        for patch in pieces_of((low, high), clears, profile) if may_be_thin else ():
            left, bottom, right, top = patch.box
            if top - bottom < least:
                whole = (left, right) == (0, profile.length)
                return bottom, top, "course" if whole else f"from {left / MM:g} to {right / MM:g} mm"
        for c in clears:
            top = min(high, profile.high.most(c.left, c.right))
            if low < c.top < top and top - c.top < least:
                return c.top, top, f"over the {c.kind} at {c.left / MM:g} mm"
            bottom = max(low, profile.low.least(c.left, c.right))
            if bottom < c.bottom < high and c.bottom - bottom < least:
                return bottom, c.bottom, f"under the {c.kind} at {c.left / MM:g} mm"
    return None


def pieces_of(course: tuple[int, int], clears: Sequence[Clear], profile: Profile) -> tuple[Patch, ...]:
    """Return what openings, floor and ceiling leave of a course."""
    rects = [(c.left, c.bottom, c.right, c.top) for c in clears]
    return between((0, course[0], profile.length, course[1]), rects, profile.low, profile.high)


@dataclass(frozen=True, slots=True)
class TimberEdges:
    """Edges of plates, door heads and sills that horizontal joints keep off, and by how much. In 0.1 mm.

    Each edge has its lowest and its highest place; ``need`` is the width of timber, centred on a joint, in which no
    two pieces meet.
    """

    edges: tuple[tuple[int, int], ...]
    need: int

    def met_by(self, courses: Courses) -> tuple[int, int] | None:
        """Return the first joint so near to an edge, all along it, that a noggin there is no help; and that edge.

        The noggin has to start at that edge, so that two pieces meet where the screws of one board go. Where an edge
        slopes away from the joint they meet only for a hand's breadth, and the noggin is cut to it.
        """
        for y, _ in courses[1:]:
            for low, high in self.edges:
                off = max(abs(low - y), abs(high - y))
                if off > ROUNDING * (low != high) and 2 * off < self.need:
                    return y, low if y <= low else high
        return None


def timber_edges(site: Site, need: int) -> TimberEdges:
    """Return the edges of a site's level timber; ``need`` is the width of timber that joints need, 0.1 mm."""
    sole, head, t = site.profile.sole, site.profile.head, site.thickness
    found = {(line.least(0, site.length), line.most(0, site.length)) for line in (sole, head)}
    for c in site.clears:
        if c.bottom - t > sole.most(c.left, c.right):
            found.add((c.bottom - t, c.bottom - t))
        if c.top + t < head.least(c.left, c.right):
            found.add((c.top + t, c.top + t))
    return TimberEdges(tuple(sorted(found)), need)


def start_words(at: int, step: int, profile: Profile) -> str:
    """Return how to start the courses with a horizontal joint at a height: as a carpenter says it, and as an option.

    ``step`` is the full height of a course, 0.1 mm. Full courses can be counted from a floor or ceiling that is level.
    """
    metres = f"{at / METRE:.4f}"
    height = metres[:-2] + metres[-2:].rstrip("0") + " m"
    bottom, top = profile.low.flat, profile.high.flat
    over = f"{height} from the floor" if bottom is not None else f"at {height}"
    words = f"start the courses {over}"
    far_up, far_down = bottom is not None and at - bottom, top is not None and top - at
    for where, way, far in (("floor", "up", far_up), ("ceiling", "down", far_down)):
        if far and far % step == 0:
            number = "one full course" if far == step else f"{far // step} full courses"
            words = f"start full courses at the {where}, with a joint {number} {way}, {over}"
            break
    return f"{words} (course_from={at / MM:g})"


def check_strips(
    side: str,
    courses: Courses,
    step: int,
    site: Site,
    edges: TimberEdges | None = None,
    goes_on: Callable[[Courses], bool] | None = None,
) -> None:
    """Refuse courses with a strip of board too thin to fix, or a joint at an edge of level timber.

    The refusal names the nearest height that has neither, and that needs no caution for a narrow strip where it can.

    Raises OptionError: when a strip is thinner, or a joint is nearer to such an edge.
    """
    clears, profile, rules = site.clears, site.profile, site.rules
    strip = thin_strip(courses, clears, rules.least_strip, profile)
    near_edge = edges.met_by(courses) if edges is not None else None
    if strip is None and near_edge is None:
        return
    bottom, top = courses[0][0], courses[-1][1]
    change, option = "use a longer or a shorter sheet, or boards the other way", ()
    if len(courses) > 1:
        near = courses[1][0]
        heights = sorted(range(-(-bottom // MM) * MM + MM, top, MM), key=lambda y: (abs(y - near), y))
        for at, wanted in ((y, w) for w in (rules.narrow_strip, rules.least_strip) for y in heights):
            tried = split_height(bottom, top, step, at)
            off_edges = edges is None or edges.met_by(tried) is None
            fine = off_edges and thin_strip(tried, clears, wanted, profile) is None
            if fine and (goes_on is None or goes_on(tried)):
                change, option = start_words(at, step, profile), (("course_from", at / MM),)
                break
    if strip is not None:
        rule = "joint.edge_cut"
        place = f"strip of board from {strip[0] / MM:g} to {strip[1] / MM:g} mm ({strip[2]})"
        found = (
            f"a strip {(strip[1] - strip[0]) / MM:g} mm high takes no screw far enough from both its edges; "
            f"{rules.least_strip / MM:g} mm do"
        )
    else:
        y, edge = near_edge
        rule, place = "joint.timber_edge", f"horizontal joint at {y / MM:g} mm"
        found = (
            f"two pieces of timber meet {abs(y - edge) / MM:g} mm from the joint, where the screws of one board go; "
            f"{edges.need / 2 / MM:g} mm keep clear of them"
        )
    raise OptionError([Refusal(rule, f"side {side}, {place}", found, change, option=option)])


def second_layer(
    first: Courses,
    step: int,
    course_from: str | int,
    site: Site,
    fits: Callable[[Courses], bool] | None = None,
) -> Courses:
    """Return courses of the second layer, their joints at least the rules' offset from the first layer's.

    Without a horizontal joint in the first layer the second has none either, nor where one course reaches. Otherwise
    these starts are tried in order: half a course down from the ceiling, half a course up from the floor, the
    opposite end, the least distance above and below each joint of the first layer, and heights in steps of 50 mm.

    Raises OptionError: when no start keeps the distance.
    """
    if len(first) == 1:
        return first
    bottom, top = first[0][0], first[-1][1]
    if top - bottom <= step:
        return ((bottom, top),)
    offset = site.rules.layer_offset
    taken = [low for low, _ in first[1:]]
    other = "floor" if course_from == "ceiling" else "ceiling"
    starts = [top - step // 2, bottom + step // 2, other]
    starts += [y for joint in taken for y in (joint - offset, joint + offset)]
    starts += range(bottom + step, top - step // 2, 50 * MM)
    starts += range(bottom + 50 * MM, top, 50 * MM)
    for start in starts:
        if not isinstance(start, str) and not bottom < start < top:
            continue
        courses = split_height(bottom, top, step, start)
        apart = all(abs(low - joint) >= offset for low, _ in courses[1:] for joint in taken)
        if not apart or (fits is not None and not fits(courses)):
            continue
        if thin_strip(courses, site.clears, site.rules.least_strip, site.profile) is None:
            return courses
    raise OptionError(
        [
            Refusal(
                "joint.layer_offset",
                "second layer",
                f"no course height keeps its horizontal joints {offset / MM:g} mm from the first layer's",
                "use longer sheets, or one layer",
            )
        ]
    )
