"""The checks notebook's panel: four knobs, bars of use against 1.0, what governs, the table behind it."""

from __future__ import annotations

import html
from collections.abc import Callable
from typing import Any

import ipywidgets as w

from wallcalc.draw.turns import in_turn
from wallcalc.draw.use_bars import UseBars, bars_alt
from wallcalc.given.option import SECTIONS
from wallcalc.panel import page
from wallcalc.panel.checks_state import LEAST_HEIGHT, LEAST_LOAD, MOST_HEIGHT, MOST_LOAD, ChecksState
from wallcalc.panel.controls import FULL, WIDE, dropdown, show_on_slider
from wallcalc.panel.keys import OwnKeys
from wallcalc.panel.messages import Message
from wallcalc.panel.spoken import live


class ChecksPanel(OwnKeys, w.VBox):
    """The panel on a wall's checks; put it last in a cell to see it.

    Parameters
    ----------
    wall : Wall, path-like or str
        As for :class:`wallcalc.panel.checks_state.ChecksState`, which takes the other keywords too.
    **settings
        Keywords of :class:`wallcalc.panel.checks_state.ChecksState`.

    Attributes
    ----------
    state : ChecksState
        What the panel shows; its ``choose`` does what the controls do.
    """

    def __init__(self, wall: Any = "worked_wall.toml", **settings: Any) -> None:
        self.state = ChecksState(wall, **settings)
        self._busy = False
        self._chart = UseBars()
        self.title, self.status, self.governs = w.HTML(), live(w.HTML()), live(w.HTML())
        self.chart, self.table = w.HTML(), w.HTML()
        self._make_controls()
        super().__init__(
            children=[
                w.HTML(page.STYLE),
                self.title,
                w.HBox(
                    [
                        w.VBox(
                            self.controls,
                            layout=w.Layout(width="262px", flex="0 0 262px", margin="0 12px 0 0"),
                        ),
                        w.VBox(
                            [self.status, self.governs, self.chart],
                            layout=w.Layout(flex="1 1 440px", min_width="0", width="auto"),
                        ),
                    ],
                    layout=w.Layout(width="100%", align_items="flex-start", flex_flow="row wrap"),
                ),
                self.table,
            ]
        )
        self.add_class("wallcalc-panel")
        self.refresh()

    def _make_controls(self) -> None:
        state = self.state
        low, high = state.offers.centres
        self.section = dropdown("stud section, mm", [(s, s) for s in SECTIONS], state.option.section)
        self.knobs: dict[str, tuple[w.FloatSlider, w.BoundedFloatText]] = {}
        for name, label, exact, least, most, step, value in (
            (
                "stud_centres",
                "stud centres, mm",
                "exact centres, mm",
                low,
                high,
                1.0,
                state.option.stud_centres,
            ),
            (
                "height",
                "height of the room, mm",
                "exact height, mm",
                LEAST_HEIGHT,
                MOST_HEIGHT,
                10.0,
                state.height,
            ),
            ("load", "loads, times the rules'", "exact load factor", LEAST_LOAD, MOST_LOAD, 0.05, state.load),
        ):
            common = {"min": least, "max": most, "step": step, "value": value, "style": WIDE}
            slider = w.FloatSlider(description=label, readout=False, layout=w.Layout(width=FULL), **common)
            number = w.BoundedFloatText(description=exact, layout=w.Layout(width=FULL), **common)
            self.knobs[name] = (slider, number)
            for widget in (slider, number):
                widget.observe(lambda change, name=name: self._moved(name, change["new"]), "value")
        self.section.observe(lambda change: self._moved("section", change["new"]), "value")
        self.controls = [
            w.HTML("<h3>Change and see</h3>"),
            self.section,
            *(widget for pair in self.knobs.values() for widget in pair),
        ]

    def _moved(self, name: str, value: Any) -> None:
        if not self._busy:
            self.act(lambda: self.state.choose(**{name: value}))

    @in_turn
    def act(self, action: Callable[[], Any]) -> None:
        """Do something and show what became of it; a failure goes to the status line and is kept."""
        try:
            action()
            self.refresh()
        except Exception as error:
            self.state.last_error = error
            self._say(Message("error", f"{type(error).__name__}: {error}"))

    def refresh(self) -> None:
        """Show the state."""
        state = self.state
        self._busy = True
        try:
            self.section.value = state.option.section
            for name, value in (
                ("stud_centres", state.option.stud_centres),
                ("height", state.height),
                ("load", state.load),
            ):
                slider, number = self.knobs[name]
                number.value = min(max(value, number.min), number.max)
                show_on_slider(slider, value)
        finally:
            self._busy = False
        self.title.value = f"<h2>{html.escape(state.wall.name)}: checks</h2>"
        if state.message:
            self._say(Message("caution", f"This cannot be built; the last wall stays below. {state.message}"))
        else:
            self.status.value = page.status([])
        if state.design is None:
            self.governs.value = self.chart.value = self.table.value = ""
            return
        self.governs.value = f"<p><strong>What governs.</strong> {html.escape(state.governs())}</p>"
        bars = state.bars()[: self._chart.rows]
        self._chart.update(bars)
        self.chart.value = page.picture(
            "Use of each limit, the worst of its kind", self._chart.show(bars_alt(bars))
        )
        self.table.value = page.checks(state.design)

    def _say(self, message: Message) -> None:
        self.status.value = page.status([message])
