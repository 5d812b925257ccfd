"""Cutting of slabs: small cases worked on paper."""

from __future__ import annotations

from typing import NamedTuple

import pytest

from wallcalc.cutting.slabs import cut_slabs
from wallcalc.cutting.timber.bounds import CuttingError


class Slab(NamedTuple):
    code: str
    length: int
    width: int
    per_pack: int
    price_per_pack: int


WIDE = Slab("570", 12000, 5700, 12, 2900)
NARROW = Slab("370", 12000, 3700, 16, 2000)


def test_no_pieces_no_packs() -> None:
    plan = cut_slabs([], [WIDE])
    assert (plan.material, plan.cost, plan.proven, plan.uses) == ("slabs", 0, True, ())


def test_packs_are_bought_whole() -> None:
    pieces = [(f"C{i}", 12000, 5700) for i in range(13)]
    plan = cut_slabs(pieces, [WIDE, NARROW])
    assert (plan.cost, plan.lower_bound, plan.proven) == (5800, 5800, True)
    assert len(plan.uses) == 13


def test_the_rest_of_a_pack_is_used_before_another_is_opened() -> None:
    # 10 wide pieces open a pack of 12; the two narrow ones come from its last slabs, not from a second pack
    pieces = [(f"C{i}", 12000, 5700) for i in range(10)] + [("C10", 12000, 3700), ("C11", 12000, 3700)]
    plan = cut_slabs(pieces, [WIDE, NARROW])
    assert (plan.cost, plan.proven) == (2900, True)
    assert {use.code for use in plan.uses} == {"570"}


def test_the_cheapest_mix_of_packs_is_bought() -> None:
    pieces = [(f"C{i}", 12000, 5700) for i in range(12)] + [(f"D{i}", 12000, 3700) for i in range(16)]
    plan = cut_slabs(pieces, [WIDE, NARROW])
    assert (plan.cost, plan.proven) == (4900, True)


def test_of_equal_cost_the_fewest_cuts() -> None:
    # two halves of one slab take one cut, a half from each of two slabs would take two
    plan = cut_slabs([("C1", 6000, 5700), ("C2", 6000, 5700)], [WIDE])
    assert len(plan.uses) == 1
    assert plan.uses[0].leftovers == ()


def test_pieces_are_not_turned() -> None:
    with pytest.raises(CuttingError, match=r"C1 \(500 x 800 mm\)"):
        cut_slabs([("C1", 5000, 8000)], [WIDE])
    with pytest.raises(CuttingError, match="slabs at hand"):
        cut_slabs([("C1", 5000, 800)], [])


def test_twelve_slabs_of_one_bay_size() -> None:
    # two pieces of 865 x 264 mm stand side by side in a slab of 570: 24 pieces, one pack
    pieces = [(f"C{i}", 8650, 2640) for i in range(24)]
    plan = cut_slabs(pieces, [WIDE])
    assert (plan.cost, plan.proven, len(plan.uses)) == (2900, True, 12)
