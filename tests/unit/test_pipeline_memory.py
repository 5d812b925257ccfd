"""What later stages remember belongs to the cutting plans that they were made from, not to plans made again."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

import wallcalc as wc
from wallcalc.buying import cut_plans as cutting_stage
from wallcalc.designing import pipeline

WALL = Path(__file__).resolve().parents[2] / "data" / "walls" / "laundry_plain.toml"


def bought(design) -> tuple[dict, dict]:
    lines = {o.code: o.bought for o in design.parts.order if o.group == "timber"}
    return lines, dict(Counter(bar.code for bar in design.parts.cut.timber.uses))


def test_the_order_fits_plans_that_were_forgotten_and_came_out_otherwise(monkeypatch):
    wall, option = wc.Wall.load(WALL), wc.Option(stud_centres=455.0)
    first = wc.design(wall, option, model="closed form")
    cutting_stage.cut_carcass.cache_clear()
    real = cutting_stage.timber_plan

    def other(given, cutting):  # as under a time limit: every piece from the longest bar
        plan = real(given, cutting)
        longest = max(plan.uses, key=lambda b: b.length)
        uses = tuple(
            type(bar)(longest.code, bar.section, longest.length, bar.cuts, longest.length, bar.kerf_loss)
            for bar in plan.uses
        )
        prices = {i.code: i.price for i in wc.PriceBook.load().items("timber")}
        return type(plan)(
            plan.material,
            uses,
            len(uses) * prices[longest.code],
            plan.lower_bound,
            False,
            plan.scope,
            plan.method,
        )

    monkeypatch.setattr(cutting_stage, "timber_plan", other)
    again = wc.design(wall, option, model="closed form")
    cutting_stage.cut_carcass.cache_clear()
    assert bought(first)[0] == bought(first)[1]
    assert bought(again)[0] == bought(again)[1]
    assert bought(again) != bought(first)


def test_what_is_remembered_is_used_again():
    wall, option = wc.Wall.load(WALL), wc.Option(stud_centres=456.0)
    one = wc.design(wall, option, model="closed form")
    misses = pipeline._order.cache_info().misses
    two = wc.design(wall, option, model="closed form")
    assert pipeline._order.cache_info().misses == misses
    assert two.parts.order is one.parts.order
    assert two.cost == pytest.approx(one.cost)
