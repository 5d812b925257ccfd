"""Whether a wall's height and length leave room for its frame, and its floor for its boards."""

from __future__ import annotations

from wallcalc.errors import OptionError, Refusal
from wallcalc.framing.skeleton import Skeleton
from wallcalc.given.wall import Wall
from wallcalc.site.frame_rules import FrameRules
from wallcalc.units.lengths import MM


def check_height(skeleton: Skeleton, wall: Wall, rules: FrameRules) -> None:
    """Refuse a wall too low, too high or too short for its frame, or boards that start above the sole plate's reach.

    Parameters
    ----------
    skeleton : Skeleton
        Sizes of the frame, 0.1 mm.
    wall : Wall
        The given wall.
    rules : FrameRules
        The rules in force.
    """
    refusals = []
    level = skeleton.profile is None  # an uneven wall's studs are judged one by one
    stud = skeleton.head - skeleton.thickness
    if level and stud < rules.least_bay:
        refusals.append(
            Refusal(
                "stud length",
                "whole wall",
                f"a wall {wall.height / MM:g} mm high leaves {stud / MM:g} mm between the plates",
                f"at least {(wall.height - stud + rules.least_bay) / MM:g} mm of height",
            )
        )
    if level and stud > skeleton.longest:
        refusals.append(
            Refusal(
                "stud length",
                "whole wall",
                f"studs of {stud / MM:g} mm, the longest that can be cut is {skeleton.longest / MM:g} mm",
                "add longer timber to the price book",
            )
        )
    edge = wall.floor_build_up + rules.floor_gap
    highest = skeleton.thickness - rules.edge_cut - rules.timber_edge
    if edge > highest:
        refusals.append(
            Refusal(
                "floor_build_up",
                "lower edge of the boards",
                f"boards start at {edge / MM:g} mm; the sole plate, {skeleton.thickness / MM:g} mm "
                f"high, takes their screws when they start at {highest / MM:g} mm or lower",
                "pack the sole plate up to the finished floor and measure the wall from there, without a build-up",
            )
        )
    if skeleton.length < 2 * skeleton.thickness + rules.least_bay:
        least = 2 * skeleton.thickness + rules.least_bay
        refusals.append(
            Refusal("length", "whole wall", f"{skeleton.length / MM:g} mm", f"at least {least / MM:g} mm")
        )
    if refusals:
        raise OptionError(refusals)
