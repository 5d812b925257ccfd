"""The search over stud layouts: modules first, then layouts refitted to joints, then single studs moved."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from heapq import heappop, heappush

from wallcalc.carcass import CarcassInput, build_carcass, carcass, linings_of, stand
from wallcalc.cutting_stage import CuttingRules, cut_carcass
from wallcalc.errors import OptionError, Refusal
from wallcalc.fitted_bound import Floor
from wallcalc.fitted_candidates import (
    WAYS_TO_FILL,
    Lines,
    Stretch,
    filled,
    inside,
    keeps,
    layouts,
    module_seeds,
    needed_lines,
    positions,
    stretches,
)
from wallcalc.fitted_terms import Terms
from wallcalc.fitted_trial import Trial, cut_trial, rank_of, try_layout
from wallcalc.stud_lines import fixed_uprights

TRIALS = 64
"""Courses of boards laid while layouts besides the modules are tried (a bound on the search, not a trade rule): a
layout of one course on each side takes 2."""
LEAST_TRIALS, MOST_TRIALS = 10, 32
"""Layouts besides the modules that are tried at the least and at the most."""
PATIENCE = 14
"""Layouts tried without a better one before the search ends."""
CLOSE = 6
"""Layouts besides the modules that are cut exactly at the end, the likeliest first."""
EXHAUST = 40
"""Most layouts tried for a proof over the stated places."""
FINALISTS = 4
"""Layouts besides the modules that are cut again when there is more time for cutting."""
QUICK_SECONDS = 0.1
"""Time for each cutting plan while layouts are compared; the finalists get all the time there is."""
QUICK_EFFORT = 0.25


class Search:
    """Layouts tried so far and the best of them.

    Parameters
    ----------
    base : CarcassInput
        The wall and the choices, its centres the limit.
    cutting : CuttingRules
        Kerf, trim, patience.
    terms : Terms
        The limit and the modules.
    """

    def __init__(self, base: CarcassInput, cutting: CuttingRules, terms: Terms) -> None:
        self.base, self.terms, self.cutting = base, terms, cutting
        self.quick = replace(
            cutting, seconds=min(cutting.seconds, QUICK_SECONDS), effort=min(cutting.effort, QUICK_EFFORT)
        )
        rules, t = base.rules, base.timber[0].thickness
        self.pitch, self.thickness = rules.least_bay + t, t
        self.posts = fixed_uprights(base.wall.length, base.clears, t, rules.jamb)
        self.runs: list[Stretch] = stretches(base, self.posts)
        self.floors: dict[str | float, Floor | None] = {}
        self.trials: dict[tuple, Trial | None] = {}
        self.far: list[tuple[int, int, CarcassInput]] = []
        self.near: list[tuple[int, int, CarcassInput]] = []
        self.serial = 0
        self.refused: list[tuple[int, tuple[Refusal, ...], CarcassInput]] = []
        self.best: Trial | None = None
        self.spent = 0

    # --- one layout

    @property
    def cost(self) -> int | None:
        """Cost of the best layout so far, cents."""
        return self.best.rank[0] if self.best is not None and self.best.rank is not None else None

    def hopeless(self, least: int) -> bool:
        """Return whether what costs at least so much cannot be cheaper than the best."""
        return self.cost is not None and least >= self.cost

    def keeps(self, lines: Lines) -> bool:
        """Return whether studs on these lines keep the largest and the least bay."""
        return keeps(lines, self.runs, self.terms.most, self.pitch, self.thickness)

    def floor(self, given: CarcassInput) -> Floor | None:
        """Return the bound for layouts with the given start of the courses; None when none can be laid."""
        start = given.course_from
        if start not in self.floors:
            try:
                base = replace(self.base, course_from=start)
                self.floors[start] = Floor(base, self.quick, self.posts)
            except OptionError as error:
                self.refused.append((2, tuple(error.refusals), given))
                self.floors[start] = None
        return self.floors[start]

    def least(self, given: CarcassInput) -> tuple[int, Lines] | None:
        """Return what a layout costs at the least, and its lines; None when no studs can stand so."""
        floor = self.floor(given)
        if floor is None:
            return None
        try:
            _, studs = stand(given)
        except OptionError as error:
            self.refused.append((1, tuple(error.refusals), given))
            return None
        lines = tuple(sorted(u.line for u in studs))
        return floor.cost(lines), lines

    def attempt(self, given: CarcassInput, module: bool = False) -> Trial | None:
        """Try a layout, and cut it exactly when it looks the best; None when it is no good or was tried."""
        found = self.least(given)
        if found is None or self.hopeless(found[0]):
            return None
        key = (given.course_from, found[1])
        if key in self.trials and not module:
            return None
        self.spent += not module
        fits = module or self.keeps(found[1])
        try:
            trial = try_layout(given, found[1], self.quick, found[0], fits, module, len(self.trials))
        except OptionError as error:
            self.refused.append((0, tuple(error.refusals), given))
            self.trials.setdefault(key, None)
            return None
        self.trials[(*key, module) if key in self.trials else key] = trial
        if self.best is None or trial.estimate < self.best.estimate:
            self.settle(trial)
        return trial

    def settle(self, trial: Trial) -> None:
        """Cut a layout exactly if it may be the best, and keep it when it is."""
        dearer = self.cost is not None and trial.least > self.cost
        if trial.rank is None and trial.fits and not dearer:
            cut_trial(trial, self.quick, self.cost, self.terms.snug)
        best = self.best
        if trial.rank is not None and (best is None or best.rank is None or trial.rank < best.rank):
            self.best = trial

    def known(self) -> list[Trial]:
        """Return the layouts that could be built, the likeliest first."""
        return sorted((t for t in self.trials.values() if t is not None), key=lambda t: (t.estimate, t.order))

    # --- where to look

    def modules(self, start: CarcassInput) -> None:
        """Try every usual module, those that may be cheapest first."""
        seeds = []
        for order, seed in enumerate(module_seeds(start, self.terms.usual)):
            found = self.least(seed)
            if found is not None:
                seeds.append((found[0], order, seed))
        for _, _, seed in sorted(seeds, key=lambda s: s[:2]):
            trial = self.attempt(seed, module=True)
            if trial is not None:
                self.offer_refits(trial)

    def offer(self, lines: Lines, start: str | float, sheets: int, near: bool = False) -> None:
        """Put a layout on the list of those to try, by what it costs if its boards cost so much."""
        given = replace(self.base, course_from=start, lines=lines)
        found = self.least(given)
        floor = self.floor(given)
        if found is None or floor is None or (start, found[1]) in self.trials:
            return
        self.serial += 1
        timber = found[0] - floor.boards
        heappush(self.near if near else self.far, (timber + sheets, self.serial, given))

    def offer_refits(self, trial: Trial) -> None:
        """Offer the layouts that keep the studs which boards and items of a layout need, and the fewest others."""
        needed, start = needed_lines(build_carcass(trial.given)), trial.given.course_from
        for way in WAYS_TO_FILL:
            self.offer(filled(needed, self.runs, self.terms.most, self.pitch, way), start, trial.sheets)

    def offer_neighbours(self, trial: Trial) -> None:
        """Offer the layouts one stud away: each stud left out, each moved to the places beside it."""
        start = trial.given.course_from
        places = positions(replace(self.base, course_from=start), self.runs, self.terms.most)
        for x in trial.lines:
            rest = [y for y in trial.lines if y != x]
            for way in WAYS_TO_FILL:
                self.offer(
                    filled(rest, self.runs, self.terms.most, self.pitch, way), start, trial.sheets, True
                )
        for run, own in zip(self.runs, places, strict=True):
            for x in inside(trial.lines, run):
                rest = [y for y in trial.lines if y != x]
                near = sorted((y for y in own if y != x), key=lambda y: (abs(y - x), y))
                for y in near[:2]:
                    moved = tuple(sorted((*rest, y)))
                    if self.keeps(moved):
                        self.offer(moved, start, trial.sheets, True)

    def explore(self) -> None:
        """Try by turns what was offered and what lies one stud from the best, until the trials are used up."""
        if not self.known():
            return
        around: Trial | None = None
        courses = sum(len(lining.courses) for lining in linings_of(self.base))
        most = min(MOST_TRIALS, max(LEAST_TRIALS, TRIALS // courses))
        since = turns = 0
        while self.spent < most and self.spent - since < PATIENCE:
            if self.best is not around and self.best is not None:
                around, since = self.best, self.spent
                self.near.clear()
                self.offer_neighbours(self.best)
                self.offer_refits(self.best)
            turns += 1
            waiting = (self.far or self.near) if turns % 2 else (self.near or self.far)
            if not waiting:
                return
            trial = self.attempt(heappop(waiting)[2])
            if trial is not None and trial is not self.best:
                self.offer_refits(trial)

    def other_courses(self, start: CarcassInput) -> None:
        """Offer the best layouts so far with another height of the courses."""
        for trial in [t for t in self.known() if t.fits][:2]:
            self.offer(trial.lines, start.course_from, trial.sheets)

    # --- proof and last words

    def exhaust(self, starts: Sequence[CarcassInput]) -> int:
        """Try every layout over the stated places that can still be cheaper, if those are few.

        Returns
        -------
        int
            How many places there are; 0 where the layouts are too many.
        """
        left: list[tuple[int, CarcassInput]] = []
        count = 0
        for start in starts:
            floor = self.floor(start)
            if floor is None:
                continue
            places = positions(start, self.runs, self.terms.most)
            count = max(count, sum(map(len, places)))

            def cheap(lines: Lines, floor: Floor = floor) -> bool:
                return not self.hopeless(floor.cost(lines))

            for lines in layouts(places, self.runs, self.terms.most, self.pitch, cheap):
                left.append(
                    (floor.cost(lines), replace(self.base, course_from=start.course_from, lines=lines))
                )
                if len(left) > EXHAUST:
                    return 0
        for _, given in sorted(left, key=lambda item: item[0]):
            self.attempt(given)
        return max(count, 1)

    def close(self, whole: bool) -> None:
        """Cut every module that may be the best, and the likeliest of the others (all of them for a proof)."""
        others = 0
        for trial in self.known():
            if trial.rank is None:
                others += not trial.module
                if trial.module or whole or others <= CLOSE:
                    self.settle(trial)

    def finish(self) -> None:
        """With more time for cutting, cut every layout again that may be the best then."""
        if self.quick == self.cutting:
            return
        ranked = sorted((t for t in self.known() if t.rank is not None), key=lambda t: (t.rank, t.order))
        others = 0
        self.best = None
        for trial in ranked:
            others += not trial.module
            if self.hopeless(trial.least) or (others > FINALISTS and not trial.module):
                continue
            trial.rank = rank_of(cut_carcass(trial.given, self.cutting), self.terms.snug)
            if self.best is None or self.best.rank is None or trial.rank < self.best.rank:
                self.best = trial

    def cheapest_module(self) -> Trial | None:
        """Return the cheapest module tried; None when none can be built."""
        cut = [t for t in self.known() if t.module and t.rank is not None]
        return min(cut, key=lambda t: (t.rank, t.order), default=None)

    def least_of_all(self) -> int:
        """Return what any layout costs at the least: as few studs as the limit allows, over all starts of courses."""
        return min(floor.least() for floor in self.floors.values() if floor is not None)

    def reasons(self) -> Iterable[Refusal]:
        """Return why the attempt that came furthest cannot be built, with the nearest changes that help."""
        if not self.refused:
            return ()
        _, refusals, given = min(self.refused, key=lambda item: (item[0], len(item[1])))
        try:
            carcass(given)
        except OptionError as error:
            return error.refusals
        return refusals
