"""Sheets: random blanks against exhaustive search, and plans against a check of their rectangles alone."""

from __future__ import annotations

import random

import pytest
from exhaustive_cutting import Sheet, least_cost
from hypothesis import given, settings
from hypothesis import strategies as st

from wallcalc.cutting.sheets.check import sheet_faults
from wallcalc.cutting.sheets.plan import Blank, cut_sheets, quick_sheets, sheet_bound
from wallcalc.records import CutOut

WIDTH, LENGTH = 12, 27


def small_job(rng: random.Random, number: int) -> tuple[list[Blank], list[Sheet]]:
    sheets = [Sheet("long", LENGTH, WIDTH, rng.randrange(80, 120))]
    if rng.random() < 0.5:
        sheets.append(Sheet("short", 24, WIDTH, rng.randrange(70, 110)))
    if rng.random() < 0.4:
        sheets.append(Sheet("small", 18, 9, rng.randrange(40, 80)))
    blanks = []
    for i in range(number):
        across = rng.choice([WIDTH, WIDTH, *range(2, WIDTH)])
        along = rng.choice([LENGTH, 24, 20, 18, 12, 9, *range(3, LENGTH)])
        whole = across == WIDTH or (across == sheets[-1].width and along <= sheets[-1].length)
        need = rng.choice([0, 1, 2] if whole else [0, 0, 1])
        cut_outs: tuple[CutOut, ...] = ()
        if rng.random() < 0.45 and along > 6 and across > 5:
            length, width = rng.randrange(3, along + 1), rng.randrange(2, across)
            x = rng.randrange(along - length + 1)
            low = rng.random() < 0.6
            y = 0 if low else rng.randrange(1, across - width + 1)
            edge = y == 0 or y + width == across
            bound = 1 if edge and (across == WIDTH or need) and rng.random() < 0.7 else 0
            if length * width < along * across:
                cut_outs = (CutOut(x, y, length, width, bound),)
        blanks.append(Blank(f"A{i}", along, across, need, cut_outs))
    return blanks, sheets


@pytest.mark.parametrize("seed", range(12))
def test_cut_sheets_finds_the_exhaustive_optimum(seed: int) -> None:
    rng = random.Random(seed)
    for _ in range(12):
        blanks, sheets = small_job(rng, rng.choice([2, 3, 4, 4, 5]))
        best = least_cost(blanks, sheets)
        plan = cut_sheets(blanks, sheets, time_limit=20)
        assert sheet_bound(blanks, sheets) <= best, (blanks, sheets)
        assert not sheet_faults(plan, blanks, sheets)
        assert plan.proven
        assert plan.cost == best, (blanks, sheets)
        quick = quick_sheets(blanks, sheets)
        assert not sheet_faults(quick, blanks, sheets)
        assert quick.cost >= best


sizes = st.tuples(st.integers(300, 3000), st.sampled_from([1200, 1200, 600, 800, 208, 298, 1000]))


@st.composite
def wall_job(draw: st.DrawFn) -> tuple[list[Blank], list[Sheet]]:
    stocks = draw(
        st.lists(
            st.sampled_from(
                [Sheet("a", 2400, 1200, 96), Sheet("b", 2700, 1200, 112), Sheet("c", 1800, 900, 69)]
            ),
            unique=True,
        )
    )
    stocks.append(Sheet("d", 3000, 1200, draw(st.integers(115, 140))))
    blanks = []
    for i, (along, across) in enumerate(draw(st.lists(sizes, min_size=1, max_size=14))):
        need = draw(st.integers(0, 2 if across == 1200 else 1))
        cut_outs: tuple[CutOut, ...] = ()
        if across >= 800 and along > 900 and draw(st.booleans()):
            cut_outs = (CutOut(along - 842, 0, 842, 610, 1 if across == 1200 or need else 0),)
        blanks.append(Blank(f"B{i}", along, across, need, cut_outs))
    return blanks, stocks


@settings(max_examples=120, deadline=None)
@given(wall_job())
def test_plans_of_walls_can_be_cut_as_drawn(job: tuple[list[Blank], list[Sheet]]) -> None:
    blanks, stocks = job
    quick = quick_sheets(blanks, stocks)
    assert not sheet_faults(quick, blanks, stocks)
    plan = cut_sheets(blanks, stocks, time_limit=0.05)
    assert not sheet_faults(plan, blanks, stocks)
    assert sheet_bound(blanks, stocks) <= plan.lower_bound <= plan.cost <= quick.cost


@settings(max_examples=40, deadline=None)
@given(wall_job(), st.integers(2, 5))
def test_prices_scale_and_order_does_not_matter_to_the_bound(
    job: tuple[list[Blank], list[Sheet]], factor: int
) -> None:
    blanks, stocks = job
    bound = sheet_bound(blanks, stocks)
    dearer = [s._replace(price=s.price * factor) for s in stocks]
    assert sheet_bound(blanks, dearer) == factor * bound
    assert sheet_bound(blanks[::-1], stocks[::-1]) == bound


@settings(max_examples=40, deadline=None)
@given(wall_job())
def test_one_more_blank_never_lowers_a_proven_cost(job: tuple[list[Blank], list[Sheet]]) -> None:
    blanks, stocks = job
    more = [b._replace(cut_outs=()) for b in blanks]
    plan, less = (cut_sheets(b, stocks, time_limit=0.1) for b in (more, more[:-1]))
    assert less.lower_bound <= plan.cost
