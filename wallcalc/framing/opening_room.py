"""Whether openings leave room for the timber over and under them, on level and on uneven walls.

All lengths are integers of 0.1 mm.
"""

from __future__ import annotations

from collections.abc import Sequence

from wallcalc.errors import OptionError, Refusal
from wallcalc.geometry.profile import Profile
from wallcalc.geometry.rectangles import Clear
from wallcalc.units.lengths import MM


def check_level(head: int, thickness: int, clears: Sequence[Clear]) -> None:
    """Refuse openings of a level wall that leave no room for a head and short studs, or for a sill.

    Parameters
    ----------
    head : int
        Underside of the head plate.
    thickness : int
        Of the timber.
    clears : sequence of Clear
        Structural openings.
    """
    refusals = []
    t = thickness
    for clear in clears:
        over = head - clear.top
        if over < t and over != 0:
            refusals.append(
                Refusal(
                    "door head",
                    f"{clear.kind} at {clear.left / MM:g} mm",
                    f"{over / MM:g} mm between the opening and the head plate",
                    f"lower the opening by {(t - over) / MM:g} mm, "
                    f"or let it end at the plate ({head / MM:g} mm)",
                )
            )
        elif 0 < over - t < t:
            refusals.append(
                Refusal(
                    "short studs",
                    f"{clear.kind} at {clear.left / MM:g} mm",
                    f"{(over - t) / MM:g} mm between the door head and the head plate, too short for a stud",
                    f"raise the opening by {(over - t) / MM:g} mm, or lower it by {(2 * t - over) / MM:g} mm",
                )
            )
        if clear.kind == "hatch" and 2 * t < clear.bottom < 3 * t:
            refusals.append(
                Refusal(
                    "short studs",
                    f"hatch at {clear.left / MM:g} mm",
                    f"{(clear.bottom - 2 * t) / MM:g} mm between the sill and the sole plate, too short for a stud",
                    f"lower it to {2 * t / MM:g} mm, or raise it to {3 * t / MM:g} mm",
                )
            )
        if clear.kind == "hatch" and clear.bottom < 2 * t and clear.bottom != t:
            refusals.append(
                Refusal(
                    "sill",
                    f"hatch at {clear.left / MM:g} mm",
                    f"its lower edge at {clear.bottom / MM:g} mm leaves no room for a sill over the sole plate",
                    f"raise it to {2 * t / MM:g} mm, or let it start on the plate ({t / MM:g} mm)",
                )
            )
    if refusals:
        raise OptionError(refusals)


def check_uneven(profile: Profile, clears: Sequence[Clear], thickness: int, beside: int) -> None:
    """Refuse openings that leave no room for a head and short studs over them, or for a sill and short studs under.

    Parameters
    ----------
    profile : Profile
        Lines of the wall.
    clears : sequence of Clear
        Structural openings.
    thickness : int
        Of the timber.
    beside : int
        How far the door head reaches over the timber at each side.
    """
    refusals = []
    t = thickness
    for c in clears:
        place = f"{c.kind} at {c.left / MM:g} mm"
        left, right = c.left - beside, c.right + beside
        low, high = profile.head.least(left, right), profile.head.most(left, right)
        over = low - c.top
        if over < 2 * t and not (low == high and over in (0, t)):
            refusals.append(
                Refusal(
                    "door head",
                    place,
                    f"{over / MM:g} mm between the opening and the head plate where it is lowest",
                    f"lower the opening by {(2 * t - over) / MM:g} mm, to leave room for a head and short studs",
                )
            )
        low, high = profile.sole.least(c.left, c.right), profile.sole.most(c.left, c.right)
        under = c.bottom - t - high
        if c.kind == "hatch" and under < t and not (low == high and under in (0, -t)):
            refusals.append(
                Refusal(
                    "sill",
                    place,
                    f"{(under + t) / MM:g} mm between the opening and the sole plate where it is highest",
                    f"raise it by {(t - under) / MM:g} mm, to leave room for a sill and short studs",
                )
            )
    if refusals:
        raise OptionError(refusals)
