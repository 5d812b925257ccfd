"""Rows of noggins under a sloping ceiling or over an uneven floor.

A row stays level. For stability alone it goes only where a bay has room for it, between the lowest place of the head
plate and the highest of the sole plate there; behind a joint it reaches as far as the joint does and is cut to the
slope where it meets a plate. All lengths are integers of 0.1 mm.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from wallcalc.framing.tapers import is_square
from wallcalc.geometry.profile import Profile
from wallcalc.geometry.rectangles import Point, Rect
from wallcalc.geometry.sloped import between

if TYPE_CHECKING:
    from wallcalc.framing.noggin_rows import Noggin

FAR = 10**7
"""Further up or down than any wall, 0.1 mm."""


def plate_blocks(
    profile: Profile, left: int, right: int, y: int, need: int, thickness: int, for_joint: bool
) -> list[tuple[int, int]] | None:
    """Return what a row in a bay has to keep clear of below and above; None where it is not wanted.

    Parameters
    ----------
    profile : Profile
        Lines of the wall.
    left, right : int
        The bay.
    y, need : int
        Height of the row and of what it has to cover.
    thickness : int
        Of the timber.
    for_joint : bool
        Whether a board joint asks for it.
    """
    if not for_joint:
        return [(-FAR, profile.sole.most(left, right)), (profile.head.least(left, right), FAR)]
    slack = need // 2 - thickness // 2
    if profile.high.most(left, right) <= y - slack or profile.low.least(left, right) >= y + slack:
        return None
    return [(-FAR, profile.sole.least(left, right)), (profile.head.most(left, right), FAR)]


def cut_to_plates(profile: Profile, rect: Rect) -> list[tuple[Rect, tuple[Point, ...]]]:
    """Return what is left of a level piece between the plates: rectangles, with the outline of those cut to a slope."""
    left, bottom, right, top = rect
    if profile.sole.most(left, right) <= bottom and top <= profile.head.least(left, right):
        return [(rect, ())]
    return [
        (p.box, () if is_square(p.outline) else p.outline)
        for p in between(rect, (), profile.sole, profile.head)
    ]


def recut(noggins: Sequence[Noggin], profile: Profile) -> list[Noggin]:
    """Return noggins, placed anew or moved, cut to the plates; what lies beyond a plate is left out."""
    found: list[Noggin] = []
    for n in noggins:
        whole = (n.x, n.y, n.x + n.width, n.y + n.height)
        pieces = cut_to_plates(profile, whole)
        if pieces == [(whole, n.outline)]:
            found.append(n)
            continue
        for i, (box, outline) in enumerate(pieces):
            part = n.part if i == 0 else n.part + chr(ord("m") + i)
            size = {"x": box[0], "y": box[1], "width": box[2] - box[0], "height": box[3] - box[1]}
            found.append(replace(n, part=part, outline=outline, **size))
    return found
