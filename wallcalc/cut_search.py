"""Exact search over cutting patterns, layer by layer: which pieces are still to be cut, at what cost so far.

Bars are filled in order of their longest piece. A state is what remains to be cut; states with the same
remainder are one. Piece values (integer duals, see :mod:`wallcalc.cut_bounds`) bound what the remainder will cost
at least, so a state is dropped when no plan within the target can come of it. Unless the width limit cuts in, what
is left undone is exactly nothing: the search is then a proof.
"""

from __future__ import annotations

import time
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wallcalc.cut_patterns import Floats, Ints, Job, Patterns

EXACT = 2.0**52
"""Integers up to here are exact in a float."""
OVERHEAD = 5_000
"""Effort of a layer however few its states."""
CHUNK = 100_000
"""State-pattern pairs worked on at a time."""


BLOCK = 200_000
"""Multiplications in one call of the linear-algebra library."""


@dataclass(slots=True)
class Effort:
    """What a search may still spend, counted in array elements so that the result does not depend on the clock.

    The clock is only looked at so that a slow machine keeps the time limit too.
    """

    left: float
    until: float = float("inf")

    def spend(self, amount: float) -> bool:
        """Take off ``amount``; False when nothing is left.

        Parameters
        ----------
        amount : float
            Array elements.

        Returns
        -------
        bool
        """
        self.left -= amount
        return self.left > 0 and time.perf_counter() < self.until


@dataclass(frozen=True, slots=True, eq=False)
class Found:
    """Outcome of one search.

    Attributes
    ----------
    rows : tuple of int or None
        Rows of the patterns of the best plan found, None when there is none.
    cost : int
        Its cost by the patterns' prices [cents]; 0 when there is none.
    cuts_off : float or None
        None when nothing was left out. Otherwise the least scaled excess over the dual bound among the states
        left out: no plan of theirs is cheaper than the bound plus that.
    """

    rows: tuple[int, ...] | None
    cost: int
    cuts_off: float | None


@dataclass(frozen=True, slots=True, eq=False)
class Stage:
    """Patterns led by one kind of piece, cheapest reduced cost first."""

    rows: Ints
    counts: Floats
    reduced: Floats
    price: Floats
    room: Floats
    cheaper_room: Floats
    bit: Ints
    length: Floats
    step_kind: Ints
    step_count: Floats
    step_worth: Floats


class Layers:
    """Patterns sorted by lead, each layer made ready when it is first needed.

    Parameters
    ----------
    job : Job
        What is to be cut.
    patterns : Patterns
        What may be cut from one stock; ``patterns.stock`` indexes ``job.prices``.
    values : int array, (kinds,)
        Piece values, ``scale`` to the cent.
    scale : int
        Units of ``values`` in a cent.
    margin : int
        Patterns whose price exceeds the value of their pieces by more than this are left out (scaled).
    """

    def __init__(self, job: Job, patterns: Patterns, values: Ints, scale: int, margin: int) -> None:
        reduced = job.prices[patterns.stock] * scale - patterns.counts @ values
        rows = np.nonzero(reduced <= margin)[0]
        self._rows = rows[np.lexsort((reduced[rows], patterns.lead[rows]))]
        self._reduced = reduced
        self._edges = np.searchsorted(patterns.lead[self._rows], np.arange(len(job.weights) + 1))
        cheaper = [int(job.rooms[job.prices < price].max(initial=0)) for price in job.prices]
        self._cheaper = np.array(cheaper, float)
        self._job, self._patterns, self._values, self._scale = job, patterns, values, scale

    def __getitem__(self, t: int) -> Stage:
        """Patterns led by kind ``t``, cheapest reduced cost first."""
        job, rows = self._job, self._rows[self._edges[t] : self._edges[t + 1]]
        stock = self._patterns.stock[rows]
        counts = self._patterns.counts[rows, t:]
        highest = counts.max(axis=0, initial=0)
        kind = np.repeat(np.arange(len(highest)), highest)
        count = np.arange(len(kind)) - np.repeat(np.cumsum(highest) - highest, highest) + 1
        return Stage(
            rows=rows,
            counts=counts.astype(float),
            reduced=self._reduced[rows].astype(float),
            price=job.prices[stock] * float(self._scale),
            room=job.rooms[stock].astype(float),
            cheaper_room=self._cheaper[stock],
            bit=np.left_shift(1, stock),
            length=job.lengths[stock].astype(float),
            step_kind=kind,
            step_count=count.astype(float),
            step_worth=(counts.T[kind] >= count[:, None]) * self._values[t:][kind][:, None].astype(float),
        )


def _codes(demand: Ints) -> Floats:
    """Columns of mixed-radix weights: remainders are equal exactly when all their codes are."""
    columns = []
    column, size = np.zeros(len(demand)), 1.0
    for j in range(len(demand) - 1, -1, -1):
        if size * (demand[j] + 1) > EXACT:
            columns.append(column)
            column, size = np.zeros(len(demand)), 1.0
        column[j] = size
        size *= demand[j] + 1
    columns.append(column)
    return np.stack(columns, axis=1)


def _firsts(keys: tuple[NDArray, ...], order: NDArray) -> NDArray:
    """First of each run of equal keys in a sorted order."""
    first = np.zeros(len(order), bool)
    first[0] = True
    for key in keys:
        ordered = key[order]
        first[1:] |= ordered[1:] != ordered[:-1]
    return order[first]


def _product(left: Floats, right: Floats) -> Floats:
    """Matrix product in blocks too small for the linear-algebra library to wake further threads.

    On a busy machine threads that wait for each other cost many times what they save.
    """
    inner = max(left.shape[1], 1)
    wide = max(1, BLOCK // (16 * inner))
    out = np.empty((left.shape[0], right.shape[1]))
    for column in range(0, right.shape[1], wide):
        part = right[:, column : column + wide]
        tall = max(1, BLOCK // (inner * part.shape[1]))
        for row in range(0, left.shape[0], tall):
            np.matmul(left[row : row + tall], part, out=out[row : row + tall, column : column + wide])
    return out


class _States:
    """Arrays of states side by side: remainder, excess, value of the remainder, codes, used stocks, length, node."""

    __slots__ = ("columns",)

    def __init__(self, *columns: NDArray) -> None:
        self.columns = columns

    def __len__(self) -> int:
        return len(self.columns[1])

    def take(self, rows: NDArray) -> _States:
        return _States(*(c[rows] for c in self.columns))

    @staticmethod
    def join(parts: list[_States]) -> _States:
        if len(parts) == 1:
            return parts[0]
        return _States(*(np.concatenate(c) for c in zip(*(p.columns for p in parts), strict=True)))


def search(
    job: Job,
    layers: Layers,
    values: Ints,
    scale: int,
    target: int,
    reachable: Ints,
    width: int,
    effort: Effort,
    allowed: NDArray[np.bool_] | None = None,
    all_patterns: bool = True,
) -> Found:
    """Cheapest plan of at most ``target`` cents, by layers of remainders.

    Parameters
    ----------
    job : Job
        What is to be cut.
    layers : Layers
        The patterns.
    values : int array
        Piece values, ``scale`` to the cent; no pattern is worth more than its stock's price.
    scale : int
        Units of ``values`` in a cent.
    target : int
        Dearest plan of interest [cents].
    reachable : int array
        ``reachable[c]`` is the least sum of prices that is ``c`` cents or more.
    width : int
        States kept in a layer.
    effort : Effort
        Spent as the search goes; when it is used up the search ends.
    allowed : bool array, optional
        By bit set of used stocks: whether a plan using them is of interest. Remainders reached with different
        stocks are then kept apart, and of the plans within the target the one with the fewest different stocks,
        then the least bought length, is returned.
    all_patterns : bool
        Whether every pattern that could be needed is there. If not, the outcome is a plan but no proof.

    Returns
    -------
    Found
    """
    weights, worth = job.weights.astype(float), values.astype(float)
    codes = _codes(job.demand)
    bound = float(worth @ job.demand)
    budget = target * float(scale) - bound
    measure = np.concatenate([worth[:, None], weights[:, None], codes], axis=1)
    parents, chosen, total = [np.array([-1])], [np.array([-1])], 1
    cuts_off: float | None = None if all_patterns else 0.0
    ties = allowed is not None
    start = job.demand[None].astype(float)
    states = _States(
        start,
        np.zeros(1),
        np.array([bound]),
        start @ codes,
        np.zeros(1, np.int64),
        np.zeros(1),
        np.zeros(1, np.int64),
    )

    def unique(pool: _States) -> _States:
        nonlocal cuts_off
        excess, mask, length = pool.columns[1], pool.columns[4], pool.columns[5]
        keys = tuple(pool.columns[3].T) + ((mask,) if ties else ())
        order = np.lexsort((length, excess, *keys) if ties else (excess, *keys))
        order = _firsts(keys, order)
        if len(order) > width:
            order = order[np.argsort(excess[order], kind="stable")]
            lost = float(excess[order[width]])
            cuts_off = lost if cuts_off is None else min(cuts_off, lost)
            order = order[:width]
        return pool.take(order)

    for t in range(len(weights)):
        busy = states.columns[0][:, t] > 0
        if not busy.any():
            continue
        layer = layers[t]
        pool = [states.take(~busy)]
        states = states.take(busy)
        while len(states):
            parts = []
            reach = int(np.searchsorted(layer.reduced, budget - states.columns[1].min(), side="right"))
            step = max(1, CHUNK // max(reach, 1))
            for first in range(0, len(states) if reach else 0, step):
                remain, excess, value, code, mask, length, node = states.take(
                    slice(first, first + step)
                ).columns
                if not effort.spend(len(excess) * reach + OVERHEAD):
                    return Found(None, 0, 0.0)
                # pieces that a pattern has beyond the remainder are not worth anything: its excess grows
                missing = (remain[:, t:][:, layer.step_kind] < layer.step_count).astype(float)
                over = _product(missing, layer.step_worth[:, :reach])
                over += layer.reduced[:reach]
                over += excess[:, None]
                a, q = np.nonzero(over <= budget)
                if not len(a):
                    continue
                if not effort.spend(10 * len(a)):
                    return Found(None, 0, 0.0)
                content = np.minimum(layer.counts[q], remain[a, t:])
                measured = content @ measure[t:]
                after = excess[a] + layer.price[q] - measured[:, 0]
                good = measured[:, 1] > layer.cheaper_room[q] if all_patterns else np.ones(len(a), bool)
                if ties:
                    good &= allowed[mask[a] | layer.bit[q]]
                good = np.nonzero(good)[0]
                if not len(good):
                    continue
                a, q, content, measured, after = a[good], q[good], content[good], measured[good], after[good]
                code2 = code[a] - measured[:, 2:]
                mask2 = mask[a] | layer.bit[q]
                length2 = length[a] + layer.length[q]
                keys = tuple(code2.T) + ((mask2,) if ties else ())
                pick = _firsts(keys, np.lexsort((length2, after, *keys) if ties else (after, *keys)))
                left = value[a[pick]] - measured[pick, 0]
                spent = (after[pick] + bound - left) / scale
                rest = reachable[np.ceil(left / scale).astype(np.int64)]
                good = spent + rest <= target
                pick, left = pick[good], left[good]
                after_remain = remain[a[pick]]
                after_remain[:, t:] -= content[pick]
                slack = (layer.room[q[pick]] - measured[pick, 1])[:, None]
                # a longer waiting piece could be added, or take the place of the next shorter one: not worth keeping
                held = np.where(content[pick] > 0, weights[t:], 0.0)
                lighter = np.zeros_like(held)
                lighter[:, :-1] = np.maximum.accumulate(held[:, :0:-1], axis=1)[:, ::-1]
                bad = ((after_remain[:, t:] > 0) & (weights[t:] - lighter <= slack)).any(
                    axis=1
                ) & all_patterns
                good = np.nonzero(~bad)[0]
                if not len(good):
                    continue
                pick = pick[good]
                nodes = np.arange(total, total + len(pick))
                total += len(pick)
                parents.append(node[a[pick]])
                chosen.append(layer.rows[q[pick]])
                parts.append(
                    _States(
                        after_remain[good],
                        after[pick],
                        left[good],
                        code2[pick],
                        mask2[pick],
                        length2[pick],
                        nodes,
                    )
                )
            if not parts:
                break
            states = _States.join(parts)
            if len(parts) > 1 or len(states) > width:
                states = unique(states)
            busy = states.columns[0][:, t] > 0
            pool.append(states.take(~busy))
            states = states.take(busy)
        states = _States.join(pool)
        if not len(states):
            return Found(None, 0, cuts_off)
        if len(pool) > 1:
            states = unique(states)
    _, excess, _, _, mask, length, node = states.columns
    if ties:
        best = min(range(len(states)), key=lambda i: (int(mask[i]).bit_count(), length[i], excess[i]))
    else:
        best = int(excess.argmin())
    rows: list[int] = []
    parent, choice = np.concatenate(parents), np.concatenate(chosen)
    at = int(node[best])
    while at > 0:
        rows.append(int(choice[at]))
        at = int(parent[at])
    return Found(tuple(rows), round((float(excess[best]) + bound) / scale), cuts_off)
