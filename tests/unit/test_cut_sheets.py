"""Cutting of sheets: the worked wall by hand, small cases worked on paper, and the checker against broken plans."""

from __future__ import annotations

import random
import time
from dataclasses import replace
from itertools import pairwise
from typing import NamedTuple

import numpy as np
import pytest

from wallcalc.cutting.sheets.bounds import undominated, weighings
from wallcalc.cutting.sheets.check import separable, sheet_faults
from wallcalc.cutting.sheets.flow import blank_values, build, certify, solve
from wallcalc.cutting.sheets.greedy import as_plan
from wallcalc.cutting.sheets.parts import make_job
from wallcalc.cutting.sheets.plan import Blank, cut_sheets, quick_sheets, sheet_bound
from wallcalc.cutting.sheets.unfold import free_rooms, unfold
from wallcalc.cutting.timber.bounds import CuttingError
from wallcalc.records import CutOut, CutPlan, SheetCut, SheetUse


class Sheet(NamedTuple):
    code: str
    length: int
    width: int
    price: int


LONG = Sheet("1200x2700", 27000, 12000, 1000)
SHORT = Sheet("1200x2400", 24000, 12000, 900)
SMALL = Sheet("900x1800", 18000, 9000, 600)

UPRIGHT = (
    Blank("A1", 26080, 6000, 1),
    Blank("A2", 26080, 12000, 2),
    Blank("A3", 26080, 12000, 2, (CutOut(0, 9000, 20180, 3000, 1),)),
    Blank("A4", 26080, 8400, 1, (CutOut(0, 0, 20180, 5420, 1),)),
    Blank("B1", 26080, 12000, 2),
    Blank("B2", 26080, 12000, 2),
    Blank("B3", 26080, 8400, 1, (CutOut(0, 3000, 20180, 5400, 1),)),
    Blank("B4", 26080, 6000, 1, (CutOut(0, 0, 20180, 3020, 1),)),
)
"""Both faces of the worked wall, 3840 x 2620 with a door, upright."""


def lying_face(side: str, joint: int, strip_joints: tuple[int, ...]) -> list[Blank]:
    """One face of the worked wall on its side: top course, second course and the strip above the floor."""
    edges = (0, *strip_joints, 27000)
    return [
        Blank(f"{side}1", joint, 12000, 1),
        Blank(f"{side}2", 38400 - joint, 12000, 1, (CutOut(27000 - joint, 0, 8420, 6100, 1),)),
        Blank(f"{side}3", 27000, 12000, 2),
        Blank(f"{side}4", 2980, 12000, 2),
        *(Blank(f"{side}5.{i}", b - a, 2080, 1) for i, (a, b) in enumerate(pairwise(edges))),
        Blank(f"{side}6", 2980, 2080, 1),
    ]


LYING = (*lying_face("A", 24000, (6000, 18000)), *lying_face("B", 12000, (12000,)))


def children(plan: CutPlan) -> list[SheetCut]:
    return [c for use in plan.uses for c in use.cuts if c.parent is not None]


# --- the worked wall ---------------------------------------------------------------------------------------


def test_worked_wall_upright_takes_seven_sheets() -> None:
    plan = cut_sheets(UPRIGHT, [LONG])
    assert not sheet_faults(plan, UPRIGHT, [LONG])
    assert len(plan.uses) == 7
    assert plan.proven
    assert plan.lower_bound == sheet_bound(UPRIGHT, [LONG]) == 7000
    shared = next(use for use in plan.uses if len(use.cuts) == 2)
    assert {c.mark for c in shared.cuts} == {"A1", "B4"}


def test_worked_wall_upright_wastes_what_was_worked_out_by_hand() -> None:
    plan = quick_sheets(UPRIGHT, [LONG])
    net = sum(b.along * b.across - sum(c.length * c.width for c in b.cut_outs) for b in UPRIGHT)
    assert round(net / 2 / 1e8, 4) == 8.3156  # m2 a face
    bought = sum(use.length * use.width for use in plan.uses)
    assert round(100 * (1 - net / bought), 1) == 26.7


def test_worked_wall_lying_takes_six_sheets_with_the_door_cut_outs() -> None:
    plan = cut_sheets(LYING, [LONG], time_limit=10)
    assert not sheet_faults(plan, LYING, [LONG])
    assert len(plan.uses) == 6
    assert plan.proven
    assert children(plan)
    area = sum(b.along * b.across for b in LYING) - 2 * 8420 * 6100
    assert round(area / 2 / 1e8, 4) == 8.3156  # m2 a face
    assert -(-area // (27000 * 12000)) == 6  # six by area alone
    assert round(100 * (1 - area / (6 * 27000 * 12000)), 1) == 14.4


def test_worked_wall_lying_takes_seven_sheets_when_cut_outs_are_thrown_away() -> None:
    plan = cut_sheets([b._replace(cut_outs=()) for b in LYING], [LONG], time_limit=10)
    assert len(plan.uses) == 7
    assert plan.proven


# --- worked on paper ---------------------------------------------------------------------------------------


def test_nothing_to_cut_costs_nothing() -> None:
    for plan in (cut_sheets([], [LONG]), quick_sheets([], [LONG])):
        assert (plan.cost, plan.lower_bound, plan.proven, plan.uses) == (0, 0, True, ())
    assert sheet_bound([], [LONG]) == 0


def test_boards_over_half_a_sheet_wide_do_not_share_one() -> None:
    blanks = [Blank(str(i), 26080, 6010) for i in range(3)]
    assert sheet_bound(blanks, [LONG]) == 3000


def test_bound_edges_are_scarce() -> None:
    strips = [Blank(str(i), 27000, 2000, 1) for i in range(3)]
    assert sheet_bound(strips, [LONG]) == 2000
    assert len(cut_sheets(strips, [LONG]).uses) == 2
    assert len(cut_sheets([s._replace(need_bound=0) for s in strips], [LONG]).uses) == 1


def test_a_cross_cut_leaves_both_parts_their_bound_edges() -> None:
    blanks = [Blank(str(i), 13500, 6000, 1) for i in range(4)]
    plan = cut_sheets(blanks, [LONG])
    assert len(plan.uses) == 1
    assert not sheet_faults(plan, blanks, [LONG])


def test_two_bound_edges_want_the_whole_width() -> None:
    plan = cut_sheets([Blank("A1", 10000, 9000, 2)], [LONG, SMALL])
    assert [use.code for use in plan.uses] == ["900x1800"]
    with pytest.raises(CuttingError, match=r"A2 \(1000 x 800 mm, both long edges bound\)"):
        cut_sheets([Blank("A2", 10000, 8000, 2)], [LONG, SMALL])


def test_the_cheapest_mix_of_sizes_is_bought() -> None:
    blanks = [Blank("A1", 26000, 12000), Blank("A2", 23000, 12000), Blank("A3", 17000, 8000)]
    plan = cut_sheets(blanks, [LONG, SHORT, SMALL])
    assert sorted(use.code for use in plan.uses) == ["1200x2400", "1200x2700", "900x1800"]
    assert (plan.cost, plan.proven) == (2500, True)


def test_a_cut_out_gives_strips_that_would_take_another_sheet() -> None:
    board = Blank("A1", 27000, 12000, 1, (CutOut(9000, 0, 8420, 6100, 1),))
    strips = [Blank("A2", 8420, 2080, 1), Blank("A3", 8420, 2080)]
    plan = cut_sheets([board, *strips], [LONG])
    assert (len(plan.uses), plan.proven) == (1, True)
    assert {c.mark: c.parent for c in plan.uses[0].cuts} == {"A1": None, "A2": "A1", "A3": "A1"}
    assert not sheet_faults(plan, [board, *strips], [LONG])
    both = [s._replace(need_bound=1) for s in strips]  # the cut-out has one bound edge only
    assert len(cut_sheets([board, *both], [LONG]).uses) == 2


def test_a_blank_does_not_come_from_its_own_cut_out() -> None:
    twins = [Blank(m, 27000, 12000, 0, (CutOut(0, 0, 26990, 12000, 2),)) for m in ("A1", "A2")]
    plan = cut_sheets(twins, [LONG])
    assert len(plan.uses) == 2
    assert not children(plan)


def test_a_bound_cut_out_is_turned_to_the_bound_edge() -> None:
    # two boards side by side, each with its bound edge and cut-out on its low side: one of them is turned
    boards = [Blank(m, 27000, 6000, 1, (CutOut(1000, 0, 9000, 3000, 1),)) for m in ("A1", "A2")]
    strips = [Blank(m, 9000, 2900, 1) for m in ("A3", "A4")]
    plan = cut_sheets([*boards, *strips], [LONG])
    assert len(plan.uses) == 1
    assert not sheet_faults(plan, [*boards, *strips], [LONG])


def test_inch_sheets_are_cut_to_the_tenth_of_a_millimetre() -> None:
    stock = Sheet("48x96", 24384, 12192, 1000)
    blanks = [Blank(str(i), 24384, 4064) for i in range(3)]
    assert len(cut_sheets(blanks, [stock]).uses) == 1
    assert len(cut_sheets([*blanks[:2], Blank("2", 24384, 4065)], [stock]).uses) == 2


def test_every_blank_that_fits_no_sheet_is_named() -> None:
    with pytest.raises(CuttingError) as error:
        sheet_bound([Blank("A1", 27010, 100), Blank("A2", 100, 100), Blank("A3", 100, 12010)], [SHORT, LONG])
    assert "A1 (2701 x 10 mm)" in str(error.value)
    assert "A3 (10 x 1201 mm)" in str(error.value)
    assert "A2" not in str(error.value)
    assert "2400 x 1200, 2700 x 1200" in str(error.value)


@pytest.mark.parametrize(
    "blank",
    [
        Blank("A1", 0, 100),
        Blank("A1", 100, 100, 3),
        Blank("A1", 100, 100, 0, (CutOut(50, 0, 60, 10, 0),)),
        Blank("A1", 100, 100, 0, (CutOut(0, 0, 100, 100, 0),)),
    ],
)
def test_blanks_that_make_no_sense_are_refused(blank: Blank) -> None:
    with pytest.raises(ValueError, match=r"cannot be cut|does not lie inside"):
        cut_sheets([blank], [LONG])


def test_same_input_same_plan() -> None:
    assert cut_sheets(LYING, [LONG, SHORT, SMALL], time_limit=30) == cut_sheets(
        LYING, [LONG, SHORT, SMALL], time_limit=30
    )


def test_a_short_time_limit_is_kept_and_said_so() -> None:
    rng = random.Random(4)
    blanks = [
        Blank(str(i), rng.randrange(5000, 20000), rng.randrange(1500, 7000), rng.choice([0, 1]))
        for i in range(60)
    ]
    began = time.process_time()
    plan = cut_sheets(blanks, [LONG, SHORT, SMALL], time_limit=0.05)
    assert time.process_time() - began < 2
    assert not sheet_faults(plan, blanks, [LONG, SHORT, SMALL])
    assert not plan.proven
    assert plan.lower_bound < plan.cost


# --- the parts of the search -------------------------------------------------------------------------------


def random_job(seed: int) -> tuple[list[Blank], list[Sheet]]:
    rng = random.Random(seed)
    blanks = []
    for i in range(9):
        across = rng.choice([12000, 12000, 6000, 8400, 2080])
        along = rng.randrange(4000, 27000, 500)
        need = rng.choice([1, 2]) if across == 12000 else rng.choice([0, 1])
        holes = (CutOut(500, 0, along - 1000, 4500, 1),) if across > 6000 and along > 9000 and need else ()
        blanks.append(Blank(f"A{i}", along, across, need, holes))
    return blanks, [LONG, SMALL]


@pytest.mark.parametrize("seed", range(8))
def test_the_programme_alone_gives_plans_that_can_be_cut(seed: int) -> None:
    blanks, stocks = random_job(seed)
    job = make_job(blanks, stocks)
    job = job._replace(stocks=undominated(job))
    programme = build(job, job.stocks, time.thread_time() + 10)
    assert programme is not None
    found = solve(programme, None, weighings(job), 0, 10**6, 10)
    assert found.counts is not None
    layout = free_rooms(unfold(programme, found.counts, job, job.stocks), job, job.stocks)
    plan = as_plan(job, job.stocks, layout, layout.cost, "", "")
    assert not sheet_faults(plan, blanks, stocks)
    assert plan.cost == int((found.counts * programme.table[:, 0]).sum())


@pytest.mark.parametrize("seed", range(8))
def test_any_values_of_blanks_give_a_bound(seed: int) -> None:
    blanks, stocks = random_job(seed)
    job = make_job(blanks, stocks)
    programme = build(job, job.stocks, time.thread_time() + 10)
    assert programme is not None
    cost = cut_sheets(blanks, stocks, time_limit=20).cost
    values = blank_values(programme, 10)
    assert values is not None
    assert certify(programme, values).bound <= cost
    rng = np.random.default_rng(seed)
    for _ in range(5):  # values far too high are made smaller until no sheet yields more than its price
        wild = [int(v) for v in rng.integers(0, 5_000_000, len(values))]
        assert certify(programme, wild).bound <= cost


def test_dominated_sheets_are_left_out_only_when_a_dearer_one_is_never_needed() -> None:
    dear = Sheet("dear", 24000, 12000, 1100)
    assert [s.code for s in undominated(make_job([Blank("A1", 20000, 9000)], [LONG, dear]))] == ["1200x2700"]
    narrow = Sheet("narrow", 27000, 9000, 1100)
    both = make_job([Blank("A1", 20000, 9000, 2)], [LONG, narrow])
    assert [s.code for s in undominated(both)] == ["1200x2700", "narrow"]


# --- the checker -------------------------------------------------------------------------------------------


def good() -> tuple[CutPlan, list[Blank]]:
    blanks = [
        Blank("A1", 27000, 8000, 1, (CutOut(0, 0, 9000, 4000, 1),)),
        Blank("A2", 27000, 4000, 1),
        Blank("A3", 8000, 4000, 1),
    ]
    plan = cut_sheets(blanks, [LONG])
    assert not sheet_faults(plan, blanks, [LONG])
    assert len(children(plan)) == 1
    return plan, blanks


def with_cut(plan: CutPlan, mark: str, **changes: object) -> CutPlan:
    use = plan.uses[0]
    assert isinstance(use, SheetUse)
    cuts = tuple(replace(c, **changes) if c.mark == mark else c for c in use.cuts)
    return replace(plan, uses=(replace(use, cuts=cuts),))


@pytest.mark.parametrize(
    ("mark", "changes", "fault"),
    [
        ("A2", {"width": 3990}, "wanted 1, cut 0"),
        ("A2", {"x": 10}, "reaches beyond the sheet"),
        ("A2", {"y": 4000}, "rectangles overlap"),
        ("A3", {"parent": None}, "rectangles overlap"),
        ("A3", {"parent": "A2"}, "does not fit its cut-outs"),
        ("A3", {"parent": "A9"}, "is not cut here"),
        ("A3", {"parent": "A3"}, "comes out of itself"),
        ("A3", {"x": 10000}, "does not fit its cut-outs"),
    ],
)
def test_the_checker_finds_a_misplaced_cut(mark: str, changes: dict[str, object], fault: str) -> None:
    plan, blanks = good()
    assert fault in "; ".join(sheet_faults(with_cut(plan, mark, **changes), blanks, [LONG]))


def test_the_checker_finds_wrong_figures() -> None:
    plan, blanks = good()
    assert "the sheets cost 1000, the plan says 999" in sheet_faults(replace(plan, cost=999), blanks, [LONG])
    assert "above the cost" in "; ".join(sheet_faults(replace(plan, lower_bound=1001), blanks, [LONG]))
    assert "only then" in "; ".join(sheet_faults(replace(plan, proven=False), blanks, [LONG]))
    assert "not on sale" in "; ".join(sheet_faults(plan, blanks, [SHORT]))
    missing = [*blanks, Blank("A4", 100, 100)]
    assert "A4 of 100 x 100: wanted 1, cut 0" in sheet_faults(plan, missing, [LONG])
    bound = [b._replace(need_bound=2) if b.mark == "A2" else b for b in blanks]
    assert "A2 lacks a bound edge" in "; ".join(sheet_faults(plan, bound, [LONG]))


def test_a_pinwheel_cannot_be_cut_straight() -> None:
    pinwheel = [(0, 0, 2, 1), (2, 0, 1, 2), (1, 2, 2, 1), (0, 1, 1, 2)]
    assert not separable(pinwheel)
    assert separable(pinwheel[:3])


def test_leftovers_of_a_sheet_are_free_and_true() -> None:
    blanks = [Blank("A1", 20000, 8000, 1)]
    plan = cut_sheets(blanks, [LONG])
    left = plan.uses[0].leftovers
    assert [(r.length, r.width, r.bound) for r in left] == [(27000, 4000, 1), (7000, 8000, 1)]
    free = sum(r.length * r.width for r in left)
    assert free + 20000 * 8000 == 27000 * 12000
