"""Three hundred random walls with hung items and services: the fitted layout against every usual module.

Costs are those that :func:`wallcalc.design` reports, at the same time for cutting. What modules cost is taken from the
stages of the design, which the search has mostly been through already.
"""

from __future__ import annotations

from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context

import pytest
from random_fitted import SECONDS, fitted_case, fitted_seeds, given_of, module_costs
from random_walls import prices
from wall_oracles import design_faults

import wallcalc as wc
from wallcalc.errors import OptionError

WALLS, WORKERS, EVERY = 300, 2, 3


def verdict(seed: int) -> tuple[str, list[str]]:
    """How a wall came out ("cheaper", "equal", "alone" without a module, "refused"), and what is wrong with it."""
    wall, option, law = fitted_case(seed)
    name = f"fitted_case({seed})"
    try:
        given, terms = given_of(wall, option, law)
    except OptionError:
        return "refused", []
    try:
        design = wc.design(wall, option, rules=law, prices=prices(), seconds=SECONDS, model="closed form")
    except OptionError as error:
        buildable = module_costs(given, terms, law)
        faults = [f"{name}: refused, yet a module can be built: {sorted(buildable)[0]}"] if buildable else []
        faults += [] if error.refusals else [f"{name}: refused without a reason"]
        return "refused", faults
    fitted = design.parts.fitted
    cost = design.cost_cents["timber"] + design.cost_cents["board"]
    modules = module_costs(given, terms, law)
    least = min(modules.values(), default=None)
    faults = []
    if least is not None and cost > least:
        faults.append(f"{name}: {cost} is dearer than a module at {least}")
    if cost != fitted.rank[0]:
        faults.append(f"{name}: costs {cost}, told as {fitted.rank[0]}")
    if fitted.lower_bound > cost:
        faults.append(f"{name}: bound {fitted.lower_bound} above {cost}")
    if fitted.proven and least is not None and fitted.lower_bound > least:
        faults.append(f"{name}: proof of {fitted.lower_bound}, a module costs {least}")
    if seed % EVERY == 0:
        faults += [f"{name}: {fault}" for fault in design_faults(design)]
    if least is None:
        return "alone", faults
    return ("cheaper" if cost < least else "equal"), faults


@pytest.fixture(scope="module")
def verdicts():
    seeds = fitted_seeds(WALLS)
    with ProcessPoolExecutor(WORKERS, mp_context=get_context("spawn")) as pool:
        return list(pool.map(verdict, seeds, chunksize=15))


def test_never_dearer_than_the_best_module(verdicts):
    faults = [fault for _, found in verdicts for fault in found]
    assert not faults, f"{len(faults)} faults:\n" + "\n".join(faults[:20])


def test_most_walls_are_built_and_many_come_out_cheaper(verdicts):
    ways = [way for way, _ in verdicts]
    assert len(ways) == WALLS
    built = WALLS - ways.count("refused")
    assert built >= 0.6 * WALLS
    assert ways.count("cheaper") >= 0.4 * built
