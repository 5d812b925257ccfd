"""The frame under a sloping ceiling or over an uneven floor: plates along the lines, pieces cut to them.

Plates follow floor and ceiling in straight pieces, mitred where a height was measured and cut plumb elsewhere; studs
stand plumb between them with their ends cut to the slope; noggins, door heads and sills stay level. All lengths are
integers of 0.1 mm.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import replace
from itertools import pairwise

from wallcalc.errors import OptionError, Refusal
from wallcalc.framing.plates import split_plate
from wallcalc.framing.tapers import cut_length, is_square
from wallcalc.geometry.profile import Line, Profile
from wallcalc.geometry.rectangles import Clear, Point
from wallcalc.geometry.sloped import between
from wallcalc.records import Member
from wallcalc.units.lengths import MM

FAR = 10**7
"""Further up or down than any wall, 0.1 mm."""


def shaped(member: Member, outline: Sequence[Point]) -> Member:
    """Return a member with an outline, its rectangle and length made to fit; a rectangle leaves it square-cut."""
    xs, ys = [x for x, _ in outline], [y for _, y in outline]
    x, y = min(xs), min(ys)
    width, height = max(xs) - x, max(ys) - y
    square = is_square(outline)
    found = replace(member, x=x, y=y, width=width, height=height, outline=() if square else tuple(outline))
    level = member.role in ("noggin", "pattress", "sole plate", "head plate")
    return replace(found, length=(width if level else height) if square else cut_length(found))


def upright_outlines(
    left: int, right: int, zone: int, trimmer: bool, clears: Sequence[Clear], profile: Profile, thickness: int
) -> list[tuple[Point, ...]]:
    """Return the outlines of the pieces of one upright, bottom up: one, or those over and under an opening."""
    stretches = [(-FAR, FAR)]
    if zone >= 0:
        clear = clears[zone]
        if trimmer:
            stretches = [(-FAR, clear.top)]
        else:
            stretches = [(clear.top + thickness, FAR)]
            if clear.kind == "hatch" and clear.bottom - thickness > profile.sole.most(left, right):
                stretches.insert(0, (-FAR, clear.bottom - thickness))
    found = []
    for bottom, top in stretches:
        found += [p.outline for p in between((left, bottom, right, top), (), profile.sole, profile.head)]
    return found


def plates_along(
    profile: Profile,
    start: int,
    end: int,
    thickness: int,
    longest: int,
    places: Sequence[Sequence[int]],
    taken: Collection[int],
    least: int,
    hanging: bool,
) -> list[tuple[Point, ...]]:
    """Return the outlines of the pieces of a plate along floor or ceiling, left to right.

    Parameters
    ----------
    profile : Profile
        Lines of the wall.
    start, end : int
        Ends of the plate along the wall.
    thickness : int
        Of the plate.
    longest : int
        Longest piece that can be cut.
    places, taken, least
        As for :func:`wallcalc.framing.plates.split_plate`.
    hanging : bool
        Whether it is the head plate.

    Raises
    ------
    OptionError
        When a piece would be too short, or cannot be joined.
    """
    base, inner = (profile.under_packing, profile.head) if hanging else (profile.floor, profile.sole)
    role = "head plate" if hanging else "sole plate"
    mitres = dict(zip((x for x, _ in base.points), inner.points, strict=True))
    breaks = [start, *(x for x, _ in base.inner(start, end)), end]
    found = []
    for a, b in pairwise(breaks):
        if b - a < thickness:
            raise OptionError([_too_short(a, b, start, end, role)])
        rise = base.at(b) - base.at(a)
        slope = math.hypot(b - a, float(rise)) / (b - a)
        tips = 2 * thickness * abs(float(rise)) / (b - a)
        for p, q in split_plate(a, b, int((longest - tips) / slope), places, taken, least, role):
            ends = []
            for x, mitred in ((p, p == a != start), (q, q == b != end)):
                ends.append(mitres[x] if mitred else None)
            outline = _plate(base, inner, p, q, ends[0], ends[1], hanging)
            if outline is None:
                raise OptionError([_too_short(a, b, start, end, role)])
            found.append(outline)
    return found


def _plate(
    base: Line, inner: Line, p: int, q: int, first: Point | None, last: Point | None, hanging: bool
) -> tuple[Point, ...] | None:
    """Corners anticlockwise; None where the two ends would meet."""
    inside, outside = (inner.over, base.under) if hanging else (inner.under, base.over)
    first = first or (p, inside(p))
    last = last or (q, inside(q))
    if first[0] >= last[0]:
        return None
    near = (first, *inner.inner(first[0], last[0]), last)
    far = ((p, outside(p)), (q, outside(q)))
    return (*near, far[1], far[0]) if hanging else (*far, *reversed(near))


def _too_short(a: int, b: int, start: int, end: int, role: str) -> Refusal:
    at = a if a != start else b
    return Refusal(
        "measured heights",
        f"{role} from {a / MM:g} to {b / MM:g} mm",
        f"a piece {(b - a) / MM:g} mm long cannot follow the points measured",
        f"leave out the point at {at / MM:g} mm" if at not in (start, end) else "move the opening",
    )


def check_lengths(members: Sequence[Member], longest: int) -> None:
    """Refuse uprights longer than what can be cut from the timber on sale, naming the longest."""
    worst = max((m for m in members if m.role not in ("sole plate", "head plate")), key=lambda m: m.length)
    if worst.length > longest:
        raise OptionError(
            [
                Refusal(
                    "stud length",
                    f"{worst.role} at {worst.x / MM:g} mm",
                    f"a piece of {worst.length / MM:g} mm, the longest that can be cut is {longest / MM:g} mm",
                    "add longer timber to the price book",
                )
            ]
        )
