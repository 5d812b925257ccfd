"""Cutting patterns made ready for the layers of the search: grouped by their longest piece, cheapest first."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wallcalc.cutting.timber.patterns import Floats, Ints, Job, Patterns


@dataclass(frozen=True, slots=True, eq=False)
class Stage:
    """Patterns led by one kind of piece, cheapest reduced cost first."""

    rows: Ints
    counts: Floats
    reduced: Floats
    price: Floats
    room: Floats
    cheaper_room: Floats
    bit: Ints
    length: Floats
    step_kind: Ints
    step_count: Floats
    step_worth: Floats


class Layers:
    """Patterns sorted by lead, each layer made ready when it is first needed.

    Parameters
    ----------
    job : Job
        What is to be cut.
    patterns : Patterns
        What may be cut from one stock; ``patterns.stock`` indexes ``job.prices``.
    values : int array, (kinds,)
        Piece values, ``scale`` to the cent.
    scale : int
        Units of ``values`` in a cent.
    margin : int
        Patterns whose price exceeds the value of their pieces by more than this are left out (scaled).
    """

    def __init__(self, job: Job, patterns: Patterns, values: Ints, scale: int, margin: int) -> None:
        reduced = job.prices[patterns.stock] * scale - patterns.counts @ values
        rows = np.nonzero(reduced <= margin)[0]
        self._rows = rows[np.lexsort((reduced[rows], patterns.lead[rows]))]
        self._reduced = reduced
        self._edges = np.searchsorted(patterns.lead[self._rows], np.arange(len(job.weights) + 1))
        cheaper = [int(job.rooms[job.prices < price].max(initial=0)) for price in job.prices]
        self._cheaper = np.array(cheaper, float)
        self._job, self._patterns, self._values, self._scale = job, patterns, values, scale
        self._made: dict[int, Stage] = {}

    def __getitem__(self, t: int) -> Stage:
        """Patterns led by kind ``t``, cheapest reduced cost first."""
        if t not in self._made:
            self._made[t] = self._stage(t)
        return self._made[t]

    def _stage(self, t: int) -> Stage:
        job, rows = self._job, self._rows[self._edges[t] : self._edges[t + 1]]
        stock = self._patterns.stock[rows]
        counts = self._patterns.counts[rows, t:]
        highest = counts.max(axis=0, initial=0)
        kind = np.repeat(np.arange(len(highest)), highest)
        count = np.arange(len(kind)) - np.repeat(np.cumsum(highest) - highest, highest) + 1
        return Stage(
            rows=rows,
            counts=counts.astype(float),
            reduced=self._reduced[rows].astype(float),
            price=job.prices[stock] * float(self._scale),
            room=job.rooms[stock].astype(float),
            cheaper_room=self._cheaper[stock],
            bit=np.left_shift(1, stock),
            length=job.lengths[stock].astype(float),
            step_kind=kind,
            step_count=count.astype(float),
            step_worth=(counts.T[kind] >= count[:, None]) * self._values[t:][kind][:, None].astype(float),
        )
