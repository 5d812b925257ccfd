"""The cheapest way to cut pieces of timber from lengths on sale.

Rules of cutting, exactly: ``end_trim`` is taken once off every bought length. Pieces cut from one length are
parted by one saw cut each, so ``n`` pieces take ``n - 1`` kerfs, and they fit when

    sum(lengths) + kerf * (n - 1) <= stock length - end_trim.

What remains beyond the last piece is the bar's ``offcut``, never negative; if it is not zero, the cut that frees it
comes out of it. ``kerf_loss`` is ``kerf * (n - 1)``. Trim, cuts, kerf loss and offcut add up to the stock length.

Plans are preferred by cost, then by the number of different stock lengths (fewer), then by the length bought
(less, so least waste).

How it is solved: first-fit-decreasing plans and the rounded solution of the linear programme over all cutting
patterns give a plan; integer piece values rechecked by a knapsack give a bound, rounded up to the next cost that
whole bars can add up to. When the two do not meet, a search over cutting patterns (:mod:`.search`)
raises the bound or finds the cheaper plan. Search effort is counted, not timed, so the same pieces give the same
plan everywhere unless the clock has to cut in. With a time limit of 0.1 s a plan and its bound are to be had while
a slider is moved; with 5 s nearly every wall is cut to proof.
"""

from __future__ import annotations

import re
import time
from collections import Counter
from collections.abc import Mapping, Sequence

import numpy as np

from wallcalc.cutting.timber.bounds import Priced, bar_faults, bars_cost, too_long
from wallcalc.cutting.timber.optimum import Content, Limits, Progress, first_fit_plans, rank, solve
from wallcalc.cutting.timber.patterns import Job
from wallcalc.cutting.timber.search import Effort
from wallcalc.cutting.timber.ties import settle_ties
from wallcalc.records import Bar, CutPlan

EFFORT_AT_ONCE = 1.2e6
"""Search effort, in array elements, within a time limit of :data:`AT_ONCE`: about a fifth of that time."""
AT_ONCE = 0.1
"""Time limit at which a plan is wanted while somebody waits for it [s]."""
EFFORT_PER_SECOND = 3e7
"""Further effort for each second of time limit beyond that: about half of it."""
SHARE_FOR_TIES = 0.25
"""Effort for choosing among plans of equal cost, as a share of that for the cost."""


def _natural(mark: str) -> list[tuple[int, int, str]]:
    """Sort key under which S2 comes before S10."""
    parts = re.split(r"(\d+)", mark)
    return [(0, int(part), part) if part.isdecimal() else (1, 0, part) for part in parts if part]


def _on_offer(stocks: Sequence[Priced]) -> list[Priced]:
    """Stocks worth buying: none as long or longer for less; ascending in length and in price."""
    kept: list[Priced] = []
    for stock in sorted(stocks, key=lambda s: (-s.length, s.price, s.code)):
        if not kept or (stock.price <= kept[-1].price and stock.length < kept[-1].length):
            kept.append(stock)
    return kept[::-1]


def _checked(
    pieces: Sequence[tuple[str, int]], stocks: Sequence[Priced], kerf: int, end_trim: int
) -> list[tuple[str, int]]:
    """Pieces longest first, after every question to the input has been asked."""
    if kerf < 0 or end_trim < 0:
        raise ValueError(f"kerf and end trim must not be negative, found {kerf} and {end_trim}")
    sections = sorted({s.section for s in stocks})
    if len(sections) > 1:
        raise ValueError(f"stocks of one section are cut at a time, found {', '.join(sections)}")
    for stock in stocks:
        if stock.length <= 0 or stock.price < 0:
            raise ValueError(f"stock {stock.code}: found length {stock.length} and price {stock.price}")
    wanted = sorted(((str(mark), int(n)) for mark, n in pieces), key=lambda p: (-p[1], _natural(p[0])))
    if wanted and wanted[-1][1] <= 0:
        raise ValueError(f"piece {wanted[-1][0]}: a length must be more than 0, found {wanted[-1][1]}")
    longest = max((s.length for s in stocks), default=None)
    if wanted and (longest is None or wanted[0][1] > longest - end_trim):
        raise too_long(*wanted[0], longest, end_trim)
    return wanted


def _bars(
    contents: Sequence[Content],
    stocks: list[Priced],
    by_length: dict[int, list[str]],
    kerf: int,
    end_trim: int,
) -> tuple[Bar, ...]:
    """Contents with marks: longest stock first, marks in natural order within a length."""
    lengths = list(by_length)
    waiting = {length: iter(marks) for length, marks in by_length.items()}
    bars = []
    for index, counts in sorted(contents, key=lambda c: (-c[0], [-n for n in c[1]])):
        stock = stocks[index]
        cuts = tuple(
            (next(waiting[n]), n) for n, number in zip(lengths, counts, strict=True) for _ in range(number)
        )
        loss = kerf * (len(cuts) - 1)
        offcut = stock.length - end_trim - loss - sum(n for _, n in cuts)
        bars.append(Bar(stock.code, stock.section, stock.length, cuts, offcut, loss))
    return tuple(bars)


def _method(now: Progress, settled: bool) -> str:
    """Say what the plan and its proof rest on."""
    text = f"plan: {now.plan_by}; bound: {now.bound_by}"
    if now.bound < now.cost:
        return text + "; the two do not meet"
    if settled:
        return text + "; no plan of this cost has fewer lengths or less waste"
    return text + "; plans of this cost with fewer lengths or less waste are not ruled out"


def rough_timber(
    pieces: Sequence[tuple[str, int]], stocks: Sequence[Priced], *, kerf: int, end_trim: int
) -> tuple[int, int]:
    """Return the cost of a plan made in a hurry and a bound below any plan's, for searches that compare many jobs.

    The plan is the best of a few first-fit-decreasing ones; the bound takes all pieces at the least price per length.

    Parameters
    ----------
    pieces, stocks, kerf, end_trim
        As for :func:`cut_timber`.

    Returns
    -------
    tuple of (int, int)
        Cents.

    Raises
    ------
    CuttingError
        When a piece is longer than every stock.
    """
    wanted = _checked(pieces, stocks, kerf, end_trim)
    if not wanted:
        return 0, 0
    offer = [s for s in _on_offer(stocks) if s.length - end_trim >= wanted[-1][1]]
    job = _job(Counter(length for _, length in wanted), offer, kerf, end_trim)
    cost = min(rank(job, plan)[0] for plan in first_fit_plans(job))
    least = float((job.prices / job.rooms).min()) * int(job.weights @ job.demand)
    return cost, int(np.ceil(least - 1e-6))


def _job(demand: Mapping[int, int], offer: Sequence[Priced], kerf: int, end_trim: int) -> Job:
    """Pieces (length to how many, longest first) and stocks as arrays."""
    lengths = np.array([s.length for s in offer], np.int64)
    return Job(
        np.array([n + kerf for n in demand], np.int64),
        np.array(list(demand.values()), np.int64),
        lengths - end_trim + kerf,
        np.array([s.price for s in offer], np.int64),
        lengths,
    )


def cut_timber(
    pieces: Sequence[tuple[str, int]],
    stocks: Sequence[Priced],
    *,
    kerf: int,
    end_trim: int,
    time_limit: float = AT_ONCE,
    effort: float = 1.0,
) -> CutPlan:
    """Cut pieces of one section from the cheapest mix of stock lengths.

    Any number of each stock may be bought. The order of the pieces does not matter.

    Parameters
    ----------
    pieces : sequence of (mark, length)
        What is to be cut [0.1 mm].
    stocks : sequence of TimberStock
        Lengths on sale, all of one section; code, section, length [0.1 mm] and price [cents] are read.
    kerf : int
        Width of a saw cut [0.1 mm].
    end_trim : int
        What is trimmed off each bought length, once [0.1 mm].
    time_limit : float
        Time that may be taken [s]. At 0.1 s and below only as much is searched as fits well into it; 5 s lets
        nearly every wall be cut to proof.
    effort : float
        Share of the usual search effort. Effort is counted and not timed, so that a smaller share keeps the plan the
        same on a slow machine, where a shorter time limit would not.

    Returns
    -------
    CutPlan
        ``uses`` are bars, longest stock first, each with its cuts longest first. ``proven`` is True exactly when
        the lower bound meets the cost; ``method`` says what the bound rests on and whether plans of equal cost
        with fewer different lengths or less waste are ruled out.

    Raises
    ------
    CuttingError
        When a piece is longer than every stock; it names the piece, its length and the longest stock.
    ValueError
        When a length or price makes no sense, or the stocks are of several sections.
    """
    start = time.thread_time()
    wanted = _checked(pieces, stocks, kerf, end_trim)
    material = next((s.section for s in stocks), "")
    scope = (
        f"all ways to cut these {len(wanted)} pieces from any number of the {len({s.length for s in stocks})} lengths "
        f"on offer, kerf {kerf / 10:g} mm, end trim {end_trim / 10:g} mm"
    )
    if not wanted:
        return CutPlan(material, (), 0, 0, True, scope, "nothing to cut")
    by_length: dict[int, list[str]] = {}
    for mark, length in wanted:
        by_length.setdefault(length, []).append(mark)
    offer = [s for s in _on_offer(stocks) if s.length - end_trim >= wanted[-1][1]]

    def job(some: Sequence[Priced]) -> Job:
        return _job({n: len(marks) for n, marks in by_length.items()}, some, kerf, end_trim)

    chain = [i for i, s in enumerate(offer) if i + 1 == len(offer) or offer[i + 1].price > s.price]
    spend = EFFORT_AT_ONCE * min(time_limit / AT_ONCE, 1.0) + EFFORT_PER_SECOND * max(
        time_limit - AT_ONCE, 0.0
    )
    spend *= effort
    until = start + time_limit
    now = solve(job([offer[i] for i in chain]), Limits(Effort(spend, until), until))
    now.contents = [(chain[stock], counts) for stock, counts in now.contents]
    settled = now.bound >= now.cost and settle_ties(job(offer), now, Effort(spend * SHARE_FOR_TIES, until))
    bars = _bars(now.contents, offer, by_length, kerf, end_trim)
    faults = bar_faults(bars, wanted, stocks, kerf=kerf, end_trim=end_trim)
    cost = bars_cost(bars, offer)
    if faults or cost != now.cost or now.bound > cost:
        raise AssertionError(f"cutting plan is wrong: {'; '.join(faults) or (cost, now.cost, now.bound)}")
    return CutPlan(material, bars, cost, now.bound, now.bound >= cost, scope, _method(now, settled))
