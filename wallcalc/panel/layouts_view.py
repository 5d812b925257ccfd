"""The widgets of the module and fitted layouts side by side."""

from __future__ import annotations

import html
from collections.abc import Callable
from typing import Any

import ipywidgets as w

from wallcalc.draw.side_by_side import compare_layouts, layouts_alt
from wallcalc.draw.style import to_img
from wallcalc.output.cover import inches_text
from wallcalc.panel import page
from wallcalc.panel.controls import button, row_of
from wallcalc.panel.layouts_work import LayoutsWork, layouts_table, sentence
from wallcalc.panel.spoken import live

WORKING = "The layouts are being worked out; the controls stay free meanwhile."
SIZE = (544, 400)
LONG_WIDTH = 1096
LONG_WALL = 1.9
"""A wall is long from this many times its height."""


class LayoutsView(w.VBox):
    """Layouts side by side.

    Parameters
    ----------
    state : StudyState
        What is given and chosen.
    act : callable
        As for :class:`wallcalc.panel.controls.Controls`.
    """

    def __init__(self, state: Any, act: Callable[[Callable[[], Any]], None]) -> None:
        self.state, self.work = state, LayoutsWork(state)
        self.said, self.table, self.picture = live(w.HTML()), w.HTML(), w.HTML()
        self._shown: Any = None
        buttons = [
            button("Use the fitted layout", lambda: act(lambda: self.work.choose(True))),
            button("Use the cheapest module", lambda: act(lambda: self.work.choose(False))),
        ]
        super().__init__([self.said, row_of(buttons), self.picture, self.table])

    def refresh(self) -> None:
        """Show what is worked out; the last comparison stays until the next one is there, and is said to be old."""
        found = self.work.found
        if found is None:
            bar = '<progress aria-label="layouts in work"></progress>'
            self.said.value = f'<div class="wallcalc-changed">{WORKING} {bar}</div>'
            self._shown = None
            return
        if self._shown is found:
            return
        text = sentence(found, self.state.prices.currency)
        self.said.value = f'<div class="wallcalc-changed">{html.escape(text)}</div>'
        self.table.value = layouts_table(found) if len(found.rows) else ""
        self.picture.value = self._pictures(found.designs)
        self._shown = found

    def _pictures(self, designs: tuple[tuple[str, Any], ...]) -> str:
        if not designs:
            return ""
        wall = designs[0][1].wall
        width = LONG_WIDTH if wall.length > LONG_WALL * wall.height else SIZE[0]
        inches = inches_text if self.state.offers.sizes == "inch" else None
        figure = compare_layouts(designs, "A", width=width, height=SIZE[1], format_length=inches)
        name = " and ".join(name for name, _ in designs)
        return page.picture(f"Side A: {name}", to_img(figure, layouts_alt(designs)), scroll=width > SIZE[0])
