"""The widgets that show kept options side by side, and what changes from one to another."""

from __future__ import annotations

import html
from collections.abc import Callable
from functools import partial
from typing import Any

import ipywidgets as w

from wallcalc.draw.turns import in_turn
from wallcalc.panel import page
from wallcalc.panel.compare import side_by_side, summary
from wallcalc.panel.controls import button, dropdown, row_of
from wallcalc.panel.kept import MOST_KEPT
from wallcalc.panel.spoken import live

NOTHING = (
    f'<p class="wallcalc-note">Nothing is kept. Press "Keep this option", change something, and compare here; up to '
    f"{MOST_KEPT} options can be kept, of this wall or of others.</p>"
)


class KeptView(w.VBox):
    """Kept options.

    Parameters
    ----------
    state : StudyState
        Its ``kept`` is shown.
    act : callable
        As for :class:`wallcalc.panel.controls.Controls`.
    """

    def __init__(self, state: Any, act: Callable[[Callable[[], Any]], None]) -> None:
        self.state, self._act, self._busy = state, act, False
        self.slots = {n: self._slot(n) for n in range(1, MOST_KEPT + 1)}
        self.against = dropdown("figures held against", [("none", 0)], 0)
        self.then = dropdown("what changes from", [("current", 0)], 0)
        self.now = dropdown("to", [("current", 0)], 0)
        for widget in (self.against, self.then, self.now):
            widget.layout.width = "230px"
        self.against.observe(self._hold, "value")
        for widget in (self.then, self.now):
            widget.observe(lambda _: None if self._busy else self._say(), "value")
        self.said, self.table, self.nothing = live(w.HTML()), w.HTML(), w.HTML(NOTHING)
        self.asked = row_of([self.against, self.then, self.now])
        super().__init__(
            [self.nothing, *(s[0] for s in self.slots.values()), self.asked, self.said, self.table]
        )

    def _slot(self, number: int) -> tuple[w.HBox, w.HTML]:
        text = w.HTML()
        act, state = self._act, self.state
        back = button(f"Go back to {number}", partial(act, partial(state.return_to_kept, number)))
        drop = button(f"Drop {number}", partial(act, partial(state.drop_kept, number)))
        return row_of([back, drop, text]), text

    def _hold(self, change: dict[str, Any]) -> None:
        if not self._busy:
            self._act(lambda: setattr(self.state, "against", change["new"]))

    def refresh(self) -> None:
        """Show what is kept."""
        state = self.state
        kept = {k.number: k for k in state.kept}
        self.nothing.layout.display = "none" if kept else "flex"
        self.asked.layout.display = "flex" if kept else "none"
        for number, (row, text) in self.slots.items():
            row.layout.display = "flex" if number in kept else "none"
            if number in kept:
                text.value = f"<div>{html.escape(self._words(kept[number]))}</div>"
        self._busy = True
        try:
            numbers = [(f"kept {n}", n) for n in kept]
            for widget, options, value in (
                (self.against, [("none", 0), *numbers], state.against),
                (self.then, [("current", 0), *numbers], min(kept, default=0)),
                (self.now, [("current", 0), *numbers], self.now.value),
            ):
                if list(widget.options) != options:
                    widget.options = options
                    widget.value = value if value in (0, *kept) else 0
            self.against.value = state.against
        finally:
            self._busy = False
        rows = [
            *([("current", state.row)] if state.buildable else []),
            *((f"kept {n}", kept[n].row) for n in kept),
        ]
        found = side_by_side([row for _, row in rows], state.prices.currency)
        self.table.value = page.comparison([name for name, _ in rows], found) if kept else ""
        self._say()

    def _words(self, kept: Any) -> str:
        other = [] if kept.moment.wall.name == self.state.wall.name else [kept.moment.wall.name]
        if not other and kept.moment.given != self.state.now.given:
            other = ["wall, rules or prices as they were then"]
        return "; ".join([f"{kept.number}: {summary(kept.row)}", *other])

    @in_turn
    def _say(self) -> None:
        if not len(self.state.kept):
            self.said.value = ""
            return
        text = self.state.between(self.then.value, self.now.value)
        self.said.value = f'<div class="wallcalc-changed">{html.escape(text)}</div>'
