"""The study: one row an option, equal to its design, unbuildable ones kept with their reason."""

from __future__ import annotations

import dataclasses
from concurrent.futures import ProcessPoolExecutor, ThreadPoolExecutor
from multiprocessing import get_context
from pathlib import Path

import pandas as pd
import pytest

import wallcalc as wc
from wallcalc.buying import cut_plans as cutting_stage
from wallcalc.carcass import build as carcass
from wallcalc.designing import pipeline
from wallcalc.given.option import OPTION_FIELDS
from wallcalc.given.parts import Opening, Service
from wallcalc.units.lengths import MM

WALLS = Path(__file__).resolve().parents[2] / "data" / "walls"
NUMBERS = [
    "cost", "timber_cost", "board_cost", "fill_cost", "fixings_cost", "timber_waste", "board_waste",
    "fill_waste", "studs", "noggins", "sheets", "cuts", "joint_length", "mass", "Rw", "C", "Ctr", "STC",
    "stiffness_use", "Rw_with_door", "bound_joint_length", "cut_joint_length", "timber_kept",
    "cautions", "fails",
]  # fmt: skip
APPENDED = ["STC_low", "door_Rw_needed"]


@pytest.fixture(scope="module")
def wall():
    return wc.Wall.load(WALLS / "closet.toml")


@pytest.fixture(scope="module")
def grid():
    # the second sheet is not sold, so both kinds of row are there
    return wc.options(
        stud_centres=[400, 600],
        board_orientation=["vertical", "horizontal"],
        sheet=[None, "1000x2000"],
        fill=[None, "wool-75"],
    )


@pytest.fixture(scope="module")
def table(wall, grid):
    return wc.study(wall, grid)


def test_columns_are_the_keywords_then_what_the_design_page_names(table):
    assert list(table.columns) == [*OPTION_FIELDS, "buildable", "reason", *NUMBERS, "proven", *APPENDED]


def test_one_row_an_option_in_their_order(table, grid):
    assert list(table.index) == list(range(len(grid)))
    for i, option in enumerate(grid):
        for name in OPTION_FIELDS:
            found, wanted = table.loc[i, name], getattr(option, name)
            assert (pd.isna(found) and wanted is None) or found == wanted


def test_every_row_is_its_designs_summary(wall, grid, table):
    for i, option in enumerate(grid):
        if not table.loc[i, "buildable"]:
            continue
        summary = wc.design(wall, option).summary()
        assert list(summary) == list(table.columns)
        for name, value in summary.items():
            found = table.loc[i, name]
            assert found == value or (pd.isna(found) and (value is None or pd.isna(value))), name


def test_unbuildable_options_stay_with_their_reason(wall, grid, table):
    refused = [i for i, option in enumerate(grid) if option.sheet == "1000x2000"]
    assert refused
    for i in refused:
        row = table.loc[i]
        assert row["buildable"] is False or not row["buildable"]
        with pytest.raises(wc.OptionError) as caught:
            wc.design(wall, grid[i])
        assert row["reason"] == str(caught.value)
        assert "no sheet of 1000x2000" in row["reason"]
        assert row[NUMBERS].isna().all()
        assert not row["proven"]
    assert table["buildable"].sum() == len(grid) - len(refused)


def test_costs_add_up(table):
    built = table[table["buildable"].astype(bool)]
    parts = ["timber_cost", "board_cost", "fill_cost", "fixings_cost"]
    cents = (built[parts].astype(float) * 100).round().sum(axis=1)
    assert ((built["cost"].astype(float) * 100).round() == cents).all()
    lengths = built["bound_joint_length"].astype(float) + built["cut_joint_length"].astype(float)
    assert lengths.to_numpy() == pytest.approx(built["joint_length"].astype(float).to_numpy())


def forget():
    """Empty what the stages keep, so that a second study works everything out again."""
    for module in (carcass, cutting_stage, pipeline):
        for made in vars(module).values():
            if hasattr(made, "cache_clear"):
                made.cache_clear()


def test_threads_give_the_same_table(wall, grid, table):
    forget()
    with ThreadPoolExecutor(2) as executor:
        elsewhere = wc.study(wall, grid, executor=executor)
    pd.testing.assert_frame_equal(elsewhere, table)


def test_another_process_gives_the_same_table_and_the_same_errors(wall, grid, table):
    wrong = dataclasses.replace(wall, openings=(Opening("door", 5000, leaf=7620),))
    with ProcessPoolExecutor(1, get_context("spawn")) as executor:
        elsewhere = wc.study(wall, grid, executor=executor)
        with pytest.raises(wc.WallError, match=r"1 problem in the wall .*\n  - opening\[1\]\.left: found"):
            wc.study(wrong, grid[:1], executor=executor)
    pd.testing.assert_frame_equal(elsewhere, table)


def test_progress_is_told_to_the_end(wall, grid):
    told = []
    wc.study(wall, grid, progress=lambda done, total: told.append((done, total)))
    assert told == [(i, len(grid)) for i in range(1, len(grid) + 1)]
    told.clear()
    with ThreadPoolExecutor(2) as executor:
        wc.study(wall, grid * 5, executor=executor, progress=lambda done, total: told.append((done, total)))
    assert [done for done, _ in told] == sorted(done for done, _ in told)
    assert told[-1] == (len(grid) * 5, len(grid) * 5)


def test_rules_by_name_record_or_path_are_the_same(wall, tmp_path):
    options = [wc.Option(stud_centres=406.4)]
    by_name = wc.study(wall, options, rules="us")
    assert by_name["buildable"].all()
    pd.testing.assert_frame_equal(by_name, wc.study(wall, options, rules=wc.Rules.load("us")))
    path = Path(__file__).resolve().parents[2] / "data" / "rules" / "us.toml"
    pd.testing.assert_frame_equal(by_name, wc.study(wall, options, rules=path))


def test_no_options_no_rows(wall):
    empty = wc.study(wall, [])
    assert empty.empty
    assert "cost" in empty.columns


def test_a_wall_that_does_not_hold_its_opening_is_no_unbuildable_option(wall):
    wrong = dataclasses.replace(wall, openings=(Opening("door", 5000, leaf=7620),))
    with pytest.raises(wc.WallError, match=r"opening\[1\]\.left"):
        wc.study(wrong, [wc.Option()])


def test_a_study_says_why_at_once_and_a_design_looks_for_the_change_that_works(wall):
    waste = Service("waste", "A", (20 * MM, 500 * MM), 43 * MM, 10 * MM)
    piped = dataclasses.replace(wall, services=(waste,))
    row = wc.study(piped, [wc.Option()]).iloc[0]
    assert not row["buildable"]
    assert "waste" in row["reason"]
    with pytest.raises(wc.OptionError) as plain:
        wc.design(piped, wc.Option(), search_changes=False)
    with pytest.raises(wc.OptionError) as told:
        wc.design(piped, wc.Option())
    assert row["reason"] == str(plain.value)
    assert [r.rule for r in told.value.refusals] == [r.rule for r in plain.value.refusals]
    assert " mm right" in str(told.value)
