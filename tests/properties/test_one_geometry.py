"""One geometry for level and sloping walls: raising an end by 0.1 mm changes nothing but what 0.1 mm must."""

from __future__ import annotations

from dataclasses import replace

import pytest
from random_hung import hung_case
from random_services import random_service_case
from random_walls import prices, random_case

import wallcalc as wc
from wallcalc.shipped import data_folder

NUMBER = r"[\d.]+ mm"
"""A joint's height, which may be told 0.1 mm higher."""
HAIR = 0.21
"""What a corner may move when an end rises by 0.1 mm: that, and the rounding of corners on a slope, mm."""


def raised(wall: wc.Wall) -> wc.Wall:
    """Return a level wall whose ceiling is 0.1 mm higher at its right end."""
    ((_, height),) = wall.heights
    return replace(wall, heights=((0, height), (wall.length, height + 1)))


def made(wall, option, law):
    try:
        return wc.design(wall, option, rules=law, prices=prices(), model="closed form", seconds=0.05)
    except wc.OptionError as error:
        return error


def same(a: wc.Design, b: wc.Design) -> None:
    """Fail where two designs differ by more than a hair; where boardings tie, another may be taken for as much."""
    if len(a.boards) != len(b.boards):
        assert a.cost == b.cost
        return
    for table, names, sizes in (
        ("members", ["mark", "role", "faces", "serves", "flat"], ["x", "y", "width", "height", "length"]),
        ("boards", ["mark", "side", "layer", "board_type"], ["x", "y", "width", "height"]),
    ):
        one, two = (getattr(d, table).replace(NUMBER, "mm", regex=True) for d in (a, b))
        assert one[names].to_dict("records") == two[names].to_dict("records")
        assert (one[sizes] - two[sizes]).abs().to_numpy().max() <= HAIR
    between = [d.joints[d.joints["kind"] != "corner"].reset_index(drop=True) for d in (a, b)]
    named = ["side", "layer", "kind", "backed_by"]
    assert between[0][named].to_dict("records") == between[1][named].to_dict("records")
    screws = [
        d.takeoff[d.takeoff["item"].str.contains("screw")].groupby("item")["needed"].sum() for d in (a, b)
    ]
    assert screws[0].to_dict() == screws[1].to_dict()
    shown = ["check", "verdict"]
    verdicts = [
        d.checks[~d.checks["check"].isin(["lifting", "way in"])][shown].value_counts().to_dict()
        for d in (a, b)
    ]
    assert verdicts[0] == verdicts[1]


CASES = [(make, seed) for make in (random_case, hung_case, random_service_case) for seed in range(8)]


@pytest.mark.parametrize(("make", "seed"), CASES, ids=[f"{m.__name__}-{s}" for m, s in CASES])
def test_a_hair_higher_at_one_end_is_the_same_wall(make, seed):
    wall, option, law = tuple(make(seed))[:3]
    if len(wall.heights) > 1 or wall.floor_levels or option.stud_layout == "fitted":
        wall, option = replace(wall, heights=wall.heights[:1], floor_levels=()), replace_module(option)
    ((_, height),) = wall.heights
    wall = replace(wall, heights=((0, height - 7),))  # no sheet fits it to the tenth
    level, sloping = made(wall, option, law), made(raised(wall), option, law)
    if isinstance(level, wc.OptionError):
        assert isinstance(sloping, wc.OptionError), sloping
        assert [r.rule for r in level.refusals] == [r.rule for r in sloping.refusals]
    else:
        assert isinstance(sloping, wc.Design), sloping
        same(level, sloping)


def replace_module(option: wc.Option) -> wc.Option:
    """Return the option on regular centres."""
    return (
        option if option.stud_layout == "module" else replace(option, stud_layout="module", stud_centres=600)
    )


@pytest.mark.parametrize("rise", [0, 1, 20])
def test_a_joint_at_the_edge_of_the_door_head_s_timber_is_refused_level_or_not(rise):
    """With a rise of 2 mm it was built, and two of its edges failed their check."""
    wall = wc.Wall.load(data_folder() / "walls" / "worked_wall.toml")
    wall = replace(wall, heights=((0, 26_200), (wall.length, 26_200 + rise)))
    with pytest.raises(wc.OptionError, match="two pieces of timber meet"):
        wc.design(wall, wc.Option(board_orientation="horizontal", course_from=2070), model="closed form")
