"""The fitted layout: stud lines, course height, joints and sheets sought together for the lowest bought cost.

What is sought is the least cost of timber and boards after cutting; of equal cost the fewest cuts, then the fewest
members. That cost is not a sum over studs, so layouts are tried whole: framed, boarded and cut as any design is.

1. Every usual module from every end is tried, so that the fitted layout is never dearer than one of them.
2. Each good layout is refitted: the studs that its boards' joints and its hung items stand on are kept, the others are
   taken out and the fewest put back that keep the largest bay; boards then find more studs for their joints.
3. Single studs are taken out or moved to other places while that makes the best layout cheaper.
4. Where few layouts over a stated set of places could still be cheaper, all of them are tried: that is the proof.

A layout is tried only while what it must cost at the least (:mod:`wallcalc.fitted_bound`) is below the best so far.
Effort is counted in layouts, not timed, so the same wall gives the same layout everywhere.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from wallcalc.carcass import CarcassInput, carcass, stand
from wallcalc.cutting_stage import CuttingRules, cut_carcass, timber_plan
from wallcalc.errors import OptionError, Refusal
from wallcalc.fitted_bound import Floor
from wallcalc.fitted_candidates import (
    WAYS_TO_FILL,
    Lines,
    Stretch,
    course_starts,
    filled,
    inside,
    layouts,
    module_seeds,
    needed_lines,
    positions,
    stretches,
    within_limit,
)
from wallcalc.fitted_terms import Terms
from wallcalc.fitted_trial import Rank, Trial, least_sheets, plans_of, rank_of
from wallcalc.fitted_words import difference
from wallcalc.given import MM
from wallcalc.records import CutPlan
from wallcalc.stud_lines import fixed_uprights

TRIALS = 16
"""Layouts tried besides the modules before the search ends (a bound on the search, not a trade rule)."""
STARTS = 3
"""Layouts that are refitted."""
EXHAUST = 40
"""Most layouts tried for a proof over the stated places."""
FINALISTS = 4
"""Layouts besides the modules that are cut again when there is more time for cutting."""
QUICK_SECONDS = 0.1
"""Time for each cutting plan while layouts are compared; the finalists get all the time there is."""
QUICK_EFFORT = 0.25


@dataclass(frozen=True, slots=True)
class Fitted:
    """A fitted layout.

    ``given`` is the input of the first stage that makes it; ``rank`` its cost, cuts and members; ``lower_bound`` what
    no layout in ``scope`` costs less than, cents. ``module`` is the cheapest module tried (None: none can be built)
    and ``notes`` say in words how the two differ.
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
    return _Search(base, cutting, terms).run()


class _Search:
    """Layouts tried so far and the best of them."""

    def __init__(self, base: CarcassInput, cutting: CuttingRules, terms: Terms) -> None:
        self.base, self.terms = base, terms
        self.cutting = cutting
        self.quick = replace(
            cutting, seconds=min(cutting.seconds, QUICK_SECONDS), effort=min(cutting.effort, QUICK_EFFORT)
        )
        rules, t = base.rules, base.timber[0].thickness
        self.pitch = rules.least_bay + t
        posts = fixed_uprights(base.wall.length, base.clears, t, rules.jamb)
        self.runs: list[Stretch] = stretches(base, posts)
        self.posts = posts
        self.floors: dict[str | float, Floor | None] = {}
        self.trials: dict[tuple, Trial | None] = {}
        self.refused: list[tuple[Refusal, ...]] = []
        self.best: Trial | None = None
        self.spent = 0

    # --- one layout

    def floor(self, given: CarcassInput) -> Floor | None:
        """Return the bound for layouts with the given start of the courses; None when none can be laid."""
        start = given.course_from
        if start not in self.floors:
            try:
                self.floors[start] = Floor(given, self.quick, self.posts)
            except OptionError as error:
                self.refused.append(error.refusals)
                self.floors[start] = None
        return self.floors[start]

    @property
    def cost(self) -> int | None:
        """Cost of the best layout so far."""
        return self.best.rank[0] if self.best is not None and self.best.rank is not None else None

    def hopeless(self, least: int) -> bool:
        """Whether what costs at least so much cannot be cheaper than the best."""
        return self.cost is not None and least >= self.cost

    def least(self, given: CarcassInput) -> tuple[int, Lines] | None:
        """Return what a layout costs at the least, and its lines; None when no studs can stand so."""
        floor = self.floor(given)
        if floor is None:
            return None
        try:
            _, studs = stand(given)
        except OptionError as error:
            self.refused.append(error.refusals)
            return None
        lines = tuple(sorted(u.line for u in studs))
        return floor.cost(lines), lines

    def attempt(self, given: CarcassInput, module: bool = False) -> Trial | None:
        """Try a layout: frame and board it, and cut it exactly when it may be the best; None when it is no good."""
        found = self.least(given)
        if found is None or self.hopeless(found[0]):
            return None
        key = (given.course_from, found[1])
        if key in self.trials:
            known = self.trials[key]
            if known is None or known.module or not module:
                return known
        self.spent += not module
        trial = self.trials[key] = self._trial(given, found[1], module)
        if trial is not None and (self.best is None or trial.estimate < self.best.estimate):
            self.settle(trial)
        return trial

    def _trial(self, given: CarcassInput, lines: Lines, module: bool) -> Trial | None:
        try:
            made = carcass(given)
            timber = timber_plan(given, self.quick)
        except OptionError as error:
            self.refused.append(error.refusals)
            return None
        return Trial(
            given,
            lines,
            timber.cost + made.boarding.sheet_cost,
            timber.lower_bound + least_sheets(made),
            module or within_limit(lines, self.runs, self.terms.most),
            module,
            len(self.trials),
        )

    def settle(self, trial: Trial) -> None:
        """Cut a layout exactly, and keep it when it is the best."""
        if trial.rank is None and trial.fits and not self.hopeless(trial.least):
            cut = cut_carcass(trial.given, self.quick)
            trial.rank = rank_of(cut)
            trial.least = max(trial.least, sum(plan.lower_bound for plan in plans_of(cut)))
        best = self.best
        if trial.rank is not None and (best is None or best.rank is None or trial.rank < best.rank):
            self.best = trial

    def settle_all(self, trials: Iterable[Trial | None]) -> None:
        """Cut every layout that may be the best, the likely ones first."""
        for trial in sorted((t for t in trials if t is not None), key=lambda t: (t.estimate, t.order)):
            self.settle(trial)

    # --- the search

    def run(self) -> Fitted:
        """Return the best layout found."""
        starts = course_starts(self.base)
        self._modules(starts[0])
        for other in starts[1:]:
            self._other_courses(other)
        self._improve()
        proof = self._exhaust(starts)
        self.settle_all(t for t in self.trials.values() if t is not None and (t.module or proof))
        if self.best is None:
            raise self._refusal()
        self._finish()
        return self._fitted(self.best, proof)

    def _finish(self) -> None:
        """With more time for cutting, cut every layout again that may be the best then."""
        if self.quick == self.cutting:
            return
        ranked = sorted((t for t in self.trials.values() if t and t.rank), key=lambda t: (t.rank, t.order))
        others = 0
        self.best = None
        for trial in ranked:
            others += not trial.module
            if self.hopeless(trial.least) or (others > FINALISTS and not trial.module):
                continue
            trial.rank = rank_of(cut_carcass(trial.given, self.cutting))
            if self.best is None or self.best.rank is None or trial.rank < self.best.rank:
                self.best = trial

    def _modules(self, start: CarcassInput) -> None:
        """Try every usual module, those that may be cheapest first, the first few refitted at once."""
        seeds = []
        for order, seed in enumerate(module_seeds(start, self.terms.usual)):
            found = self.least(seed)
            if found is not None:
                seeds.append((found[0], order, seed))
        tried = []
        for number, (_, _, seed) in enumerate(sorted(seeds, key=lambda s: s[:2])):
            trial = self.attempt(seed, module=True)
            if trial is not None:
                tried.append(trial)
            if number == len({c for c, *_ in seeds}) or number == STARTS:
                self._refit_best(tried)
        self._refit_best(tried)

    def _refit_best(self, tried: Sequence[Trial]) -> None:
        for trial in sorted(tried, key=lambda t: (t.estimate, t.order))[:STARTS]:
            self.refit(trial)

    def refit(self, trial: Trial) -> None:
        """Keep the studs that boards and items need, put the fewest back, and again while that helps."""
        for way in WAYS_TO_FILL:
            now = trial
            while self.spent < TRIALS:
                lines = filled(needed_lines(carcass(now.given)), self.runs, self.terms.most, way)
                given = replace(self.base, course_from=now.given.course_from, lines=lines)
                found = self.attempt(given)
                if found is None or found is now or found.estimate >= now.estimate:
                    break
                now = found

    def _other_courses(self, start: CarcassInput) -> None:
        """Try the best layouts so far with another height of the courses."""
        good = sorted((t for t in self.trials.values() if t and t.fits), key=lambda t: (t.estimate, t.order))
        for trial in good[:2]:
            found = self.attempt(replace(self.base, course_from=start.course_from, lines=trial.lines))
            if found is not None:
                self.refit(found)

    def _improve(self) -> None:
        """Take out and move single studs of the best layout while that makes it cheaper."""
        while self.best is not None and self.spent < TRIALS:
            before = self.best
            for given in self._neighbours(before):
                self.attempt(given)
                if self.best is not before or self.spent >= TRIALS:
                    break
            if self.best is before:
                return
            self.refit(self.best)

    def _neighbours(self, trial: Trial) -> Iterable[CarcassInput]:
        """Layouts one stud away: each stud left out, then each moved to the places beside it."""
        most = self.terms.most
        start = trial.given.course_from
        places = positions(replace(self.base, course_from=start), self.runs, most)
        for x in trial.lines:
            yield self._with(filled((y for y in trial.lines if y != x), self.runs, most, "even"), start)
        for run, own in zip(self.runs, places, strict=True):
            for x in inside(trial.lines, run):
                others = tuple(y for y in trial.lines if y != x)
                for near in sorted(own, key=lambda y: (abs(y - x), y)):
                    moved = tuple(sorted((*others, near)))
                    if near != x and within_limit(moved, self.runs, most):
                        yield self._with(moved, start)
                        break

    def _with(self, lines: Lines, start: str | float) -> CarcassInput:
        return replace(self.base, course_from=start, lines=lines)

    # --- proof

    def _exhaust(self, starts: Sequence[CarcassInput]) -> str:
        """Try every layout over the stated places that can still be cheaper, if they are few; return the scope."""
        waiting: list[tuple[int, CarcassInput]] = []
        count = 0
        for start in starts:
            floor = self.floor(start)
            if floor is None:
                continue
            places = positions(start, self.runs, self.terms.most)
            count = max(count, sum(map(len, places)))

            def cheap(lines: Lines, index: int, floor: Floor = floor) -> bool:
                return not self.hopeless(floor.cost(lines))

            for lines in layouts(places, self.runs, self.terms.most, self.pitch, cheap):
                given = self._with(lines, start.course_from)
                waiting.append((floor.cost(lines), given))
                if len(waiting) > EXHAUST:
                    return ""
        for _, given in sorted(waiting, key=lambda w: w[0]):
            self.attempt(given)
        self.settle_all(self.trials.values())
        return (
            f"every layout of studs on {count} places (the limit's multiples from both ends of each run, even "
            "divisions, sheets' edges, fixings, beside services) and the usual modules, each boarded and cut as this "
            "design is"
        )

    # --- the answer

    def _fitted(self, best: Trial, proof: str) -> Fitted:
        module = min(
            (t for t in self.trials.values() if t is not None and t.module and t.rank is not None),
            key=lambda t: (t.rank, t.order),
            default=None,
        )
        tried = sum(t is not None for t in self.trials.values())
        if proof:
            least = best.rank[0]
            method = f"{tried} layouts tried; every other in scope costs as much or more at the least"
        else:
            least = min(best.rank[0], self._least_of_all())
            proof = "every layout of studs that keeps the largest bay"
            method = (
                f"best of {tried} layouts tried; the bound is the fewest studs at the least price of timber, and the "
                "boards' least sheets"
            )
        assert best.rank is not None
        other = module and cut_carcass(module.given, self.quick)
        paid = module.rank[0] if module is not None and module.rank is not None else 0
        own = cut_carcass(best.given, self.quick)
        notes = difference(own, best.given, best.rank[0], other, module and module.given, paid)
        return Fitted(best.given, best.rank, least, proof, method, tried, module and module.given, notes)

    def _least_of_all(self) -> int:
        """Return what any layout costs at the least: as few studs as the limit allows, over all starts of courses."""
        full = over = 0
        for run in self.runs:
            count = max(0, -(-(run.last - run.first) // self.terms.most) - 1)
            full += count if run.zone < 0 else 0
            over += count * run.length if run.zone >= 0 else 0
        return min(f.boards + f.timber(full, over) for f in self.floors.values() if f is not None)

    def _refusal(self) -> OptionError:
        """Return the reasons of the attempt that came furthest, or that no layout keeps the largest bay."""
        if self.refused:
            return OptionError(min(self.refused, key=len))
        return OptionError(
            [
                Refusal(
                    "stud_layout",
                    "whole wall",
                    f"no layout of studs up to {self.terms.most / MM:g} mm apart can be built",
                    "use stud_layout='module' to see what is in the way",
                )
            ]
        )
