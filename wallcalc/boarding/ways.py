"""The best ways to lay a run of boards over the lines where joints may fall: shortest paths, several at once.

All lengths are integers of 0.1 mm.
"""

from __future__ import annotations

from bisect import bisect_left, insort
from collections.abc import Sequence
from math import inf
from typing import NamedTuple

Scores = dict[str, int]
"""Score of a joint by the kind of edge at its left, of those that can meet there."""
Way = tuple[str, str, int, Scores, Scores]
"""How a board may lie: kinds of its right and left edges, least score of its left joint, scores of that joint, and of
that joint on one stud."""
Board = tuple[int, int, int, tuple[Way, ...]]
"""A board by its left end: that end, its score with the least of its left joint and alone, and the ways it may lie."""
State = tuple
"""A way up to a place: (score, serial, kinds of the last board's right and left edge, its left end, state before)."""
NONE: frozenset[int] = frozenset()


class Grid:
    """Every board that may lie in a run, by its right end.

    Parameters
    ----------
    left, right : int
        Ends of the run, 0.1 mm.
    ends : sequence of (int, list of Board)
        Right ends of boards from left to right, with the boards that end there.
    wide : frozenset of int
        Lines on which a joint may ask for more than one stud.
    """

    def __init__(
        self, left: int, right: int, ends: Sequence[tuple[int, list[Board]]], wide: frozenset[int] = NONE
    ) -> None:
        self.left, self.right, self.ends, self.wide = left, right, ends, wide
        self.places = [b for b, _ in ends]
        self._sought: list[_Sought] = []
        self._best: dict[tuple[int, frozenset[int], frozenset[int]], list[State]] = {}

    def weighed(self, ends: Sequence[tuple[int, list[Board]]]) -> Grid:
        """Return the same boards with other scores."""
        return Grid(self.left, self.right, ends, self.wide)

    def best(self, most: int, barred: frozenset[int] = NONE, narrow: frozenset[int] = NONE) -> list[State]:
        """Return the best ways across the run, best first."""
        key = (most, barred.intersection(self.places), narrow & self.wide)
        if key not in self._best:
            self._best[key] = self._seek(*key)
        return self._best[key]

    def _seek(self, most: int, barred: frozenset[int], narrow: frozenset[int]) -> list[State]:
        """Go on from the ways kept before that are the same up to the place furthest right."""
        same = 0
        kept: list[list[State]] = []
        for other in self._sought:
            if other.most == most:
                differ = (barred ^ other.barred) | (narrow ^ other.narrow)
                upto = bisect_left(self.places, min(differ)) if differ else len(self.places)
                if upto > same:
                    same, kept = upto, other.kept
        kept = kept[:same]
        if same < len(self.places):
            self._go_on(most, barred, narrow, kept)
            self._sought.append(_Sought(most, barred, narrow, kept))
        return kept[-1]

    def _go_on(
        self, most: int, barred: frozenset[int], narrow: frozenset[int], kept: list[list[State]]
    ) -> None:
        """Add the ways kept at the other places."""
        upto = {self.left: [(0, 0, "", "", self.left, None)], **dict(zip(self.places, kept, strict=False))}
        serial = 0
        for b, boards in self.ends[len(kept) :]:
            best: list[State] = []
            kept.append(best)
            if b in barred:
                continue
            worst = inf
            for a, least, cost, ways in boards:
                states = upto.get(a)
                if not states:
                    continue
                first = states[0][0]
                if first + least >= worst:
                    continue
                for right_kind, left_kind, lowest, joints, slim in ways:
                    if first + cost + lowest >= worst:
                        continue
                    extras = slim if a in narrow else joints
                    for state in states:
                        total = state[0] + cost
                        if total + lowest >= worst:
                            break
                        extra = extras.get(state[2])
                        if extra is None or total + extra >= worst:
                            continue
                        serial += 1
                        insort(best, (total + extra, serial, right_kind, left_kind, a, state))
                        if len(best) > most:
                            best.pop()
                        if len(best) == most:
                            worst = best[-1][0]
            upto[b] = best


class _Sought(NamedTuple):
    """What was asked, and the ways kept at every place."""

    most: int
    barred: frozenset[int]
    narrow: frozenset[int]
    kept: list[list[State]]
