"""Cutting patterns of one material: what can come out of one stock length, and the linear programme over them.

Everything here counts in *weights* and *rooms*: a piece weighs its length plus one kerf, a stock has room for its
length less the end trim plus one kerf, so that ``n`` pieces take ``n - 1`` kerfs and a pattern fits exactly when
its weight is at most the room. All are integers of 0.1 mm; prices are integer cents.
"""

from __future__ import annotations

import time
from bisect import bisect_right
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]

MOST_PATTERNS = 25_000
"""Enumeration gives up beyond this many rows and columns are generated instead."""


CELLS = 6_000
"""Cells of a knapsack at its coarse setting."""


@dataclass(frozen=True, slots=True, eq=False)
class Job:
    """What is to be cut, without marks: sorted so that the solver sees nothing but numbers.

    Attributes
    ----------
    weights : int array
        Weight of each kind of piece (length plus kerf), longest first, all different [0.1 mm].
    demand : int array
        How many of each kind.
    rooms : int array
        Room of each stock, ascending [0.1 mm].
    prices : int array
        Price of each stock, ascending with room: a stock no cheaper than a longer one is left out [cents].
    lengths : int array, (stocks,)
        Length of each stock as bought [0.1 mm].
    """

    weights: Ints
    demand: Ints
    rooms: Ints
    prices: Ints
    lengths: Ints

    def cheapest(self, contents: Ints) -> Ints:
        """Index of the cheapest stock with room for each row of piece counts.

        Parameters
        ----------
        contents : int array, (rows, kinds)
            Pieces of each kind.

        Returns
        -------
        int array, (rows,)
        """
        return np.searchsorted(self.rooms, contents @ self.weights)


@dataclass(frozen=True, slots=True, eq=False)
class Patterns:
    """Rows of piece counts, each with the cheapest stock it fits.

    Attributes
    ----------
    counts : int array, (rows, kinds)
        Pieces of each kind.
    weight : int array, (rows,)
        Weight of the row [0.1 mm].
    stock : int array, (rows,)
        Index of the cheapest stock with room for it.
    lead : int array, (rows,)
        First kind (the longest piece) in the row.
    full : bool array, (rows,)
        No further piece of any kind would fit.
    """

    counts: Ints
    weight: Ints
    stock: Ints
    lead: Ints
    full: NDArray[np.bool_]


def enumerate_patterns(
    job: Job, duals: Floats | None = None, margin: float = 0.0, most: int = MOST_PATTERNS
) -> Patterns | None:
    """All patterns to which no piece as short as, or shorter than, their longest piece can be added.

    Parameters
    ----------
    job : Job
        Weights, demand, rooms, prices.
    duals : float array, optional
        Value of each kind of piece [cents]; only patterns worth their stock's price less ``margin`` or more are
        kept, and the enumeration is pruned by the best value per weight still to come.
    margin : float
        See ``duals`` [cents].
    most : int
        Rows at which to give up.

    Returns
    -------
    Patterns or None
        In lexicographic order (rows led by shorter pieces first); None when there are more than ``most``.
    """
    weights, demand, rooms = job.weights, job.demand, job.rooms
    kinds = len(weights)
    weight = np.zeros(1, np.int64)
    value = np.zeros(1)
    steps = []  # by kind: the row that each row goes on from, and how many of the kind it takes
    if duals is not None:
        density = np.maximum.accumulate((duals / weights)[::-1])[::-1]
    for j in range(kinds):
        repeats = np.minimum(demand[j], (rooms[-1] - weight) // weights[j]) + 1
        ends = np.cumsum(repeats)
        if duals is None and ends[-1] > most:
            return None
        rows = np.repeat(np.arange(len(weight)), repeats)
        number = np.arange(len(rows)) - (ends - repeats)[rows]
        weight = weight[rows] + number * weights[j]
        if duals is not None:
            value = value[rows] + number * duals[j]
            rate = density[j + 1] if j + 1 < kinds else 0.0
            gain = np.maximum.accumulate((rooms * rate - job.prices)[::-1])[::-1]
            keep = np.nonzero(value - weight * rate + gain[np.searchsorted(rooms, weight)] >= -margin)[0]
            rows, number, weight, value = rows[keep], number[keep], weight[keep], value[keep]
        if len(weight) > most:
            return None
        steps.append((rows, number))
    at = np.nonzero(weight > 0)[0]
    weight = weight[at]
    counts = np.empty((kinds, len(at)), np.int64)
    for j in range(kinds - 1, -1, -1):
        rows, number = steps[j]
        counts[j] = number[at]
        at = rows[at]
    stock = np.searchsorted(rooms, weight)
    lead = (counts > 0).argmax(axis=0)
    fits = (counts < demand[:, None]) & (weights[:, None] <= rooms[stock] - weight)
    closed = np.nonzero(~(fits & (np.arange(kinds)[:, None] >= lead)).any(axis=0))[0]
    full = ~fits[:, closed].any(axis=0)
    return Patterns(
        np.ascontiguousarray(counts[:, closed].T), weight[closed], stock[closed], lead[closed], full
    )


class CoverProgramme:
    """Cheapest mix of patterns that covers the demand, fractions allowed (revised primal simplex).

    Patterns may be added between solutions; the next one goes on from the last.

    Parameters
    ----------
    job : Job
        Demand, and what the starting patterns of a single kind are made from.
    counts : int array, (patterns, kinds)
        Pieces of each kind in each pattern.
    costs : int array, (patterns,)
        Price of each pattern's stock [cents].

    Attributes
    ----------
    duals : float array, (kinds,)
        Value of each kind of piece [cents].
    counts : int array, (patterns, kinds)
        All the patterns.
    """

    def __init__(self, job: Job, counts: Ints, costs: Ints) -> None:
        kinds = len(job.weights)
        each = np.minimum(job.rooms[:, None] // job.weights, job.demand).astype(float)
        ratio = np.where(each > 0, job.prices[:, None] / np.maximum(each, 1), np.inf)
        best = ratio.argmin(axis=0)
        most = each[best, np.arange(kinds)]
        # a whisker more demand, different for each kind, keeps the pivots from running in circles
        whisker = 1e-7 * (1.0 + np.arange(kinds) * 0.6180339887 % 1.0)
        self._inverse = np.diag(1.0 / most)
        self._basic_amount = (job.demand + whisker) / most
        self._basis = np.full(kinds, -1)
        self.duals = ratio[best, np.arange(kinds)].copy()
        self.counts = np.empty((0, kinds), np.int64)
        # columns lie in blocks too small for the linear-algebra library to wake further threads
        self._wide = max(1, 8000 // kinds)
        self._first, self._parts = [0], [-np.eye(kinds)]
        self._costs = np.zeros(kinds)
        self.add(counts, costs)

    def add(self, counts: Ints, costs: Ints) -> None:
        """Take in further patterns.

        Parameters
        ----------
        counts : int array, (patterns, kinds)
            Pieces of each kind in each.
        costs : int array, (patterns,)
            Prices of their stocks [cents].
        """
        for at in range(0, len(counts), self._wide):
            part = np.ascontiguousarray(counts[at : at + self._wide].T.astype(float))
            self._first.append(len(self._costs) + at)
            self._parts.append(part)
        self._costs = np.concatenate([self._costs, costs])
        self._worth = np.empty(len(self._costs))
        ends = [*self._first[1:], len(self._costs)]
        self._views = [self._worth[a:b] for a, b in zip(self._first, ends, strict=True)]
        self.counts = np.concatenate([self.counts, counts])

    def solve(self, steps: int = 600) -> None:
        """Pivot until no pattern would make the mix cheaper, or ``steps`` times.

        Parameters
        ----------
        steps : int
            Pivots at most; the duals are then not quite those of the optimum, which only weakens a bound. In the
            second half of them the first column that helps is taken, so that no circle is run in.
        """
        kinds = len(self.duals)
        for step in range(steps):
            for part, view in zip(self._parts, self._views, strict=True):
                np.matmul(self.duals, part, out=view)
            reduced = self._costs - self._worth
            enter = int(reduced.argmin() if step < steps // 2 else (reduced < -1e-7).argmax())
            gain = reduced[enter]
            if gain > -1e-7:
                break
            block = bisect_right(self._first, enter) - 1
            column = self._inverse @ self._parts[block][:, enter - self._first[block]]
            up = column > 1e-9
            if not up.any():
                break
            limit = np.where(up, self._basic_amount / np.where(up, column, 1.0), np.inf)
            leave = int(limit.argmin())
            self._basic_amount -= limit[leave] * column
            self._basic_amount[leave] = limit[leave]
            row = self._inverse[leave] / column[leave]
            self._inverse -= np.outer(column, row)
            self._inverse[leave] = row
            self.duals = self.duals + gain * row
            self._basis[leave] = enter - kinds

    def amounts(self) -> Floats:
        """How often each pattern is used.

        Returns
        -------
        float array, (patterns,)
        """
        amount = np.zeros(len(self.counts))
        used = self._basis >= 0
        amount[self._basis[used]] = self._basic_amount[used]
        return amount


def best_patterns(job: Job, duals: Floats, unit: int) -> Ints:
    """Most valuable pattern of each stock (bounded knapsack by dynamic programming).

    Parameters
    ----------
    job : Job
        Weights, demand, rooms.
    duals : float array, (kinds,)
        Value of each kind of piece [cents].
    unit : int
        Weights are counted in whole units, rounded up, rooms rounded down: the patterns fit in any case and are
        the best when ``unit`` divides all weights.

    Returns
    -------
    int array, (stocks, kinds)
    """
    rooms = job.rooms // unit
    best = np.zeros(int(rooms[-1]) + 1)
    taken = []
    for kind, (weight, number) in enumerate(zip(job.weights.tolist(), job.demand.tolist(), strict=True)):
        weight = -(-weight // unit)
        left, bundle = min(number, int(rooms[-1]) // weight), 1
        while left > 0 and duals[kind] > 0:
            bundle = min(bundle, left)
            step = bundle * weight
            with_it = best[:-step] + bundle * duals[kind]
            better = with_it > best[step:] + 1e-9
            np.copyto(best[step:], with_it, where=better)
            taken.append((kind, bundle, step, better))
            left -= bundle
            bundle *= 2
    counts = np.zeros((len(rooms), len(job.weights)), np.int64)
    for stock, room in enumerate(rooms.tolist()):
        for kind, bundle, step, better in reversed(taken):
            if room >= step and better[room - step]:
                counts[stock, kind] += bundle
                room -= step
    return counts


def generate_columns(job: Job, start: Ints, until: float, rounds: int = 400) -> CoverProgramme:
    """Linear programme by column generation, for jobs with too many patterns to list.

    Parameters
    ----------
    job : Job
        What is to be cut.
    start : int array, (patterns, kinds)
        Patterns to begin with (those of a plan).
    until : float
        Reading of :func:`time.thread_time` after which no further round is begun [s].
    rounds : int
        Pricing rounds at most; the duals are then those reached so far and a certificate has to scale them.

    Returns
    -------
    CoverProgramme
        Solved over the patterns generated.
    """
    counts = np.unique(start, axis=0)
    programme = CoverProgramme(job, counts, job.prices[job.cheapest(counts)])
    exact = int(np.gcd.reduce(job.weights))
    units = sorted({max(exact, -(-int(job.rooms[-1]) // CELLS)), exact}, reverse=True)
    for _ in range(rounds):
        programme.solve()
        if time.thread_time() > until:
            break
        new = best_patterns(job, programme.duals, units[0])
        reduced = job.prices - new @ programme.duals
        new = new[reduced < -1e-6]
        if len(new):
            programme.add(new, job.prices[job.cheapest(new)])
        elif len(units) > 1:
            units.pop(0)
        else:
            break
    return programme
