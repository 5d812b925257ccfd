"""Slabs in whole packs: random pieces against exhaustive search, and plans against a check of their rectangles."""

from __future__ import annotations

import itertools
import random
from collections import Counter
from collections.abc import Iterator
from typing import NamedTuple

import pytest
from exhaustive_cutting import cuttable
from hypothesis import given, settings
from hypothesis import strategies as st

from wallcalc.cutting.sheets.check import overlap, separable, within
from wallcalc.cutting.slabs import cut_slabs
from wallcalc.records import CutPlan, SheetUse


class Slab(NamedTuple):
    code: str
    length: int
    width: int
    per_pack: int
    price_per_pack: int


def groupings(items: tuple[int, ...]) -> Iterator[list[tuple[int, ...]]]:
    """Every way to share items out into groups."""
    if not items:
        yield []
        return
    head, rest = items[0], items[1:]
    for size in range(len(rest) + 1):
        for others in itertools.combinations(rest, size):
            left = tuple(i for i in rest if i not in others)
            for more in groupings(left):
                yield [(head, *others), *more]


def least_cost(pieces: list[tuple[str, int, int]], slabs: list[Slab]) -> int:
    best = 1 << 60
    for groups in groupings(tuple(range(len(pieces)))):
        able = []
        for group in groups:
            sizes = tuple(sorted((pieces[i][1], pieces[i][2], 0) for i in group))
            able.append([s for s in slabs if cuttable(sizes, s.length, s.width, False, False)])
        for chosen in itertools.product(*able):
            opened = Counter(chosen)
            best = min(best, sum(-(-n // s.per_pack) * s.price_per_pack for s, n in opened.items()))
    return best


def faults(plan: CutPlan, pieces: list[tuple[str, int, int]], slabs: list[Slab]) -> list[str]:
    wrong = []
    if sorted((c.mark, c.length, c.width) for u in plan.uses for c in u.cuts) != sorted(pieces):
        wrong.append("not every piece once")
    by_code = {s.code: s for s in slabs}
    for use in plan.uses:
        assert isinstance(use, SheetUse)
        slab = by_code[use.code]
        boxes = [(c.x, c.y, c.length, c.width) for c in use.cuts]
        boxes += [(r.x, r.y, r.length, r.width) for r in use.leftovers]
        if any(not within(b, (0, 0, slab.length, slab.width)) for b in boxes):
            wrong.append("beyond the slab")
        if any(overlap(a, b) for a, b in itertools.combinations(boxes, 2)) or not separable(boxes):
            wrong.append("cannot be cut")
        if sum(b[2] * b[3] for b in boxes) != slab.length * slab.width:
            wrong.append("does not add up")
        if any(r.bound for r in use.leftovers):
            wrong.append("wool has no bound edges")
    opened = Counter(use.code for use in plan.uses)
    cost = sum(-(-n // by_code[c].per_pack) * by_code[c].price_per_pack for c, n in opened.items())
    if cost != plan.cost or plan.lower_bound > cost or plan.proven != (plan.lower_bound == cost):
        wrong.append("wrong figures")
    return wrong


@pytest.mark.parametrize("seed", range(10))
def test_cut_slabs_finds_the_exhaustive_optimum(seed: int) -> None:
    rng = random.Random(seed)
    for _ in range(8):
        slabs = [Slab("wide", 12, 6, rng.choice([1, 2, 3]), rng.randrange(20, 40))]
        if rng.random() < 0.7:
            slabs.append(Slab("narrow", 12, 4, rng.choice([1, 2, 4]), rng.randrange(10, 40)))
        pieces = [
            (
                f"C{i}",
                rng.choice([12, 11, 6, rng.randrange(1, 13)]),
                rng.choice([6, 4, 3, rng.randrange(1, 7)]),
            )
            for i in range(rng.choice([2, 3, 4, 5]))
        ]
        plan = cut_slabs(pieces, slabs, time_limit=20)
        assert not faults(plan, pieces, slabs)
        assert plan.proven
        assert plan.cost == least_cost(pieces, slabs), (pieces, slabs)


@settings(max_examples=60, deadline=None)
@given(
    st.lists(
        st.tuples(st.integers(300, 12000), st.sampled_from([3700, 4000, 5620, 5700, 2430, 2640, 860])),
        min_size=1,
        max_size=30,
    )
)
def test_plans_of_bays_can_be_cut_as_drawn(sizes: list[tuple[int, int]]) -> None:
    slabs = [
        Slab("570", 12000, 5700, 12, 2890),
        Slab("400", 12000, 4000, 12, 2070),
        Slab("370", 12000, 3700, 16, 1990),
    ]
    pieces = [(f"C{i}", length, width) for i, (length, width) in enumerate(sizes)]
    assert not faults(cut_slabs(pieces, slabs, time_limit=0.05), pieces, slabs)
