"""The choice among cutting plans of equal cost: fewest different lengths, then least bought length."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from wallcalc.cutting.timber.bounds import SCALE, certified_values, knapsack_best, reachable_costs
from wallcalc.cutting.timber.layers import Layers
from wallcalc.cutting.timber.optimum import MOST_ROWS, WIDTHS, Progress, rank, trimmed_contents
from wallcalc.cutting.timber.patterns import CELLS, Ints, Job, Patterns, enumerate_patterns
from wallcalc.cutting.timber.search import Effort, search

MOST_STOCKS = 14
"""Stocks whose sets are told apart."""
MOST_PURCHASES = 60_000
"""Purchases of equal cost that are listed."""


def purchases(job: Job, cost: int, losses: Ints, most_lost: int, different: int) -> Ints | None:
    """List what could be bought for a given sum.

    Parameters
    ----------
    job : Job
        Prices and rooms; its pieces have to fit by weight.
    cost : int
        What the list costs [cents].
    losses : int array, (stocks,)
        By how much a stock's price exceeds the value of anything that can be cut from it (scaled).
    most_lost : int
        Losses that the list may have in all (scaled).
    different : int
        Stocks it may have in it.

    Returns
    -------
    int array, (lists, stocks), or None
        Numbers of each stock; None when there are too many to list.
    """
    stocks = len(job.prices)
    numbers = np.zeros((1, stocks), np.int64)
    left, lost, kinds = np.array([cost]), np.zeros(1, np.int64), np.zeros(1, np.int64)
    for s in range(stocks - 1, -1, -1):
        price = int(job.prices[s])
        if price <= 0:
            return None
        repeats = left // price + 1
        if losses[s] > 0:
            repeats = np.minimum(repeats, (most_lost - lost) // int(losses[s]) + 1)
        rows = np.repeat(np.arange(len(left)), repeats)
        number = np.arange(len(rows)) - np.repeat(np.cumsum(repeats) - repeats, repeats)
        numbers = numbers[rows]
        numbers[:, s] = number
        left, lost, kinds = (
            left[rows] - number * price,
            lost[rows] + number * losses[s],
            kinds[rows] + (number > 0),
        )
        keep = (kinds <= different) & ((left == 0) | (s > 0))
        numbers, left, lost, kinds = numbers[keep], left[keep], lost[keep], kinds[keep]
        if len(left) > MOST_PURCHASES:
            return None
    return numbers[numbers @ job.rooms >= job.weights @ job.demand]


def _patterns_of_all(job: Job, values: NDArray[np.float64], margin: float) -> Patterns | None:
    """Patterns within the margin where a shorter stock of equal price stands beside a longer one."""
    last = np.array(
        [s == len(job.prices) - 1 or job.prices[s + 1] > job.prices[s] for s in range(len(job.prices))]
    )
    chain = np.nonzero(last)[0]
    parts = []
    for extra in [None, *np.nonzero(~last)[0].tolist()]:
        stocks = chain.copy()
        if extra is not None:
            stocks[np.searchsorted(job.prices[chain], job.prices[extra])] = extra
        part = enumerate_patterns(
            Job(job.weights, job.demand, job.rooms[stocks], job.prices[stocks], job.lengths[stocks]),
            values,
            margin,
            MOST_ROWS,
        )
        if part is None:
            return None
        stock = stocks[part.stock]
        rows = np.ones(len(stock), bool) if extra is None else stock == extra
        parts.append((part.counts[rows], part.weight[rows], stock[rows], part.lead[rows], part.full[rows]))
    return Patterns(*(np.concatenate(column) for column in zip(*parts, strict=True)))


def settle_ties(job: Job, now: Progress, effort: Effort) -> bool:
    """Among the cheapest plans take one with the fewest different lengths, then the least bought length.

    Parameters
    ----------
    job : Job
        As solved, but with shorter stocks of equal price beside longer ones; ``now.contents`` index its stocks.
    now : Progress
        A plan of proven cost; its contents are replaced when a preferred plan is found.
    effort : Effort
        What may be spent.

    Returns
    -------
    bool
        Whether all preferred plans are ruled out.
    """
    cost, different, bought = rank(job, now.contents)
    if len(job.prices) > MOST_STOCKS:
        return False
    if now.values is None:
        values = certified_values(np.zeros(len(job.weights)), job.weights, job.demand, job.rooms, job.prices)
        worth = 0
    else:
        values, worth = now.values, now.worth
    unit = max(int(np.gcd.reduce(job.weights)), -(-int(job.rooms[-1]) // CELLS))
    best = knapsack_best(job.weights, values, job.demand, job.rooms, unit)
    losses = np.maximum(job.prices * SCALE - best, 0)
    lists = purchases(job, cost, losses, cost * SCALE - worth, different)
    if lists is None:
        return False
    kinds, lengths = (lists > 0).sum(axis=1), lists @ job.lengths
    lists = lists[(kinds < different) | ((kinds == different) & (lengths < bought))]
    if not len(lists):
        return True
    margin = cost * SCALE - worth
    patterns = _patterns_of_all(job, values / SCALE, margin / SCALE + 1e-6)
    if patterns is None:
        return False
    bits = np.left_shift(1, np.arange(len(job.prices)))
    supports = np.unique((lists > 0) @ bits)
    allowed = ((np.arange(2 ** len(bits))[:, None] & ~supports[None]) == 0).any(axis=1)
    layers = Layers(job, patterns, values, SCALE, margin)
    reachable = reachable_costs(job.prices.tolist(), cost)
    found = search(job, layers, values, SCALE, cost, reachable, WIDTHS[1], effort, allowed)
    if found.rows is not None:
        contents = trimmed_contents(job, patterns, found.rows, keep_stock=True)
        if rank(job, contents) < (cost, different, bought):
            now.contents, now.plan_by = contents, now.plan_by + ", then search among plans of equal cost"
    return found.cuts_off is None
