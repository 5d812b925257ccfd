"""Heights of the courses of a lining, and what each course's long edges meet.

All lengths are integers of 0.1 mm.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from wallcalc.boarding.uneven_boards import thin_piece
from wallcalc.errors import OptionError, Refusal
from wallcalc.framing.noggin_rows import gaps
from wallcalc.geometry.profile import Profile
from wallcalc.geometry.rectangles import Clear
from wallcalc.units.lengths import MM


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
    """Return courses of at most ``step`` between two heights, from the bottom up.

    Parameters
    ----------
    bottom, top : int
        The lining's lower and upper edge, 0.1 mm.
    step : int
        Full height of a course, 0.1 mm.
    course_from : str or int
        "ceiling" (full courses from the top down), "floor" (from the bottom up), or the height of one horizontal
        joint, from which full courses run both ways; that joint is made even where one course would reach.
    """
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


UNEVEN_PITCH = 10 * MM
"""Steps in which another height of a joint is looked for where floor or ceiling are uneven (not a trade rule)."""

METRE = 1000 * MM

Strip = tuple[int, int, str]
"""Lower edge and upper edge of a strip of board, and what is beside it."""


def thin_strip(
    courses: Sequence[tuple[int, int]], clears: Sequence[Clear], least: int, profile: Profile
) -> Strip | None:
    """Return the first strip of board, of a course or between a joint and an opening, that is too thin to fix.

    Parameters
    ----------
    courses : sequence of (int, int)
        Bottom and top of each course, 0.1 mm.
    clears : sequence of Clear
        Structural openings.
    least : int
        Least height of a strip that takes a screw, 0.1 mm.
    profile : Profile
        Lines of the wall.
    """
    if not profile.is_level:
        return thin_piece(courses, clears, least, profile)
    for low, high in courses:
        if high - low < least:
            return low, high, "course"
        for c in clears:
            if low < c.top < high and high - c.top < least:
                return c.top, high, f"over the {c.kind} at {c.left / MM:g} mm"
            if low < c.bottom < high and c.bottom - low < least:
                return low, c.bottom, f"under the {c.kind} at {c.left / MM:g} mm"
    return None


@dataclass(frozen=True, slots=True)
class LevelTimber:
    """The level timber of a frame without slopes, and how much of it a joint of boards needs behind it.

    ``height`` is the wall's, ``head`` the head plate's underside, ``thickness`` the timber's; ``need``
    is the width of timber, centred on a horizontal joint, in which no two pieces meet. All in 0.1 mm.
    """

    height: int
    head: int
    thickness: int
    need: int


def joint_at_an_edge(
    courses: Sequence[tuple[int, int]], clears: Sequence[Clear], level: LevelTimber | None
) -> tuple[int, int] | None:
    """Return the first joint so near to the edge of a plate, a door head or a sill that a noggin there is no help.

    The noggin has to start at that edge, so that two pieces meet where the screws of one board go.

    Parameters
    ----------
    courses : sequence of (int, int)
        Bottom and top of each course, 0.1 mm.
    clears : sequence of Clear
        Structural openings.
    level : LevelTimber, optional
        None: joints ask for no timber, or floor or ceiling slope.

    Returns
    -------
    (int, int) or None
        Heights of the joint and of the edge, 0.1 mm.
    """
    if level is None or len(courses) < 2:
        return None
    plates = [(0, level.thickness), (level.head, level.height)]
    beside = [(c.bottom - level.thickness if c.bottom > 0 else 0, c.top + level.thickness) for c in clears]
    edges = {e for zone in ([], *([b] for b in beside)) for gap in gaps([*plates, *zone]) for e in gap}
    for y, _ in courses[1:]:
        for edge in sorted(edges):
            if 0 < 2 * abs(edge - y) < level.need:
                return y, edge
    return None


def start_words(at: int, bottom: int, top: int, step: int, *, level: bool = True) -> str:
    """Return how to start the courses with a horizontal joint at a height: as a carpenter says it, and as an option.

    Parameters
    ----------
    at : int
        Height of the joint, 0.1 mm.
    bottom, top : int
        The lining's lower and upper edge, 0.1 mm.
    step : int
        Full height of a course, 0.1 mm.
    level : bool
        Whether floor and ceiling are level, so that full courses can be counted from them.
    """
    metres = f"{at / METRE:.4f}"
    height = metres[:-2] + metres[-2:].rstrip("0") + " m"
    words = f"start the courses {height} from the floor" if level else f"start the courses at {height}"
    for where, way, far in (("floor", "up", at - bottom), ("ceiling", "down", top - at)):
        if level and far % step == 0:
            number = "one full course" if far == step else f"{far // step} full courses"
            words = f"start full courses at the {where}, with a joint {number} {way}, {height} from the floor"
            break
    return f"{words} (course_from={at / MM:g})"


def check_strips(
    side: str,
    courses: tuple[tuple[int, int], ...],
    step: int,
    clears: Sequence[Clear],
    least: int,
    advised: int,
    profile: Profile,
    level: LevelTimber | None = None,
) -> None:
    """Refuse courses with a strip of board too thin to fix, or a joint at an edge of level timber.

    The refusal names the nearest height that has neither.

    Parameters
    ----------
    side : str
        "A" or "B", for the message.
    courses : tuple of (int, int)
        Bottom and top of each course, 0.1 mm.
    step : int
        Full height of a course, 0.1 mm.
    clears : sequence of Clear
        Structural openings.
    least : int
        Least height of a strip that takes a screw, 0.1 mm.
    advised : int
        Height from which a strip needs no caution, 0.1 mm; the change named keeps to it where it can.
    profile : Profile
        Lines of the wall.
    level : LevelTimber, optional
        What joints keep off, see :func:`joint_at_an_edge`.

    Raises
    ------
    OptionError
        When a strip is thinner, or a joint is nearer to such an edge.
    """
    strip = thin_strip(courses, clears, least, profile)
    near_edge = joint_at_an_edge(courses, clears, level)
    if strip is None and near_edge is None:
        return
    bottom, top = courses[0][0], courses[-1][1]
    change = "use a longer or a shorter sheet, or boards the other way"
    if len(courses) > 1:
        near = courses[1][0]
        pitch = MM if profile.is_level else UNEVEN_PITCH
        heights = sorted(range(-(-bottom // MM) * MM + MM, top, pitch), key=lambda y: (abs(y - near), y))
        for at, wanted in ((y, w) for w in (advised, least) for y in heights):
            tried = split_height(bottom, top, step, at)
            if (
                thin_strip(tried, clears, wanted, profile) is None
                and joint_at_an_edge(tried, clears, level) is None
            ):
                change = start_words(at, bottom, top, step, level=profile.is_level)
                break
    if strip is not None:
        rule = "joint.edge_cut"
        place = f"strip of board from {strip[0] / MM:g} to {strip[1] / MM:g} mm ({strip[2]})"
        found = (
            f"a strip {(strip[1] - strip[0]) / MM:g} mm high takes no screw far enough from both its edges; "
            f"{least / MM:g} mm do"
        )
    else:
        y, edge = near_edge
        rule, place = "joint.timber_edge", f"horizontal joint at {y / MM:g} mm"
        found = (
            f"two pieces of timber meet {abs(y - edge) / MM:g} mm from the joint, where the screws of one board go; "
            f"{level.need / 2 / MM:g} mm keep clear of them"
        )
    raise OptionError([Refusal(rule, f"side {side}, {place}", found, change)])


def second_layer(
    first: tuple[tuple[int, int], ...],
    step: int,
    course_from: str | int,
    offset: int,
    profile: Profile,
    clears: Sequence[Clear] = (),
    least: int = 0,
    fits: Callable[[tuple[tuple[int, int], ...]], bool] | None = None,
) -> tuple[tuple[int, int], ...]:
    """Return courses of the second layer, their joints at least an offset from the first layer's.

    Without a horizontal joint in the first layer the second has none either, nor where one course reaches. Otherwise
    these starts are tried in order: half a course down from the ceiling, half a course up from the floor, the
    opposite end, the least distance above and below each joint of the first layer, and heights in steps of 50 mm.

    Parameters
    ----------
    first : tuple of (int, int)
        The first layer's courses, 0.1 mm.
    step : int
        Full height of a course, 0.1 mm.
    course_from : str or int
        As for the first layer.
    offset : int
        Least distance between horizontal joints of the two layers, 0.1 mm.
    clears : sequence of Clear
        Structural openings.
    least : int
        Least height of a strip that takes a screw, 0.1 mm.
    fits : callable, optional
        Whether courses keep off what services need.
    profile : Profile
        Lines of the wall.

    Raises
    ------
    OptionError
        When no start keeps the distance.
    """
    if len(first) == 1:
        return first
    bottom, top = first[0][0], first[-1][1]
    if top - bottom <= step:
        return ((bottom, top),)
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
        if thin_strip(courses, clears, least, profile) is None:
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
