"""What a set of blanks must at least cost in sheets, whatever way they are cut.

Every bound is one weighing: give each blank a weight, find the most weight any sheet can yield, and no mix of
sheets that yields less than the total will do. A weight is a product of a length weight and a width weight,
each of which keeps what fits side by side side by side (a dual feasible function, Fekete and Schepers,
"New classes of fast lower bounds for bin packing problems", Mathematical Programming 91 (2001), from memory).
Bound edges are weighed along the length only, two lengths a sheet.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from operator import mul

from wallcalc.sheet_parts import Blank, Job, Kind, Stock, StockLike, make_job

Scale = tuple[tuple[int, ...], tuple[int, ...]]
"""Weights of the sizes asked about, and the most weight that fits in each room."""

Weighing = tuple[int, tuple[int, ...]]
"""What all blanks weigh together, and the most that each sheet can yield."""


@lru_cache(maxsize=4096)
def scales(sizes: tuple[tuple[int, int], ...], rooms: tuple[int, ...]) -> tuple[Scale, ...]:
    """Return weights for one direction.

    Parameters
    ----------
    sizes : tuple of (int, int)
        The different sizes of the blanks in this direction and how often each occurs.
    rooms : tuple of int
        Sizes of the sheets in this direction.

    Returns
    -------
    tuple of Scale
        The plain size first, with rooms cut down to what sums of sizes can reach; then weights that count the
        blanks larger than a half, a third and a quarter of a room; then weights that round large sizes up to
        the room and drop what could stand beside them.
    """
    reach = 1
    top = max(rooms)
    for size, count in sizes:
        for _ in range(min(count, top // size)):
            reach |= reach << size
    values = tuple(s for s, _ in sizes)
    found: dict[tuple[int, ...], tuple[int, ...]] = {
        values: tuple((reach & ((1 << (r + 1)) - 1)).bit_length() - 1 for r in rooms)
    }

    def add(weights: tuple[int, ...], most: tuple[int, ...]) -> None:
        if any(weights) and (weights not in found or sum(found[weights]) > sum(most)):
            found[weights] = most

    for room in dict.fromkeys(rooms):
        for k in (2, 3, 4):
            add(
                tuple((k * s - 1) // room for s in values),
                tuple(max(0, (k * r - 1) // room) for r in rooms),
            )
    for least in values:
        if 2 * least <= top:
            large = top - least
            add(
                tuple(0 if s < least else top if s > large else s for s in values),
                tuple(0 if r < least else top if r > large else r for r in rooms),
            )
    return tuple(found.items())


def _tally(sizes: Sequence[int], counts: Sequence[int]) -> tuple[tuple[tuple[int, int], ...], list[int]]:
    tally: dict[int, int] = {}
    for s, n in zip(sizes, counts, strict=True):
        tally[s] = tally.get(s, 0) + n
    order = sorted(tally)
    place = {s: i for i, s in enumerate(order)}
    return tuple((s, tally[s]) for s in order), [place[s] for s in sizes]


def weighings(job: Job) -> list[Weighing]:
    """Return every weighing of the blanks against the sheets.

    What cut-outs can yield is taken off the total. A cut-out counts only the blanks that fit in it.

    Parameters
    ----------
    job : Job
        Blanks and sheets.

    Returns
    -------
    list of Weighing
        Totals that are positive.
    """
    kinds = list(job.counts)
    counts = [job.counts[k] for k in kinds]
    stocks = job.stocks
    lengths, at_length = _tally([k.along for k in kinds], counts)
    widths, at_width = _tally([k.across for k in kinds], counts)
    holes, inside = _useful_holes(kinds, counts)
    along = scales(lengths, tuple([s.length for s in stocks] + [h[0] for h in holes]))
    across = scales(widths, tuple([s.width for s in stocks] + [h[1] for h in holes]))
    n = len(stocks)
    rows_along = [([v[i] for i in at_length], most) for v, most in along]
    rows_across = [([v[i] for i in at_width], most) for v, most in across]
    needs = [c * k.need for c, k in zip(counts, kinds, strict=True)]
    out: list[Weighing] = []
    for value, most in rows_along:
        each = list(map(mul, counts, value))
        for value_across, most_across in rows_across:
            per_kind = list(map(mul, each, value_across))
            total = sum(per_kind)
            for j, (_, _, _, number) in enumerate(holes):
                room = number * most[n + j] * most_across[n + j]
                total -= min(room, sum(per_kind[i] for i in inside[j]))
            if total > 0:
                out.append((total, tuple(map(mul, most[:n], most_across[:n]))))
        if any(needs):
            per_kind = list(map(mul, needs, value))
            total = sum(per_kind)
            for j, (_, _, bound, number) in enumerate(holes):
                total -= min(number * bound * most[n + j], sum(per_kind[i] for i in inside[j]))
            if total > 0:
                out.append((total, tuple([2 * m for m in most[:n]])))
    return out


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


def cheapest_mix(rows: Sequence[Weighing], prices: Sequence[int], at_least: int = 0) -> int:
    """Return the price of the cheapest mix of sheets that satisfies every weighing.

    Parameters
    ----------
    rows : sequence of Weighing
        Totals and what each sheet yields.
    prices : sequence of int
        Price of each sheet, cents.
    at_least : int
        A bound known already, cents.

    Returns
    -------
    int
        Cents; ``at_least`` when nothing asks for more.
    """
    kinds = range(len(prices))
    if len(prices) == 1:
        return max([at_least, *(-(-total // most[0]) * prices[0] for total, most in rows)])
    picked: list[Weighing] = []
    for s in kinds:
        # the weighing that asks for most when only this sheet is bought
        row = max(rows, key=lambda r: r[0] / r[1][s] if r[1][s] else 1e30, default=None)
        if row is not None and row not in picked:
            picked.append(row)
    order = sorted(kinds, key=lambda s: -prices[s])
    while picked:
        cost, mix = _mix(picked, prices, order)
        broken = [r for r in rows if sum(map(mul, mix, r[1])) < r[0]]
        if not broken:
            return max(cost, at_least)
        picked.append(min(broken, key=lambda r: sum(map(mul, mix, r[1])) / r[0]))
    return at_least


def _mix(rows: Sequence[Weighing], prices: Sequence[int], order: Sequence[int]) -> tuple[int, list[int]]:
    """Return cost and counts of the cheapest mix for a few weighings, trying counts of each sheet in turn."""
    best_cost = 1 << 60
    best = [0] * len(prices)
    counts = [0] * len(prices)
    columns = [[r[1][s] for r in rows] for s in order]
    costs = [prices[s] for s in order]
    last = len(order) - 1
    # least price of a unit of each weighing from this sheet on: what is still missing costs at least that
    unit = [
        [
            min((costs[j] / columns[j][i] for j in range(at, last + 1) if columns[j][i]), default=1e30)
            for i in range(len(rows))
        ]
        for at in range(last + 1)
    ]

    def go(at: int, missing: list[int], cost: int) -> None:
        nonlocal best_cost, best
        column, price = columns[at], costs[at]
        most = 0
        for m, c in zip(missing, column, strict=True):
            if m > 0:
                if c:
                    most = max(most, -(-m // c))
                elif at == last:
                    return
        if at == last:
            if cost + most * price < best_cost:
                counts[at] = most
                best_cost = cost + most * price
                best = counts[:]
            return
        after = unit[at + 1]
        for n in range(most + 1):
            spent = cost + n * price
            if spent >= best_cost:
                break
            left = [m - n * c for m, c in zip(missing, column, strict=True)]
            if spent + max(map(mul, left, after)) < best_cost - 1e-6:
                counts[at] = n
                go(at + 1, left, spent)
        counts[at] = 0

    go(0, [r[0] for r in rows], 0)
    mix = [0] * len(prices)
    for j, s in enumerate(order):
        mix[s] = best[j]
    return best_cost, mix


def undominated(job: Job) -> tuple[Stock, ...]:
    """Return the sheets worth buying: none that a sheet no dearer can replace in every plan.

    A sheet at least as long and as wide replaces another (the cut layout keeps one long edge, the rest of it
    moves to the other); where a blank needs both long edges bound the widths have to be equal.
    """
    strict = any(k.need == 2 for k in job.counts)
    top: dict[tuple[int, int], int] = {}
    reach = 1
    longest = max(s.length for s in job.stocks)
    for k, n in job.counts.items():
        for _ in range(min(n, longest // k.along)):
            reach |= reach << k.along
    for s in job.stocks:
        top[s.length, s.width] = (reach & ((1 << (s.length + 1)) - 1)).bit_length() - 1
    kept: list[Stock] = []
    for s in job.stocks:  # by price
        size = top[s.length, s.width]
        if size and not any(
            top[t.length, t.width] >= size and (t.width == s.width or (t.width > s.width and not strict))
            for t in kept
        ):
            kept.append(s)
    return tuple(kept)


def bound_of(job: Job) -> int:
    """Return the least cost in cents of the sheets for a job, see :func:`sheet_bound`."""
    if not job.counts:
        return 0
    lean = job._replace(stocks=undominated(job))
    return cheapest_mix(weighings(lean), [s.price for s in lean.stocks])


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
    return bound_of(make_job(blanks, stocks))
