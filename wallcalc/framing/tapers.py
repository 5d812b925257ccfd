"""Pieces of timber cut to a slope: the length from point to point, the shorter side, the bevels of their ends.

A piece is cut from the bar by its long point: the distance, along its run, between the two places furthest apart.
Lengths are integers of 0.1 mm, bevels degrees off a square cut.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from wallcalc.geometry.rectangles import Point
from wallcalc.geometry.sloped import sides_at
from wallcalc.records import LEVEL, PLATES, Member

SHAVED = 0.035
"""A side that leans less than this on its length (two degrees) is a side shaved to fit, not an end."""
SQUARE = 0.05
"""A bevel less than this many degrees is cut square."""


def is_square(outline: Sequence[Point]) -> bool:
    """Return whether an outline is a rectangle with upright and level sides."""
    return len(outline) == 4 and all(
        p[0] == q[0] or p[1] == q[1] for p, q in zip(outline, [*outline[1:], outline[0]], strict=True)
    )


def piece(member: Member) -> tuple[int, int, tuple[float, ...], tuple[float, ...]]:
    """Return how a piece is cut: long point to long point, its shorter side, the bevels of its two ends.

    Long and short in 0.1 mm; the bevels of the lower or left end, then of the upper or right end, one for each
    cut, positive where the end rises to the right (uprights) or leans to the right (level pieces and plates). A
    square-cut piece has its length twice and bevels of 0.
    """
    if not member.outline:
        return member.length, member.length, (0.0,), (0.0,)
    cos, sin = _run(member)
    along = [x * cos + y * sin for x, y in member.outline]
    across = [y * cos - x * sin for x, y in member.outline]
    middle = (min(along) + max(along)) / 2
    long = max(along) - min(along)
    sides: dict[bool, float] = {False: 0.0, True: 0.0}
    ends: dict[bool, list[float]] = {False: [], True: []}
    number = len(along)
    for i in range(number):
        j = (i + 1) % number
        run, rise = along[j] - along[i], across[j] - across[i]
        if abs(rise) <= 2 or abs(rise) < SHAVED * abs(
            run
        ):  # outlines run anticlockwise: forth below, back above
            sides[run < 0] += abs(run)
            continue
        bevel = math.degrees(math.atan2(abs(run), abs(rise)))
        if run * rise < 0:
            bevel = -bevel
        if member.role not in (*PLATES, *LEVEL):
            bevel = -bevel  # across runs to the left of an upright's length
        ends[(along[i] + along[j]) / 2 > middle].append(round(bevel, 1) + 0.0)
    lower, upper = (tuple(b for b in ends[k] if abs(b) >= SQUARE) or (0.0,) for k in (False, True))
    return round(long), round(min(sides.values())), lower, upper[::-1]


def _run(member: Member) -> tuple[float, float]:
    """Direction that a piece runs in: along the wall, up, or along a plate's slope."""
    if member.role in LEVEL:
        return 1.0, 0.0
    if member.role not in PLATES:
        return 0.0, 1.0
    outline = member.outline
    sides = zip(outline, [*outline[1:], outline[0]], strict=True)
    dx, dy = max(((q[0] - p[0], q[1] - p[1]) for p, q in sides), key=lambda d: abs(d[0]))
    long = math.copysign(math.hypot(dx, dy), dx)
    return dx / long, dy / long


def cut_length(member: Member) -> int:
    """Return the length from long point to long point, rounded up, 0.1 mm."""
    if not member.outline:
        return member.length
    cos, sin = _run(member)
    along = [x * cos + y * sin for x, y in member.outline]
    return math.ceil(max(along) - min(along) - 1e-6)


def thinnest(member: Member) -> tuple[int, int]:
    """Return the least height of a level piece that meets a plate, and where along the wall that is, 0.1 mm."""
    places = {x for x, _ in member.corners}
    return min((high - low, x) for x in places for low, high in [solid_at(member, x)])


def is_ripped(member: Member, bevel: float) -> bool:
    """Return whether a level piece is cut along its length: some cut is more than a bevel off square, degrees."""
    lean = math.tan(math.radians(90 - bevel))
    corners = member.corners
    sides = zip(corners, [*corners[1:], corners[0]], strict=True)
    return any(2 < abs(q[1] - p[1]) < lean * abs(q[0] - p[0]) for p, q in sides)


def bevels_text(member: Member) -> str:
    """Return the bevels as text: nothing for a square-cut piece, else "lower / upper" or "left / right" in degrees."""
    if not member.outline:
        return ""
    _, _, lower, upper = piece(member)
    return " / ".join(" and ".join(f"{abs(b):g}" for b in ends) for ends in (lower, upper))


def solid_at(member: Member, x: int, reach: int = 0) -> tuple[int, int]:
    """Return between which heights a piece is solid at a distance from the left, and within a reach of it, 0.1 mm.

    Outside the piece the two are alike.
    """
    if not member.outline:
        return (member.y, member.top) if member.x <= x <= member.right else (0, 0)
    places = {min(max(at, member.x), member.right) for at in (x - reach, x, x + reach)}
    found = [sides for sides in (sides_at(member.outline, at) for at in places) if sides is not None]
    if not found or not member.x <= x <= member.right:
        return 0, 0
    return max(low for low, _ in found), min(high for _, high in found)


def stands(member: Member) -> bool:
    """Return whether a piece stands upright: by its role where a slope makes its rectangle look otherwise."""
    return member.role not in (*PLATES, *LEVEL) if member.outline else member.height > member.width


def covers(member: Member, x: int, y: int) -> bool:
    """Return whether a point is on a piece or its edge."""
    if not member.outline:
        return member.x <= x <= member.right and member.y <= y <= member.top
    low, high = solid_at(member, x)
    return low < high and low <= y <= high


def edge_room(member: Member, x: int, y: int) -> tuple[int, int]:
    """Return how far a point is from a piece's nearer end or side along the wall, and up or down, 0.1 mm.

    In a plate on a slope up and down is square to its run.
    """
    across = min(x - member.x, member.right - x)
    if not member.outline:
        return across, min(y - member.y, member.top - y)
    low, high = solid_at(member, x)
    lean = _run(member)[0] if member.role in PLATES else 1.0
    return across, int(min(y - low, high - y) * lean)
