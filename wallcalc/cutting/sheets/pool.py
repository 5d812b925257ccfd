"""Better plans from many quick ones: the sheets of all of them are one pool, and the cheapest cover is chosen."""

from __future__ import annotations

import random
import time
from collections.abc import Sequence

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp

from wallcalc.cutting.sheets.greedy import Layout, lay
from wallcalc.cutting.sheets.parts import Job, Stock, fits

RUNS = 120
"""Quick plans to gather sheets from."""
LENGTH_POWERS = (0.0, 0.5, 1.0, 2.0, 4.0)
WIDTH_POWERS = (0.5, 1.0, 2.0)
SPREADS = (0.1, 0.3)

Pattern = tuple[int, tuple[int, ...]]
"""Sheet, and how many of each kind come from it."""


def gather(
    job: Job, stocks: Sequence[Stock], layouts: Sequence[Layout], until: float
) -> dict[Pattern, tuple[Layout, int]]:
    """Return the different sheets of some layouts and of many quick ones in chance orders, always the same.

    Parameters
    ----------
    job : Job
        The blanks.
    stocks : sequence of Stock
        The sheets to use.
    layouts : sequence of Layout
        Layouts whose sheets are in the pool.
    until : float
        Time to stop, as ``time.thread_time`` counts.

    Returns
    -------
    dict
        For each pattern a layout it occurs in, and the number of the sheet there.
    """
    place = {k: i for i, k in enumerate(job.counts)}
    own = [place[k] for k in job.kinds]
    able = [[at for at, s in enumerate(stocks) if fits(k, s.length, s.width)] for k in job.kinds]
    chance = random.Random(0)
    pool: dict[Pattern, tuple[Layout, int]] = {}

    def add(layout: Layout) -> None:
        on = [[0] * len(place) for _ in layout.bought]
        for i, (sheet, _, _, _) in enumerate(layout.spots):
            on[sheet][own[i]] += 1
        for at, (s, counts) in enumerate(zip(layout.bought, on, strict=True)):
            pool.setdefault((s, tuple(counts)), (layout, at))

    for layout in layouts:
        add(layout)
    every = range(len(job.kinds))
    for _ in range(RUNS):
        if time.thread_time() > until:
            break
        e, f, spread = chance.choice(LENGTH_POWERS), chance.choice(WIDTH_POWERS), chance.choice(SPREADS)
        size = [k.along**e * k.across**f * (1 + spread * chance.random()) for k in job.kinds]
        order = sorted(every, key=lambda i, size=size: -size[i])
        rank = list(range(len(stocks)))
        chance.shuffle(rank)
        prefer = [sorted(a, key=rank.__getitem__) for a in able]
        add(lay(job.kinds, order, stocks, prefer, chance.choice((0, 1, 2))))
    return pool


def cover(
    job: Job, stocks: Sequence[Stock], pool: dict[Pattern, tuple[Layout, int]], most: int, seconds: float
) -> Layout | None:
    """Return the cheapest layout that sheets of the pool make up, None when none costs ``most`` or less.

    Parameters
    ----------
    job : Job
        The blanks.
    stocks : sequence of Stock
        The sheets to use.
    pool : dict
        As :func:`gather` returns it.
    most : int
        Highest cost of interest, cents.
    seconds : float
        Time to spend at most.

    Returns
    -------
    Layout or None
    """
    patterns = list(pool)
    price = np.array([stocks[s].price for s, _ in patterns], dtype=float)
    made = np.array([counts for _, counts in patterns], dtype=float).T
    found = milp(
        price,
        constraints=[
            LinearConstraint(made, list(job.counts.values()), np.inf),
            LinearConstraint(price[None, :], 0, most),
        ],
        integrality=np.ones(len(patterns)),
        bounds=Bounds(0, np.inf),
        options={"time_limit": max(seconds, 1e-3), "mip_rel_gap": 0},
    )
    if found.x is None:
        return None
    waiting = {k: [i for i, own in enumerate(job.kinds) if own == k] for k in job.counts}
    bought: list[int] = []
    spots: list[tuple[int, int, int, int]] = [(-1, 0, 0, -1)] * len(job.kinds)
    for pattern, many in zip(patterns, np.rint(found.x).astype(int).tolist(), strict=True):
        layout, sheet = pool[pattern]
        on = [i for i, spot in enumerate(layout.spots) if spot[0] == sheet]
        for _ in range(many):
            now = {i: waiting[job.kinds[i]].pop() for i in on if waiting[job.kinds[i]]}
            for i, mine in now.items():
                _, x, y, parent = layout.spots[i]
                # where a board is not needed again, what was to come from its cut-out comes from its place
                while parent >= 0 and parent not in now:
                    parent = layout.spots[parent][3]
                spots[mine] = (len(bought), x, y, now[parent] if parent >= 0 else -1)
            if now:
                bought.append(pattern[0])
    return Layout(sum(stocks[s].price for s in bought), bought, spots, [])
