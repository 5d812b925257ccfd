"""Whether a wall's height and length leave room for its frame, and its floor for its boards."""

from __future__ import annotations

from wallcalc.errors import OptionError, Refusal
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
