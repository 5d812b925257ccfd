"""Order quantities against a US estimating textbook, Finishes chapter.

Source: US estimating textbook, ch. 16, example 16-3 (board counts) and p. 203 (tape, compound and screws per
1000 ft2), as listed in the project's reference of trade rules.
"""

from __future__ import annotations

import pytest

from wallcalc.buying.order_list import cheapest_packs
from wallcalc.trade.prices import Item
from wallcalc.trade.rules import Rules

FOOT = 0.3048


@pytest.mark.parametrize(("area", "sheets"), [(2384, 75), (1184, 37), (1200, 38)])
def test_sheets_of_32_square_feet(area, sheets):
    """Example 16-3: 2384, 1184 and 1200 ft2 at 32 ft2 a sheet, rounded up."""
    sheet = Item("48x96", "sheet", "board", "", "sheet", 32, 1000, 24_384, "inch")
    assert cheapest_packs(area, [sheet]) == [(sheet, sheets)]


@pytest.mark.parametrize("name", ["uk", "us"])
def test_tape_by_area_is_380_feet_to_1000_square_feet(name):
    """Page 203: 380 ft of tape per 1000 ft2 of board (kept as a check of the counted tape)."""
    rules = Rules.load(name)
    assert rules.value("finish.tape_per_area") == pytest.approx(380 * FOOT / (1000 * FOOT**2), abs=0.005)


def test_tape_allowance_is_ten_percent():
    """Chapter 16: 10 % of tape is wasted."""
    assert Rules.load("us").value("finish.tape_allowance") == 10
