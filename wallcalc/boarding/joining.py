"""Joining the ways to lay runs into whole boardings: which may stand together, and what timber they take.

All lengths are integers of 0.1 mm.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import combinations, pairwise
from typing import NamedTuple

from wallcalc.boarding.course import CENT, Course, Schedule
from wallcalc.framing.joint_lines import JointLine

FEW = 4
"""Ways sought afresh where the ways kept leave fewer that fit."""


@dataclass(frozen=True, slots=True)
class Slot:
    """One run of one course of one lining, the best ways to lay it, and more that keep off some lines."""

    lining: int
    course: Course
    schedules: tuple[Schedule, ...]
    more: Callable[[frozenset[int], frozenset[int]], list[Schedule]] = field(compare=False)


@dataclass(frozen=True, slots=True)
class Partial:
    """Schedules chosen so far, with scores, the stud lines they use, and the length of timber those add, 0.1 mm."""

    score: int
    heavy: int
    chosen: tuple[Schedule, ...]
    lines: Mapping[int, int]
    added: int


class _Wants(NamedTuple):
    """What a schedule asks of the lines: where its joints are; 1 for one stud or 2 for a pair, and how long those are.

    ``simple`` tells that there is room for all of those timbers beside one another.
    """

    at: frozenset[int]
    levels: tuple[tuple[int, int, int], ...]
    simple: bool
    schedule: Schedule


_Fit = tuple[int, int, Partial, Schedule, list[tuple[int, int]], int]
"""A schedule that fits a partial boarding: scores of both, both, the lines it adds, length of timber of both."""


class Joiner:
    """Joins schedules of slots, in the order of the slots, keeping the rules that hold between them."""

    def __init__(
        self,
        slots: Sequence[Slot],
        lines: Sequence[JointLine],
        timber_price: float,
        thickness: int,
        least_bay: int,
    ) -> None:
        self.slots = slots
        self.line_at = {line.x: line for line in lines}
        self.places = sorted(self.line_at)
        self.timber_price, self.thickness, self.least_bay = timber_price, thickness, least_bay
        self.near = [
            [k for k, other in enumerate(slots[:i]) if _meet(slot, other)] for i, slot in enumerate(slots)
        ]
        self._wants: dict[int, _Wants] = {}
        self._closed: dict[tuple[int, int, int], list[int]] = {}

    def cost(self, added: int) -> int:
        """Cents of timber of a length that joint lines add."""
        return round(added * self.timber_price)

    def _added(self, x: int, level: int) -> int:
        line = self.line_at[x]
        return (0, line.single or 0, line.pair or 0)[level]

    def _wanted(self, schedule: Schedule) -> _Wants:
        wants = self._wants.get(id(schedule))
        if wants is None:
            levels = tuple([(x, 1 if need <= self.thickness else 2) for x, need, _ in schedule.joints])
            apart = self.least_bay + 2 * self.thickness
            simple = all(y - x >= apart for (x, _), (y, _) in pairwise(levels)) and all(
                self._stands(x, level) for x, level in levels
            )
            wants = _Wants(
                frozenset([x for x, _ in levels]),
                tuple([(x, level, self._added(x, level)) for x, level in levels]),
                simple,
                schedule,
            )
            self._wants[id(schedule)] = wants
        return wants

    def _stands(self, x: int, level: int) -> bool:
        """Whether there is room for a stud, or a pair, on a line."""
        line = self.line_at[x]
        return (line.single if level == 1 else line.pair) is not None

    def _room(self, more: Sequence[tuple[int, int]]) -> bool:
        """Whether there is room for timbers that are put on lines together."""
        return all(self._stands(x, level) for x, level in more) and all(
            self._beside(x, level, y, other) for (x, level), (y, other) in combinations(more, 2)
        )

    def extend(self, partials: Sequence[Partial], most: int) -> tuple[list[Partial], bool]:
        """Join the next slot's schedules to partial boardings; return the best of them and whether those are all."""
        at = len(partials[0].chosen)
        slot, near = self.slots[at], self.near[at]
        offers = [self._wanted(schedule) for schedule in slot.schedules]
        found: list[_Fit] = []
        for partial in partials:
            taken = frozenset().union(*[self._wanted(partial.chosen[k]).at for k in near])
            shut = self._shut(1, partial.lines), self._shut(2, partial.lines)
            fitting = self._fitting(partial, offers, taken, shut)
            if len(fitting) < min(FEW, len(offers)):
                barred = taken | (shut[0] - partial.lines.keys())
                narrow = frozenset([x for x in shut[1] if partial.lines.get(x, 0) < 2]) - barred
                others = [self._wanted(schedule) for schedule in slot.more(barred, narrow)]
                fitting += self._fitting(partial, others, taken, shut)
            found += fitting
        light = sorted(range(len(found)), key=lambda i: (found[i][0], i))[:most]
        heavy = sorted(range(len(found)), key=lambda i: (found[i][1], i))[:most]
        kept = []
        for i in dict.fromkeys(i for pair in zip(light, heavy, strict=True) for i in pair):
            score, weighed, partial, schedule, more, added = found[i]
            lines = {**partial.lines, **dict(more)} if more else partial.lines
            kept.append(Partial(score, weighed, (*partial.chosen, schedule), lines, added))
        return kept, len(kept) == len(found)

    def _fitting(
        self,
        partial: Partial,
        offers: Iterable[_Wants],
        taken: frozenset[int],
        shut: tuple[set[int], set[int]],
    ) -> list[_Fit]:
        """Schedules that keep the rules with a partial boarding, with the scores and timber of both together."""
        before, score, heavy = self.cost(partial.added), partial.score, partial.heavy
        own, price = partial.lines.get, self.timber_price
        fitting: list[_Fit] = []
        for wants in offers:
            if not taken.isdisjoint(wants.at):
                continue
            more, added = [], partial.added
            for x, level, length in wants.levels:
                have = own(x, 0)
                if have < level:
                    if x in shut[level - 1]:
                        break
                    more.append((x, level))
                    added += length if not have else length - self._added(x, have)
            else:
                schedule = wants.schedule
                timber = 0
                if more:
                    if not (wants.simple or self._room(more)):
                        continue
                    timber = (round(added * price) - before) * CENT
                way = (score + schedule.score + timber, heavy + schedule.heavy + timber)
                fitting.append((*way, partial, schedule, more, added))
        return fitting

    def join_all(self, partial: Partial | None, schedules: Iterable[Schedule]) -> Partial | None:
        """Return a whole boarding of a part and the schedules of all other slots; None where they break a rule."""
        for schedule in schedules:
            if partial is None:
                return None
            partial = self.join(partial, schedule)
        return (
            None
            if partial is None
            else replace(partial, score=partial.score + self.cost(partial.added) * CENT)
        )

    def join(self, partial: Partial, schedule: Schedule) -> Partial | None:
        """Return a part with the next slot's schedule, its score without timber; None where they break a rule."""
        wants, chosen, lines = self._wanted(schedule), partial.chosen, partial.lines
        if not all(self._wanted(chosen[k]).at.isdisjoint(wants.at) for k in self.near[len(chosen)]):
            return None
        more, added = [], partial.added
        for x, level, length in wants.levels:
            have = lines.get(x, 0)
            if have < level:
                if not all(y == x or self._beside(x, level, y, other) for y, other in lines.items()):
                    return None
                more.append((x, level))
                added += length - self._added(x, have)
        if more:
            if not (wants.simple or self._room(more)):
                return None
            lines = {**lines, **dict(more)}
        return Partial(partial.score + schedule.score, 0, (*chosen, schedule), lines, added)

    def _beside(self, x: int, level: int, y: int, other: int) -> bool:
        """Whether a stud, or a pair, on one line can stand beside that on another."""
        half = self.thickness // 2
        gap = abs(x - y) - half * level - half * other
        return gap == 0 or gap >= self.least_bay

    def _shut(self, level: int, lines: Mapping[int, int]) -> set[int]:
        """Lines on which no stud, or no pair, can stand beside others: those without room."""
        found: set[int] = set()
        for other, other_level in lines.items():
            key = (level, other, other_level)
            closed = self._closed.get(key)
            if closed is None:
                far = self.thickness // 2 * (level + other_level) + self.least_bay
                near = self.places[
                    bisect_right(self.places, other - far) : bisect_left(self.places, other + far)
                ]
                closed = [x for x in near if x != other and not self._beside(x, level, other, other_level)]
                self._closed[key] = closed
            found.update(closed)
        return found


def _meet(slot: Slot, other: Slot) -> bool:
    """Whether joints of two runs on the same line would share its stud at the same height."""
    a, b = slot.course, other.course
    if slot.lining == other.lining:
        return b.bottom <= a.top and b.top >= a.bottom
    return b.bottom < a.top and b.top > a.bottom
