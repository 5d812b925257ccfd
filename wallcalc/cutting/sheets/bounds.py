"""What a set of blanks must at least cost in sheets, whatever way they are cut.

Every bound is one weighing: give each blank a weight, find the most weight any sheet can yield, and no mix of
sheets that yields less than the total will do. A weight is a product of a length weight and a width weight,
each of which keeps what fits side by side side by side (a dual feasible function, Fekete and Schepers,
"New classes of fast lower bounds for bin packing problems", Mathematical Programming 91 (2001), from memory).
Bound edges are weighed along the length only, two lengths a sheet.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from heapq import heappop, heappush
from operator import mul
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from wallcalc.cutting.sheets.parts import Blank, Job, Kind, Stock, StockLike, make_job

Numbers = NDArray[np.int64]
Tally = tuple[tuple[int, int], ...]
"""Sizes in order, each with how often it occurs."""

NEVER = 1e30
STEPS = 50
"""Mixes of sheets to look at for a bound."""


class Weighings(NamedTuple):
    """``total`` weighs all blanks, one a row; ``most`` is what each sheet (column) can yield of it."""

    total: Numbers
    most: Numbers


@lru_cache(maxsize=4096)
def reach_of(sizes: Tally, top: int) -> int:
    """Return a number whose bits are the sums that sizes can make up to ``top``, each as often as it occurs."""
    reach = 1
    mask = (1 << (top + 1)) - 1
    for size, count in sizes:
        for _ in range(min(count, top // size)):
            reach |= reach << size
        reach &= mask
    return reach


def largest_sum(reach: int, room: int) -> int:
    """Return the largest sum of :func:`reach_of` that is no more than ``room``."""
    return (reach & ((1 << (room + 1)) - 1)).bit_length() - 1


@lru_cache(maxsize=4096)
def scales(sizes: Tally, rooms: tuple[int, ...], sheets: int) -> tuple[Numbers, Numbers]:
    """Return weights for one direction.

    Parameters
    ----------
    sizes : tuple of (int, int)
        The different sizes of the blanks in this direction and how often each occurs.
    rooms : tuple of int
        Sizes of the sheets in this direction, then those of cut-outs.
    sheets : int
        How many of the rooms are sheets.

    Returns
    -------
    tuple of array
        Weights, a row for each way of weighing and a column a size; and the most weight that fits in each
        room. The plain size comes first, with rooms cut down to what sums of sizes can reach; then weights
        that count the blanks larger than a room, a half, a third and a quarter of it; then weights that round
        large sizes up to the room and drop what could stand beside them.
    """
    top = max(rooms)
    reach = reach_of(sizes, top)
    values = tuple(s for s, _ in sizes)
    found: dict[tuple[int, ...], tuple[int, ...]] = {values: tuple(largest_sum(reach, r) for r in rooms)}

    def add(weights: tuple[int, ...], most: tuple[int, ...]) -> None:
        if any(weights) and (weights not in found or sum(found[weights]) > sum(most)):
            found[weights] = most

    for room in dict.fromkeys(rooms[:sheets]):
        over = next((s - 1 for s in values if s > room), 0)
        if over:
            add(tuple((s - 1) // over for s in values), tuple((r - 1) // over for r in rooms))
        for k in (2, 3, 4):
            add(
                tuple((k * s - 1) // room for s in values),
                tuple((k * r - 1) // room for r in rooms),
            )
    for least in values:
        if 2 * least <= top:
            large = top - least
            add(
                tuple(0 if s < least else top if s > large else s for s in values),
                tuple(0 if r < least else top if r > large else r for r in rooms),
            )
    return np.array(list(found), dtype=np.int64), np.array(list(found.values()), dtype=np.int64)


def _tally(sizes: Sequence[int], counts: Sequence[int]) -> tuple[Tally, list[int]]:
    tally: dict[int, int] = {}
    for s, n in zip(sizes, counts, strict=True):
        tally[s] = tally.get(s, 0) + n
    order = sorted(tally)
    place = {s: i for i, s in enumerate(order)}
    return tuple([(s, tally[s]) for s in order]), [place[s] for s in sizes]


def weighings(job: Job) -> Weighings:
    """Return every weighing of the blanks against the sheets.

    What cut-outs can yield is taken off the total. A cut-out counts only the blanks that fit in it.

    Parameters
    ----------
    job : Job
        Blanks and sheets.

    Returns
    -------
    Weighings
        Those with a positive total.
    """
    kinds = list(job.counts)
    number = list(job.counts.values())
    stocks = job.stocks
    n = len(stocks)
    holes, inside = _useful_holes(kinds, number)
    lengths, at_length = _tally([k.along for k in kinds], number)
    widths, at_width = _tally([k.across for k in kinds], number)
    value, most_along = scales(lengths, tuple([s.length for s in stocks] + [h[0] for h in holes]), n)
    across, most_across = scales(widths, tuple([s.width for s in stocks] + [h[1] for h in holes]), n)
    counts = np.array(number)
    along = value[:, at_length] * counts
    across = across[:, at_width].T
    total = along @ across
    most = most_along[:, None, :n] * most_across[None, :, :n]
    for j, hole in enumerate(holes):
        room = np.outer(hole[3] * most_along[:, n + j], most_across[:, n + j])
        total -= np.minimum(room, along[:, inside[j]] @ across[inside[j]])
    needs = np.array([k.need for k in kinds])
    totals, mosts = [total.ravel()], [most.reshape(-1, n)]
    if needs.any():
        total = along @ needs
        for j, (_, _, bound, many) in enumerate(holes):
            if bound:
                room = many * bound * most_along[:, n + j]
                total -= np.minimum(room, along[:, inside[j]] @ needs[inside[j]])
        totals.append(total)
        mosts.append(2 * most_along[:, :n])
    total, most = np.concatenate(totals), np.concatenate(mosts)
    keep = total > 0
    return Weighings(total[keep], most[keep])


def _useful_holes(
    kinds: Sequence[Kind], counts: Sequence[int]
) -> tuple[list[tuple[int, int, int, int]], list[list[int]]]:
    """Return the cut-outs (length, width, bound, number) that any blank fits in, and which blanks do."""
    number: dict[tuple[int, int, int], int] = {}
    for k, c in zip(kinds, counts, strict=True):
        for h in k.holes:
            key = (h.length, h.width, h.bound)
            number[key] = number.get(key, 0) + c
    holes, inside = [], []
    for (length, width, bound), many in number.items():
        fitting = [
            i for i, k in enumerate(kinds) if k.along <= length and k.across <= width and k.need <= bound
        ]
        if fitting:
            holes.append((length, width, bound, many))
            inside.append(fitting)
    return holes, inside


def cheapest_mix(rows: Weighings, prices: Sequence[int], steps: int = STEPS) -> int:
    """Return what the cheapest mix of sheets that satisfies every weighing costs, or less when steps run out.

    Parameters
    ----------
    rows : Weighings
        Totals and what each sheet yields.
    prices : sequence of int
        Price of each sheet, cents.
    steps : int
        Mixes to look at before the bound on those not looked at is taken instead.

    Returns
    -------
    int
        Cents; always a sum of prices.
    """
    total, most = rows
    if len(prices) == 1:
        return int((-(-total // most[:, 0])).max()) * prices[0]
    asked = total[:, None] / np.maximum(most, 1e-9)
    # start from the weighings that ask for most when only one kind of sheet is bought, or whichever is best
    alone = (asked * np.array(prices)).min(axis=1)
    picked = list(dict.fromkeys([int(alone.argmax()), *asked.argmax(axis=0).tolist()]))
    order = sorted(range(len(prices)), key=lambda s: -prices[s])
    while True:
        cost, mix, steps = _mix([(int(total[i]), most[i].tolist()) for i in picked], prices, order, steps)
        if mix is None:
            return _as_sum(tuple(prices), math.ceil(cost - 1e-6))
        short = (most @ mix) / total
        worst = int(short.argmin())
        if short[worst] >= 1 or worst in picked:
            return int(cost)
        picked.append(worst)


@lru_cache(maxsize=256)
def _sums(prices: tuple[int, ...], top: int) -> int:
    """Return a number whose bits are the sums of prices up to ``top``, each price any number of times."""
    sums = 1
    mask = (1 << (top + 1)) - 1
    for price in prices:
        step = price
        while step <= top:
            sums |= (sums << step) & mask
            step *= 2
    return sums


def _as_sum(prices: tuple[int, ...], cost: int) -> int:
    """Return the least sum of prices that is no less than a cost."""
    above = _sums(prices, 1 << (cost + max(prices)).bit_length()) >> cost
    return cost + (above & -above).bit_length() - 1


def _mix(
    rows: Sequence[tuple[int, list[int]]], prices: Sequence[int], order: Sequence[int], steps: int
) -> tuple[float, list[int] | None, int]:
    """Return the cheapest mix for a few weighings, best first: sheets are added one by one in the given order.

    Returns cost, counts (None when steps ran out: then the cost is the least that any mix can have) and the steps
    that remain.
    """
    # price of one unit of each weighing from the cheapest source of it, from each sheet of the order on
    price_of: list[list[float]] = []
    ahead = [NEVER] * len(rows)
    for s in reversed(order):
        ahead = [min(u, prices[s] / r[1][s]) if r[1][s] else u for u, r in zip(ahead, rows, strict=True)]
        price_of.append(ahead)
    price_of.reverse()
    yields = [[r[1][s] for r in rows] for s in order]
    missing = [r[0] for r in rows]
    # equal bounds: the mix that has cost more so far first, then as they came
    heap: list[tuple[float, int, int, int, list[int], tuple[int, ...]]] = [
        (max(map(mul, missing, price_of[0])), 0, 0, 0, missing, ())
    ]
    made = 0
    while True:
        bound, _, _, at, missing, bought = heappop(heap)
        spent = sum(prices[s] for s in bought)
        if max(missing) <= 0:
            counts = [0] * len(prices)
            for s in bought:
                counts[s] += 1
            return spent, counts, steps
        steps -= 1
        if steps < 0:
            return bound, None, 0
        for j in range(at, len(order)):
            left = [m - y for m, y in zip(missing, yields[j], strict=True)]
            least = max(map(mul, left, price_of[j]))
            if least < NEVER:
                cost = spent + prices[order[j]]
                made += 1
                heappush(heap, (cost + max(least, 0.0), -cost, made, j, left, (*bought, order[j])))


def undominated(job: Job) -> tuple[Stock, ...]:
    """Return the sheets worth buying: none that a sheet no dearer can replace in every plan.

    A sheet at least as long and as wide replaces another (the cut layout keeps one long edge, the rest of it
    moves to the other); where a blank needs both long edges bound the widths have to be equal.
    """
    if len(job.stocks) == 1:
        return job.stocks
    strict = any(k.need == 2 for k in job.counts)
    sizes, _ = _tally([k.along for k in job.counts], list(job.counts.values()))
    reach = reach_of(sizes, max(s.length for s in job.stocks))
    kept: list[tuple[int, Stock]] = []
    for s in job.stocks:  # by price
        size = largest_sum(reach, s.length)
        if size and not any(
            longest >= size and (t.width == s.width or (t.width > s.width and not strict))
            for longest, t in kept
        ):
            kept.append((size, s))
    return tuple([s for _, s in kept])


def lean_job(blanks: Sequence[Blank], stocks: Sequence[StockLike]) -> Job:
    """Return the blanks made plain with the sheets worth buying for them, see :func:`undominated`.

    Parameters
    ----------
    blanks : sequence of Blank
        What has to be cut, lengths in 0.1 mm.
    stocks : sequence of SheetStock
        The sheets that can be bought, prices in cents.

    Raises
    ------
    CuttingError
        When a blank fits no sheet.
    """
    job = make_job(blanks, stocks)
    return job._replace(stocks=undominated(job)) if job.counts else job


def bound_of(job: Job) -> int:
    """Return the least cost in cents of the sheets for a job of :func:`lean_job`, see :func:`sheet_bound`."""
    return cheapest_mix(weighings(job), [s.price for s in job.stocks]) if job.counts else 0


def sheet_bound(blanks: Sequence[Blank], stocks: Sequence[StockLike]) -> int:
    """Return a cost in cents that no way of cutting the blanks from the sheets can go below.

    The largest of the bounds by area (with lengths and widths that cuts can reach), by bound-edge length (two
    edges a sheet) and by one-dimensional weighings of the blanks larger than a half, a third or a quarter of
    a sheet, all met at once by one mix of sheets.

    Parameters
    ----------
    blanks : sequence of Blank
        What has to be cut, lengths in 0.1 mm.
    stocks : sequence of SheetStock
        The sheets that can be bought, prices in cents.

    Returns
    -------
    int
        Cents.

    Raises
    ------
    CuttingError
        When a blank fits no sheet.
    """
    return bound_of(lean_job(blanks, stocks))
