"""Whole sheets from areas, as an estimating textbook rounds them.

US estimating textbook, chapter on finishes, example 16-3 (seen): 2384, 1184 and 1200 square feet of board in
sheets of 32 square feet are 75, 37 and 38 sheets.
"""

from __future__ import annotations

from typing import NamedTuple

import pytest

from wallcalc.cutting.sheets.plan import Blank, sheet_bound

FOOT = 3048
"""Units of 0.1 mm in a foot."""


class Sheet(NamedTuple):
    code: str
    length: int
    width: int
    price: int


@pytest.mark.parametrize(("square_feet", "sheets"), [(2384, 75), (1184, 37), (1200, 38)])
def test_area_is_rounded_up_to_whole_sheets(square_feet: int, sheets: int) -> None:
    stock = Sheet("4 x 8 ft", 8 * FOOT, 4 * FOOT, 1000)
    tiles = [Blank(str(n), FOOT, FOOT) for n in range(square_feet)]
    assert sheet_bound(tiles, [stock]) == sheets * 1000
