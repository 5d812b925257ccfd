"""The best ways to lay a run of boards over the lines where joints may fall: shortest paths, several at once.

All lengths are integers of 0.1 mm.
"""

from __future__ import annotations

from bisect import bisect_left, insort
from collections.abc import Sequence
from math import inf

Scores = dict[str, int | None]
"""Score of a joint by the kind of edge at its left; None where there can be no such joint."""
Board = tuple[int, str, tuple[int, int, str, str], int, int, Scores, Scores]
"""A board by its left end: that end, the kind of its right edge, the board (left, right, kinds of both ends), its score
without and with a weight on what is hard to cut together, those of its left joint, and of that joint on one stud."""
State = tuple
"""A way up to a place: (score, serial, kind of the last right edge, board, the state before)."""
NONE: frozenset[int] = frozenset()


class Grid:
    """Every board that may lie in a run, by its right end.

    Parameters
    ----------
    left, right : int
        Ends of the run, 0.1 mm.
    ends : sequence of (int, list of Board)
        Right ends of boards from left to right, with the boards that end there.
    """

    def __init__(self, left: int, right: int, ends: Sequence[tuple[int, list[Board]]]) -> None:
        self.left, self.right, self.ends = left, right, ends
        self.places = [b for b, _ in ends]
        self._whole: dict[tuple[int, bool], tuple[dict[int, list[State]], list[int]]] = {}

    def best(
        self, most: int, weigh: bool, barred: frozenset[int] = NONE, narrow: frozenset[int] = NONE
    ) -> list[State]:
        """Return the best ways across the run, best first.

        Parameters
        ----------
        most : int
            How many are kept at every place.
        weigh : bool
            Whether boards are weighed by how hard they are to cut together.
        barred : frozenset of int
            Lines without a joint.
        narrow : frozenset of int
            Lines with joints only that one stud is enough for.
        """
        key = (most, weigh)
        if key not in self._whole:
            self._whole[key] = self._seek(most, weigh, NONE, NONE, {self.left: [(0, 0, "", None, None)]}, [])
        kept, serials = self._whole[key]
        if barred or narrow:  # up to the first of these lines nothing differs
            same = bisect_left(self.places, min(barred | narrow))
            before = {self.left: kept[self.left], **{b: kept[b] for b in self.places[:same]}}
            kept, _ = self._seek(most, weigh, barred, narrow, before, serials[:same])
        return kept.get(self.right, [])

    def _seek(
        self,
        most: int,
        weigh: bool,
        barred: frozenset[int],
        narrow: frozenset[int],
        kept: dict[int, list[State]],
        serials: list[int],
    ) -> tuple[dict[int, list[State]], list[int]]:
        """Return the ways kept at every place, and how many were met up to it."""
        serial = serials[-1] if serials else 0
        for b, boards in self.ends[len(serials) :]:
            if b in barred:
                serials.append(serial)
                continue
            best: list[State] = []
            worst = inf
            for a, right_kind, board, light, heavy, joints, slim in boards:
                states = kept.get(a)
                cost = heavy if weigh else light
                if not states or states[0][0] + cost >= worst:
                    continue
                extras = slim if a in narrow else joints
                for state in states:
                    upto = state[0] + cost
                    if upto >= worst:
                        break
                    extra = extras[state[2]]
                    if extra is None or upto + extra >= worst:
                        continue
                    serial += 1
                    insort(best, (upto + extra, serial, right_kind, board, state))
                    if len(best) > most:
                        best.pop()
                    if len(best) == most:
                        worst = best[-1][0]
            kept[b] = best
            serials.append(serial)
        return kept, serials
