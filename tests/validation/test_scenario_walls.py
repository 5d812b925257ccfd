"""The walls of data/walls, without what hangs on them, in both orientations at every usual spacing.

The walls are this project's own invented examples; the rules checked are those of the rule files, whose values carry
their sources.
"""

from __future__ import annotations

import dataclasses
from pathlib import Path

import pytest
from wall_oracles import design_faults

import wallcalc as wc

WALLS = Path(__file__).resolve().parents[2] / "data" / "walls"
CASES = [
    *(
        ("uk", name, c)
        for name in ("laundry_plain", "closet", "office_two_doors")
        for c in (300, 400, 450, 600)
    ),
    *(
        ("us", name, c)
        for name in ("den_feet_inches", "laundry_plain", "closet")
        for c in (300, 406.4, 450, 609.6)
    ),
]


def load(name):
    return dataclasses.replace(wc.Wall.load(WALLS / f"{name}.toml"), hung=(), services=())


@pytest.mark.parametrize("fill", [None, "wool-75"])
@pytest.mark.parametrize("orientation", ["vertical", "horizontal"])
@pytest.mark.parametrize(("rules", "name", "centres"), CASES)
def test_scenario_wall_keeps_every_ground_rule(rules, name, centres, orientation, fill):
    option = wc.Option(stud_centres=centres, board_orientation=orientation, fill=fill)
    design = wc.design(load(name), option, rules=rules)
    faults = design_faults(design)
    assert faults == []
    assert (design.fill.empty) == (fill is None)


def test_floor_build_up_that_leaves_too_little_sole_plate_is_refused():
    # a cut edge takes its screw 13 mm in, 6 mm clear of the timber's edge (UK standard specification, K10/610): with
    # a 12 mm gap and a 38 mm plate no more than 7 mm of build-up is left
    wall = load("closet")
    wc.design(dataclasses.replace(wall, floor_build_up=70))
    with pytest.raises(
        wc.OptionError, match=r"boards start at 19\.1 mm.*start at 19 mm or lower.*pack the sole plate"
    ):
        wc.design(dataclasses.replace(wall, floor_build_up=71))


@pytest.mark.parametrize("layers", [(2, 1), (1, 2), (2, 2)])
@pytest.mark.parametrize("orientation", ["vertical", "horizontal"])
@pytest.mark.parametrize("centres", [300, 400, 450, 600])
def test_laundry_in_layers(layers, orientation, centres):
    option = wc.Option(
        stud_centres=centres, board_orientation=orientation, layers_a=layers[0], layers_b=layers[1]
    )
    assert design_faults(wc.design(load("laundry_plain"), option)) == []


@pytest.mark.parametrize("start", ["left", "right", "middle"])
@pytest.mark.parametrize("course_from", ["ceiling", "floor", 1310.0])
@pytest.mark.parametrize("section", ["38x63", "38x140"])
def test_laundry_from_every_end(start, course_from, section):
    option = wc.Option(
        section=section, set_out_from=start, course_from=course_from, board_orientation="horizontal"
    )
    assert design_faults(wc.design(load("laundry_plain"), option)) == []
