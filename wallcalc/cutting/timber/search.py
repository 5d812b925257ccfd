"""Exact search over cutting patterns, layer by layer: which pieces are still to be cut, at what cost so far.

Bars are filled in order of their longest piece. A state is what remains to be cut; states with the same
remainder are one. Piece values (integer duals, see :mod:`.bounds`) bound what the remainder will cost
at least, so a state is dropped when no plan within the target can come of it. Unless the width limit cuts in, what
is left undone is exactly nothing: the search is then a proof.
"""

from __future__ import annotations

import time
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wallcalc.cutting.timber.layers import Layers, Stage
from wallcalc.cutting.timber.patterns import Floats, Ints, Job

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
        return self.left > 0 and time.thread_time() < self.until


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


def _least(keys: tuple[NDArray, ...], *order: NDArray) -> NDArray:
    """Row with the least ``order`` (first row among equals) for each different combination of keys."""
    if len(keys) > 1 or len(order) > 1:
        rows = np.lexsort((*reversed(order), *keys))
        first = np.zeros(len(rows), bool)
        first[0] = True
        for key in keys:
            ordered = key[rows]
            first[1:] |= ordered[1:] != ordered[:-1]
        return rows[first]
    rows = np.argsort(keys[0])
    key, value = keys[0][rows], order[0][rows]
    change = np.ones(len(rows), bool)
    np.not_equal(key[1:], key[:-1], out=change[1:])
    starts = np.nonzero(change)[0]
    least = np.minimum.reduceat(value, starts)
    ties = value == np.repeat(least, np.diff(starts, append=len(rows)))
    return np.minimum.reduceat(np.where(ties, rows, len(rows)), starts)


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

    __slots__ = ("codes", "excess", "length", "mask", "node", "remain", "value")

    def __init__(self, remain: Floats, excess: Floats, value: Floats, codes: Floats, *rest: NDArray) -> None:
        self.remain, self.excess, self.value, self.codes = remain, excess, value, codes
        self.mask, self.length, self.node = rest

    def __len__(self) -> int:
        return len(self.excess)

    def _columns(self) -> tuple[NDArray, ...]:
        return self.remain, self.excess, self.value, self.codes, self.mask, self.length, self.node

    def take(self, rows: NDArray | slice) -> _States:
        return _States(*(c[rows] for c in self._columns()))

    def parted(self, kind: int) -> tuple[_States, _States]:
        """States with none of a kind left, and the others."""
        busy = self.remain[:, kind] > 0
        return self.take(~busy), self.take(busy)

    @staticmethod
    def join(parts: list[_States]) -> _States:
        parts = [p for p in parts if len(p)] or parts[:1]
        if len(parts) == 1:
            return parts[0]
        return _States(*(np.concatenate(c) for c in zip(*(p._columns() for p in parts), strict=True)))


class _Search:
    """What stays the same through one search, and the record of how each state came about."""

    def __init__(self, job: Job, values: Ints, scale: int, target: int, reachable: Ints) -> None:
        self.weights, self.worth = job.weights.astype(float), values.astype(float)
        self.codes = _codes(job.demand)
        self.scale, self.target, self.reachable = scale, target, reachable
        self.bound = float(self.worth @ job.demand)
        self.budget = target * float(scale) - self.bound
        self.allowed: NDArray[np.bool_] | None = None
        self.all_patterns = True
        self.cuts_off: float | None = None
        self.parents, self.rows, self.total = [np.array([-1])], [np.array([-1])], 1
        remain = job.demand[None].astype(float)
        none = np.zeros(1, np.int64)
        self.start = _States(
            remain, np.zeros(1), np.array([self.bound]), remain @ self.codes, none, np.zeros(1), none
        )

    def keys(self, codes: Floats, mask: Ints) -> tuple[NDArray, ...]:
        """Tell states apart: by the remainder, and by the stocks used where these matter."""
        return (*codes.T, mask) if self.allowed is not None else tuple(codes.T)

    def merged(self, states: _States, width: int) -> _States:
        """States with equal ones made one, no more than ``width`` of them."""
        order = (states.excess,) if self.allowed is None else (states.excess, states.length)
        rows = _least(self.keys(states.codes, states.mask), *order)
        if len(rows) > width:
            rows = rows[np.argsort(states.excess[rows], kind="stable")]
            lost = float(states.excess[rows[width]])
            self.cuts_off = lost if self.cuts_off is None else min(self.cuts_off, lost)
            rows = rows[:width]
        return states.take(rows)

    def children(self, states: _States, layer: Stage, t: int, reach: int, effort: Effort) -> _States | None:
        """States after one more bar led by kind ``t``; None when there are none."""
        # pieces that a pattern has beyond the remainder are not worth anything: its excess grows
        missing = (states.remain[:, t:][:, layer.step_kind] < layer.step_count).astype(float)
        over = _product(missing, layer.step_worth[:, :reach])
        over += layer.reduced[:reach]
        over += states.excess[:, None]
        within = over <= self.budget
        a, q = np.nonzero(within)
        if not len(a) or not effort.spend(10 * len(a)):
            return None
        after = over[within]
        if self.allowed is not None:
            good = np.nonzero(self.allowed[states.mask[a] | layer.bit[q]])[0]
            if not len(good):
                return None
            a, q, after = a[good], q[good], after[good]
        content = np.minimum(layer.counts[q], states.remain[a, t:])
        codes = states.codes[a] - np.einsum("ij,jk->ik", content, self.codes[t:])
        if self.allowed is None:
            pick = _least(self.keys(codes, a), after)
        else:
            pick = _least(
                self.keys(codes, states.mask[a] | layer.bit[q]), after, states.length[a] + layer.length[q]
            )
        a, q, after, content, codes = a[pick], q[pick], after[pick], content[pick], codes[pick]
        left = states.value[a] - (states.excess[a] + layer.price[q] - after)
        spent = (after + self.bound - left) / self.scale
        good = spent + self.reachable[np.ceil(left / self.scale).astype(np.int64)] <= self.target
        remain = states.remain[a]
        remain[:, t:] -= content
        if self.all_patterns:
            filled = np.einsum("ij,j->i", content, self.weights[t:])
            good &= filled > layer.cheaper_room[q]
            # a longer waiting piece could be added, or take the place of the next shorter one: not worth keeping
            held = np.where(content > 0, self.weights[t:], 0.0)
            lighter = np.zeros_like(held)
            lighter[:, :-1] = np.maximum.accumulate(held[:, :0:-1], axis=1)[:, ::-1]
            swap = (self.weights[t:] - lighter) <= (layer.room[q] - filled)[:, None]
            good &= ~(swap & (remain[:, t:] > 0)).any(axis=1)
        good = np.nonzero(good)[0]
        if not len(good):
            return None
        a, q = a[good], q[good]
        nodes = np.arange(self.total, self.total + len(good))
        self.total += len(good)
        self.parents.append(states.node[a])
        self.rows.append(layer.rows[q])
        mask, length = states.mask[a] | layer.bit[q], states.length[a] + layer.length[q]
        return _States(remain[good], after[good], left[good], codes[good], mask, length, nodes)

    def path(self, node: int) -> tuple[int, ...]:
        """Rows of the patterns that led to a state."""
        parents, rows = np.concatenate(self.parents), np.concatenate(self.rows)
        out = []
        while node > 0:
            out.append(int(rows[node]))
            node = int(parents[node])
        return tuple(out)


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
    run = _Search(job, values, scale, target, reachable)
    run.allowed, run.all_patterns = allowed, all_patterns
    if not all_patterns:
        run.cuts_off = 0.0
    states = run.start
    for t in range(len(job.weights)):
        done, states = states.parted(t)
        if not len(states):
            states = done
            continue
        layer = layers[t]
        pool = [done]
        while len(states):
            parts = []
            reach = int(np.searchsorted(layer.reduced, run.budget - states.excess.min(), side="right"))
            step = max(1, CHUNK // max(reach, 1))
            for first in range(0, len(states) if reach else 0, step):
                block = states.take(slice(first, first + step)) if step < len(states) else states
                if not effort.spend(len(block) * reach + OVERHEAD):
                    return Found(None, 0, 0.0)
                part = run.children(block, layer, t, reach, effort)
                if effort.left <= 0:
                    return Found(None, 0, 0.0)
                if part is not None:
                    parts.append(part)
            if not parts:
                break
            states = _States.join(parts)
            if len(parts) > 1 or len(states) > width:
                states = run.merged(states, width)
            done, states = states.parted(t)
            pool.append(done)
        states = _States.join(pool)
        if not len(states):
            return Found(None, 0, run.cuts_off)
        if len(pool) > 1:
            states = run.merged(states, width)
    if allowed is None:
        best = int(states.excess.argmin())
    else:
        preferred = [
            (int(m).bit_count(), length) for m, length in zip(states.mask, states.length, strict=True)
        ]
        best = preferred.index(min(preferred))
    cost = round((float(states.excess[best]) + run.bound) / scale)
    return Found(run.path(int(states.node[best])), cost, run.cuts_off)
