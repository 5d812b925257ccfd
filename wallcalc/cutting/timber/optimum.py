"""From a cutting job to its cheapest plan: first-fit, bound, rounding, search, and the choice among equal plans."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from wallcalc.cutting.timber.bounds import SCALE, certified_values, reachable_costs
from wallcalc.cutting.timber.layers import Layers
from wallcalc.cutting.timber.patterns import (
    CoverProgramme,
    Ints,
    Job,
    Patterns,
    enumerate_patterns,
    generate_columns,
)
from wallcalc.cutting.timber.search import Effort, search

Content = tuple[int, tuple[int, ...]]
"""A bar: index of its stock, number of pieces of each kind."""

FIRST_REACH = 0.002
"""The first search is for plans up to this share above the bound."""
REACH_GROWS = 3.0
"""By how much the reach grows from search to search."""
WIDTHS = (300, 2_500, 20_000)
"""States kept in a layer, by attempt."""
ASIDE = 150_000
"""Effort put aside for what rounding the linear programme's solution leaves over."""
WIDE_GAP = 0.006
"""Share of the bound by which a plan may exceed it before a narrow search looks for a better one."""
NARROW = 12
"""States kept in a layer of that narrow search."""
SHARE_AT_LAST = 0.25
"""Share of the effort kept, up to twice ``ASIDE``, for narrow searches when wide ones have not closed the gap."""
MOST_ROWS = 200_000
"""Patterns in one search."""


@dataclass(slots=True)
class Progress:
    """Best plan and best bound so far, and how they came about.

    Attributes
    ----------
    contents : list of (stock, counts)
        The plan.
    cost, bound : int
        Its cost, and what no plan can undercut [cents].
    plan_by, bound_by : str
        How they were found.
    values : int array or None
        Piece values behind the bound, ``bounds.SCALE`` to the cent; None when none were needed.
    worth : int
        What all pieces are worth by them.
    """

    contents: list[Content]
    cost: int
    bound: int
    plan_by: str
    bound_by: str = ""
    values: Ints | None = None
    worth: int = 0


@dataclass(frozen=True, slots=True)
class Limits:
    """What a solution may take: effort, and the clock as a last resort."""

    effort: Effort
    until: float = field(default=float("inf"))


def rank(job: Job, contents: Sequence[Content]) -> tuple[int, int, int]:
    """Order of preference of plans: least is best.

    Parameters
    ----------
    job : Job
        Prices and lengths.
    contents : sequence of (stock, counts)
        The plan.

    Returns
    -------
    cost : int
        [cents]
    different : int
        Number of different stock lengths.
    bought : int
        Length bought; what is wasted is this less a constant [0.1 mm].
    """
    used = [stock for stock, _ in contents]
    lengths = [int(job.lengths[s]) for s in used]
    return sum(int(job.prices[s]) for s in used), len(set(lengths)), sum(lengths)


def first_fit_plans(job: Job) -> list[list[Content]]:
    """First-fit-decreasing plans: into each stock length, and into whichever comes out cheapest per weight.

    Parameters
    ----------
    job : Job
        What is to be cut.

    Returns
    -------
    list of plans
        Each bar is then bought as the cheapest stock with room for it.
    """
    weights, rooms, prices = job.weights.tolist(), job.rooms.tolist(), job.prices.tolist()
    kinds = len(weights)
    plans = []
    for only in [*(i for i, room in enumerate(rooms) if room >= weights[0]), None]:
        rest, start, plan = job.demand.tolist(), 0, []
        while True:
            while start < kinds and not rest[start]:
                start += 1
            if start == kinds:
                break
            best: tuple[float, int, list[int]] | None = None
            for room in rooms if only is None else (rooms[only],):
                if room < weights[start]:
                    continue
                content, used = [0] * kinds, 0
                for j in range(start, kinds):
                    if rest[j] and used + weights[j] <= room:
                        content[j] = number = min(rest[j], (room - used) // weights[j])
                        used += number * weights[j]
                stock = next(i for i, r in enumerate(rooms) if r >= used)
                if best is None or prices[stock] / used < best[0]:
                    best = prices[stock] / used, stock, content
            _, stock, content = best
            again = min(r // c for r, c in zip(rest, content, strict=True) if c)
            plan.extend([(stock, tuple(content))] * again)
            rest = [r - again * c for r, c in zip(rest, content, strict=True)]
        plans.append(plan)
    return plans


def solve(job: Job, limits: Limits, floor: int = 0, inner: bool = False) -> Progress:
    """Cheapest plan of a job, with the best bound that was reached.

    Parameters
    ----------
    job : Job
        What is to be cut.
    limits : Limits
        What may be spent.
    floor : int
        A bound already known [cents].
    inner : bool
        Whether the job is the remainder of a larger one, of which only a good plan is wanted.

    Returns
    -------
    Progress
    """
    plans = first_fit_plans(job)
    best = min(plans, key=lambda plan: rank(job, plan))
    now = Progress(best, rank(job, best)[0], floor, "first-fit-decreasing")
    if now.cost <= floor:
        return now
    patterns = enumerate_patterns(job)
    if patterns is not None:
        full = patterns.full
        programme = CoverProgramme(job, patterns.counts[full], job.prices[patterns.stock[full]])
        programme.solve()
    else:
        start = np.array([content for plan in plans for _, content in plan])
        programme = generate_columns(job, start, limits.until)
    duals = [programme.duals]
    if patterns is None:
        # columns may have been cut short by the clock: then the cheapest price per length may bind more
        duals.append(job.weights * float((job.prices / job.rooms).min()))
    for some in duals:
        values = certified_values(some, job.weights, job.demand, job.rooms, job.prices)
        worth = sum(v * d for v, d in zip(values.tolist(), job.demand.tolist(), strict=True))
        if worth > now.worth or now.values is None:
            now.values, now.worth = values, worth
    reachable = reachable_costs(job.prices.tolist(), now.cost)
    now.bound = max(floor, min(now.cost, int(reachable[-(-now.worth // SCALE)])))
    now.bound_by = "integer piece values, rechecked by a knapsack, rounded up to the next sum of prices"
    if now.bound >= now.cost:
        return now
    aside = Effort(min(ASIDE, limits.effort.left / 5), limits.until)
    limits.effort.left -= aside.left
    rounded = _round_down(job, now, programme, Limits(aside, limits.until))
    limits.effort.left += max(aside.left, 0.0)
    if not (inner and rounded):
        _Searcher(job, now, programme, patterns, reachable).upwards(limits.effort)
    return now


def _round_down(job: Job, now: Progress, programme: CoverProgramme, limits: Limits) -> bool:
    """Fix the whole part of the linear programme's solution, solve for the rest; False when it has no whole part."""
    rest = job.demand.copy()
    amount = programme.amounts()
    fixed: list[Content] = []
    for row in np.argsort(-amount, kind="stable")[: len(job.weights)]:
        content = programme.counts[row]
        times = int(min(np.floor(amount[row] + 1e-5), *(rest[content > 0] // content[content > 0])))
        rest -= times * content
        fixed.extend([(int(job.cheapest(content)), tuple(content.tolist()))] * times)
    if not fixed:
        return False
    spent = rank(job, fixed)[0]
    kept = np.nonzero(rest)[0]
    if len(kept):
        remainder = Job(job.weights[kept], rest[kept], job.rooms, job.prices, job.lengths)
        for stock, content in solve(remainder, limits, max(0, now.bound - spent), inner=True).contents:
            whole = np.zeros(len(rest), np.int64)
            whole[kept] = content
            fixed.append((stock, tuple(whole.tolist())))
    cost = rank(job, fixed)[0]
    if cost < now.cost:
        now.contents, now.cost, now.plan_by = (
            fixed,
            cost,
            "rounding of the linear programme and solving for the rest",
        )
    return True


def trimmed_contents(
    job: Job, patterns: Patterns, rows: Sequence[int], keep_stock: bool = False
) -> list[Content]:
    """Bars of a plan whose patterns cover the demand, with what would be cut too often left away.

    Parameters
    ----------
    job : Job
        Demand.
    patterns : Patterns
        The patterns.
    rows : sequence of int
        Those used.
    keep_stock : bool
        Whether a bar keeps its pattern's stock or is bought as the cheapest with room for what is left.

    Returns
    -------
    list of (stock, counts)
    """
    rest = job.demand.copy()
    out = []
    for row in rows:
        content = np.minimum(patterns.counts[row], rest)
        rest -= content
        if content.any():
            stock = patterns.stock[row] if keep_stock else job.cheapest(content)
            out.append((int(stock), tuple(content.tolist())))
    return out


@dataclass(slots=True)
class _Searcher:
    """One job being searched: what every search of it has in common."""

    job: Job
    now: Progress
    programme: CoverProgramme
    patterns: Patterns | None
    reachable: Ints
    made: tuple[tuple[int, int], tuple[Patterns, Layers, bool]] | None = None

    def within(self, margin: int, most: int) -> tuple[Patterns, Layers, bool]:
        """Return the patterns within a margin and their layers, and whether all are there; kept for the next search."""
        if self.made is not None and self.made[0] == (margin, most):
            return self.made[1]
        job, values, some = self.job, self.now.values, self.patterns
        if some is None:
            some = enumerate_patterns(job, values / SCALE, margin / SCALE + 1e-6, most)
        complete = some is not None
        if some is None:
            counts = self.programme.counts
            everywhere = np.ones(len(counts), bool)
            lead = (counts > 0).argmax(axis=1)
            some = Patterns(counts, counts @ job.weights, job.cheapest(counts), lead, everywhere)
        found = some, Layers(job, some, values, SCALE, margin), complete
        self.made = (margin, most), found
        return found

    def look(self, target: int, width: int, effort: Effort) -> bool:
        """Search for plans up to a target; False when something may have been missed."""
        job, now = self.job, self.now
        target = min(target, now.cost - 1)
        most = int(min(MOST_ROWS, max(10_000, effort.left / 40)))
        some, layers, complete = self.within(target * SCALE - now.worth, most)
        found = search(
            job, layers, now.values, SCALE, target, self.reachable, width, effort, all_patterns=complete
        )
        if found.rows is not None:
            now.contents = trimmed_contents(job, some, found.rows)
            now.cost, now.plan_by = rank(job, now.contents)[0], "search over cutting patterns"
        if found.cuts_off is not None:
            least = max(0, -(-int(now.worth + found.cuts_off) // SCALE))
            raised = int(self.reachable[min(target + 1, least)])
        else:
            raised = now.cost if found.rows is not None else int(self.reachable[target + 1])
        if min(raised, now.cost) > now.bound:
            now.bound, now.bound_by = min(raised, now.cost), "search exhausted below it"
        return found.cuts_off is None

    def upwards(self, effort: Effort) -> None:
        """Search for targets rising from the bound until plan and bound meet or the effort is spent."""
        now = self.now
        last = Effort(min(effort.left * SHARE_AT_LAST, 2 * ASIDE), effort.until)
        effort.left -= last.left
        if now.cost > now.bound * (1 + WIDE_GAP):
            self.look(int(now.bound * (1 + 2 * WIDE_GAP)), NARROW, effort)
        reach, attempt = FIRST_REACH, 0
        while now.bound < now.cost and effort.spend(0):
            target = max(now.bound, int(now.bound * (1 + reach)))
            if target * (1 + reach) >= now.cost:
                target = now.cost - 1
            whole = target >= now.cost - 1
            if not self.look(target, WIDTHS[attempt], effort) and whole:
                if attempt == len(WIDTHS) - 1:
                    break
                attempt += 1
            reach *= REACH_GROWS
        for width in (NARROW // 4, NARROW):
            if now.cost > now.bound * (1 + WIDE_GAP / 2):
                self.look(now.cost - 1, width, last)
