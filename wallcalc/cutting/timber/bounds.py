"""Bounds on the cost of cutting plans, and checks of plans that share nothing with what made them.

A lower bound comes from *piece values*: integers such that no pattern of pieces that fits a stock is worth more
than the stock costs. Then no plan can cost less than its pieces are worth (linear-programming duality; Gilmore and
Gomory 1961 for cutting stock, from memory). That no pattern beats its stock's price is rechecked here by a
knapsack over the room of the stocks, so a bound never rests on the state of a solver.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from fractions import Fraction
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from wallcalc.records import Bar

Ints = NDArray[np.int64]

SCALE = 1 << 20
"""Units of piece values in a cent."""
FINEST = 8_000
"""Cells of the knapsack at its coarse setting."""


class CuttingError(ValueError):
    """A piece that no stock on offer is large enough for.

    Attributes
    ----------
    mark : str
        The piece.
    length : int
        Its length [0.1 mm].
    longest : int or None
        Length of the longest stock [0.1 mm]; None when there is none at all.
    """

    def __init__(self, message: str, *, mark: str = "", length: int = 0, longest: int | None = None) -> None:
        self.mark, self.length, self.longest = mark, length, longest
        super().__init__(message)


def too_long(mark: str, length: int, longest: int | None, lost: int = 0) -> CuttingError:
    """Error for a piece longer than every stock.

    Parameters
    ----------
    mark : str
        The piece.
    length : int
        Its length [0.1 mm].
    longest : int or None
        Length of the longest stock [0.1 mm]; None when there is no stock at all.
    lost : int
        What is trimmed off a stock before anything is cut [0.1 mm].

    Returns
    -------
    CuttingError
        To be raised.
    """
    if longest is None:
        have = "there is no stock to cut it from"
    else:
        have = f"the longest stock is {longest / 10:g} mm"
        if lost:
            have += f", {(longest - lost) / 10:g} mm of it after trimming"
    message = f"piece {mark} is {length / 10:g} mm long; {have}"
    return CuttingError(message, mark=mark, length=length, longest=longest)


class Priced(Protocol):
    """What cutting reads of a stock length in the price book."""

    @property
    def code(self) -> str:
        """Code of the price book."""

    @property
    def section(self) -> str:
        """Section, e.g. "38x89"."""

    @property
    def length(self) -> int:
        """Length as bought [0.1 mm]."""

    @property
    def price(self) -> int:
        """Price of one [cents]."""


def reachable_costs(prices: Sequence[int], top: int) -> Ints:
    """Least sum of prices at or above each amount.

    Parameters
    ----------
    prices : sequence of int
        Prices, each may be paid any number of times [cents].
    top : int
        Largest amount of interest [cents].

    Returns
    -------
    int array, (top + 2,)
        Entry ``c`` is the least sum that is ``c`` or more; beyond ``top`` (where no sum was looked for) it is
        ``top + 1``, which is still a bound from below on the sums above ``top``.
    """
    paid = np.zeros(top + 2, bool)
    paid[0] = paid[top + 1] = True
    for price in prices:
        step = int(price)
        if step <= 0:
            return np.arange(top + 2)
        while step <= top:
            paid[step:-1] |= paid[: -1 - step].copy()
            step *= 2
    sums = np.where(paid, np.arange(top + 2), top + 1)
    return np.minimum.accumulate(sums[::-1])[::-1]


def knapsack_best(weights: Ints, values: Ints, demand: Ints, rooms: Ints, unit: int = 1) -> Ints:
    """Greatest value of pieces that fit into each room (bounded knapsack, exact when ``unit`` is 1).

    Parameters
    ----------
    weights, values, demand : int array, (kinds,)
        Weight [0.1 mm], value and number of each kind of piece.
    rooms : int array, (stocks,)
        Rooms [0.1 mm].
    unit : int
        Weights and rooms are counted in whole units, rounded down: never less than the exact value.

    Returns
    -------
    int array, (stocks,)
    """
    weights, rooms = np.asarray(weights) // unit, np.asarray(rooms) // unit
    best = np.zeros(int(rooms.max(initial=0)) + 1, np.int64)
    with_it = np.empty_like(best)
    free = 0
    for weight, value, number in zip(weights.tolist(), values.tolist(), demand.tolist(), strict=True):
        if value <= 0:
            continue
        if weight == 0:
            free += value * number
            continue
        left, bundle = min(number, (len(best) - 1) // weight), 1
        while left > 0:
            bundle = min(bundle, left)
            step = bundle * weight
            np.add(best[:-step], bundle * value, out=with_it[step:])
            np.maximum(best[step:], with_it[step:], out=best[step:])
            left -= bundle
            bundle *= 2
    return best[rooms] + free


def certified_values(
    duals: NDArray[np.float64], weights: Ints, demand: Ints, rooms: Ints, prices: Ints
) -> Ints:
    """Integer piece values near the given duals that no pattern beats its stock's price with.

    Parameters
    ----------
    duals : float array, (kinds,)
        Piece values to start from [cents]; they need not be feasible.
    weights, demand : int array, (kinds,)
        Weight [0.1 mm] and number of each kind.
    rooms, prices : int array, (stocks,)
        Room [0.1 mm] and price [cents] of each stock.

    Returns
    -------
    int array, (kinds,)
        Values in :data:`SCALE` to the cent, such that ``values @ demand / SCALE`` is a lower bound on the cost.
    """
    values = np.maximum(np.floor((np.asarray(duals, float) - 1e-9) * SCALE), 0).astype(np.int64)
    prices = np.asarray(prices, np.int64) * SCALE
    exact = max(1, int(np.gcd.reduce(weights)))
    coarse = max(exact, -(-int(rooms.max()) // FINEST))
    best = knapsack_best(weights, values, demand, rooms, coarse)
    if (best > prices).any() and coarse != exact:
        best = knapsack_best(weights, values, demand, rooms, exact)
    worth, price = max(
        zip(best.tolist(), prices.tolist(), strict=True), key=lambda pair: Fraction(pair[0], max(pair[1], 1))
    )
    if worth > price:
        # every piece is made worth price/worth of what it was: then so is every pattern
        values = np.array([v * price // worth for v in values.tolist()], np.int64)
    return values


def bar_faults(
    bars: Sequence[Bar],
    pieces: Sequence[tuple[str, int]],
    stocks: Sequence[Priced],
    *,
    kerf: int,
    end_trim: int,
) -> tuple[str, ...]:
    """Find what is wrong with a plan of bars by plain recounting.

    Parameters
    ----------
    bars : sequence of Bar
        The plan.
    pieces : sequence of (mark, length)
        What had to be cut [0.1 mm].
    stocks : sequence
        What could be bought.
    kerf, end_trim : int
        Width of a saw cut, and what is trimmed off each bought length [0.1 mm].

    Returns
    -------
    tuple of str
        One sentence a fault; empty when every piece is cut exactly once, every bar is a stock on offer, nothing is
        cut beyond its end and its figures add up.
    """
    faults = []
    wanted = Counter((mark, length) for mark, length in pieces)
    cut = Counter((mark, length) for bar in bars for mark, length in bar.cuts)
    for mark, length in sorted((wanted - cut) + (cut - wanted)):
        faults.append(f"{mark} of {length / 10:g} mm: wanted {wanted[mark, length]}, cut {cut[mark, length]}")
    offered = {(s.code, s.length, s.section) for s in stocks}
    for number, bar in enumerate(bars, start=1):
        if (bar.code, bar.length, bar.section) not in offered:
            faults.append(f"bar {number}: {bar.code} of {bar.length / 10:g} mm is not on offer")
        if not bar.cuts:
            faults.append(f"bar {number}: nothing is cut from it")
        end = bar.length - end_trim
        at = 0
        for place, (_, length) in enumerate(bar.cuts):
            at += length if place == 0 else kerf + length
        if at > end:
            faults.append(f"bar {number}: cuts end {(at - end) / 10:g} mm beyond the bar")
        if bar.kerf_loss != kerf * max(len(bar.cuts) - 1, 0) or bar.offcut != end - at:
            faults.append(f"bar {number}: offcut and kerf do not add up to its length")
    return tuple(faults)


def bars_cost(bars: Sequence[Bar], stocks: Sequence[Priced]) -> int:
    """Cost of a plan by the price of each bar's code [cents].

    Parameters
    ----------
    bars : sequence of Bar
        The plan.
    stocks : sequence
        What could be bought.

    Returns
    -------
    int
    """
    price = {(s.code, s.length): s.price for s in stocks}
    return sum(price[bar.code, bar.length] for bar in bars)
