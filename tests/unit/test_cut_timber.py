"""Timber cutting: the rules of cutting, the order of preference, messages, and what a plan says of itself."""

from __future__ import annotations

import random
import time
from typing import NamedTuple

import numpy as np
import pytest

from wallcalc.cutting.timber.bounds import (
    SCALE,
    CuttingError,
    bar_faults,
    bars_cost,
    certified_values,
    knapsack_best,
    reachable_costs,
)
from wallcalc.cutting.timber.plan import cut_timber
from wallcalc.records import Bar


class Stock(NamedTuple):
    """What cutting reads of a price-book length."""

    code: str
    section: str
    length: int
    price: int


STOCKS = [
    Stock(f"C{length}", "38x89", length * 10, price)
    for length, price in ((2400, 410), (3000, 515), (3600, 612), (4200, 720), (4800, 821), (5400, 990))
]
# the worked wall of 3840 x 2620: plates, studs, door head, short studs, two rows of noggins
WALL = [
    ("SP1", 26950),
    ("SP2", 2980),
    ("HP1", 38350),
    *((f"S{i}", 25440) for i in range(1, 7)),
    ("JS1", 25440),
    ("JS2", 25440),
    ("DH1", 8420),
    ("SS1", 5140),
    ("SS2", 5140),
    *((f"N{r}.{i}", n) for r in (1, 2) for i, n in enumerate((5430, 5620, 5620, 5620, 2430, 2220), start=1)),
]


def cut(pieces, stocks=STOCKS, kerf=30, end_trim=50, **more):
    return cut_timber(pieces, stocks, kerf=kerf, end_trim=end_trim, **more)


def test_the_worked_wall_is_cut_to_proof_at_once():
    plan = cut(WALL)
    assert plan.proven
    assert plan.cost == plan.lower_bound == bars_cost(plan.uses, STOCKS)
    assert not bar_faults(plan.uses, WALL, STOCKS, kerf=30, end_trim=50)
    assert plan.material == "38x89"
    assert "26 pieces" in plan.scope
    assert "6 lengths" in plan.scope


def test_two_pieces_take_one_cut_and_fill_a_bar_exactly():
    stocks = [Stock("A", "s", 10000, 100)]
    plan = cut([("P1", 5000), ("P2", 4920)], stocks)
    assert plan.uses == (Bar("A", "s", 10000, (("P1", 5000), ("P2", 4920)), 0, 30),)
    plan = cut([("P1", 5000), ("P2", 4921)], stocks)
    assert [bar.cuts for bar in plan.uses] == [(("P1", 5000),), (("P2", 4921),)]


def test_a_single_piece_as_long_as_the_trimmed_bar_needs_no_cut():
    plan = cut([("P", 9950)], [Stock("A", "s", 10000, 100)])
    assert plan.uses == (Bar("A", "s", 10000, (("P", 9950),), 0, 0),)


def test_a_piece_longer_than_every_stock_is_named():
    with pytest.raises(
        CuttingError,
        match=r"piece HP7 is 5395\.1 mm long; the longest stock is 5400 mm, 5395 mm of it after trimming",
    ) as told:
        cut([("S1", 25440), ("HP7", 53951)])
    assert (told.value.mark, told.value.length, told.value.longest) == ("HP7", 53951, 54000)
    assert isinstance(told.value, ValueError)
    assert cut([("HP7", 53950)]).cost == 990


def test_no_stock_at_all_is_said():
    with pytest.raises(CuttingError, match="piece S1 is 2544 mm long; there is no stock to cut it from"):
        cut([("S1", 25440)], [])


@pytest.mark.parametrize(
    ("pieces", "stocks", "kerf", "text"),
    [
        ([("S1", 0)], STOCKS, 30, "piece S1: a length must be more than 0, found 0"),
        ([("S1", 100)], STOCKS, -1, "kerf and end trim must not be negative, found -1"),
        (
            [("S1", 100)],
            [Stock("A", "38x63", 5000, 1), Stock("B", "38x89", 5000, 1)],
            30,
            "found 38x63, 38x89",
        ),
        ([("S1", 100)], [Stock("A", "38x63", 5000, -1)], 30, "stock A: found length 5000 and price -1"),
    ],
)
def test_senseless_input_is_refused(pieces, stocks, kerf, text):
    with pytest.raises(ValueError, match=text):
        cut(pieces, stocks, kerf=kerf)


def test_nothing_to_cut_costs_nothing_and_is_proven():
    plan = cut([])
    assert (plan.uses, plan.cost, plan.lower_bound, plan.proven) == ((), 0, 0, True)


def test_a_piece_may_cost_nothing_to_buy():
    plan = cut([("P", 100)], [Stock("A", "s", 1000, 0), Stock("B", "s", 2000, 5)])
    assert (plan.cost, plan.proven) == (0, True)


def test_marks_are_given_out_in_natural_order_and_cuts_stand_longest_first():
    pieces = [("S10", 9000), ("S2", 9000), ("S1", 9000), ("N1", 2000)]
    plan = cut(pieces, [Stock("A", "s", 24000, 10)])
    assert [[m for m, _ in bar.cuts] for bar in plan.uses] == [["S1", "S2", "N1"], ["S10"]]


def test_cost_comes_before_everything():
    """Three lengths at 30 are bought although one length alone would do at 32."""
    stocks = [Stock("A", "s", 1000, 9), Stock("B", "s", 1500, 10), Stock("C", "s", 2000, 11)]
    plan = cut([("P1", 1000), ("P2", 1500), ("P3", 2000)], stocks, kerf=0, end_trim=0)
    assert plan.cost == 30
    assert len({bar.length for bar in plan.uses}) == 3


def test_at_equal_cost_fewer_different_lengths_are_bought():
    """Proportional prices: 1000 + 2000 would do, and costs as much as 1500 + 1500, which is one length."""
    stocks = [Stock("A", "s", 1000, 10), Stock("B", "s", 1500, 15), Stock("C", "s", 2000, 20)]
    plan = cut([("P1", 1200), ("P2", 800), ("P3", 700), ("P4", 300)], stocks, kerf=0, end_trim=0)
    assert (plan.cost, [bar.code for bar in plan.uses]) == (30, ["B", "B"])
    assert "no plan of this cost has fewer lengths or less waste" in plan.method


def test_at_equal_cost_and_number_of_lengths_less_is_bought():
    stocks = [Stock("A", "s", 1000, 10), Stock("B", "s", 1500, 10)]
    assert [b.code for b in cut([("P", 900)], stocks, kerf=0, end_trim=0).uses] == ["A"]
    # with a piece that needs the longer, the shorter would be a second length
    plan = cut([("P", 900), ("Q", 1400)], stocks, kerf=0, end_trim=0)
    assert [b.code for b in plan.uses] == ["B", "B"]


def test_a_length_no_cheaper_than_a_longer_one_is_not_bought():
    stocks = [Stock("A", "s", 1000, 12), Stock("B", "s", 1500, 10)]
    assert [b.code for b in cut([("P", 900)], stocks).uses] == ["B"]


def test_the_same_call_gives_the_same_plan():
    rng = random.Random(5)
    pieces = [(f"P{i}", rng.randrange(2000, 40000, 10)) for i in range(30)]
    assert cut(pieces) == cut(pieces)


def test_what_is_not_proven_says_so_and_keeps_to_its_time():
    """Prices in step with length to the penny: hundreds of purchases within pennies of each other."""
    rng = random.Random(8)
    stocks = [s._replace(price=round(s.length * 0.0173)) for s in STOCKS]
    sizes = [rng.randrange(1500, 30000, 10) for _ in range(14)]
    pieces = [(f"P{i}", rng.choice(sizes)) for i in range(70)]
    start = time.perf_counter()
    plan = cut(pieces, stocks, time_limit=0.05)
    took = time.perf_counter() - start
    assert took < 5.0  # far above the limit only because the machine may be shared
    assert not bar_faults(plan.uses, pieces, stocks, kerf=30, end_trim=50)
    assert plan.proven == (plan.cost == plan.lower_bound)
    if not plan.proven:
        assert plan.method.endswith("the two do not meet")
    assert plan.cost <= 1.05 * plan.lower_bound


def test_more_time_never_makes_it_worse():
    rng = random.Random(3)
    for _ in range(3):
        pieces = [
            (f"P{i}", rng.choice((25440, 5430, 5620, 3310, 8420, 16000, 33000, 2220))) for i in range(45)
        ]
        short, long = cut(pieces, time_limit=0.02), cut(pieces, time_limit=3.0)
        assert short.lower_bound <= long.lower_bound <= long.cost <= short.cost


def test_many_different_lengths_still_get_a_close_bound():
    rng = random.Random(11)
    pieces = [(f"P{i}", rng.randrange(1500, 45000)) for i in range(120)]
    plan = cut(pieces, time_limit=1.0)
    assert plan.lower_bound >= 0.98 * plan.cost
    assert not bar_faults(plan.uses, pieces, STOCKS, kerf=30, end_trim=50)


class TestBounds:
    def test_reachable_costs_are_sums_of_prices(self):
        reach = reachable_costs([7, 10], 40)
        sums = {7 * a + 10 * b for a in range(8) for b in range(8)}
        for amount in range(41):
            wanted = min(s for s in sums | {41} if s >= amount)
            assert reach[amount] == min(wanted, 41)

    def test_knapsack_equals_enumeration_and_coarse_is_never_less(self):
        rng = random.Random(0)
        for _ in range(40):
            kinds = rng.randint(1, 4)
            weights = np.array([rng.randint(3, 60) for _ in range(kinds)])
            values = np.array([rng.randint(0, 50) for _ in range(kinds)])
            demand = np.array([rng.randint(1, 4) for _ in range(kinds)])
            rooms = np.array(sorted(rng.randint(3, 150) for _ in range(3)))
            grids = np.stack(np.meshgrid(*[np.arange(d + 1) for d in demand], indexing="ij"), -1).reshape(
                -1, kinds
            )
            exact = [int((grids @ values)[grids @ weights <= room].max()) for room in rooms]
            assert knapsack_best(weights, values, demand, rooms).tolist() == exact
            assert (knapsack_best(weights, values, demand, rooms, unit=7) >= exact).all()

    def test_values_that_promise_too_much_are_scaled_down(self):
        weights, demand = np.array([600, 500]), np.array([3, 3])
        rooms, prices = np.array([1100, 2000]), np.array([10, 17])
        values = certified_values(np.array([50.0, 40.0]), weights, demand, rooms, prices)
        assert (knapsack_best(weights, values, demand, rooms) <= prices * SCALE).all()
        assert values.sum() > 0
        kept = certified_values(np.array([4.0, 3.0]), weights, demand, rooms, prices)
        assert kept / SCALE == pytest.approx([4.0, 3.0], abs=1e-5)


class TestFaults:
    pieces = (("P1", 5000), ("P2", 4000))
    stocks = (Stock("A", "s", 10000, 100),)
    good = Bar("A", "s", 10000, (("P1", 5000), ("P2", 4000)), 920, 30)

    def faults(self, *bars):
        return bar_faults(bars, self.pieces, self.stocks, kerf=30, end_trim=50)

    def test_a_sound_plan_has_none(self):
        assert self.faults(self.good) == ()

    @pytest.mark.parametrize(
        ("bars", "text"),
        [
            ((Bar("A", "s", 10000, (("P1", 5000),), 4950, 0),), "P2 of 400 mm: wanted 1, cut 0"),
            (
                (Bar("A", "s", 10000, (("P1", 5000), ("P2", 4000), ("P2", 4000)), 0, 60),),
                "P2 of 400 mm: wanted 1, cut 2",
            ),
            (
                (Bar("B", "s", 10000, (("P1", 5000), ("P2", 4000)), 920, 30),),
                "bar 1: B of 1000 mm is not on offer",
            ),
            ((Bar("A", "s", 10000, (("P1", 5000), ("P2", 4000)), 950, 0),), "offcut and kerf do not add up"),
            (
                (
                    Bar("A", "s", 10000, (("P1", 5000), ("P2", 4000)), 920, 30),
                    Bar("A", "s", 10000, (), 9950, 0),
                ),
                "bar 2",
            ),
        ],
    )
    def test_each_fault_is_told(self, bars, text):
        assert any(text in fault for fault in self.faults(*bars))

    def test_cuts_beyond_the_end_are_told(self):
        bar = Bar("A", "s", 10000, (("P1", 5000), ("P2", 5000)), -80, 30)
        faults = bar_faults([bar], [("P1", 5000), ("P2", 5000)], self.stocks, kerf=30, end_trim=50)
        assert faults == ("bar 1: cuts end 8 mm beyond the bar",)
