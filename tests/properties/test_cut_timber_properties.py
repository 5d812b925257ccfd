"""Timber cutting against exhaustive enumeration, and what must hold of any plan."""

from __future__ import annotations

import itertools
from functools import cache
from typing import NamedTuple

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from wallcalc.cutting.timber.plan import cut_timber


class Stock(NamedTuple):
    """What cutting reads of a price-book length."""

    code: str
    section: str
    length: int
    price: int


def best_by_enumeration(lengths, stocks, kerf, trim):
    """Rank of the best plan, over all ways to part the pieces into bars and to buy each bar.

    Every set of pieces is a bit mask. A plan is built bar by bar, the first remaining piece always in the next bar;
    all stocks that hold the bar are tried. States are kept per set of used lengths, so the order of preference
    (cost, number of different lengths, length bought) is exact.
    """
    count = len(lengths)
    fits = {}
    for mask in range(1, 1 << count):
        chosen = [lengths[i] for i in range(count) if mask >> i & 1]
        need = sum(chosen) + kerf * (len(chosen) - 1)
        fits[mask] = [(i, s) for i, s in enumerate(stocks) if need <= s.length - trim]

    @cache
    def plans(left):
        """Set of used lengths -> least (cost, bought length)."""
        if not left:
            return {frozenset(): (0, 0)}
        found = {}
        first = left & -left
        others = left ^ first
        sub = others
        while True:
            for _, stock in fits[sub | first]:
                for used, (cost, bought) in plans(others ^ sub).items():
                    key = used | {stock.length}
                    value = (cost + stock.price, bought + stock.length)
                    if key not in found or value < found[key]:
                        found[key] = value
            if not sub:
                return found
            sub = (sub - 1) & others

    return min((cost, len(used), bought) for used, (cost, bought) in plans((1 << count) - 1).items())


def rank(plan):
    return plan.cost, len({bar.length for bar in plan.uses}), sum(bar.length for bar in plan.uses)


def recount(plan, pieces, stocks, kerf, trim):
    """Everything that must hold of a plan, counted here afresh."""
    cut = sorted(c for bar in plan.uses for c in bar.cuts)
    assert cut == sorted(pieces)
    price = {(s.code, s.length): s.price for s in stocks}
    assert sum(price[bar.code, bar.length] for bar in plan.uses) == plan.cost
    for bar in plan.uses:
        sizes = [n for _, n in bar.cuts]
        assert sizes == sorted(sizes, reverse=True)
        assert bar.kerf_loss == kerf * (len(sizes) - 1)
        assert bar.offcut >= 0
        assert trim + sum(sizes) + bar.kerf_loss + bar.offcut == bar.length
    assert plan.lower_bound <= plan.cost
    assert plan.proven == (plan.lower_bound == plan.cost)


@st.composite
def small_jobs(draw):
    """Up to 8 pieces, up to 4 stocks; few different sizes, so that exact fits and equal costs are common."""
    grid = draw(st.sampled_from((1, 10, 50)))
    kerf = draw(st.sampled_from((0, 1, 3, 10)))
    trim = draw(st.sampled_from((0, 5)))
    lengths = sorted(draw(st.sets(st.integers(4, 24), min_size=1, max_size=4)))
    kind = draw(st.sampled_from(("proportional", "any", "equal")))
    stocks = []
    for i, units in enumerate(lengths):
        price = {"proportional": 3 * units, "any": draw(st.integers(1, 60)), "equal": 7}[kind]
        stocks.append(Stock(f"T{i}", "s", units * grid + trim, price))
    top = lengths[-1] * grid
    sizes = draw(st.lists(st.integers(1, top), min_size=1, max_size=4))
    pieces = draw(st.lists(st.sampled_from(sizes), min_size=1, max_size=8))
    return [(f"P{i}", n) for i, n in enumerate(pieces, start=1)], stocks, kerf, trim


SLOW = settings(max_examples=250, deadline=None, suppress_health_check=[HealthCheck.too_slow])


@SLOW
@given(small_jobs())
def test_small_jobs_are_cut_as_well_as_enumeration_can(job):
    pieces, stocks, kerf, trim = job
    plan = cut_timber(pieces, stocks, kerf=kerf, end_trim=trim, time_limit=5.0)
    recount(plan, pieces, stocks, kerf, trim)
    best = best_by_enumeration([n for _, n in pieces], stocks, kerf, trim)
    assert plan.proven
    assert plan.cost == best[0]
    assert "not ruled out" not in plan.method
    assert rank(plan) == best


@st.composite
def wall_like_jobs(draw):
    """Some twenty pieces of a wall, six lengths, prices near to proportional."""
    stud = draw(st.integers(20000, 27000))
    sizes = [stud, *draw(st.lists(st.integers(1500, 42000), min_size=1, max_size=6))]
    pieces = draw(st.lists(st.sampled_from(sizes), min_size=1, max_size=24))
    stocks = []
    for i, length in enumerate((24000, 30000, 36000, 42000, 48000, 54000)):
        stocks.append(Stock(f"T{i}", "s", length, round(length * draw(st.integers(160, 200)) / 10000)))
    return [(f"P{i}", n) for i, n in enumerate(pieces, start=1)], stocks


QUICK = settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])


@QUICK
@given(wall_like_jobs(), st.randoms(use_true_random=False))
def test_the_order_of_pieces_and_stocks_changes_nothing(job, shuffle):
    pieces, stocks = job
    plan = cut_timber(pieces, stocks, kerf=30, end_trim=50, time_limit=5.0)
    recount(plan, pieces, stocks, 30, 50)
    pieces, stocks = list(pieces), list(stocks)
    shuffle.shuffle(pieces)
    shuffle.shuffle(stocks)
    assert cut_timber(pieces, stocks, kerf=30, end_trim=50, time_limit=5.0) == plan


@QUICK
@given(wall_like_jobs(), st.integers(0, 5), st.integers(1, 400))
def test_a_dearer_stock_never_makes_the_whole_cheaper(job, which, more):
    pieces, stocks = job
    before = cut_timber(pieces, stocks, kerf=30, end_trim=50)
    stocks[which] = stocks[which]._replace(price=stocks[which].price + more)
    after = cut_timber(pieces, stocks, kerf=30, end_trim=50)
    assert after.cost >= before.lower_bound
    if before.proven and after.proven:
        assert (
            before.cost
            <= after.cost
            <= before.cost + more * sum(bar.code == stocks[which].code for bar in before.uses)
        )


@QUICK
@given(wall_like_jobs())
def test_wider_cuts_and_one_more_piece_never_make_the_whole_cheaper(job):
    pieces, stocks = job
    plans = [
        cut_timber(pieces, stocks, kerf=20, end_trim=50),
        cut_timber(pieces, stocks, kerf=30, end_trim=50),
        cut_timber([*pieces, ("X", 3000)], stocks, kerf=30, end_trim=50),
    ]
    for less, more in itertools.pairwise(plans):
        assert less.lower_bound <= more.cost
        if less.proven and more.proven:
            assert less.cost <= more.cost


@QUICK
@given(wall_like_jobs(), st.sampled_from((2, 10)))
def test_money_in_another_unit_gives_the_same_purchase(job, factor):
    pieces, stocks = job
    plan = cut_timber(pieces, stocks, kerf=30, end_trim=50)
    scaled = [s._replace(price=s.price * factor) for s in stocks]
    other = cut_timber(pieces, scaled, kerf=30, end_trim=50)
    if plan.proven and other.proven:
        assert other.cost == factor * plan.cost


@pytest.mark.parametrize("kerf", [0, 30])
def test_the_enumeration_itself_is_right_where_the_answer_is_plain(kerf):
    stocks = [Stock("A", "s", 100 + kerf, 10), Stock("B", "s", 200 + 3 * kerf, 19)]
    assert best_by_enumeration([50, 50, 50, 50], stocks, kerf, 0) == (19, 1, 200 + 3 * kerf)
    assert best_by_enumeration([60, 60], stocks, kerf, 0) == (19, 1, 200 + 3 * kerf)
    assert best_by_enumeration([90, 90, 90], stocks, kerf, 0) == (29, 2, 300 + 4 * kerf)
