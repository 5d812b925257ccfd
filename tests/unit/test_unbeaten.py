"""Trade-offs against a comparison of every pair of rows."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

import wallcalc as wc


def brute_force(table, low, high):
    """Rows that no other row beats, pair by pair."""
    signs = [(name, 1) for name in low] + [(name, -1) for name in high]
    kept = []
    for i, mine in table.iterrows():
        points = [mine[name] * sign for name, sign in signs]
        if any(pd.isna(p) for p in points):
            continue
        beaten = False
        for j, other in table.iterrows():
            theirs = [other[name] * sign for name, sign in signs]
            if i == j or any(pd.isna(p) for p in theirs):
                continue
            if all(t <= p for t, p in zip(theirs, points, strict=True)) and theirs != points:
                beaten = True
        if not beaten:
            kept.append(i)
    return kept


@pytest.mark.parametrize("seed", range(20))
@pytest.mark.parametrize(
    ("low", "high"), [(["cost"], []), (["cost"], ["Rw"]), (["cost", "waste"], ["Rw"]), ([], ["Rw", "cost"])]
)
def test_same_rows_as_brute_force(seed, low, high):
    rng = np.random.default_rng(seed)
    table = pd.DataFrame(
        {
            "cost": rng.integers(0, 6, 30).astype(float),
            "waste": rng.integers(0, 6, 30).astype(float),
            "Rw": rng.integers(0, 6, 30).astype(float),
        },
        index=rng.permutation(np.arange(100, 130)),
    )
    table.loc[rng.choice(table.index, 4, replace=False), "Rw"] = np.nan
    found = wc.trade_offs(table, low=low, high=high)
    assert list(found.index) == brute_force(table, low, high)
    pd.testing.assert_frame_equal(found, table.loc[found.index])


def test_rows_alike_in_every_column_all_stay():
    table = pd.DataFrame({"cost": [1.0, 1.0, 2.0], "Rw": [40, 40, 40]})
    assert list(wc.trade_offs(table, low=["cost"], high=["Rw"]).index) == [0, 1]


def test_unbuildable_rows_are_left_out():
    table = pd.DataFrame({"cost": [np.nan, 3.0], "Rw": [np.nan, 40.0]})
    assert list(wc.trade_offs(table, low=["cost"]).index) == [1]


def test_whole_numbers_and_truth_values_compare_as_numbers():
    table = pd.DataFrame({"fails": [0, 1], "proven": [False, True]})
    assert list(wc.trade_offs(table, low=["fails"]).index) == [0]
    assert list(wc.trade_offs(table, high=["proven"]).index) == [1]


def test_an_empty_table_stays_empty():
    assert wc.trade_offs(pd.DataFrame({"cost": []}), low=["cost"]).empty


def test_columns_that_are_not_there_are_named():
    with pytest.raises(KeyError, match="not there: price, noise"):
        wc.trade_offs(pd.DataFrame({"cost": [1.0]}), low=["cost", "price"], high=["noise"])


def test_at_least_one_column_has_to_be_named():
    with pytest.raises(KeyError, match="none named"):
        wc.trade_offs(pd.DataFrame({"cost": [1.0]}))
