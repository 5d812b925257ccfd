"""Random walls: no bound of the fitted search is above what a layout costs that was framed, boarded and cut.

Timber and boards are held against their own bounds, so that one cannot hide what the other has too much of.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from random_fitted import cutting_of, fitted_case, fitted_seeds, given_of

from wallcalc.buying.cut_plans import cut_carcass
from wallcalc.carcass.build import Standing, build_carcass, standing
from wallcalc.errors import OptionError
from wallcalc.fitting.bound import Floor
from wallcalc.fitting.candidates import course_starts
from wallcalc.framing.stud_lines import fixed_uprights

WALLS, EVERY = 300, 20
CENTRES, ENDS = (6000, 4500), ("left", "middle")


def layouts(seed: int):
    """Yield modules of a wall, courses either way: name, floor, what stands, costs of timber and of sheets."""
    wall, option, law = fitted_case(seed)
    try:
        given, terms = given_of(wall, option, law)
    except OptionError:
        return
    cutting, thickness = cutting_of(law), given.timber[0].thickness
    posts = fixed_uprights(wall.length, given.clears, thickness, given.rules.jamb)
    base = replace(given, centres=terms.most, set_out_from="left", lines=())
    for start in course_starts(base)[:2]:
        try:
            floor = Floor(start, cutting, posts)
        except OptionError:
            continue
        for centres in CENTRES:
            for end in ENDS:
                if centres > terms.most:
                    continue
                made = replace(start, centres=centres, set_out_from=end, lines=None)
                try:
                    build_carcass(made)
                except OptionError:
                    continue
                cut = cut_carcass(made, cutting)
                sheets = sum(plan.cost for plan in cut.sheets)
                name = f"fitted_case({seed}), {start.course_from}, {centres} from {end}"
                yield name, floor, standing(made), cut.timber.cost, sheets


@pytest.fixture(scope="module")
def listed():
    return [layout for seed in fitted_seeds(WALLS)[::EVERY] for layout in layouts(seed)]


def test_there_are_layouts_of_every_kind(listed):
    assert len(listed) >= 60
    assert sum(base.hung is not None for _, _, base, *_ in listed) >= 25
    assert sum(len(base.ways) > 1 for _, _, base, *_ in listed) >= 3


def timber_of(floor: Floor, base: Standing) -> int:
    """The least that the timber costs with what stands."""
    return min(floor.timber_of(way, base.hung) for way in base.ways)


def test_boards_cost_no_less_than_their_bound(listed):
    assert not [(name, floor.boards, sheets) for name, floor, _, _, sheets in listed if floor.boards > sheets]


def test_timber_costs_no_less_than_its_bound(listed):
    for name, floor, base, timber, _ in listed:
        assert timber_of(floor, base) <= timber, name


def test_whole_bounds_hold_and_grow_with_what_is_known(listed):
    for name, floor, base, timber, sheets in listed:
        assert floor.least() <= floor.standing(base) <= timber + sheets, name


def test_bounds_that_are_too_high_would_show(listed):
    """One stud too many, or one of the cheapest sheets, is above what some of the layouts cost."""
    assert any(
        timber_of(floor, base) + min(s.price for s in floor.given.timber) > timber
        for _, floor, base, timber, _ in listed
    )
    assert any(
        floor.boards + min(s.price for s in (*floor.given.sheets_a, *floor.given.sheets_b)) > sheets
        for _, floor, _, _, sheets in listed
    )
