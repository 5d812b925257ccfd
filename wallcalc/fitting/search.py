"""The search over stud layouts: modules first, then by turns layouts refitted to joints and single studs moved."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from heapq import heappop, heappush
from itertools import cycle, islice

from wallcalc.buying.cut_plans import CuttingRules, cut_carcass
from wallcalc.carcass.build import (
    CarcassInput,
    build_carcass,
    carcass,
    linings_of,
    stand,
    standing,
)
from wallcalc.errors import OptionError, Refusal
from wallcalc.fitting.bound import Floor
from wallcalc.fitting.candidates import (
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
from wallcalc.fitting.terms import Terms
from wallcalc.fitting.trial import Trial, cut_trial, rank_of, try_layout
from wallcalc.framing.stud_lines import fixed_uprights

WORK = 600_000
"""Length of courses boarded without a better layout before the search ends, 0.1 mm (a bound on the search, not a
trade rule), and so many times that in all, within these limits of layouts."""
LEAST_PATIENCE, MOST_PATIENCE = 5, 14
IN_ALL = 3
CLOSE, CLOSE_BY = 6, 1.02
"""Layouts besides the modules that are cut exactly at the end, the likeliest first, and by how much they may look
dearer than the best."""
EXHAUST = 40
"""Most layouts tried for a proof over the stated places."""
LOOKS = 20_000
"""Layouts, whole or begun, that are looked at to find those."""
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
        self.asked: set[tuple[str | float, Lines]] = set()
        self.offered: set[tuple[str | float, Lines]] = set()
        self.trials: dict[tuple, Trial | None] = {}
        self.far: list[tuple[int, int, CarcassInput]] = []
        self.near: list[tuple[int, int, CarcassInput]] = []
        self.left: list[tuple[int, int, CarcassInput]] = []
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

    def attempt(
        self, given: CarcassInput, module: bool = False, anyway: bool = False, near: bool = False
    ) -> Trial | None:
        """Try a layout, and cut it exactly when it looks the best; None when it is no good or was tried.

        Before it is boarded its studs are laid for hung items: then it is told what it costs at the least with them,
        and whether another layout has come out with the same studs. A module that is too dear by that is left, and
        boarded ``anyway`` when another is wanted to refit; one with a single stud moved (``near``) only where it is not
        like another.
        """
        found, floor = self.least(given), self.floor(given)
        if found is None or floor is None or (self.hopeless(found[0]) and not module):
            return None
        self.asked.add((given.course_from, found[1]))
        fits = module or self.keeps(found[1])
        try:
            base = standing(given)
            key = (given.course_from, fits, tuple(tuple((u.x, u.zone) for u in way) for way in base.ways))
            if key in self.trials or (near and self.like_another(key)):
                return None
            least = max(found[0], floor.standing(base))
            if self.hopeless(least) and not anyway:
                if module:
                    self.serial += 1
                    heappush(self.left, (least, self.serial, given))
                return None
            self.spent += anyway or not module
            self.trials[key] = None
            trial = try_layout(given, found[1], self.quick, least, fits, module, len(self.trials))
        except OptionError as error:
            self.refused.append((0, tuple(error.refusals), given))
            return None
        self.trials[key] = trial
        if self.best is None or trial.estimate < self.best.estimate:
            self.settle(trial)
        return trial

    def like_another(self, key: tuple) -> bool:
        """Return whether a layout was tried whose studs all stand within their thickness of these."""
        return any(_alike(key, other, self.thickness) for other in self.trials)

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
        if (start, lines) in self.offered:
            return
        self.offered.add((start, lines))
        given = replace(self.base, course_from=start, lines=lines)
        found = self.least(given)
        floor = self.floor(given)
        if found is None or floor is None or (start, found[1]) in self.asked:
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
                near = sorted((y for y in own if abs(y - x) > self.thickness), key=lambda y: (abs(y - x), y))
                for y in near[:2]:
                    moved = tuple(sorted((*rest, y)))
                    if self.keeps(moved):
                        self.offer(moved, start, trial.sheets, True)

    def explore(self) -> None:
        """Try by turns what was offered, what lies one stud from the best, and a module that was left.

        Until the trials are used up, or several in turn have found nothing cheaper.
        """
        if not self.known():
            return
        around: Trial | None = None
        turns = cycle((self.far, self.near, self.left))
        courses = sum(len(lining.courses) for lining in linings_of(self.base))
        patience = WORK // (courses * self.base.wall.length)
        patience = min(MOST_PATIENCE, max(LEAST_PATIENCE, patience))
        since, cost = 0, self.cost
        while self.spent < IN_ALL * patience and self.spent - since < patience:
            if self.best is not around and self.best is not None:
                around = self.best
                self.offered -= {(given.course_from, given.lines or ()) for *_, given in self.near}
                self.near.clear()
                self.offer_neighbours(self.best)
                self.offer_refits(self.best)
            waiting = next((kind for kind in islice(turns, 3) if kind), None)
            if waiting is None:
                return
            left = waiting is self.left
            trial = self.attempt(heappop(waiting)[2], left, left, waiting is self.near)
            if trial is not None and trial is not self.best:
                self.offer_refits(trial)
            if self.cost != cost:
                since, cost = self.spent, self.cost

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
        count = looks = 0
        for start in starts:
            floor = self.floor(start)
            if floor is None:
                continue
            places = positions(start, self.runs, self.terms.most)
            count = max(count, sum(map(len, places)))

            def cheap(lines: Lines, floor: Floor = floor) -> bool:
                nonlocal looks
                looks += 1
                return looks <= LOOKS and not self.hopeless(floor.cost(lines))

            for lines in layouts(places, self.runs, self.terms.most, self.pitch, cheap):
                left.append(
                    (floor.cost(lines), replace(self.base, course_from=start.course_from, lines=lines))
                )
                if len(left) > EXHAUST:
                    return 0
            if looks > LOOKS:
                return 0
        for _, given in sorted(left, key=lambda item: item[0]):
            self.attempt(given)
        return max(count, 1)

    def close(self, whole: bool) -> None:
        """Cut every module that may be the best, and the likeliest of the others (all of them for a proof)."""
        others = 0
        for trial in self.known():
            if trial.rank is not None:
                continue
            others += not trial.module
            likely = others <= CLOSE and (self.cost is None or trial.estimate <= self.cost * CLOSE_BY)
            if trial.module or whole or likely:
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


def _alike(key: tuple, other: tuple, reach: int) -> bool:
    """Whether two layouts have the same studs, none of them further apart than a reach."""
    if key[:2] != other[:2] or [len(way) for way in key[2]] != [len(way) for way in other[2]]:
        return False
    return all(
        zone == at and abs(x - y) <= reach
        for way, same in zip(key[2], other[2], strict=True)
        for (x, zone), (y, at) in zip(way, same, strict=True)
    )
