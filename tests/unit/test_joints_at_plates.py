"""Horizontal joints near the edge of a plate or a door head: refused, with a height that helps."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

import wallcalc as wc
from wallcalc.given.parts import Opening
from wallcalc.given.wall import Wall

PLAIN = Wall("short wall", 12_000, ((0, 24_400),))


def failing(wall: Wall, course_from: str | float) -> list[str]:
    """The horizontal joints with too little timber behind an edge, as the checks measure it on the pieces placed."""
    made = wc.design(wall, wc.Option(board_orientation="horizontal", course_from=course_from), rules="uk")
    rows = made.checks[(made.checks["check"] == "edge backing") & (made.checks["verdict"] == "fail")]
    return [s for s in rows["subject"] if "horizontal" in s]


@pytest.mark.parametrize("course_from", ["floor", "ceiling"])
@pytest.mark.parametrize("height", [24_390, 24_400, 24_490, 24_560])
def test_a_joint_just_off_a_plate_is_refused_with_a_height_that_helps(height, course_from):
    wall = replace(PLAIN, heights=((0, height),))
    with pytest.raises(wc.OptionError, match="two pieces of timber meet") as caught:
        failing(wall, course_from)
    (change,) = {r.nearest_change for r in caught.value.refusals}
    assert failing(wall, float(re.search(r"course_from=([\d.]+)", change)[1])) == []


@pytest.mark.parametrize("course_from", [57, 60, 212, 2383])
def test_a_joint_far_enough_from_the_plates_is_built(course_from):
    # 38 mm sole plate and 10 + 6 + 3 mm for the screw of a bound edge: 57 mm; the same below the head plate at 2402 mm
    assert failing(PLAIN, course_from) == []


def test_a_joint_just_over_a_door_head_is_refused():
    door = Opening("door", 3000, width=8000, height=20_000)
    wall = replace(PLAIN, length=15_000, heights=((0, 26_200),), openings=(door,))
    with pytest.raises(wc.OptionError, match="meet 7 mm from the joint"):
        failing(wall, 2045)  # the head's timber ends at 2038 mm
    assert failing(wall, 2057) == []
