"""Board screws of a plain wall counted by hand.

2400 x 2400, studs at 600 (end studs' middles at 19 and 2381, studs at 600, 1200 and 1800), one row of noggins, upright
sheets 1200 x 2400, no setting tolerance. Side A has its joint at 1200, side B at 600 and 1800. A row on an upright
runs from 12 + 13 = 25 to 2400 - 13 = 2387, which is 2362 long; on a stud under a joint it stands 10 to the joint's
side. Level timber (sole plate, head plate, noggins) has what is needed between those rows.
"""

from __future__ import annotations

import pytest

import wallcalc as wc
from wallcalc.given.wall import Opening

PLAIN = {"joint.tolerance": 0, "screw.allowance": 0, "screw.spacing_corner": 200}


def needed(option: wc.Option, **values: float) -> dict[float, int]:
    """Screws on the order list by length, mm."""
    changed = {key.replace("__", "."): value for key, value in values.items()}
    rules = wc.Rules.load("uk").with_values({**PLAIN, **changed})
    wall = wc.Wall("plain", 24_000, ((0, 24_000),))
    design = wc.design(wall, option, rules=rules, model="closed form")
    lines = design.takeoff[design.takeoff["item"] == rules.value("order.board_screw")]
    found: dict[float, int] = {}
    for code, number in zip(lines["code"], lines["needed"], strict=True):
        length = design.prices.item(code).length / 10
        found[length] = found.get(length, 0) + round(number)
    return found


def test_one_layer_each_side():
    # a board of 1200: 3 uprights of 2362 / 300 -> 8 steps, 9 screws; 2 plates and a row with 1 between each pair
    wide = 3 * 9 + 3 * 2
    # a board of 600: 2 uprights, and 1 on either plate and the noggin
    narrow = 2 * 9 + 3
    assert needed(wc.Option(sheet="1200x2400")) == {38: 2 * wide + (narrow + wide + narrow)}
    assert 2 * wide + (narrow + wide + narrow) == 141


@pytest.mark.parametrize(("close", "steps", "between"), [(600, 6, 1), (599, 8, 1), (610, 6, 1)])
def test_on_close_studs_screws_may_stand_further_apart(close, steps, between):
    """Studs no further apart than the rule's limit, the limit itself among them: 400 in place of 300."""
    rules = {"screw__spacing_close_studs": 400, "screw__close_studs_to": close}
    wide, narrow = 3 * (steps + 1) + 3 * 2 * between, 2 * (steps + 1) + 3 * between
    assert needed(wc.Option(sheet="1200x2400"), **rules) == {38: 2 * wide + (narrow + wide + narrow)}


def test_the_first_of_two_layers_on_side_b_has_its_own_spacing():
    """The second layer's joints are at 200 and 1400, where studs are added; the first is screwed at 600."""
    at_600 = 4 + 1  # 2362 / 600
    # boards 600, 1200, 600 on uprights at 19, 200, 600; 600, 1200, 1400, 1800; 1800, 2381; no gap is over 600
    first = (3 + 4 + 2) * at_600
    only = 2 * (
        4 * 9 + 3 * 2
    )  # side A: uprights at 19, 200, 600, 1200, gaps of 181, 400, 590; and its mirror
    second = 2 * 9 + (4 * 9 + 3 * 2) + (3 * 9 + 3 * 2)  # boards 200, 1200, 1000 at 300
    option = wc.Option(sheet="1200x2400", layers_b=2)
    assert needed(option, screw__spacing_base_layer=600) == {38: first + only, 50: second}


def test_the_first_of_two_layers_on_side_a_has_its_own_spacing():
    """The same with two layers on side A, whose first layer has the joint at 1200."""
    first = 2 * 4 * 5  # two boards on four uprights each
    only = (3 * 9 + 3) + (4 * 9 + 3 * 2) + (2 * 9 + 3)  # side B at 300: gaps over 300 are 390; 590, 390; 571
    second = 2 * 9 + (4 * 9 + 3 * 2) + (3 * 9 + 3 * 2)
    option = wc.Option(sheet="1200x2400", layers_a=2)
    assert needed(option, screw__spacing_base_layer=600) == {38: first + only, 50: second}


def test_the_first_of_two_layers_is_not_screwed_closer_along_an_opening():
    """Beside a door 2000 high, from 25 to 2000: 1975 / 200 is 10 steps, in the layer under another 1975 / 600 is 4."""
    rules = wc.Rules.load("uk").with_values({**PLAIN, "screw.spacing_base_layer": 600})
    door = Opening("door", 10_000, width=8000, height=20_000)
    wall = wc.Wall("door", 30_000, ((0, 24_000),), openings=(door,))
    design = wc.design(wall, wc.Option(layers_a=2), rules=rules, model="closed form")
    jambs = set(design.members.loc[design.members["role"] == "jamb stud", "mark"])
    steps: dict[tuple[str, int], set[int]] = {}
    for row in design.parts.screws:
        if row.member in jambs and row.y2 == 20_000:
            steps.setdefault((row.side, row.layer), set()).add(row.count - 1)
    assert steps == {("A", 1): {4}, ("A", 2): {10}, ("B", 1): {10}}
