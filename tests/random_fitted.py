"""Seeded random walls for the fitted layout: short enough to be many, with hung items, services or both."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from random_hung import hung_case
from random_services import random_service_case
from random_walls import prices, random_case

import wallcalc as wc
from wallcalc.buying.cut_plans import CuttingRules, cut_carcass
from wallcalc.carcass.build import CarcassInput, build_carcass
from wallcalc.designing.choices import resolve
from wallcalc.designing.pipeline import EFFORT
from wallcalc.errors import OptionError
from wallcalc.fitting.terms import Terms, terms_of

LONGEST = 30_000
SECONDS = 0.01


@cache
def fitted_seeds(count: int) -> tuple[int, ...]:
    """Return seeds of walls no longer than :data:`LONGEST`, few of them with four linings."""
    found: list[int] = []
    seed = 20_000
    while len(found) < count:
        wall, option, _ = random_case(seed)
        layers = option.layers_a + option.layers_b
        if wall.length <= LONGEST and (layers < 3 or seed % 4 == 0):
            found.append(seed)
        seed += 1
    return tuple(found)


def fitted_case(seed: int) -> tuple[wc.Wall, wc.Option, wc.Rules]:
    """Return a wall with hung items, services or both, an option with the fitted layout, and rules."""
    wall, option, law = random_case(seed)
    if seed % 3 != 1:
        under = wall.height - 1200  # below the head plate: what a plate holds is not the layout's matter
        items = hung_case(seed)[0].hung
        wall = replace(wall, hung=tuple(h for h in items if all(y + h.pad < under for _, y in h.fixings)))
    if seed % 3 != 2:
        wall = replace(wall, services=random_service_case(seed)[0].services)
    return wall, replace(option, stud_layout="fitted"), law


def cutting_of(law: wc.Rules, seconds: float = SECONDS) -> CuttingRules:
    """Return the cutting rules that a design of so much patience uses."""
    keys = ("cutting.kerf", "cutting.end_trim", "cutting.plate_short")
    return CuttingRules(*(law.tenths(key) for key in keys), seconds, EFFORT)


def given_of(wall: wc.Wall, option: wc.Option, law: wc.Rules) -> tuple[CarcassInput, Terms]:
    """Return the first stage's input and the terms of the fitted layout."""
    given = resolve(wall, option, law, prices()).carcass
    return given, terms_of(given, law, prices())


def module_costs(given: CarcassInput, terms: Terms, law: wc.Rules, more: tuple[int, ...] = ()) -> dict:
    """Return what timber and boards of every module cost that can be built, cents, by (centres, end)."""
    found = {}
    for centres in dict.fromkeys((*terms.usual, *more)):
        for end in ("left", "right", "middle"):
            module = replace(given, centres=centres, set_out_from=end)
            try:
                build_carcass(module)  # says no without looking for a change that works
            except OptionError:
                continue
            cut = cut_carcass(module, cutting_of(law))
            plans = [cut.timber, *cut.sheets, *([cut.plywood] if cut.plywood else [])]
            found[centres, end] = sum(plan.cost for plan in plans)
    return found
