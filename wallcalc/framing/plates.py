"""Sole plates and head plates: along floor and ceiling, stopped at doors, joined where timber is not long enough.

All lengths are integers of 0.1 mm.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from wallcalc.errors import OptionError, Refusal
from wallcalc.geometry.profile import Line, Profile
from wallcalc.geometry.rectangles import Clear, Point
from wallcalc.units.lengths import MM

Outline = tuple[Point, ...]
"""Corners of a piece, anticlockwise."""


def sole_runs(length: int, clears: Sequence[Clear]) -> list[tuple[int, int]]:
    """Return the stretches of floor that carry a sole plate: the wall's length less its doors."""
    edges = [0]
    for clear in clears:
        if clear.kind == "door":
            edges += [clear.left, clear.right]
    edges.append(length)
    return [(a, b) for a, b in zip(edges[::2], edges[1::2], strict=True) if b > a]


@dataclass(frozen=True, slots=True)
class Joining:
    """How a plate may be joined where it is longer than the timber on sale. Lengths in 0.1 mm.

    ``longest`` is the longest piece that can be cut, ``least`` the shortest that takes enough fixings; ``places`` are
    where a joint may fall (both ends can be fixed close to it), the preferred ones first, ``taken`` those near which
    the other plate is joined. ``role`` is for the message.
    """

    role: str
    longest: int
    least: int
    places: Sequence[Sequence[int]]
    taken: Collection[int] = ()


def split_plate(start: int, end: int, joining: Joining) -> list[tuple[int, int]]:
    """Return the pieces of a plate from start to end, as few as possible, the first ones as long as possible.

    Raises OptionError: when no place for a joint is within reach.
    """
    longest, least, taken, places = joining.longest, joining.least, joining.taken, joining.places
    rank = {x: n for n, group in reversed(list(enumerate(places))) for x in group if x not in taken}
    joints = sorted(x for x in rank if start + least <= x <= end - least)
    # from each place to the end: pieces, joints at places of second choice, and (first ones long) the next joint
    ways: dict[int, tuple[int, int, int]] = {}
    for at in [*reversed(joints), start]:
        if end - at <= longest:
            ways[at] = (1, 0, -end)
            continue
        further = [
            (ways[x][0] + 1, ways[x][1] + rank[x], -x)
            for x in joints
            if least <= x - at <= longest and x in ways
        ]
        if further:
            ways[at] = min(further)
    if start not in ways:
        raise OptionError(
            [
                Refusal(
                    "plate joint",
                    f"{joining.role} from {start / MM:g} mm",
                    f"no place for a joint within the longest timber on sale ({longest / MM:g} mm)",
                    "add longer timber to the price book",
                )
            ]
        )
    pieces = []
    at = start
    while at != end:
        after = -ways[at][2]
        pieces.append((at, after))
        at = after
    return pieces


def plate_outlines(profile: Profile, run: tuple[int, int], thickness: int, joining: Joining) -> list[Outline]:
    """Return the outlines of the pieces of a plate between two places, left to right.

    Plates follow floor and ceiling in straight pieces, mitred where a height was measured and cut plumb elsewhere.

    Raises OptionError: when a piece would be too short, or cannot be joined.
    """
    hanging, (start, end) = joining.role == "head plate", run
    base, inner = (profile.under_packing, profile.head) if hanging else (profile.floor, profile.sole)
    mitres = dict(zip((x for x, _ in base.points), inner.points, strict=True))
    breaks = [start, *(x for x, _ in base.inner(start, end)), end]
    found = []
    for a, b in pairwise(breaks):
        if b - a < thickness:
            raise OptionError([_too_short((a, b), run, joining.role)])
        rise = base.at(b) - base.at(a)
        slope = math.hypot(b - a, float(rise)) / (b - a)
        tips = 2 * thickness * abs(float(rise)) / (b - a)
        reach = replace(joining, longest=int((joining.longest - tips) / slope))
        for p, q in split_plate(a, b, reach):
            first = mitres[p] if p == a != start else None
            last = mitres[q] if q == b != end else None
            outline = _plate(base, inner, first or p, last or q, (p, q), hanging)
            if outline is None:
                raise OptionError([_too_short((a, b), run, joining.role)])
            found.append(outline)
    return found


def _plate(
    base: Line, inner: Line, first: Point | int, last: Point | int, ends: tuple[int, int], hanging: bool
) -> Outline | None:
    """Corners anticlockwise, ends mitred where a point is given, else plumb; None where the two ends would meet."""
    inside, outside = (inner.over, base.under) if hanging else (inner.under, base.over)
    first = (first, inside(first)) if isinstance(first, int) else first
    last = (last, inside(last)) if isinstance(last, int) else last
    if first[0] >= last[0]:
        return None
    near = (first, *inner.inner(first[0], last[0]), last)
    far = tuple((x, outside(x)) for x in ends)
    return (*near, far[1], far[0]) if hanging else (*far, *reversed(near))


def _too_short(piece: tuple[int, int], run: tuple[int, int], role: str) -> Refusal:
    a, b = piece
    at = a if a != run[0] else b
    return Refusal(
        "measured heights",
        f"{role} from {a / MM:g} to {b / MM:g} mm",
        f"a piece {(b - a) / MM:g} mm long cannot follow the points measured",
        f"leave out the point at {at / MM:g} mm" if at not in run else "move the opening",
    )
