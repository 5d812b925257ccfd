"""The rows of the study behind the panel: which options are wanted, which are computed, a few at a time."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from functools import partial
from typing import Any

import pandas as pd

from wallcalc.designing.result import SUMMARY_COLUMNS
from wallcalc.errors import OptionError
from wallcalc.given.option import BOARD_ORIENTATIONS, OPTION_FIELDS, Option
from wallcalc.panel.history import Moment
from wallcalc.panel.job import Job, is_slow

COARSE_STEP, FINE_STEP = 50.0, 10.0
"""Steps of the sweep over stud centres, mm: first the coarse ones, then the fine ones between."""


def sweep_key(option: Option) -> tuple:
    """Return everything of an option but what the sweep itself changes."""
    varied = ("stud_centres", "stud_layout", "board_orientation")
    return tuple(getattr(option, name) for name in OPTION_FIELDS if name not in varied)


def sweep_options(
    option: Option,
    usual: Sequence[float],
    low: float,
    high: float,
    steps: Sequence[float] = (COARSE_STEP, FINE_STEP),
) -> list[Option]:
    """Return the options of a sweep over stud centres in both orientations, usual centres first.

    Units: ``usual``, ``low``, ``high``, ``steps`` mm.
    """
    centres = list(usual)
    for step in steps:
        count = int((high - low) / step)
        centres += [low + k * step for k in range(count + 1)]
    wanted = [
        replace(option, stud_layout="module", stud_centres=value, board_orientation=orientation)
        for value in centres
        for orientation in BOARD_ORIENTATIONS
    ]
    return list(dict.fromkeys(wanted))


def study_options(option: Option, usual: Sequence[float], fills: Sequence[str | None]) -> list[Option]:
    """Return the options of the study: usual centres, both orientations, each fill, one and two layers.

    Units: ``usual`` mm.
    """
    layers = dict.fromkeys([(1, 1), (2, 2), (option.layers_a, option.layers_b)])
    return list(
        dict.fromkeys(
            replace(
                option,
                stud_layout="module",
                stud_centres=centres,
                board_orientation=orientation,
                fill=fill,
                layers_a=a,
                layers_b=b,
            )
            for a, b in layers
            for fill in fills
            for centres in usual
            for orientation in BOARD_ORIENTATIONS
        )
    )


def plain(value: Any) -> Any:
    """Return None for pandas' missing values, the value otherwise."""
    return None if value is None or value is pd.NA or (isinstance(value, float) and value != value) else value


class StudyRows:
    """Computed rows of one wall under one set of rules and prices.

    Parameters
    ----------
    wall : Wall
        The wall.
    rules : Rules
        Trade rules.
    prices : PriceBook
        Prices.
    """

    def __init__(self, wall: Any, rules: Any, prices: Any) -> None:
        self.wall, self.rules, self.prices = wall, rules, prices
        self.rows: dict[Option, dict[str, Any]] = {}
        self._wanted: list[Option] = []
        self._next = 0
        self._begun: Job | None = None

    def compute(self, option: Option) -> dict[str, Any]:
        """Return the study row of an option, worked out anew; touches nothing, so it may run elsewhere."""
        return self._row_of(option, self._job(option).run())

    def _job(self, option: Option) -> Job:
        return Job(Moment(self.wall, None, self.rules, self.prices, "", option), told=False)

    @staticmethod
    def _row_of(option: Option, found: Any) -> dict[str, Any]:
        if isinstance(found, OptionError):
            row: dict[str, Any] = {name: getattr(option, name) for name in OPTION_FIELDS}
            row |= dict.fromkeys(SUMMARY_COLUMNS, float("nan"))
            return row | {"buildable": False, "reason": str(found), "proven": False}
        if isinstance(found, Exception):
            raise found
        return found.summary()

    def refused(self, option: Option, error: Exception) -> dict[str, Any]:
        """Return, and hold, the row of an option that cannot be built."""
        self.rows[option] = self._row_of(option, error)
        return self.rows[option]

    def want(self, options: Sequence[Option]) -> None:
        """Set what is to be computed next, in order; what is known already costs nothing."""
        self._wanted = list(dict.fromkeys(options))
        self._next = 0

    @property
    def total(self) -> int:
        """Number of options wanted."""
        return len(self._wanted)

    @property
    def done(self) -> int:
        """Number of the wanted options that are computed."""
        return sum(option in self.rows for option in self._wanted)

    def advance(self, seconds: float, slow: bool = True) -> bool:
        """Compute wanted rows for about this long, slow ones only when asked; return whether more are left.

        A row may be left half done when the time is up, so that nobody waits for more than one stage of it.
        """
        end = time.perf_counter() + seconds
        while self._next < len(self._wanted):
            option = self._wanted[self._next]
            if option in self.rows or (is_slow(option) and not slow):
                self._next += 1
                continue
            if self._begun is None or self._begun.moment.option != option:
                self._begun = self._job(option)
            if not self._begun.step():
                found, self._begun = self._begun.found, None
                self._next += 1
                self.rows[option] = self._row_of(option, found)
            if time.perf_counter() >= end:
                break
        return self._next < len(self._wanted)

    def slow_work(self) -> tuple[Callable[[], Any], Callable[[Any], None]] | None:
        """Return the work of the next slow row, and what takes its result; None when none is wanted."""
        for option in self._wanted:
            if is_slow(option) and option not in self.rows:
                return partial(self.compute, option), partial(self.rows.__setitem__, option)
        return None

    def table(self, options: Iterable[Option]) -> pd.DataFrame:
        """Return the rows that are known of some options, as ``wc.study`` would."""
        rows = [self.rows[option] for option in options if option in self.rows]
        return pd.DataFrame(rows, columns=[*OPTION_FIELDS, *SUMMARY_COLUMNS])
