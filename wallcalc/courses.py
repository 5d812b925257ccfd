"""Heights of the courses of a lining, and what each course's long edges meet.

All lengths are integers of 0.1 mm.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass

from wallcalc.errors import OptionError, Refusal
from wallcalc.given import MM


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
        joint, from which full courses run both ways.
    """
    if top - bottom <= step:
        joints: list[int] = []
    elif course_from == "ceiling":
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


def second_layer(
    first: tuple[tuple[int, int], ...], step: int, course_from: str | int, offset: int
) -> tuple[tuple[int, int], ...]:
    """Return courses of the second layer, their joints at least an offset from the first layer's.

    Without a horizontal joint in the first layer the second has none either. Otherwise these starts are tried in
    order: half a course down from the ceiling, half a course up from the floor, the opposite end, and heights in
    steps of 50 mm.

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

    Raises
    ------
    OptionError
        When no start keeps the distance.
    """
    if len(first) == 1:
        return first
    bottom, top = first[0][0], first[-1][1]
    taken = [low for low, _ in first[1:]]
    other = "floor" if course_from == "ceiling" else "ceiling"
    starts = [top - step // 2, bottom + step // 2, other, *range(bottom + step, top - step // 2, 50 * MM)]
    starts += range(bottom + 50 * MM, top, 50 * MM)
    for start in starts:
        if not isinstance(start, str) and not bottom < start < top:
            continue
        courses = split_height(bottom, top, step, start)
        if all(abs(low - joint) >= offset for low, _ in courses[1:] for joint in taken):
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
