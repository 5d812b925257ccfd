"""The widgets of the study's table: sorted, chosen from."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import ipywidgets as w

from wallcalc.panel import page
from wallcalc.panel.controls import WIDE, button, dropdown, row_of
from wallcalc.panel.words import CHOICES, measures


class TableView(w.VBox):
    """All options of the study that meet the conditions.

    Parameters
    ----------
    state : StudyState
        Its study is shown.
    act : callable
        As for :class:`wallcalc.panel.controls.Controls`.
    """

    def __init__(self, state: Any, act: Callable[[Callable[[], Any]], None]) -> None:
        self.state = state
        shown = {m.label: m.column for m in measures(state.prices.currency) if m.column in page.STUDY_COLUMNS}
        shown |= {CHOICES[name]: name for name in ("stud_centres", "board_orientation", "fill")}
        self.sort = dropdown("sort by", list(shown.items()), "cost")
        self.order_of = dropdown("order", [("smallest first", False), ("largest first", True)], False)
        self.rows = dropdown(
            "rows", [("all", "all"), ("can be built", "buildable"), ("unbeaten", "unbeaten")], "buildable"
        )
        for widget in (self.sort, self.order_of, self.rows):
            widget.layout.width = "220px"
            widget.observe(lambda _: act(self.refresh), "value")
        self.pick = w.BoundedIntText(
            description="row", min=1, max=10_000, value=1, style=WIDE, layout=w.Layout(width="110px")
        )
        self.table = w.HTML()
        chooser = [self.sort, self.order_of, self.rows, self.pick]
        super().__init__(
            [row_of([*chooser, button("Make this row current", lambda: act(self.take))]), self.table]
        )

    def refresh(self) -> None:
        """Show the table anew."""
        rows = self._rows()
        self.pick.max = max(len(rows), 1)
        asked = ", ".join(map(str, self.state.conditions))
        caption = f"{len(rows)} options{f' with {asked}' if asked else ''}, sorted by {self.sort.label}, "
        currency = self.state.prices.currency
        none = None if len(rows) else self.state.tables.none_met()
        self.table.value = (
            self.state.said_of(none)
            if none
            else page.study(rows, self.state.row, currency, caption + self.order_of.label)
        )

    def take(self) -> None:
        """Make the picked row's option the current one."""
        rows = self._rows()
        if len(rows):
            self.state.choose_row(rows.iloc[min(self.pick.value, len(rows)) - 1])
            self.refresh()

    def _rows(self) -> Any:
        return self.state.tables.ordered(self.sort.value, self.order_of.value, self.rows.value)
