"""Tables of a study: the sweep, the study, what of it is shown and in which order, what no option beats."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pandas as pd

import wallcalc as wc
from wallcalc.panel.conditions import Condition, meeting
from wallcalc.panel.history import Moment
from wallcalc.panel.none_met import NoneMet, none_met
from wallcalc.panel.offers import Offers
from wallcalc.panel.study_rows import COARSE_STEP, FINE_STEP, StudyRows, study_options, sweep_options


class StudyTables:
    """What is known of the options that a study compares.

    Parameters
    ----------
    moment : Moment
        Wall, rules, prices and the option that the rest is varied from.
    offers : Offers
        What is on offer.
    store : StudyRows
        The rows computed so far.
    conditions : sequence of Condition
        What the options shown must meet.
    """

    def __init__(
        self, moment: Moment, offers: Offers, store: StudyRows, conditions: Sequence[Condition] = ()
    ) -> None:
        self._option, self._offers, self._store = moment.option, offers, store
        self._conditions = tuple(conditions)

    def sweep_wanted(self, steps: Sequence[float] = (COARSE_STEP, FINE_STEP)) -> list[Any]:
        """Return the options of the sweep over stud centres, by steps in mm."""
        return sweep_options(self._option, self._offers.usual, *self._offers.centres, steps)

    def study_wanted(self) -> list[Any]:
        """Return the options of the study."""
        return study_options(self._option, self._offers.usual, [None, *self._offers.fills])

    def wanted(self) -> list[Any]:
        """Return all options in the order they are worth computing."""
        return [*self.sweep_wanted((COARSE_STEP,)), *self.study_wanted(), *self.sweep_wanted()]

    def sweep(self) -> pd.DataFrame:
        """Return what is known of the sweep, one row per option."""
        return self._store.table(self.sweep_wanted())

    def study(self) -> pd.DataFrame:
        """Return what is known of the study and the sweep, one row per option."""
        return self._store.table(dict.fromkeys([*self.study_wanted(), *self.sweep_wanted(), self._option]))

    def shown(self) -> pd.DataFrame:
        """Return the rows of the study that meet the conditions."""
        return meeting(self.study(), self._conditions)

    def unbeaten(self, table: pd.DataFrame | None = None) -> pd.DataFrame:
        """Return the rows that no other beats on cost and Rw, of those that meet the conditions."""
        rows = self.shown() if table is None else table
        rows = rows[rows["buildable"].astype(bool)] if len(rows) else rows
        if not len(rows):
            return rows
        return wc.trade_offs(rows, low=["cost"], high=["Rw"]).drop_duplicates(["cost", "Rw"])

    def none_met(self) -> NoneMet | None:
        """Return how near the options come when none of them meets the conditions, else None."""
        return none_met(self.study(), self._conditions)

    def ordered(self, column: str, descending: bool = False, show: str = "all") -> pd.DataFrame:
        """Return the rows that meet the conditions, in an order."""
        rows = self.shown()
        if show == "unbeaten":
            rows = self.unbeaten(rows)
        elif show == "buildable" and len(rows):
            rows = rows[rows["buildable"].astype(bool)]
        if not len(rows):
            return rows
        return rows.sort_values(
            [column, "stud_centres"], ascending=[not descending, True], na_position="last", kind="stable"
        ).reset_index(drop=True)
