"""Joining the ways to lay runs into whole boardings: which may stand together, and what timber they take.

All lengths are integers of 0.1 mm.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from wallcalc.board_course import CENT, Course, Schedule
from wallcalc.joint_lines import JointLine

FEW = 4
"""Ways sought afresh where the ways kept leave fewer that fit."""


@dataclass(frozen=True, slots=True)
class Slot:
    """One run of one course of one lining, the best ways to lay it, and more that keep off some lines."""

    lining: int
    course: Course
    schedules: tuple[Schedule, ...]
    more: Callable[[frozenset[int], frozenset[int]], list[Schedule]] = field(compare=False)


@dataclass(slots=True)
class Partial:
    """Schedules chosen so far, with scores, the stud lines they use, and their joints (x, lining, bottom, top)."""

    score: int
    heavy: int
    chosen: tuple[Schedule, ...]
    lines: dict[int, int]
    joints: tuple[tuple[int, int, int, int], ...]


class Joiner:
    """Joins schedules of slots, keeping the rules that hold between them."""

    def __init__(
        self, lines: Sequence[JointLine], timber_price: float, thickness: int, least_bay: int
    ) -> None:
        self.line_at = {line.x: line for line in lines}
        self.places = sorted(self.line_at)
        self.timber_price, self.thickness, self.least_bay = timber_price, thickness, least_bay

    def cost(self, lines: Mapping[int, int]) -> int:
        """Cents of timber that joint lines add."""
        return round(sum(self._added(x, level) for x, level in lines.items()) * self.timber_price)

    def _added(self, x: int, level: int) -> int:
        line = self.line_at[x]
        return (line.single if level == 1 else line.pair) or 0

    def extend(self, partials: list[Partial], slot: Slot, most: int) -> tuple[list[Partial], bool]:
        """Join a slot's schedules to partial boardings; return the best of them and whether those are all."""
        bottom, top = slot.course.bottom, slot.course.top
        found: list[tuple[int, int, Partial, Schedule, dict[int, int]]] = []
        for partial in partials:
            taken = {j[0] for j in partial.joints if self._meets(j, slot.lining, bottom, top)}
            shut = self._shut(1, partial.lines), self._shut(2, partial.lines)
            fitting = self._fitting(partial, slot.schedules, taken, shut)
            if len(fitting) < min(FEW, len(slot.schedules)):
                barred = frozenset(taken | {x for x in shut[0] if x not in partial.lines})
                narrow = frozenset(x for x in shut[1] if partial.lines.get(x, 0) < 2) - barred
                fitting += self._fitting(partial, slot.more(barred, narrow), taken, shut)
            found += fitting
        light = sorted(range(len(found)), key=lambda i: (found[i][0], i))[:most]
        heavy = sorted(range(len(found)), key=lambda i: (found[i][1], i))[:most]
        kept = []
        for i in dict.fromkeys(i for pair in zip(light, heavy, strict=True) for i in pair):
            score, weighed, partial, schedule, lines = found[i]
            joints = partial.joints + tuple((x, slot.lining, bottom, top) for x, _, _ in schedule.joints)
            kept.append(Partial(score, weighed, (*partial.chosen, schedule), lines, joints))
        return kept, len(kept) == len(found)

    def _fitting(
        self,
        partial: Partial,
        schedules: Iterable[Schedule],
        taken: set[int],
        shut: tuple[set[int], set[int]],
    ) -> list[tuple[int, int, Partial, Schedule, dict[int, int]]]:
        """Schedules that keep the rules with a partial boarding, with the scores and lines of both together."""
        before = self.cost(partial.lines)
        fitting = []
        for schedule in schedules:
            lines = self._lines(partial.lines, schedule, taken, shut)
            if lines is None:
                continue
            timber = 0 if lines is partial.lines else (self.cost(lines) - before) * CENT
            fitting.append(
                (
                    partial.score + schedule.score + timber,
                    partial.heavy + schedule.heavy + timber,
                    partial,
                    schedule,
                    lines,
                )
            )
        return fitting

    def rebuild(self, slots: Sequence[Slot], chosen: tuple[Schedule, ...]) -> Partial | None:
        """Return a whole boarding of chosen schedules, or None when they break a rule between them."""
        partial = Partial(0, 0, chosen, {}, ())
        for slot, schedule in zip(slots, chosen, strict=True):
            bottom, top = slot.course.bottom, slot.course.top
            taken = {j[0] for j in partial.joints if self._meets(j, slot.lining, bottom, top)}
            lines = self._lines(partial.lines, schedule, taken)
            if lines is None:
                return None
            partial.lines = lines
            partial.joints += tuple((x, slot.lining, bottom, top) for x, _, _ in schedule.joints)
            partial.score += schedule.score
        partial.score += self.cost(partial.lines) * CENT
        return partial

    def _meets(self, joint: tuple[int, int, int, int], lining: int, bottom: int, top: int) -> bool:
        """Whether a joint at the same line would share its stud at the same height."""
        if joint[1] == lining:
            return joint[2] <= top and joint[3] >= bottom
        return joint[2] < top and joint[3] > bottom

    def _lines(
        self,
        lines: dict[int, int],
        schedule: Schedule,
        taken: set[int],
        shut: tuple[set[int], set[int]] | None = None,
    ) -> dict[int, int] | None:
        """Lines with those of a schedule; ``shut`` tells where no stud, or no pair, can stand beside the lines."""
        added: dict[int, int] = {}
        for x, need, _ in schedule.joints:
            if x in taken:
                return None
            level = 1 if need <= self.thickness else 2
            if (added.get(x) or lines.get(x, 0)) >= level:
                continue
            line = self.line_at[x]
            if (line.single if level == 1 else line.pair) is None:
                return None
            closed = not self._room(x, level, lines) if shut is None else x in shut[level - 1]
            if closed or (added and not self._room(x, level, added)):
                return None
            added[x] = level
        return {**lines, **added} if added else lines

    def _room(self, x: int, level: int, lines: Mapping[int, int]) -> bool:
        """Whether a stud, or a pair, can stand on a line beside others."""
        half = self.thickness // 2 * level
        for other, other_level in lines.items():
            if other == x:
                continue
            gap = abs(other - x) - half - self.thickness // 2 * other_level
            if gap < 0 or 0 < gap < self.least_bay:
                return False
        return True

    def _shut(self, level: int, lines: Mapping[int, int]) -> set[int]:
        """Lines on which no stud, or no pair, can stand beside others: those without room."""
        found: set[int] = set()
        for other, other_level in lines.items():
            tight = self.thickness // 2 * (level + other_level)
            far = tight + self.least_bay
            near = self.places[bisect_right(self.places, other - far) : bisect_left(self.places, other + far)]
            found.update(x for x in near if x != other and abs(x - other) != tight)
        return found
