"""Short walls: every layout of studs over the stated places framed, boarded and cut, against the fitted layout.

The layouts are listed here with itertools alone; what each costs comes from the stages that any design goes through.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations, pairwise

import pytest
from random_fitted import cutting_of

import wallcalc as wc
from wallcalc.buying.cut_plans import cut_carcass
from wallcalc.carcass.build import build_carcass
from wallcalc.designing.choices import resolve
from wallcalc.errors import OptionError
from wallcalc.fitting.bound import Floor
from wallcalc.fitting.candidates import course_starts, positions, stretches
from wallcalc.fitting.layout import fit
from wallcalc.fitting.terms import terms_of
from wallcalc.framing.stud_lines import fixed_uprights
from wallcalc.given.parts import HungItem, Service

RAIL = HungItem("rail", "A", ((4500, 9000), (8500, 9000)), 12.0, backing="stud")
PIPE = Service("pipe", "A", (5200, 5000), 220, 50)
CASES = {
    "closet": (9400, 24_000, {}, "vertical"),
    "closet on its side": (9400, 24_000, {}, "horizontal"),
    "two studs": (13_000, 24_000, {}, "vertical"),
    "two studs, high, on its side": (12_600, 26_000, {}, "horizontal"),
    "a pipe in the way": (11_000, 23_500, {"services": (PIPE,)}, "vertical"),
    "a rail on studs": (11_500, 24_000, {"hung": (RAIL,)}, "vertical"),
    "a rail and a pipe": (12_400, 24_000, {"hung": (RAIL,), "services": (PIPE,)}, "horizontal"),
}
MOST_STUDS = 3


def layouts(places, low, high, most, pitch):
    """Every set of up to a few places with neighbours no further apart than the limit, no nearer than the least."""
    for count in range(MOST_STUDS + 1):
        for lines in combinations(places, count):
            gaps = [b - a for a, b in pairwise([low, *lines, high])]
            if max(gaps) <= most and (not lines or min(gaps) >= pitch):
                yield lines


@pytest.fixture(scope="module", params=CASES, ids=str)
def case(request):
    """The fitted layout, and (lines, least cost told before boarding, cost) of every layout listed."""
    length, height, more, orientation = CASES[request.param]
    law, book = wc.Rules.load("uk"), wc.PriceBook.load()
    wall = wc.Wall(name="short", length=length, heights=((0, height),), **more)
    option = wc.Option(stud_layout="fitted", board_orientation=orientation)
    given = resolve(wall, option, law, book).carcass
    terms, cutting = terms_of(given, law, book), cutting_of(law, 0.1)
    found = fit(given, cutting, terms)
    base = replace(given, centres=terms.most)
    thickness = given.timber[0].thickness
    posts = fixed_uprights(length, (), thickness, given.rules.jamb)
    half = thickness // 2
    listed = []
    for start in course_starts(base):
        (places,) = positions(start, stretches(start, posts), terms.most)
        floor = Floor(start, cutting, posts)
        for lines in layouts(places, half, length - half, terms.most, thickness + given.rules.least_bay):
            made = replace(start, lines=lines)
            try:
                build_carcass(made)
            except OptionError:
                continue
            cut = cut_carcass(made, cutting)
            plans = [cut.timber, *cut.sheets, *([cut.plywood] if cut.plywood else [])]
            listed.append((lines, floor.cost(lines), sum(plan.cost for plan in plans)))
    return found, listed


def test_there_is_something_to_compare(case):
    _, listed = case
    assert len(listed) >= 5
    assert len({cost for *_, cost in listed}) >= 2


def test_no_bound_is_above_what_a_layout_costs(case):
    found, listed = case
    for lines, least, cost in listed:
        assert least <= cost, lines
    assert found.lower_bound <= min(cost for *_, cost in listed)


def test_what_is_proven_is_the_least_of_all_layouts_listed(case):
    found, listed = case
    best = min(cost for *_, cost in listed)
    if found.proven:
        assert found.rank[0] <= best
    else:
        assert found.rank[0] <= best * 1.01  # an honest gap: the search may miss a little, and says so
        assert found.lower_bound < found.rank[0]


def test_closets_are_proven():
    law, book = wc.Rules.load("uk"), wc.PriceBook.load()
    for name in ("closet", "closet on its side", "two studs"):
        length, height, more, orientation = CASES[name]
        wall = wc.Wall(name="short", length=length, heights=((0, height),), **more)
        option = wc.Option(stud_layout="fitted", board_orientation=orientation)
        design = wc.design(wall, option, rules=law, prices=book)
        row = design.bounds.set_index("material").loc["stud layout"]
        assert row["proven"], name
