"""Published optima of two-dimensional guillotine cutting.

J. E. Beasley, "Algorithms for unconstrained two-dimensional guillotine cutting", Journal of the Operational
Research Society 36 (1985) 297-306; problems gcut1 to gcut6 of the OR-Library. Instances and optima are in
``tests/data/gcut.json`` with their source and status.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from wallcalc.cutting.sheets.plates import best_value

PROBLEMS = json.loads((Path(__file__).parents[1] / "data" / "gcut.json").read_text(encoding="utf-8"))[
    "problems"
]


@pytest.mark.parametrize("name", sorted(PROBLEMS))
def test_best_value_of_a_sheet_is_the_published_optimum(name: str) -> None:
    problem = PROBLEMS[name]
    sizes = [(length, width) for length, width, _ in problem["items"]]
    values = [value for _, _, value in problem["items"]]
    assert best_value(problem["length"], problem["width"], sizes, values) == problem["optimum"]
