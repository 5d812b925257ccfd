"""One course of one lining: every way to lay boards along it, best first.

A run is a stretch of a course that no opening cuts through. Joints fall on joint lines; each board reaches from
one to another. All lengths are integers of 0.1 mm.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from functools import lru_cache
from itertools import pairwise

from wallcalc.board_course import CAUTION, CENT, PIECE, Course, Laid, Schedule, Shape, cut_outs_of, runs
from wallcalc.board_ways import Board, Grid, Scores
from wallcalc.courses import Lining
from wallcalc.frame_rules import FrameRules
from wallcalc.geometry import Patch, Rect, subtract
from wallcalc.joint_lines import JointLine
from wallcalc.profile import Profile
from wallcalc.records import Clear
from wallcalc.sloped import between


class RunLayer:
    """Lays boards along the runs of a lining's courses.

    Parameters
    ----------
    lining : Lining
        What is laid.
    clears : sequence of Clear
        Structural openings.
    lines : sequence of JointLine
        Where joints may fall.
    rules : FrameRules
        The rules in force.
    thickness : int
        Stud thickness, 0.1 mm.
    sheet_price : int
        Price of one sheet that suits, cents; ``sheet_size`` its (length, width), 0.1 mm.
    timber_price : float
        Cents per 0.1 mm of stud.
    holes : sequence of tuple of int
        Holes for services in the lining, which its joints keep off.
    profile : Profile, optional
        Lines of an uneven wall, which boards end at.
    """

    def __init__(
        self,
        lining: Lining,
        clears: Sequence[Clear],
        lines: Sequence[JointLine],
        rules: FrameRules,
        thickness: int,
        sheet_price: int,
        sheet_size: tuple[int, int],
        timber_price: float,
        holes: Sequence[Rect] = (),
        profile: Profile | None = None,
    ) -> None:
        self.lining, self.clears, self.rules, self.thickness = lining, tuple(clears), rules, thickness
        self.rects: list[Rect] = [(c.left, c.bottom, c.right, c.top) for c in clears]
        self.lines, self.line_at, self.holes = lines, {line.x: line for line in lines}, tuple(holes)
        self.sheet_price, self.sheet_size, self.timber_price = sheet_price, sheet_size, timber_price
        self.profile = profile
        self._laid: dict[tuple, Laid] = {}
        self._grids: dict[tuple[Course, int, int], Grid] = {}
        self._others: dict[tuple, list[Schedule]] = {}
        self._scores: dict[tuple[int, int, int, int], tuple[int, int]] = {}
        self._spans: dict[tuple[int, int], tuple[int, int]] = {}
        self._ways: dict[tuple, Schedule] = {}

    def runs(self, course: Course, length: int) -> list[tuple[int, int]]:
        """Return the stretches of a course that no opening, ceiling or floor cuts through, left to right."""
        if self.profile is None:
            return runs(course, length, self.clears)
        found: list[tuple[int, int]] = []
        for patch in self._patches((0, course.bottom, length, course.top)):
            left, right = patch.box[0], patch.box[2]
            if found and left < found[-1][1]:
                left, right = found[-1][0], max(right, found.pop()[1])
            found.append((left, right))
        return found

    def _patches(self, box: Rect) -> tuple[Patch, ...]:
        if self.profile is None:
            return subtract(box, self.rects)
        return _left_of(box, tuple(self.rects), self.profile.low, self.profile.high)

    def _tall(self, course: Course, left: int, right: int) -> int:
        """Height of a course between two distances from the left, from its lowest to its highest edge, 0.1 mm."""
        if self.profile is None:
            return course.top - course.bottom
        span = self._spans.get((left, right))
        if span is None:
            span = self._spans[left, right] = (
                self.profile.low.least(left, right),
                self.profile.high.most(left, right),
            )
        return min(course.top, span[1]) - max(course.bottom, span[0])

    def schedules(self, course: Course, left: int, right: int, most: int, rivals: int) -> list[Schedule]:
        """Return ways to lay a run that leave room for one another, best first.

        The best ways tend to want the same studs, and no two linings may share one; so beside the best ways there
        are the best that keep off the joints of the ones before, and the best that keep off one of their joints.
        Each kind is sought twice: by timber alone, and with boards weighed by how hard they are to cut together.

        Parameters
        ----------
        course : Course
            The course.
        left, right : int
            Ends of the run, 0.1 mm.
        most : int
            How many to keep of each kind.
        rivals : int
            How many linings compete for the studs.
        """
        found: dict[tuple, Schedule] = {}
        grid = self._grid(course, left, right)

        def seek(number: int, weigh: bool, barred: frozenset[int]) -> list[Schedule]:
            ways = [self._schedule(course, state) for state in grid.best(number, weigh, barred)]
            for way in ways:
                found.setdefault((way.joints, way.shapes), way)
            return ways

        for weigh in (False, True):
            barred: frozenset[int] = frozenset()
            first: Schedule | None = None
            for _ in range(rivals):
                ways = seek(most, weigh, barred)
                if not ways:
                    break
                first = first or ways[0]
                if not ways[0].joints:
                    break
                barred |= {x for x, _, _ in ways[0].joints}
            if first is not None and rivals > 1 and len(first.joints) > 1:
                for x, _, _ in first.joints:
                    seek(2, weigh, frozenset((x,)))
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
        key = (course, left, right, barred, narrow)
        if key not in self._others:
            grid = self._grid(course, left, right)
            found: dict[tuple, Schedule] = {}
            for weigh in (False, True):
                for state in grid.best(most, weigh, barred, narrow):
                    way = self._schedule(course, state)
                    found.setdefault((way.joints, way.shapes), way)
            self._others[key] = list(found.values())
        return self._others[key]

    def _grid(self, course: Course, left: int, right: int) -> Grid:
        """Every board that may lie in a run, by its right end, with what it and its left joint cost."""
        key = (course, left, right)
        if key in self._grids:
            return self._grids[key]
        inside = [line.x for line in self.lines if left < line.x < right]
        places = [left, *(x for x in inside if not self._at_hole(x, course)), right]
        ends: list[tuple[int, list[Board]]] = []
        start: Scores = {"": 0}
        at_joints = {(left, ""): (start, start)}
        for b_index in range(1, len(places)):
            b = places[b_index]
            boards: list[Board] = []
            for a in places[bisect_left(places, b - self.lining.reach) : b_index]:
                scores = self._board_score(course, a, b)
                if scores is None:
                    continue
                light, heavy = scores
                for left_kind, right_kind in self._ends(b - a, a == left, b == right):
                    if (a, left_kind) not in at_joints:
                        joints = {k: self._joint_score(a, k, left_kind, course) for k in ("bound", "cut")}
                        slim = {k: None if self._is_wide(k, left_kind) else v for k, v in joints.items()}
                        at_joints[a, left_kind] = joints, slim
                    place = (a, b, left_kind, right_kind)
                    boards.append((a, right_kind, place, light, heavy, *at_joints[a, left_kind]))
            ends.append((b, boards))
        self._grids[key] = Grid(left, right, ends)
        return self._grids[key]

    def _is_wide(self, left_kind: str, right_kind: str) -> bool:
        return self.rules.centred(left_kind, right_kind) > self.thickness

    def _at_hole(self, x: int, course: Course) -> bool:
        """Whether a joint on a line would come nearer to a hole in the course than its edge allows."""
        edge = self.rules.hole_edge
        return any(
            a - edge < x < c + edge and b - edge < course.top and course.bottom < d + edge
            for a, b, c, d in self.holes
        )

    def _ends(self, width: int, at_left: bool, at_right: bool) -> tuple[tuple[str, str], ...]:
        """Kinds that the two ends of a board may have ("" at the run's ends)."""
        left, right = ("" if at_left else "cut"), ("" if at_right else "cut")
        if self.lining.lying:
            return ((left, right),)
        bound_left, bound_right = left and "bound", right and "bound"
        if width == self.lining.widest:
            return ((bound_left, bound_right),)
        if at_left or at_right:
            return ((bound_left, bound_right),)
        return (("bound", "cut"), ("cut", "bound"))

    def _board(self, course: Course, left: int, right: int, left_kind: str, right_kind: str) -> Laid:
        key = (course.bottom, course.top, course.below, course.above, left, right, left_kind, right_kind)
        board = self._laid.get(key)
        if board is None:
            board = self._laid[key] = self._lay(course, left, right, left_kind, right_kind)
        return board

    def _lay(self, course: Course, left: int, right: int, left_kind: str, right_kind: str) -> Laid:
        box = (left, course.bottom, right, course.top)
        patches = self._patches(box)
        shapes, kinds = [], []
        for patch in patches:
            below = course.below if patch.box[1] == course.bottom else ""
            above = course.above if patch.box[3] == course.top else ""
            if self.lining.lying and patch.box[3] - patch.box[1] < self.lining.widest:
                if above and below:
                    below = "cut"
                    above = "bound"
                elif above or below:
                    below, above = below and "bound", above and "bound"
            sides = (left_kind, right_kind, below, above)
            kinds.append(sides)
            shapes.append(self._shape(patch, sides))
        return Laid(left, right, patches, tuple(shapes), tuple(kinds))

    def _shape(self, patch: Patch, kinds: tuple[str, str, str, str]) -> Shape:
        x0, y0, x1, y1 = patch.box
        lying = self.lining.lying
        along, across = (x1 - x0, y1 - y0) if lying else (y1 - y0, x1 - x0)
        long_edges = kinds[2:] if lying else kinds[:2]
        need = 2 if across == self.lining.widest else long_edges.count("bound")
        if need == 2 and across < self.lining.widest:
            need = 1
        low, high = (y0, y1) if lying else (x0, x1)
        bound_at = {
            edge for edge, kind in zip((low, high), long_edges, strict=True) if kind == "bound" or need == 2
        }
        cut_outs = cut_outs_of(patch, self.rects_in(patch.box), lying, bound_at)
        side = 0
        if need == 1 and cut_outs:
            side = -1 if long_edges[0] == "bound" else 1
        return along, across, need, cut_outs, side

    def rects_in(self, box: Rect) -> list[Rect]:
        """Return the parts of openings inside a box."""
        x0, y0, x1, y1 = box
        return [
            (max(a, x0), max(b, y0), min(c, x1), min(d, y1))
            for a, b, c, d in self.rects
            if a < x1 and c > x0 and b < y1 and d > y0
        ]

    def _board_score(self, course: Course, left: int, right: int) -> tuple[int, int] | None:
        """Score of a board without and with a weight on what is hard to cut together.

        None where a slope leaves less of it than takes a screw.
        """
        key = (course.bottom, course.top, left, right)
        scores = self._scores.get(key)
        if scores is None:
            if self.profile is None:
                boxes = [p.box for p in subtract((left, course.bottom, right, course.top), self.rects)]
                sides = [(x1 - x0, y1 - y0) for x0, y0, x1, y1 in boxes]
                sizes = sides if self.lining.lying else [side[::-1] for side in sides]
            elif self.rects_in((left, course.bottom, right, course.top)):
                sizes = [s[:2] for s in self._board(course, left, right, "", "").shapes]
            else:
                side = (right - left, self._tall(course, left, right))
                sizes = [side if self.lining.lying else side[::-1]]
            if self.profile is not None and any(min(s) < self.rules.least_strip for s in sizes):
                return None
            light = PIECE * len(sizes)
            if right - left < self.rules.narrow_strip:
                light += CAUTION
            length, width = self.sheet_size
            share = sum(_share(along, length) * _share(across, width) for along, across in sizes)
            scores = self._scores[key] = light, light + int(self.sheet_price * share) * CENT
        return scores

    def _joint_score(self, x: int, left_kind: str, right_kind: str, course: Course) -> int | None:
        line = self.line_at[x]
        need = self.rules.centred(left_kind, right_kind)
        added = line.single if need <= self.thickness else line.pair
        tall = self._tall(course, x, x)
        if added is None or need > 2 * self.thickness or tall < self.rules.least_strip:
            return None
        score = int(added * self.timber_price) * CENT
        if line.caution:
            score += CAUTION
        if left_kind != "bound" or right_kind != "bound":
            score += tall // 10
        return score

    def _schedule(self, course: Course, state: tuple) -> Schedule:
        places: list[tuple] = []
        while state[3] is not None:
            places.append(state[3])
            state = state[4]
        key = (course, *places)
        if key not in self._ways:
            self._ways[key] = self._way(course, [self._board(course, *place) for place in reversed(places)])
        return self._ways[key]

    def _way(self, course: Course, boards: Sequence[Laid]) -> Schedule:
        joints = []
        light = heavy = 0
        for board in boards:
            scores = self._board_score(course, board.left, board.right)
            assert scores is not None
            light, heavy = light + scores[0], heavy + scores[1]
        for a, b in pairwise(boards):
            left_kind, right_kind = a.kinds[0][1], b.kinds[0][0]
            need = self.rules.centred(left_kind, right_kind)
            tall = self._tall(course, b.left, b.left)
            joints.append((b.left, need, tall))
            if self.line_at[b.left].caution:
                light, heavy = light + CAUTION, heavy + CAUTION
            if left_kind != "bound" or right_kind != "bound":
                light, heavy = light + tall // 10, heavy + tall // 10
        shapes = tuple(shape for board in boards for shape in board.shapes)
        return Schedule(tuple(boards), tuple(joints), light, heavy, shapes)


_left_of = lru_cache(maxsize=1 << 15)(between)


@lru_cache(maxsize=4096)
def _share(size: int, stock: int) -> float:
    """Share of a sheet's side that a blank takes: the mean of its length and of what it leaves usable."""
    if 2 * size > stock:
        whole = 1.0
    elif 2 * size == stock or 3 * size > stock:
        whole = 0.5
    else:
        whole = size / stock
    return 0.5 * (size / stock + whole)
