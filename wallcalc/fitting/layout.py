"""The fitted layout: stud lines, course height, joints and sheets sought together for the lowest bought cost.

What is sought is the least cost of timber and boards after cutting; of layouts tried that cost the same the fewest
cuts, then the fewest members, then (with a fill) the fewest bays that no slab holds in by friction. That cost is not a
sum over studs, so layouts are tried whole: framed, boarded and cut as any design is.

1. Every usual module from every end is tried, so that the fitted layout is never dearer than one of them.
2. Each that was boarded is refitted: the studs that its boards' joints and its hung items stand on are kept, the others
   are taken out and the fewest put back that keep the largest bay. The likeliest are tried first, and refitted again.
3. Single studs of the best are taken out or moved to other places.
4. By turns with these, modules that step 1 had ruled out are boarded after all, for their refits.
5. Where few layouts over a stated set of places could still be cheaper, all of them are tried: that is the proof.

A layout is tried only while what it must cost at the least is below the best so far (:mod:`wallcalc.fitting.bound`):
first by its stud lines, then by the studs as they are laid for hung items. Where those are the studs of a layout tried
before, it is the same layout. Step 3 also passes over layouts whose studs are all within their thickness of one tried.
How long steps 2 to 4 go on without finding anything cheaper depends on how much there is to board, not on the clock: so
the same wall gives the same layout everywhere unless the clock cuts a sheet plan short.
"""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import lru_cache

from wallcalc.buying.cut_plans import CuttingRules, cut_carcass
from wallcalc.carcass.build import CarcassInput
from wallcalc.errors import OptionError, Refusal
from wallcalc.fitting.candidates import course_starts
from wallcalc.fitting.search import Search
from wallcalc.fitting.terms import Terms
from wallcalc.fitting.trial import Rank
from wallcalc.fitting.words import difference
from wallcalc.records import CutPlan
from wallcalc.units.lengths import MM


@dataclass(frozen=True, slots=True)
class Fitted:
    """A fitted layout.

    ``given`` is the input of the first stage that makes it; ``rank`` its cost, cuts, members and loose bays;
    ``lower_bound`` what no layout in ``scope`` costs less than, cents. ``tried`` counts layouts, ``module`` is the
    cheapest module tried (None: none can be built) and ``notes`` say in words how the two differ.
    """

    given: CarcassInput
    rank: Rank
    lower_bound: int
    scope: str
    method: str
    tried: int
    module: CarcassInput | None
    notes: tuple[str, ...]

    @property
    def proven(self) -> bool:
        """Whether no layout in scope is cheaper."""
        return self.lower_bound >= self.rank[0]

    def bound(self) -> CutPlan:
        """Return cost and bound as the cutting plans give theirs."""
        return CutPlan(
            "stud layout", (), self.rank[0], self.lower_bound, self.proven, self.scope, self.method
        )


@lru_cache(maxsize=256)
def fit(given: CarcassInput, cutting: CuttingRules, terms: Terms) -> Fitted:
    """Return the cheapest layout found for a wall and an option's other choices.

    Parameters
    ----------
    given : CarcassInput
        The wall and the choices; its centres, set-out end and lines do not matter.
    cutting : CuttingRules
        Kerf, trim, patience.
    terms : Terms
        The limit that every layout keeps, and the modules that it is compared with.

    Returns
    -------
    Fitted

    Raises
    ------
    OptionError
        When no layout can be built, with the reasons of the one that came furthest.
    """
    base = replace(given, centres=terms.most, set_out_from="left", lines=())
    search = Search(base, cutting, terms)
    with no_collections():
        starts = course_starts(base)
        search.modules(starts[0])
        for other in starts[1:]:
            search.other_courses(other)
        search.explore()
        places = search.exhaust(starts)
        search.close(whole=places > 0)
        if search.best is None:
            raise OptionError(search.reasons() or [_none(terms)])
        search.finish()
        return _answer(search, places)


@contextmanager
def no_collections() -> Iterator[None]:
    """Put off looking for cyclic garbage: a search keeps what it makes, and each look goes over all of it."""
    on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if on:
            gc.enable()


def _answer(search: Search, places: int) -> Fitted:
    """Put the best layout found into words."""
    best, module = search.best, search.cheapest_module()
    assert best is not None
    assert best.rank is not None
    tried = len(search.known())
    if places:
        least = best.rank[0]
        scope = (
            f"every layout of studs on {places} places (multiples of the limit from both ends of each run, even "
            "divisions, sheets' edges, fixings, beside services) and the usual modules, each boarded and cut as this "
            "one"
        )
        method = f"{tried} layouts tried; every other in scope costs as much or more at the least"
    else:
        least = min(best.rank[0], search.least_of_all())
        scope = "every layout of studs that keeps the largest bay"
        method = (
            f"best of {tried} layouts tried; the bound is the fewest studs at the least price of timber, and the "
            "boards' least sheets"
        )
    notes = difference(
        cut_carcass(best.given, search.quick),
        best.given,
        best.rank[0],
        module and cut_carcass(module.given, search.quick),
        module and module.given,
        module.rank[0] if module is not None and module.rank is not None else 0,
    )
    return Fitted(best.given, best.rank, least, scope, method, tried, module and module.given, notes)


def _none(terms: Terms) -> Refusal:
    return Refusal(
        "stud_layout",
        "whole wall",
        f"no layout of studs up to {terms.most / MM:g} mm apart can be built",
        "use stud_layout='module' to see what is in the way",
    )
