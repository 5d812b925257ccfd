"""One course of one lining: every way to lay boards along it, best first.

A run is a stretch of a course that no opening cuts through. Joints fall on joint lines; each board reaches from
one to another. All lengths are integers of 0.1 mm.
"""

from __future__ import annotations

import copy
from bisect import bisect_left
from collections.abc import Sequence
from itertools import pairwise

from wallcalc.boarding.course import CAUTION, CENT, Course, Laid, Schedule
from wallcalc.boarding.courses import Lining
from wallcalc.boarding.laid_boards import laid_boards
from wallcalc.boarding.ways import Board, Grid, Scores
from wallcalc.framing.joint_lines import JointLine
from wallcalc.geometry.rectangles import Rect
from wallcalc.site.site import Site
from wallcalc.trade.price_records import SheetStock

BOTH = (("bound", "cut"), ("cut", "bound"))
"""Kinds of the ends of an upright board that is ripped: either edge may be the cut one."""


class RunLayer:
    """Lays boards along the runs of a lining's courses.

    Parameters
    ----------
    lining : Lining
        What is laid.
    site : Site
        The place, with the rules in force.
    lines : sequence of JointLine
        Where joints may fall.
    sheet : SheetStock
        One that suits.
    timber_price : float
        Cents per 0.1 mm of stud.
    holes : sequence of tuple of int
        Holes for services in the lining, which its joints keep off.
    """

    def __init__(
        self,
        lining: Lining,
        site: Site,
        lines: Sequence[JointLine],
        sheet: SheetStock,
        timber_price: float,
        holes: Sequence[Rect] = (),
    ) -> None:
        rules = site.rules
        self.lining, self.thickness = lining, site.thickness
        self.lines, self.line_at, self.holes = lines, {line.x: line for line in lines}, tuple(holes)
        self.timber_price, self.sheet_price = timber_price, sheet.price
        self.least, self.hole_edge = rules.least_strip, rules.hole_edge
        kinds = ("bound", "cut")
        self.needs = {(a, b): rules.centred(a, b) for a in kinds for b in kinds}
        self.boards = laid_boards(lining.lying, lining.widest, (sheet.length, sheet.width), site)
        self._light: dict[tuple[Course, tuple[int, ...]], Grid] = {}
        self._grids: dict[tuple, tuple[Grid, Grid]] = {}
        self._found: dict[tuple, list[Schedule]] = {}
        self._ways: dict[tuple, Schedule] = {}

    def beside(self, holes: Sequence[Rect], sheet_price: int) -> RunLayer:
        """Return the same boards in a lining with other holes and of another price; what they share is shared."""
        other = copy.copy(self)
        other.holes, other.sheet_price = tuple(holes), sheet_price
        other._found, other._ways = {}, {}
        return other

    def runs(self, course: Course, length: int) -> list[tuple[int, int]]:
        """Return the stretches of a course that no opening, ceiling or floor cuts through, left to right."""
        found: list[tuple[int, int]] = []
        for patch in self.boards.patches((0, course.bottom, length, course.top)):
            left, right = patch.box[0], patch.box[2]
            if found and left < found[-1][1]:
                left, right = found[-1][0], max(right, found.pop()[1])
            found.append((left, right))
        return found

    def schedules(self, course: Course, left: int, right: int, most: int, rivals: int) -> list[Schedule]:
        """Return ways to lay a run that leave room for one another, best first.

        The best ways tend to want the same studs, and no two linings may share one; so beside the best ways there
        are the best that keep off the joints of the ones before, and the best that keep off one of their joints.
        Each kind is sought twice: by timber alone, and with boards weighed by how hard they are to cut together.
        """
        grids = self._grid(course, left, right)
        key = (grids, most, rivals)
        if key not in self._found:
            self._found[key] = self._seek(grids, course, most, rivals)
        return self._found[key]

    def _seek(self, grids: tuple[Grid, Grid], course: Course, most: int, rivals: int) -> list[Schedule]:
        found: dict[tuple, Schedule] = {}

        def seek(number: int, grid: Grid, barred: frozenset[int]) -> list[Schedule]:
            ways = [self._schedule(course, grid.right, state) for state in grid.best(number, barred)]
            for way in ways:
                found.setdefault((way.joints, way.shapes), way)
            return ways

        for grid in grids:
            barred: frozenset[int] = frozenset()
            first: Schedule | None = None
            for _ in range(rivals):
                ways = seek(most, grid, barred)
                if not ways:
                    break
                first = first or ways[0]
                if not ways[0].joints:
                    break
                barred |= {x for x, _, _ in ways[0].joints}
            if first is not None and rivals > 1 and len(first.joints) > 1:
                for x, _, _ in first.joints:
                    seek(2, grid, frozenset((x,)))
        return sorted(found.values(), key=lambda w: (w.score, w.joints))

    def other_ways(
        self,
        course: Course,
        left: int,
        right: int,
        most: int,
        barred: frozenset[int],
        narrow: frozenset[int] = frozenset(),
    ) -> list[Schedule]:
        """Return the best ways to lay a run that keep off some lines, by timber and by what cuts together.

        On ``narrow`` lines only joints fall that one stud is enough for.
        """
        grids = self._grid(course, left, right)
        key = (grids, most, barred, narrow)
        if key not in self._found:
            found: dict[tuple, Schedule] = {}
            for grid in grids:
                for state in grid.best(most, barred, narrow):
                    way = self._schedule(course, grid.right, state)
                    found.setdefault((way.joints, way.shapes), way)
            self._found[key] = list(found.values())
        return self._found[key]

    def _grid(self, course: Course, left: int, right: int) -> tuple[Grid, Grid]:
        """Every board that may lie in a run, by its right end, with what it and its left joint cost.

        Twice: boards by themselves, and weighed by how hard they are to cut together.
        """
        key = (course, left, right, self.holes, self.sheet_price)
        if key not in self._grids:
            inside = [line.x for line in self.lines if left < line.x < right]
            places = (left, *(x for x in inside if not self._at_hole(x, course)), right)
            light = self._light.get((course, places))
            if light is None:
                light = self._light[course, places] = self._boards_over(course, places)
            same = (course, places, self.sheet_price)
            if same not in self._grids:
                self._grids[same] = light, light.weighed(self._weighed(course, light.ends))
            self._grids[key] = self._grids[same]
        return self._grids[key]

    def _weighed(
        self, course: Course, ends: Sequence[tuple[int, list[Board]]]
    ) -> list[tuple[int, list[Board]]]:
        known = self.boards.scores_in(course)

        def more(left: int, right: int) -> int:
            score = known.get((left, right)) or self.boards.score(course, left, right)
            assert score is not None
            return int(self.sheet_price * score[1]) * CENT

        return [
            (b, [(a, least + (w := more(a, b)), light + w, ways) for a, least, light, ways in boards])
            for b, boards in ends
        ]

    def _boards_over(self, course: Course, places: tuple[int, ...]) -> Grid:
        """Every board over the places of a run that can be joined at its left end."""
        left, right, lying, widest = places[0], places[-1], self.lining.lying, self.lining.widest
        sides = ("cut",) if lying else ("bound", "cut")
        joints: dict[tuple[int, str], tuple[int, Scores, Scores]] = {(left, ""): (0, {"": 0}, {"": 0})}
        wide: set[int] = set()
        for x in places[1:-1]:
            for side in sides:
                scores = {s: v for s in sides if (v := self._joint_score(x, s, side, course)) is not None}
                if scores:
                    slim = {s: v for s, v in scores.items() if self.needs[s, side] <= self.thickness}
                    joints[x, side] = min(scores.values()), scores, slim
                    if len(slim) < len(scores):
                        wide.add(x)
        whole, both = sides[0], BOTH if len(sides) > 1 else ((sides[0], sides[0]),)
        known = self.boards.scores_in(course)
        starts = list(dict.fromkeys(x for x, _ in joints))
        # how boards from each start lie: ripped, as wide as the sheet, at the end of the run
        ways = {}
        for x in starts:
            at_left = "" if x == left else whole
            kinds = [both if at_left else (("", whole),), ((at_left, whole),), ((at_left, ""),)]
            ways[x] = [tuple((r, k, *joints[x, k]) for k, r in some if (x, k) in joints) for some in kinds]
        ends: list[tuple[int, list[Board]]] = []
        for i, b in enumerate([*starts[1:], right], start=1):
            boards: list[Board] = []
            for a in starts[bisect_left(starts, b - self.lining.reach) : i]:
                score = known.get((a, b)) or self.boards.score(course, a, b)
                own = ways[a][2 if b == right else 1 if b - a == widest else 0]
                if score is not None and own:
                    boards.append((a, score[0] + min([way[2] for way in own]), score[0], own))
            ends.append((b, boards))
        return Grid(left, right, ends, frozenset(wide))

    def _at_hole(self, x: int, course: Course) -> bool:
        """Whether a joint on a line would come nearer to a hole in the course than its edge allows."""
        edge = self.hole_edge
        return any(
            a - edge < x < c + edge and b - edge < course.top and course.bottom < d + edge
            for a, b, c, d in self.holes
        )

    def _joint_score(self, x: int, left_kind: str, right_kind: str, course: Course) -> int | None:
        line = self.line_at[x]
        need = self.needs[left_kind, right_kind]
        added = line.single if need <= self.thickness else line.pair
        tall = self.boards.tall(course, x, x)
        if added is None or need > 2 * self.thickness or tall < self.least:
            return None
        score = int(added * self.timber_price) * CENT
        if line.caution:
            score += CAUTION
        if left_kind != "bound" or right_kind != "bound":
            score += tall // 10
        return score

    def _schedule(self, course: Course, right: int, state: tuple) -> Schedule:
        places: list[tuple] = []
        b = right
        while state[5] is not None:
            _, _, right_kind, left_kind, a, before = state
            places.append((a, b, left_kind, right_kind))
            b, state = a, before
        key = (course, *places)
        if key not in self._ways:
            self._ways[key] = self._way(
                course, [self.boards.board(course, *place) for place in reversed(places)]
            )
        return self._ways[key]

    def _way(self, course: Course, boards: Sequence[Laid]) -> Schedule:
        joints = []
        light = heavy = 0
        for board in boards:
            scores = self.boards.score(course, board.left, board.right)
            assert scores is not None
            light += scores[0]
            heavy += scores[0] + int(self.sheet_price * scores[1]) * CENT
        for a, b in pairwise(boards):
            left_kind, right_kind = a.kinds[0][1], b.kinds[0][0]
            need = self.needs[left_kind, right_kind]
            tall = self.boards.tall(course, b.left, b.left)
            joints.append((b.left, need, tall))
            if self.line_at[b.left].caution:
                light, heavy = light + CAUTION, heavy + CAUTION
            if left_kind != "bound" or right_kind != "bound":
                light, heavy = light + tall // 10, heavy + tall // 10
        shapes = tuple(shape for board in boards for shape in board.shapes)
        return Schedule(tuple(boards), tuple(joints), light, heavy, shapes)
