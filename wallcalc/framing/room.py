"""Whether there is room: in height and length for the frame, over and under openings for their timber.

All lengths are integers of 0.1 mm.
"""

from __future__ import annotations

from collections.abc import Iterator

from wallcalc.errors import OptionError, Refusal
from wallcalc.geometry.rectangles import Clear
from wallcalc.given.wall import Wall
from wallcalc.site.site import Site
from wallcalc.units.lengths import MM


def check_height(site: Site, wall: Wall) -> None:
    """Refuse a wall too low, high or short for its frame, or boards that start above the sole plate's reach."""
    rules, refusals = site.rules, []
    profile = (
        site.profile
    )  # where floor or ceiling slope the shortest stud there can be; each is judged later
    stud = profile.head.least(0, site.length) - profile.sole.most(0, site.length)
    if stud > site.longest:
        refusals.append(
            Refusal(
                "stud length",
                "whole wall",
                f"studs of {stud / MM:g} mm, the longest that can be cut is {site.longest / MM:g} mm",
                "add longer timber to the price book",
            )
        )
    edge = wall.floor_build_up + rules.floor_gap
    highest = site.thickness - rules.edge_cut - rules.timber_edge
    if edge > highest:
        refusals.append(
            Refusal(
                "floor_build_up",
                "lower edge of the boards",
                f"boards start at {edge / MM:g} mm; the sole plate, {site.thickness / MM:g} mm "
                f"high, takes their screws when they start at {highest / MM:g} mm or lower",
                "pack the sole plate up to the finished floor and measure the wall from there, without a build-up",
            )
        )
    if site.length < 2 * site.thickness + rules.least_bay:
        least = 2 * site.thickness + rules.least_bay
        refusals.append(
            Refusal("length", "whole wall", f"{site.length / MM:g} mm", f"at least {least / MM:g} mm")
        )
    if refusals:
        raise OptionError(refusals)


def check_openings(site: Site) -> None:
    """Refuse openings that leave no room for a head and short studs over them, or for a sill and short studs under."""
    refusals = [r for clear in site.clears for r in (*_over(clear, site), *_under(clear, site))]
    if refusals:
        raise OptionError(refusals)


def _over(clear: Clear, site: Site) -> Iterator[Refusal]:
    """Tell what is wrong over an opening: it may end at a level plate, or under a head that touches one."""
    t, head = site.thickness, site.profile.head
    left, right = clear.left - site.bearing, clear.right + site.bearing
    low = head.least(left, right)
    level = low == head.most(left, right)
    over = low - clear.top
    if over >= 2 * t or (level and over in (0, t)):
        return
    place = f"{clear.kind} at {clear.left / MM:g} mm"
    if not level:
        yield Refusal(
            "door head",
            place,
            f"{over / MM:g} mm between the opening and the head plate where it is lowest",
            f"lower the opening by {(2 * t - over) / MM:g} mm, to leave room for a head and short studs",
        )
    elif over < t:
        yield Refusal(
            "door head",
            place,
            f"{over / MM:g} mm between the opening and the head plate",
            f"lower the opening by {(t - over) / MM:g} mm, or let it end at the plate ({low / MM:g} mm)",
        )
    else:
        yield Refusal(
            "short studs",
            place,
            f"{(over - t) / MM:g} mm between the door head and the head plate, too short for a stud",
            f"raise the opening by {(over - t) / MM:g} mm, or lower it by {(2 * t - over) / MM:g} mm",
        )


def _under(clear: Clear, site: Site) -> Iterator[Refusal]:
    """Tell what is wrong under a hatch: it may start on a level plate, or on a sill that lies on one."""
    t, sole = site.thickness, site.profile.sole
    high = sole.most(clear.left, clear.right)
    level = high == sole.least(clear.left, clear.right)
    under = clear.bottom - t - high
    if clear.kind != "hatch" or under >= t or (level and under in (0, -t)):
        return
    place = f"hatch at {clear.left / MM:g} mm"
    if not level:
        yield Refusal(
            "sill",
            place,
            f"{(under + t) / MM:g} mm between the opening and the sole plate where it is highest",
            f"raise it by {(t - under) / MM:g} mm, to leave room for a sill and short studs",
        )
    elif under > 0:
        yield Refusal(
            "short studs",
            place,
            f"{under / MM:g} mm between the sill and the sole plate, too short for a stud",
            f"lower it to {(high + t) / MM:g} mm, or raise it to {(high + 2 * t) / MM:g} mm",
        )
    else:
        yield Refusal(
            "sill",
            place,
            f"its lower edge at {clear.bottom / MM:g} mm leaves no room for a sill over the sole plate",
            f"raise it to {(high + t) / MM:g} mm, or let it start on the plate ({high / MM:g} mm)",
        )
