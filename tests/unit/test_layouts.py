"""Module and fitted layouts side by side."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

import wallcalc as wc
from wallcalc.designing.layouts import COLUMNS, added_members, layout_row, layouts
from wallcalc.given.parts import HungItem, Joists

WALLS = Path(__file__).resolve().parents[2] / "data" / "walls"


@pytest.fixture(scope="module")
def wall():
    return wc.Wall.load(WALLS / "laundry_plain.toml")


@pytest.fixture(scope="module")
def table(wall):
    return layouts(wall, wc.Option(stud_centres=585), centres=[600, 400])


def test_fitted_first_then_modules_by_cost(table):
    assert list(table.columns) == list(COLUMNS)
    assert table.loc[0, "layout"] == "fitted"
    assert table["timber_and_boards"][1:].is_monotonic_increasing
    assert table.loc[0, "timber_and_boards"] <= table["timber_and_boards"].min()


def test_every_module_asked_for_and_the_options_own(table):
    assert set(table["layout"][1:]) == {
        "585 mm from the left",
        *(f"{c} mm from the {end}" for c in (400, 600) for end in ("left", "right", "middle")),
    }


def test_rows_say_what_their_designs_say(wall, table):
    row = table.set_index("layout").loc["400 mm from the right"]
    design = wc.design(wall, wc.Option(stud_centres=400, set_out_from="right"))
    assert row["cost"] == pytest.approx(design.cost)
    assert row["timber_and_boards"] == pytest.approx(row["timber_cost"] + row["board_cost"])
    assert row["members"] == len(design.members)
    assert row["timber_length"] == pytest.approx(design.members["length"].sum() / 1000)
    assert row["noggins"] == (design.members["role"] == "noggin").sum()
    assert row["cuts"] == design.summary()["cuts"]


def test_the_timber_cut_is_what_the_cutting_plan_cuts(wall):
    """Cleats and noggins between joists are cut with the rest."""
    shelf = HungItem("shelf", "A", ((9000, 12_000),), 8.0, backing="pattress")
    design = wc.design(replace(wall, hung=(shelf,), joists_above=Joists("along", None, 4500)), wc.Option())
    cut = sum(length for cuts in design.timber_cuts["cuts"] for _, length in cuts)
    assert len(design.cleats) == 2
    assert layout_row(design)["timber_length"] == pytest.approx(cut / 1000, abs=0.01)


def test_added_for_joints_is_what_no_module_stud_serves(wall):
    """Upright boards: short studs and pairs that stand off the module, counted by their place."""
    design = wc.design(wall, wc.Option(stud_centres=400))
    on_module = {400.0 * k for k in range(1, 10)}
    added = 0
    for member in design.members.itertuples():
        middle = member.x + member.width / 2
        if member.role in ("stud", "short stud") and middle not in on_module:
            added += 1
        if member.role == "double stud" and member.x + member.width in on_module:
            added += 1
    assert added_members(design) == {"joints": added, "items": 0, "services": 0}


@pytest.mark.parametrize("name", ["side", "joint", "a", "shelf"])
def test_what_is_added_for_joints_stays_so_whatever_an_item_is_called(wall, name):
    """The item hangs on a stud of the module: nothing is added for it."""
    bare = wc.design(wall, wc.Option(stud_centres=400))
    item = HungItem(name, "A", ((12_000, 15_000),), 8.0)
    assert added_members(bare)["joints"] > 0
    hung = wc.design(replace(wall, hung=(item,)), wc.Option(stud_centres=400))
    assert added_members(hung) == added_members(bare)


def test_layouts_that_cannot_be_built_stay_with_their_reason(wall):
    low = replace(wall, heights=((0, 60_000),))
    table = layouts(low, centres=[600], ends=["left"])
    assert len(table) == 2
    assert not table["buildable"].any()
    assert table["reason"].str.contains("stud length").all()
