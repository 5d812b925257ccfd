"""Cutting mineral wool from slabs that are bought in whole packs.

A piece keeps the direction it was worked out for: its length lies along the slab's length. Cuts go straight
through and take no width. What counts is the cost of the packs, so slabs left in an opened pack cost nothing.
"""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from itertools import product
from math import lcm
from operator import mul
from typing import NamedTuple, Protocol

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import block_array, csc_matrix

from wallcalc.cutting.sheets.bounds import Weighings, cheapest_mix, weighings
from wallcalc.cutting.sheets.flow import (
    INFEASIBLE,
    Programme,
    blank_values,
    build,
    certify,
    flow_rows,
)
from wallcalc.cutting.sheets.greedy import Layout, as_plan, lay, orders_of, sheet_by_sheet
from wallcalc.cutting.sheets.parts import Job, Kind, Stock, fits
from wallcalc.cutting.sheets.unfold import free_rooms, unfold
from wallcalc.cutting.timber.bounds import CuttingError
from wallcalc.records import CutPlan, Leftover

MATERIAL = "slabs"
SCOPE = (
    "these pieces and these slabs in whole packs, every way of cutting straight through from edge to edge, "
    "pieces not turned"
)
WEIGHED = "bound by area and one-dimensional weighings of the pieces"
VALUED = "bound by values of the pieces that no slab can beat, rechecked by recursion"
SEARCHED = "bound by the integer programme of all cuts"

MOST_MIXES = 20_000
"""Mixes of packs to look through."""


class SlabLike(Protocol):
    """What is asked of a pack of slabs; the price book's slabs have it."""

    code: str
    length: int
    width: int
    per_pack: int
    price_per_pack: int


class Pack(NamedTuple):
    """Slabs in a pack and the pack's price in cents."""

    number: int
    price: int


class Ranked(NamedTuple):
    """A layout by what counts: cost of the packs in cents, cuts, slabs."""

    cost: int
    cuts: int
    slabs: int
    layout: Layout


def cut_slabs(
    pieces: Sequence[tuple[str, int, int]], stocks: Sequence[SlabLike], *, time_limit: float = 0.1
) -> CutPlan:
    """Return the cutting plan whose packs cost least, of those the one with fewest cuts.

    Parameters
    ----------
    pieces : sequence of (mark, length, width)
        What has to be cut, 0.1 mm; length lies along the slab's length.
    stocks : sequence of SlabStock
        The packs that can be bought, prices in cents a pack.
    time_limit : float
        Seconds to spend at most.

    Returns
    -------
    CutPlan
        One use a slab that is cut or used whole; ``cost`` and ``lower_bound`` are those of whole packs, so the
        slabs left in an opened pack are not in ``uses``. ``proven`` only when no plan in ``scope`` is cheaper; of
        equal cost the fewest cuts, then the fewest slabs, of the plans looked at.

    Raises
    ------
    CuttingError
        When a piece fits no slab.
    """
    if not pieces:
        return CutPlan(MATERIAL, (), 0, 0, True, SCOPE, "nothing to cut")
    until = time.thread_time() + time_limit
    job, packs = _job(pieces, stocks)
    rows = _by_pack(weighings(job), packs)
    prices = [p.price for p in packs]
    bound, method = cheapest_mix(rows, prices), WEIGHED
    best = _quick(job, packs, bound)
    if best.cost > bound:
        best = _from_mixes(job, packs, rows, bound, best, until - time_limit / 2)
    if best.cost > bound:
        programme = build(job, job.stocks, until)
        values = None if programme is None else blank_values(programme, until - time.thread_time())
        if programme is not None and values is not None:
            # prices of single slabs are in parts of a cent, as many to a cent as in a pack's price here
            asked = certify(programme, values).bound
            parts = _parts(packs)
            valued = Weighings(
                np.append(rows.total, asked), np.vstack([rows.most, [p.price * parts for p in packs]])
            )
            raised = min(cheapest_mix(valued, prices), best.cost)
            if raised > bound:
                bound, method = raised, VALUED
        if programme is not None and best.cost > bound and time.thread_time() < until:
            found, claimed = _solve(programme, rows, packs, bound, best.cost - 1, until - time.thread_time())
            if found is not None:
                best = min(best, _ranked(unfold(programme, found, job, job.stocks), job, packs))
            if min(claimed, best.cost) > bound:
                bound, method = min(claimed, best.cost), SEARCHED
    plan = as_plan(job, job.stocks, best.layout, bound, SCOPE, method)
    uses = tuple(replace(use, leftovers=_unbound(use.leftovers)) for use in plan.uses)
    return replace(plan, material=MATERIAL, uses=uses, cost=best.cost, proven=bound == best.cost)


def _parts(packs: Sequence[Pack]) -> int:
    return lcm(*(p.number for p in packs))


def _job(pieces: Sequence[tuple[str, int, int]], stocks: Sequence[SlabLike]) -> tuple[Job, list[Pack]]:
    """Return the pieces and slabs made plain, slabs at their share of the pack's price in parts of a cent."""
    parts = lcm(*(s.per_pack for s in stocks))
    offered = sorted(
        (
            (
                Stock(s.length, s.width, s.price_per_pack * parts // s.per_pack, s.code),
                Pack(s.per_pack, s.price_per_pack),
            )
            for s in stocks
        ),
        key=lambda pair: (pair[0].price, pair[0]),
    )
    plain = tuple(stock for stock, _ in offered)
    kinds = tuple(Kind(length, width, 0, (), 0) for _, length, width in pieces)
    bad = [
        f"{mark} ({length / 10:g} x {width / 10:g} mm)"
        for (mark, length, width), kind in zip(pieces, kinds, strict=True)
        if length <= 0 or width <= 0 or not any(fits(kind, s.length, s.width) for s in plain)
    ]
    if bad:
        sizes = ", ".join(f"{s.length / 10:g} x {s.width / 10:g}" for s in plain) or "none"
        raise CuttingError(f"no slab is large enough for {'; '.join(bad)}; slabs at hand (mm): {sizes}")
    job = Job(tuple(mark for mark, _, _ in pieces), kinds, dict(Counter(kinds)), plain)
    return job, [pack for _, pack in offered]


def _by_pack(rows: Weighings, packs: Sequence[Pack]) -> Weighings:
    return Weighings(rows.total, rows.most * np.array([p.number for p in packs]))


def _ranked(layout: Layout, job: Job, packs: Sequence[Pack]) -> Ranked:
    layout = free_rooms(layout, job, job.stocks)
    cuts = len(job.kinds) + len(layout.rooms) - len(layout.bought)
    return Ranked(_cost(layout, packs), cuts, len(layout.bought), layout)


def _cost(layout: Layout, packs: Sequence[Pack]) -> int:
    return sum(-(-n // packs[s].number) * packs[s].price for s, n in Counter(layout.bought).items())


def _quick(job: Job, packs: Sequence[Pack], bound: int) -> Ranked:
    """Return the best of a few quick plans: each size of slab first, a few orders."""
    kinds, stocks = job.kinds, job.stocks
    able = _able(job)
    by_area = sorted(range(len(stocks)), key=lambda s: stocks[s].price / (stocks[s].length * stocks[s].width))
    orders = orders_of(kinds)
    found: list[tuple[int, Layout]] = []
    for first in by_area:
        rank = {s: (s != first, at) for at, s in enumerate(by_area)}
        choice = {k: sorted(a, key=rank.__getitem__) for k, a in able.items()}
        prefer = [choice[k] for k in kinds]
        for order in orders:
            layout = lay(kinds, order, stocks, prefer, 2)
            found.append((_cost(layout, packs), layout))
        if min(cost for cost, _ in found) == bound:
            break
    else:
        layout = sheet_by_sheet(kinds, orders[0], stocks, able)
        found.append((_cost(layout, packs), layout))
    least = min(cost for cost, _ in found)
    return min((_ranked(layout, job, packs) for cost, layout in found if cost == least), key=_order)


def _able(job: Job) -> dict[Kind, list[int]]:
    """Return the slabs that each kind of piece can come from."""
    return {k: [at for at, s in enumerate(job.stocks) if fits(k, s.length, s.width)] for k in job.counts}


def _order(ranked: Ranked) -> tuple[int, int, int]:
    return ranked[:3]


def _from_mixes(
    job: Job, packs: Sequence[Pack], rows: Weighings, bound: int, best: Ranked, until: float
) -> Ranked:
    """Return the best plan found by trying the mixes of packs cheaper than the best so far, cheapest first."""
    kinds, stocks = job.kinds, job.stocks
    orders = orders_of(kinds)
    prefers = []
    able = _able(job)
    keys = (
        lambda k, s: s.price / ((s.length // k.along) * (s.width // k.across)),
        lambda k, s: s.length * s.width,
        lambda k, s: -s.length * s.width,
    )
    for key in keys:
        choice = {k: sorted(a, key=lambda s, k=k, key=key: key(k, stocks[s])) for k, a in able.items()}
        prefer = [choice[k] for k in kinds]
        if prefer not in prefers:
            prefers.append(prefer)
    for mix in _mixes(rows, [p.price for p in packs], bound, best.cost - 1):
        limits = [n * p.number for n, p in zip(mix, packs, strict=True)]
        for prefer, order in product(prefers, orders):
            if time.thread_time() > until:
                return best
            layout = lay(kinds, order, stocks, prefer, 2, limits)
            if min(spot[0] for spot in layout.spots) >= 0:
                return _ranked(layout, job, packs)
    return best


def _mixes(rows: Weighings, prices: Sequence[int], least: int, most: int) -> list[tuple[int, ...]]:
    """Return the mixes of packs that cost from ``least`` to ``most`` and satisfy every weighing, by cost."""
    found: list[tuple[int, ...]] = [()]
    for price in prices:
        found = [(*mix, n) for mix in found for n in range((most - sum(map(mul, mix, prices))) // price + 1)]
        if len(found) > MOST_MIXES:
            return []
    if not found:
        return []
    counts = np.array(found)
    cost = counts @ np.array(prices)
    keep = (cost >= least) & (counts @ rows.most.T >= rows.total).all(axis=1)
    return [found[i] for i in np.argsort(cost, kind="stable").tolist() if keep[i]]


def _solve(
    programme: Programme, rows: Weighings, packs: Sequence[Pack], least: int, most: int, seconds: float
) -> tuple[np.ndarray | None, int]:
    """Return counts of the programme's columns for cheaper packs (None: none found) and the bound claimed."""
    matrix, at_least = flow_rows(programme)
    n, m = len(programme.columns), len(packs)
    prices = np.array([p.price for p in packs], dtype=float)
    opened = csc_matrix((np.full(m, -1.0), (np.arange(m), np.arange(m))), shape=(m, n))
    held = csc_matrix(np.diag([float(p.number) for p in packs]))
    weighed = csc_matrix(rows.most / rows.total[:, None])
    paid = csc_matrix(prices)
    result = milp(
        np.concatenate([np.zeros(n), prices]),
        constraints=[
            LinearConstraint(
                block_array([[matrix, None], [opened, held], [None, weighed]], format="csc"),
                np.concatenate([at_least, np.zeros(m), np.full(len(rows.total), 1 - 1e-9)]),
                np.inf,
            ),
            LinearConstraint(block_array([[csc_matrix((1, n)), paid]], format="csc"), least, most),
        ],
        integrality=np.ones(n + m),
        bounds=Bounds(0, np.inf),
        options={"time_limit": max(seconds, 1e-3), "mip_rel_gap": 0},
    )
    if result.status == INFEASIBLE:
        return None, most + 1
    counts = None if result.x is None else np.rint(result.x[:n]).astype(np.int64)
    claimed = result.mip_dual_bound
    if claimed is None or not np.isfinite(claimed):
        claimed = least
    return counts, int(np.ceil(claimed - 1e-6))


def _unbound(leftovers: Sequence[Leftover]) -> tuple[Leftover, ...]:
    return tuple(replace(left, bound=0) for left in leftovers)
