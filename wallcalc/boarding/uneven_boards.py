"""Linings of an uneven wall: what one board can reach, how large the face is, pieces too thin to fix.

All lengths are integers of 0.1 mm.
"""

from __future__ import annotations

from collections.abc import Sequence

from wallcalc.geometry.profile import Profile
from wallcalc.geometry.rectangles import Clear, Patch
from wallcalc.geometry.sloped import area2, between
from wallcalc.trade.price_records import SheetStock
from wallcalc.units.lengths import MM


def widest_in_one(profile: Profile, sheets: Sequence[SheetStock]) -> int:
    """Return the widest upright sheet that reaches from floor to ceiling wherever it stands; 0 where none does."""
    able = [s.width for s in sheets if s.length >= profile.tallest(s.width)]
    return max(able, default=0)


def _pieces(profile: Profile, clears: Sequence[Clear], bottom: int, top: int) -> tuple[Patch, ...]:
    rects = [(c.left, c.bottom, c.right, c.top) for c in clears]
    return between((0, bottom, profile.length, top), rects, profile.low, profile.high)


def face_area(profile: Profile, clears: Sequence[Clear]) -> int:
    """Return an area that the boards of one layer have at least, (0.1 mm)^2.

    Boards may fall short of the lines by the rounding of their corners: 0.1 mm along floor and ceiling.
    """
    low, high = profile.low.least(0, profile.length), profile.high.most(0, profile.length)
    area = 0
    for patch in _pieces(profile, clears, low, high):
        area += area2(patch.outline) // 2 - sum((c - a) * (d - b) for a, b, c, d in patch.holes)
    return max(0, area - 2 * profile.perimeter)


def thin_piece(
    courses: Sequence[tuple[int, int]], clears: Sequence[Clear], least: int, profile: Profile
) -> tuple[int, int, str] | None:
    """Return the first piece of a course that is nowhere as high as takes a screw: its lower and upper edge, its place.

    Parameters
    ----------
    courses : sequence of (int, int)
        Bottom and top of each course, 0.1 mm.
    clears : sequence of Clear
        Structural openings.
    least : int
        Least height, 0.1 mm.
    profile : Profile
        Lines of the wall.
    """
    for low, high in courses:
        for patch in _pieces(profile, clears, low, high):
            left, bottom, right, top = patch.box
            if top - bottom < least:
                return bottom, top, f"from {left / MM:g} to {right / MM:g} mm"
        for c in clears:
            name = f"the {c.kind} at {c.left / MM:g} mm"
            top = min(high, profile.high.most(c.left, c.right))
            if low < c.top < top and top - c.top < least:
                return c.top, top, f"over {name}"
            bottom = max(low, profile.low.least(c.left, c.right))
            if bottom < c.bottom < high and c.bottom - bottom < least:
                return bottom, c.bottom, f"under {name}"
    return None
