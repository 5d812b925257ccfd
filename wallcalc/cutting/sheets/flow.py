"""The integer programme of cutting sheets: how often each plate is bought, cut this way or that, or ends as a blank.

Its linear relaxation gives blanks values; that no sheet yields more value than it costs is rechecked by recursion
in whole numbers, so the bound does not rest on a solver. Following the plates as a flow instead of listing whole
patterns is due to Furini, Malaguti and Thomopulos, "Modeling two-dimensional guillotine cutting problems via
integer programming", INFORMS Journal on Computing 28 (2016), from memory.
"""

from __future__ import annotations

import time
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import Bounds, LinearConstraint, linprog, milp
from scipy.sparse import csc_matrix

from wallcalc.cutting.sheets.bounds import Weighings
from wallcalc.cutting.sheets.parts import Job, Stock
from wallcalc.cutting.sheets.plates import Plate, Plates, plate_values

SCALE = 1000
"""Units of value in a cent."""
MOST_COLUMNS = 30_000
"""Programmes larger than this are not tried."""

OPTIMAL, INFEASIBLE = 0, 2


class Column(NamedTuple):
    """One thing that can be done: buy a sheet (``plate`` is -1), cut a plate, or end it as a blank.

    ``parts`` are places of plates (-1: nothing of use), ``blank`` the place of a kind or -1; ``cut`` is the
    direction and place of the cut.
    """

    price: int
    plate: int
    first: int
    second: int
    blank: int
    cut: tuple[int, int] = (0, 0)


class Programme(NamedTuple):
    """Rows and columns: plates in use, what can be done with them, and how many cut-outs supply each plate."""

    plates: Plates
    index: dict[Plate, int]
    columns: list[Column]
    table: NDArray[np.int64]
    supply: dict[int, int]
    demand: list[int]
    starts: list[Plate]


def build(job: Job, stocks: Sequence[Stock], until: float) -> Programme | None:
    """Return the programme of a job, or None when it is too large or not built by ``until`` (processor time, s).

    Parameters
    ----------
    job : Job
        The blanks.
    stocks : sequence of Stock
        The sheets to use.
    until : float
        Time to give up, as ``time.thread_time`` counts.

    Returns
    -------
    Programme or None
    """
    kinds = list(job.counts)
    demand = list(job.counts.values())
    plates = Plates(kinds, demand, max(s.length for s in stocks), max(s.width for s in stocks))
    index: dict[Plate, int] = {}
    waiting: list[Plate] = []
    columns: list[Column] = []

    def place(plate: Plate | None) -> int:
        if plate is None:
            return -1
        at = index.get(plate)
        if at is None:
            at = index[plate] = len(index)
            waiting.append(plate)
        return at

    starts = []
    for s in stocks:
        start = plates.normal(s.length, s.width, 2)
        if start is not None:
            starts.append(start)
        columns.append(Column(s.price, -1, place(start), -1, -1))
    supply: dict[int, int] = {}
    for k, n in job.counts.items():
        for h in k.holes:
            start = plates.normal(h.length, h.width, h.bound)
            if start is not None:
                starts.append(start)
                supply[place(start)] = supply.get(place(start), 0) + n
    while waiting:
        plate = waiting.pop()
        at = index[plate]
        columns += [Column(0, at, -1, -1, i) for i in plates.blanks_of(plate)]
        for (first, second), cut in plates.cuts_of(plate).items():
            columns.append(Column(0, at, place(first), place(second), -1, cut))
        if len(columns) > MOST_COLUMNS or time.thread_time() > until:
            return None
    table = np.array([c[:5] for c in columns], dtype=np.int64)
    return Programme(plates, index, columns, table, supply, demand, starts)


def flow_rows(
    programme: Programme, keep: NDArray[np.bool_] | None = None
) -> tuple[csc_matrix, NDArray[np.float64]]:
    """Return the rows of the programme for the columns kept, and the least that each row has to come to.

    One row a plate (made less used up, cut-outs are given), then one a kind of blank (made).
    """
    table = programme.table if keep is None else programme.table[keep]
    m = len(programme.index)
    at = np.arange(len(table))
    rows, columns, values = [], [], []
    for field, value in ((1, -1.0), (2, 1.0), (3, 1.0)):
        some = table[:, field] >= 0
        rows.append(table[some, field])
        columns.append(at[some])
        values.append(np.full(int(some.sum()), value))
    some = table[:, 4] >= 0
    rows.append(m + table[some, 4])
    columns.append(at[some])
    values.append(np.ones(int(some.sum())))
    matrix = csc_matrix(
        (np.concatenate(values), (np.concatenate(rows), np.concatenate(columns))),
        shape=(m + len(programme.demand), len(table)),
    )
    least = np.array([-programme.supply.get(j, 0) for j in range(m)] + programme.demand, dtype=float)
    return matrix, least


def blank_values(programme: Programme, seconds: float) -> list[int] | None:
    """Return what each kind of blank is worth in the linear relaxation, in 1/1000 cent, or None out of time."""
    matrix, least = flow_rows(programme)
    found = linprog(
        programme.table[:, 0].astype(float),
        A_ub=-matrix,
        b_ub=-least,
        method="highs",
        options={"time_limit": max(seconds, 1e-3)},
    )
    if found.status != OPTIMAL:
        return None
    duals = -found.ineqlin.marginals[len(programme.index) :]
    return [max(0, int(d * SCALE + 1e-6)) for d in duals]


class Certificate(NamedTuple):
    """A bound in cents (whole, and before rounding up) and the reduced cost of every column in cents.

    A plan that costs ``c`` uses columns whose reduced costs add up to no more than ``c - exact``.
    """

    bound: int
    exact: float
    reduced: NDArray[np.float64]


def certify(programme: Programme, values: Sequence[int]) -> Certificate:
    """Return the bound that blanks' values give, recomputed in whole numbers.

    Parameters
    ----------
    programme : Programme
        The programme.
    values : sequence of int
        What each kind is worth, 1/1000 cent; any values will do. Where some sheet would yield more than its
        price, all are made smaller.

    Returns
    -------
    Certificate
    """
    order = list(programme.index)
    bought = [c for c in programme.columns if c.plate < 0 and c.first >= 0 and c.blank < 0]
    while True:
        known = plate_values(programme.plates, programme.starts, values)
        over = [
            (known[order[c.first]], c.price * SCALE)
            for c in bought
            if known[order[c.first]] > c.price * SCALE
        ]
        if not over:
            break
        most, price = max(over, key=lambda pair: pair[0] / pair[1])
        values = [v * price // most for v in values]
    total = sum(d * v for d, v in zip(programme.demand, values, strict=True))
    total -= sum(known[order[at]] * n for at, n in programme.supply.items())
    worth = np.array([known[plate] for plate in order] + [0])
    of_blank = np.array([*values, 0])
    table = programme.table
    gain = np.where(table[:, 4] >= 0, of_blank[table[:, 4]], worth[table[:, 2]] + worth[table[:, 3]])
    paid = np.where(table[:, 1] >= 0, worth[table[:, 1]], table[:, 0] * SCALE)
    return Certificate(max(0, -(-total // SCALE)), total / SCALE, (paid - gain) / SCALE)


class Found(NamedTuple):
    """What the integer programme ended with.

    ``counts`` (None: no plan) of each column; ``bound`` that the solver claims for plans cheaper than the one
    it was to beat, None when it shows that there is none.
    """

    counts: NDArray[np.int64] | None
    bound: float | None


def solve(
    programme: Programme,
    certificate: Certificate | None,
    rows: Weighings,
    least: int,
    most: int,
    seconds: float,
) -> Found:
    """Look for a plan that costs from ``least`` to ``most`` cents, in a solver run of its own.

    Parameters
    ----------
    programme : Programme
        The programme.
    certificate : Certificate or None
        Columns that no plan of this price can use are left out.
    rows : Weighings
        Weighings that the sheets bought have to satisfy.
    least, most : int
        Cost, cents.
    seconds : float
        Time to spend at most.

    Returns
    -------
    Found
    """
    keep = None
    if certificate is not None:
        keep = certificate.reduced <= most - certificate.exact + 1e-6
    matrix, at_least = flow_rows(programme, keep)
    table = programme.table if keep is None else programme.table[keep]
    price = table[:, 0].astype(float)
    sheets = np.flatnonzero(programme.table[:, 1] < 0)
    place = {int(c): i for i, c in enumerate(np.flatnonzero(keep) if keep is not None else range(len(table)))}
    mixes = np.zeros((len(rows.total), len(table)))
    for s, column in enumerate(sheets.tolist()):
        if column in place:
            mixes[:, place[column]] = rows.most[:, s] / rows.total
    limits = [LinearConstraint(matrix, at_least, np.inf), LinearConstraint(csc_matrix(price), least, most)]
    if len(mixes):
        limits.append(LinearConstraint(csc_matrix(mixes), 1 - 1e-9, np.inf))
    result = milp(
        price,
        constraints=limits,
        integrality=np.ones(len(table)),
        bounds=Bounds(0, np.inf),
        options={"time_limit": max(seconds, 1e-3), "mip_rel_gap": 0},
    )
    counts = None
    if result.x is not None:
        counts = np.zeros(len(programme.columns), np.int64)
        counts[np.arange(len(counts)) if keep is None else np.flatnonzero(keep)] = np.rint(result.x)
    if result.status == INFEASIBLE:
        return Found(None, None)
    bound = result.mip_dual_bound
    return Found(counts, float(bound) if bound is not None and np.isfinite(bound) else float(least))
