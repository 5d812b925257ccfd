"""One-dimensional cutting against published instances, and several stock lengths against an independent model.

Published instances, one stock length:

* Paper rolls: 13 widths from master rolls of 5600 mm, 219 pieces, best possible 73 rolls with 0.401 % waste.
  Source: Wikipedia, "Cutting stock problem", worked example; status: seen.
* 100-wide raws cut to 45, 36, 31 and 14: linear-programming value 452.25, best possible 453 raws.
  Source: data seen in an online cutting-stock example; attribution to V. Chvatal, Linear Programming (1983),
  from memory; the integer optimum was computed.

No published instance of one material at several stock lengths with a known optimum was found; those are checked
against an assignment model (which piece comes from which bar) solved by HiGHS through SciPy, which knows nothing of
cutting patterns.
"""

from __future__ import annotations

import random
from typing import NamedTuple

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from wallcalc.cutting.timber.plan import cut_timber


class Stock(NamedTuple):
    """What cutting reads of a price-book length."""

    code: str
    section: str
    length: int
    price: int


def pieces_of(demand: dict[int, int]) -> list[tuple[str, int]]:
    return [(f"{size}/{i}", size) for size, number in demand.items() for i in range(1, number + 1)]


PAPER = {
    1380: 22,
    1520: 25,
    1560: 12,
    1710: 14,
    1820: 18,
    1880: 18,
    1930: 20,
    2000: 10,
    2050: 12,
    2100: 14,
    2140: 16,
    2150: 18,
    2200: 20,
}
RAWS = {45: 97, 36: 610, 31: 395, 14: 211}


def test_paper_rolls_take_73():
    plan = cut_timber(pieces_of(PAPER), [Stock("R", "roll", 5600, 1)], kerf=0, end_trim=0, time_limit=5.0)
    assert plan.cost == len(plan.uses) == 73
    assert plan.proven
    used = sum(size * number for size, number in PAPER.items())
    assert used == 407160
    assert round(100 * (1 - used / (73 * 5600)), 3) == 0.401


def test_hundred_wide_raws_take_453():
    plan = cut_timber(pieces_of(RAWS), [Stock("R", "raw", 100, 1)], kerf=0, end_trim=0, time_limit=5.0)
    assert plan.cost == len(plan.uses) == 453
    assert plan.proven


def test_hundred_wide_raws_bound_is_the_published_linear_value():
    """At 400 cents a raw the bound is fine enough to show 452.25 raws before rounding up to whole ones."""
    cheap = cut_timber(pieces_of(RAWS), [Stock("R", "raw", 100, 400)], kerf=0, end_trim=0, time_limit=5.0)
    assert cheap.cost == 453 * 400
    # with one raw more than the linear value not allowed by any sum of prices, the bound is the next whole one
    assert cheap.lower_bound == 453 * 400 >= 452.25 * 400


def assignment_model(pieces, stocks, kerf, trim, bars, limit):
    """Least cost, by deciding for each bar what it is and how many pieces of each length it holds.

    Returns the value of the plan found (checked here to be feasible) and a lower bound.
    """
    sizes = sorted({n for _, n in pieces}, reverse=True)
    demand = [sum(n == size for _, n in pieces) for size in sizes]
    k, s = len(sizes), len(stocks)
    # variables of bar b: x[0..k) pieces, y[0..s) bought as
    wide = k + s
    cost = np.zeros(bars * wide)
    rows, low, high = [], [], []

    def row(entries, lower, upper):
        line = np.zeros(bars * wide)
        for index, value in entries:
            line[index] += value
        rows.append(line)
        low.append(lower)
        high.append(upper)

    for b in range(bars):
        at = b * wide
        cost[at + k : at + wide] = [stock.price for stock in stocks]
        row([(at + k + j, 1) for j in range(s)], 0, 1)
        row(
            [(at + j, size + kerf) for j, size in enumerate(sizes)]
            + [(at + k + j, -(stock.length - trim + kerf)) for j, stock in enumerate(stocks)],
            -np.inf,
            0,
        )
        if b:
            row(
                [(at + k + j, j + 1) for j in range(s)] + [(at - s + j, -j - 1) for j in range(s)], -np.inf, 0
            )
    for j, number in enumerate(demand):
        row([(b * wide + j, 1) for b in range(bars)], number, number)
    upper = np.tile(np.concatenate([demand, np.ones(s)]), bars)
    result = milp(
        cost,
        constraints=LinearConstraint(np.array(rows), low, high),
        integrality=np.ones(bars * wide),
        bounds=Bounds(0, upper),
        options={"mip_rel_gap": 0.0, "time_limit": limit},
    )
    assert result.x is not None
    plan = np.rint(result.x).reshape(bars, wide).astype(int)
    assert (plan[:, :k].sum(axis=0) == demand).all()
    for line in plan:
        room = sum(n * (stock.length - trim + kerf) for n, stock in zip(line[k:], stocks, strict=True))
        assert sum(n * (size + kerf) for n, size in zip(line[:k], sizes, strict=True)) <= room
    value = int(sum(plan[:, k + j].sum() * stock.price for j, stock in enumerate(stocks)))
    return value, result.mip_dual_bound


@pytest.mark.parametrize("seed", range(16))
def test_several_stock_lengths_agree_with_an_assignment_model(seed):
    rng = random.Random(seed)
    stocks = [
        Stock(f"T{n}", "38x89", n * 10, round(n * rng.uniform(0.16, 0.2)))
        for n in rng.sample((2400, 3000, 3600, 4200, 4800, 5400), 3)
    ]
    top = max(s.length for s in stocks) - 50
    sizes = [rng.randrange(2000, top, 10) for _ in range(rng.randint(2, 4))]
    pieces = [(f"P{i}", rng.choice(sizes)) for i in range(rng.randint(5, 11))]
    plan = cut_timber(pieces, stocks, kerf=30, end_trim=50, time_limit=5.0)
    assert plan.proven
    value, bound = assignment_model(pieces, stocks, 30, 50, len(pieces), 2.0)
    assert bound - 1e-6 <= plan.cost <= value
    if bound > value - 1:
        assert plan.cost == value
