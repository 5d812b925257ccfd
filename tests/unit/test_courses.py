"""Courses: full ones from the ceiling, the floor or a height; the second layer; strips too thin to fix."""

from __future__ import annotations

import random
import re
from dataclasses import replace
from itertools import pairwise

import pytest
from sites import level_site

from wallcalc.boarding.courses import (
    check_strips,
    second_layer,
    split_height,
    start_words,
    thin_strip,
)
from wallcalc.errors import OptionError
from wallcalc.geometry.profile import Line, Profile
from wallcalc.geometry.rectangles import Clear

LOW, HIGH, STEP = 120, 26_200, 12_000
SITE = level_site(30_000, HIGH)
LEVEL = SITE.profile


def test_one_course_where_the_board_reaches():
    assert split_height(LOW, 24_120, 24_000, "ceiling") == ((LOW, 24_120),)


def test_from_the_ceiling_full_courses_hang_down():
    # 2620 - 1200 = 1420, - 1200 = 220
    assert split_height(LOW, HIGH, STEP, "ceiling") == ((120, 2200), (2200, 14_200), (14_200, 26_200))


def test_from_the_floor_full_courses_stand_up():
    assert split_height(LOW, HIGH, STEP, "floor") == ((120, 12_120), (12_120, 24_120), (24_120, 26_200))


def test_from_a_height_both_ways():
    assert split_height(LOW, HIGH, STEP, 10_000) == ((120, 10_000), (10_000, 22_000), (22_000, 26_200))


@pytest.mark.parametrize("at", [0, 120, 26_200, 30_000])
def test_a_height_outside_the_boards_is_refused(at):
    with pytest.raises(OptionError, match="give a height between 12 and 2620 mm") as caught:
        split_height(LOW, HIGH, STEP, at)
    assert caught.value.refusals[0].rule == "course_from"


def test_random_courses_stack_up_and_are_no_higher_than_the_board():
    rng = random.Random(1)
    for _ in range(400):
        low, high = rng.randrange(0, 300), rng.randrange(18_000, 36_000)
        step = rng.choice((9000, 12_000, 12_192, 24_000))
        start = rng.choice(("ceiling", "floor", rng.randrange(low + 1, high)))
        courses = split_height(low, high, step, start)
        assert courses[0][0] == low
        assert courses[-1][1] == high
        assert all(a[1] == b[0] for a, b in pairwise(courses))
        assert all(0 < b - a <= step for a, b in courses)
        if isinstance(start, str):  # as few as can be
            assert len(courses) == -(-(high - low) // step)


def test_second_layer_of_a_single_course_has_no_joint():
    assert second_layer(((120, 24_000),), 24_000, "ceiling", SITE) == ((120, 24_000),)


@pytest.mark.parametrize("start", ["ceiling", "floor", 3000, 6010, 9990, 14_440])
def test_second_layer_keeps_its_distance(start):
    first = split_height(LOW, HIGH, STEP, start)
    second = second_layer(first, STEP, start, SITE)
    assert second[0][0] == LOW
    assert second[-1][1] == HIGH
    assert all(abs(a - b) >= 6000 for a, _ in first[1:] for b, _ in second[1:])


def test_second_layer_is_refused_when_no_height_keeps_the_distance():
    farther = replace(SITE, rules=replace(SITE.rules, layer_offset=6010))
    with pytest.raises(OptionError, match="use longer sheets, or one layer") as caught:
        second_layer(split_height(LOW, HIGH, STEP, "ceiling"), STEP, "ceiling", farther)
    assert caught.value.refusals[0].rule == "joint.layer_offset"


# --- strips too thin to take a screw


def test_a_strip_at_the_floor_is_found():
    assert thin_strip(((120, 200), (200, 12_200)), (), 260, LEVEL) == (120, 200, "course")
    assert thin_strip(((120, 380), (380, 12_380)), (), 260, LEVEL) is None


def test_a_strip_between_a_joint_and_a_door_head_is_found():
    clear = Clear(0, "door", 27_000, 35_420, 0, 20_300)
    assert thin_strip(((120, 20_400), (20_400, 26_200)), (clear,), 260, LEVEL) == (
        20_300,
        20_400,
        "over the door at 2700 mm",
    )
    assert thin_strip(((120, 20_300), (20_300, 26_200)), (clear,), 260, LEVEL) is None
    assert thin_strip(((120, 20_200), (20_200, 26_200)), (clear,), 260, LEVEL) is None


def test_a_strip_under_a_hatch_is_found():
    clear = Clear(0, "hatch", 10_000, 15_000, 8100, 16_000)
    assert thin_strip(((120, 8000), (8000, 20_000)), (clear,), 260, LEVEL) == (
        8000,
        8100,
        "under the hatch at 1000 mm",
    )


@pytest.mark.parametrize("start", ["ceiling", "floor"])
def test_the_change_named_for_a_thin_strip_leaves_none(start):
    low, high = 120, 24_200  # two boards of 1200 and 8 mm
    courses = split_height(low, high, STEP, start)
    with pytest.raises(OptionError, match="8 mm high takes no screw") as caught:
        check_strips("A", courses, STEP, SITE)
    (refusal,) = caught.value.refusals
    at = float(re.search(r"course_from=([\d.]+)", refusal.nearest_change)[1])
    again = split_height(low, high, STEP, round(at * 10))
    assert thin_strip(again, (), 260, LEVEL) is None
    assert min(b - a for a, b in again) >= 2000  # no strip that asks for caution either, where that can be


@pytest.mark.parametrize(
    ("at", "words"),
    [
        (6000, "start the courses 0.60 m from the floor (course_from=600)"),
        (6035, "start the courses 0.6035 m from the floor (course_from=603.5)"),
        (12_120, "start full courses at the floor, with a joint one full course up, 1.212 m from the floor"),
        (24_120, "start full courses at the floor, with a joint 2 full courses up, 2.412 m from the floor"),
        (
            14_200,
            "start full courses at the ceiling, with a joint one full course down, 1.42 m from the floor",
        ),
    ],
)
def test_where_courses_start_is_said_as_a_carpenter_says_it(at, words):
    assert start_words(at, 12_000, LEVEL).startswith(words)


def test_full_courses_are_not_counted_from_an_uneven_floor():
    floor, ceiling = Line(((0, 0), (30_000, 50))), Line(((0, HIGH), (30_000, HIGH + 70)))
    words = "start the courses at 1.212 m (course_from=1212)"
    assert start_words(12_120, 12_000, Profile.between(floor, ceiling, 380, 0, 120)) == words


def test_courses_without_a_thin_strip_pass():
    check_strips("A", split_height(LOW, HIGH, STEP, "ceiling"), STEP, SITE)


def test_a_joint_asked_for_is_made_even_where_one_course_would_reach():
    assert split_height(120, 26200, 27000, 13100) == ((120, 13100), (13100, 26200))
    assert split_height(120, 26200, 27000, "ceiling") == ((120, 26200),)
    assert second_layer(((120, 13100), (13100, 26200)), 27000, 13100, SITE) == ((120, 26200),)
