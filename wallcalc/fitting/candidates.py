"""Stud lines that the search over fitted layouts starts from and moves to.

A layout is the middles of the studs between the fixed uprights, left to right. All lengths are integers of 0.1 mm.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from wallcalc.carcass.build import Carcass, CarcassInput, closed_to, linings_of
from wallcalc.errors import OptionError
from wallcalc.framing.joint_lines import upright_length
from wallcalc.framing.stud_lines import Span, spans
from wallcalc.given.option import SET_OUT_FROM
from wallcalc.records import Upright
from wallcalc.site.lines import profile_of
from wallcalc.units.lengths import MM

Lines = tuple[int, ...]

WAYS_TO_FILL = ("even", "left", "right")
"""How studs fill a stretch that is wider than the limit: evenly, or at the limit from the left or from the right."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """A run between fixed uprights that studs may stand in.

    ``low`` and ``high`` are the middles of the uprights at its sides, ``first`` and ``last`` of those that stand full
    height there; ``zone`` is -1, else the opening it is over or under; ``length`` the timber one stud takes at the
    least.
    """

    low: int
    high: int
    first: int
    last: int
    zone: int
    length: int


def stretches(given: CarcassInput, posts: Sequence[Upright]) -> list[Stretch]:
    """Return the runs between fixed uprights, left to right."""
    wall, t = given.wall, given.timber[0].thickness
    half = t // 2
    profile = profile_of(wall, t, given.rules)
    found = []
    for span in spans(posts, given.clears):
        low, high = span.left - half, span.right + half
        length = room = upright_length(span.zone, given.clears, wall.height, given.rules.head_packing, t)
        if span.zone >= 0:  # the wall's height is its least, perhaps not over the opening
            places = (span.left, span.right, *(x for x, _ in profile.head.inner(span.left, span.right)))
            room = max(profile.upright(x, given.clears[span.zone], t) for x in places)
        if room > 0:
            found.append(Stretch(low, high, low - span.beyond, high + span.beyond, span.zone, length))
    return found


def inside(lines: Iterable[int], stretch: Stretch | Span) -> list[int]:
    """Return the lines within a stretch."""
    low, high = (stretch.low, stretch.high) if isinstance(stretch, Stretch) else (stretch.left, stretch.right)
    return [x for x in lines if low < x < high]


def keeps(lines: Sequence[int], runs: Sequence[Stretch], most: int, pitch: int, thickness: int) -> bool:
    """Return whether neighbouring studs are no further apart than the limit, and touch or leave the least bay.

    Parameters
    ----------
    lines : sequence of int
        Stud middles.
    runs : sequence of Stretch
        From :func:`stretches`.
    most, pitch, thickness : int
        Most and least distance of middles, and that of studs that touch, 0.1 mm.
    """
    for run in runs:
        own = inside(lines, run)
        if any(b - a > most for a, b in pairwise([run.first, *own, run.last])):
            return False
        near = [b - a for a, b in pairwise([run.low, *own, run.high])] if own else []
        if any(gap < pitch and gap != thickness for gap in near):
            return False
    return True


def filled(kept: Iterable[int], runs: Sequence[Stretch], most: int, pitch: int, way: str) -> Lines:
    """Return lines with the fewest studs added that keep every distance within the limit.

    Parameters
    ----------
    kept : iterable of int
        Lines that stay.
    runs : sequence of Stretch
        From :func:`stretches`.
    most, pitch : int
        Most and least distance between studs, 0.1 mm.
    way : str
        One of :data:`WAYS_TO_FILL`.
    """
    kept = sorted(set(kept))
    found: set[int] = set()
    for run in runs:
        stops = [run.first, *inside(kept, run), run.last]
        found.update(stops[1:-1])
        for a, b in pairwise(stops):
            count = -(-(b - a) // most) - 1
            for k in range(1, count + 1):
                if way == "even":
                    found.add(a + (b - a) * k // (count + 1))
                elif way == "left":
                    found.add(min(a + most * k, b - pitch * (count - k + 1)))
                else:
                    found.add(max(b - most * k, a + pitch * (count - k + 1)))
    return tuple(sorted(found))


def needed_lines(made: Carcass) -> set[int]:
    """Return the lines of a carcass that serve something besides the distance between studs.

    Those of board joints, with a pair of studs taken as its line, and of studs put there for anything else.
    """
    lines = set(made.boarding.lines)
    half = made.frame.members[0].height // 2
    for m in made.frame.members:
        if m.role not in ("stud", "short stud"):
            continue
        others = [s for s in m.serves if s.kind in ("item", "joint", "opening", "stability")]
        middle = m.x + m.width // 2
        if others and all(abs(middle - x) > half for x in lines):
            lines.add(middle)
    return lines


def module_seeds(given: CarcassInput, centres: Iterable[int]) -> list[CarcassInput]:
    """Return the module's inputs: every centres from every end."""
    return [replace(given, centres=c, set_out_from=end, lines=None) for c in centres for end in SET_OUT_FROM]


def course_starts(given: CarcassInput) -> list[CarcassInput]:
    """Return the wall with each height its courses may start from, the option's own first.

    A number stays as it is. Otherwise ceiling and floor, and the heights of fixings of hung items where a joint there
    makes no more courses: its row of noggins then serves both.
    """
    found = [given]
    if not isinstance(given.course_from, str):
        return found
    own = _courses(given)
    seen = {own}
    if own is None or max(len(c) for c in own) < 2:
        return found
    heights = sorted({y for item in given.wall.hung for _, y in item.fixings})
    starts: list[str | float] = ["floor" if given.course_from == "ceiling" else "ceiling"]
    starts += [y / MM for y in heights]
    for start in starts:
        other = replace(given, course_from=start)
        courses = _courses(other)
        if courses is not None and courses not in seen and max(map(len, courses)) <= max(map(len, own)):
            seen.add(courses)
            found.append(other)
    return found


def _courses(given: CarcassInput) -> tuple[tuple[tuple[int, int], ...], ...] | None:
    try:
        return tuple(lining.courses for lining in linings_of(given))
    except OptionError:
        return None


def positions(
    given: CarcassInput, runs: Sequence[Stretch], most: int, extra: Iterable[int] = ()
) -> list[Lines]:
    """Return where a stud may stand in each stretch: the stated set that a proof covers.

    Multiples of the limit from both its ends; multiples of the sheets' reach and of half of it from the wall's ends
    and from jamb lines; even divisions; fixings of hung items and as far beside them as their edge distance allows;
    beside services.

    Parameters
    ----------
    given : CarcassInput
        Wall and choices.
    runs : sequence of Stretch
        From :func:`stretches`.
    most : int
        Most distance between studs, 0.1 mm.
    extra : iterable of int
        More lines.
    """
    wall, rules, t = given.wall, given.rules, given.timber[0].thickness
    steps = sorted(
        {s for lining in linings_of(given) for s in (lining.lengths if lining.lying else (lining.widest,))}
    )
    wanted = set(extra)
    jambs = [x for c in given.clears for x in (c.left, c.right)]
    for start in (0, wall.length, *jambs):
        for step in {s // k for s in steps for k in (1, 2)}:
            wanted.update(range(start + step, wall.length, step))
            wanted.update(range(start - step, 0, -step))
    beside = t // 2 - rules.timber_edge
    for item in wall.hung:
        for x, _ in item.fixings:
            wanted.update((x, x - beside, x + beside))
    near, closed = rules.least_bay + t, closed_to(given)
    found = []
    for run in runs:
        width = run.last - run.first
        own = {*range(run.first + most, run.last, most), *range(run.last - most, run.first, -most)}
        count = -(-width // most)
        own.update(run.first + width * k // count for k in range(1, count))
        own.update(inside(wanted, run))
        for a, b in closed.intervals.get(run.zone, ()):
            own.update((a - t + t // 2, b + t // 2))
        found.append(
            tuple(
                x
                for x in sorted(own)
                if run.low + near <= x <= run.high - near
                and closed.free(x - t // 2, x - t // 2 + t, run.zone)
            )
        )
    return found


def layouts(
    places: Sequence[Lines], runs: Sequence[Stretch], most: int, pitch: int, cheap: object
) -> Iterator[Lines]:
    """Return every layout on the places given that keeps the limit and the least distance.

    Parameters
    ----------
    places : sequence of tuple of int
        Lines for each stretch, from :func:`positions`.
    runs : sequence of Stretch
        The stretches.
    most, pitch : int
        Most and least distance between studs, 0.1 mm.
    cheap : callable
        From lines chosen so far (stretches still to come left out) to whether they can still be worth trying.
    """
    yield from _layouts(places, runs, most, pitch, cheap, 0, ())


def _layouts(places, runs, most, pitch, cheap, index, chosen):  # type: ignore[no-untyped-def]
    if index == len(runs):
        yield chosen
        return
    for lines in _ways(places[index], runs[index], most, pitch, lambda more: cheap((*chosen, *more))):
        yield from _layouts(places, runs, most, pitch, cheap, index + 1, (*chosen, *lines))


def _ways(places: Lines, run: Stretch, most: int, pitch: int, cheap) -> Iterator[Lines]:  # type: ignore[no-untyped-def]
    """Every way to stand studs in one stretch, fewest first where they begin alike."""

    def grow(lines: Lines, last: int) -> Iterator[Lines]:
        if not cheap(lines):
            return
        if run.last - last <= most:
            yield lines
        for x in places:
            if x - last > most:
                break
            if x - (last if lines else run.low) >= pitch:
                yield from grow((*lines, x), x)

    yield from grow((), run.first)
