"""Boards of a lining between any two lines: their shapes, the blanks they are cut from, and what they score.

None of it depends on where the studs stand, so it is kept for all layouts of a wall. Lengths are integers of 0.1 mm.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import lru_cache

from wallcalc.boarding.course import CAUTION, PIECE, Course, Laid, Shape, cut_outs_of
from wallcalc.geometry.profile import Profile
from wallcalc.geometry.rectangles import Patch, Rect, boxes
from wallcalc.geometry.sloped import between
from wallcalc.site.site import Site

Score = tuple[int, float] | None
"""Score of a board alone, and how much of a sheet it takes for what is hard to cut together; None where there can be
no such board."""
MOST = 20_000
"""Boards of a lining that are kept, and scores of a course."""


@dataclass(frozen=True)
class LaidBoards:
    """Boards of a lining, as they are asked for.

    Parameters
    ----------
    lying : bool
        Whether boards lie on their side.
    widest : int
        The largest board across the sheet, 0.1 mm.
    rects : tuple of tuple of int
        Structural openings.
    least, narrow : int
        Least height of a strip that takes a screw; least width without a caution, 0.1 mm.
    size : (int, int)
        Length and width of a sheet that suits, 0.1 mm.
    profile : Profile
        Lines of the wall, which boards end at.
    """

    lying: bool
    widest: int
    rects: tuple[Rect, ...]
    least: int
    narrow: int
    size: tuple[int, int]
    profile: Profile
    _boards: dict[tuple, Laid] = field(default_factory=dict, compare=False)
    _scores: dict[tuple[int, int], dict[tuple[int, int], Score]] = field(default_factory=dict, compare=False)
    _spans: dict[tuple[int, int], tuple[int, int]] = field(default_factory=dict, compare=False)

    def tall(self, course: Course, left: int, right: int) -> int:
        """Height of a course between two distances from the left, from its lowest to its highest edge, 0.1 mm."""
        span = self._spans.get((left, right))
        if span is None:
            span = self._spans[left, right] = (
                self.profile.low.least(left, right),
                self.profile.high.most(left, right),
            )
        return min(course.top, span[1]) - max(course.bottom, span[0])

    def patches(self, box: Rect) -> tuple[Patch, ...]:
        """Return what is left of a rectangle when openings, floor and ceiling are taken out of it."""
        return between(box, self.rects, self.profile.low, self.profile.high)

    def _boxes(self, box: Rect, cut: Sequence[Rect]) -> list[Rect]:
        """Rectangles round what is left of one with openings inside it; their outlines are not asked for."""
        if self.profile.is_level:
            return boxes(box, cut)
        return [patch.box for patch in self.patches(box)]

    def board(self, course: Course, left: int, right: int, left_kind: str, right_kind: str) -> Laid:
        """Return the board between two lines, with the kinds of its two ends."""
        key = (course.bottom, course.top, course.below, course.above, left, right, left_kind, right_kind)
        board = self._boards.get(key)
        if board is None:
            if len(self._boards) >= MOST:
                self._boards.clear()
            board = self._boards[key] = self._lay(course, left, right, left_kind, right_kind)
        return board

    def _lay(self, course: Course, left: int, right: int, left_kind: str, right_kind: str) -> Laid:
        patches = self.patches((left, course.bottom, right, course.top))
        shapes, kinds = [], []
        for patch in patches:
            below = course.below if patch.box[1] == course.bottom else ""
            above = course.above if patch.box[3] == course.top else ""
            if self.lying and patch.box[3] - patch.box[1] < self.widest:
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
        along, across = (x1 - x0, y1 - y0) if self.lying else (y1 - y0, x1 - x0)
        long_edges = kinds[2:] if self.lying else kinds[:2]
        need = 2 if across == self.widest else long_edges.count("bound")
        if need == 2 and across < self.widest:
            need = 1
        rects = self.openings_in(patch.box)
        if not rects:
            return along, across, need, (), 0
        low, high = (y0, y1) if self.lying else (x0, x1)
        bound_at = {
            edge for edge, kind in zip((low, high), long_edges, strict=True) if kind == "bound" or need == 2
        }
        cut_outs = cut_outs_of(patch, rects, self.lying, bound_at)
        side = 0
        if need == 1:
            side = -1 if long_edges[0] == "bound" else 1
        return along, across, need, cut_outs, side

    def openings_in(self, box: Rect) -> list[Rect]:
        """Return the parts of openings inside a box."""
        x0, y0, x1, y1 = box
        return [
            (max(a, x0), max(b, y0), min(c, x1), min(d, y1))
            for a, b, c, d in self.rects
            if a < x1 and c > x0 and b < y1 and d > y0
        ]

    def scores_in(self, course: Course) -> dict[tuple[int, int], Score]:
        """Return the scores of a course's boards met so far, by left and right end, 0.1 mm."""
        return self._scores.setdefault((course.bottom, course.top), {})

    def score(self, course: Course, left: int, right: int) -> Score:
        """Return the score of a board; None where a slope leaves less of it than takes a screw."""
        known, key = self.scores_in(course), (left, right)
        if key not in known:
            if len(known) >= MOST:
                known.clear()
            known[key] = self._score(course, left, right)
        return known[key]

    def _score(self, course: Course, left: int, right: int) -> Score:
        box = (left, course.bottom, right, course.top)
        cut = self.openings_in(box)
        if not cut:
            sides = [(right - left, self.tall(course, left, right))]
        else:
            sides = [(x1 - x0, y1 - y0) for x0, y0, x1, y1 in self._boxes(box, cut)]
        sizes = sides if self.lying else [side[::-1] for side in sides]
        if any(min(s) < self.least for s in sizes):
            return None
        light = PIECE * len(sizes)
        if right - left < self.narrow:
            light += CAUTION
        length, width = self.size
        return light, sum(_share(along, length) * _share(across, width) for along, across in sizes)


@lru_cache(maxsize=16)
def laid_boards(lying: bool, widest: int, size: tuple[int, int], site: Site) -> LaidBoards:
    """Return the boards of a lining, those of the last few linings with what is known of them."""
    rects = tuple((c.left, c.bottom, c.right, c.top) for c in site.clears)
    rules = site.rules
    return LaidBoards(lying, widest, rects, rules.least_strip, rules.narrow_strip, size, site.profile)


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
