"""The study notebook's panel: controls, elevations, charts, table, comparison, export."""

from __future__ import annotations

import gc
from collections.abc import Callable
from typing import Any

import ipywidgets as w

from wallcalc.draw.charts import SweepChart, sweep_alt
from wallcalc.draw.cutting import cutting_figures
from wallcalc.draw.elevation import Elevation
from wallcalc.draw.elevation_key import elevation_alt, elevation_key
from wallcalc.draw.style import new_figure, to_img
from wallcalc.draw.trade_chart import TradeChart, trade_alt, unbeaten_key
from wallcalc.panel import page
from wallcalc.panel.background import Background
from wallcalc.panel.compare import summary
from wallcalc.panel.controls import Controls, button, dropdown
from wallcalc.panel.state import Message, StudyState
from wallcalc.panel.words import CHOICES, measures
from wallcalc.print_cover import inches_text

PICTURE = (544, 424)
"""Width and height of an elevation in pixels: two stand side by side on a wide screen."""
LONG_PICTURE = (1096, 424)
"""The same for a long wall; where the window is narrower it scrolls."""
LONG_WALL = 1.9
"""A wall is long from this many times its height."""


class StudyPanel(w.VBox):
    """The panel on a wall; put it last in a cell to see it.

    Parameters
    ----------
    wall : str or path-like or Wall
        As for :class:`wallcalc.panel.state.StudyState`, which takes the other keywords too.
    **settings
        Keywords of :class:`wallcalc.panel.state.StudyState`.

    Attributes
    ----------
    state : StudyState
        What the panel shows; its methods do what the controls do.
    """

    def __init__(self, wall: Any = "laundry_plain.toml", **settings: Any) -> None:
        self.state = StudyState(wall, **settings)
        self.controls = Controls(self.state, self.act)
        self._sweep = SweepChart(PICTURE[0], 590, self.state.prices.currency)
        self._trade = TradeChart(PICTURE[0], 400, self.state.prices.currency)
        self._background = Background(self.state.advance, self._progress, self._failed)
        self._shown: dict[str, Any] = {}
        self._make_widgets()
        super().__init__(children=self._arrange())
        self.add_class("wallcalc-panel")
        self.refresh()

    # What is on the page.

    def _make_widgets(self) -> None:
        self.title, self.status, self.figures = w.HTML(), w.HTML(), w.HTML()
        self.elevations = {side: w.HTML() for side in "AB"}
        self.sweep, self.trade, self.key = w.HTML(), w.HTML(), w.HTML()
        self.compare, self.cautions, self.exported = w.HTML(), w.HTML(), w.HTML()
        self.checks, self.order, self.cutting, self.table = w.HTML(), w.HTML(), w.HTML(), w.HTML()
        self.rule_cautions, self.cautions_below = w.HTML(), w.HTML()
        self.cautions.add_class("wallcalc-beside")
        self.cautions_below.add_class("wallcalc-below")
        shown = {
            m.label: m.column for m in measures(self.state.prices.currency) if m.column in page.STUDY_COLUMNS
        }
        shown |= {CHOICES[name]: name for name in ("stud_centres", "board_orientation", "fill")}
        self.sort = dropdown("sort by", list(shown.items()), "cost")
        self.order_of = dropdown("order", [("smallest first", False), ("largest first", True)], False)
        self.rows = dropdown(
            "rows", [("all", "all"), ("can be built", "buildable"), ("unbeaten", "unbeaten")], "buildable"
        )
        for widget in (self.sort, self.order_of, self.rows):
            widget.layout.width = "220px"
            widget.observe(lambda _: self._guard(self._show_table), "value")
        self.pick = w.BoundedIntText(
            description="row",
            min=1,
            max=10_000,
            value=1,
            style={"description_width": "initial"},
            layout=w.Layout(width="110px"),
        )
        self.show_cuts = w.Checkbox(description="show the cutting plans", value=False, indent=False)
        self.show_cuts.observe(lambda _: self._guard(self._show_cutting), "value")

    def _arrange(self) -> list[w.Widget]:
        act = self.act
        actions = w.HBox(
            [
                button("Keep this option", lambda: act(self.state.keep)),
                button("Forget kept", lambda: act(self.state.forget_kept)),
                button("Undo", lambda: act(self.state.undo)),
                button("Export files", lambda: act(self._export), strong=True),
            ],
            layout=w.Layout(flex_flow="row wrap"),
        )
        side = w.VBox(
            [*self.controls.column(), self.cautions],
            layout=w.Layout(width="262px", flex="0 0 262px", margin="0 12px 0 0"),
        )
        pictures = _flow([*self.elevations.values()])
        charts = _flow([self.sweep, w.VBox([self.trade, self.key], layout=w.Layout(width="auto"))])
        main = w.VBox(
            [self.figures, actions, self.status, pictures, self.exported, charts],
            layout=w.Layout(flex="1 1 440px", min_width="0", width="auto"),
        )
        chooser = w.HBox(
            [
                self.sort,
                self.order_of,
                self.rows,
                self.pick,
                button("Make this row current", lambda: act(self._take_row)),
            ],
            layout=w.Layout(flex_flow="row wrap"),
        )
        return [
            w.HTML(page.STYLE),
            self.title,
            w.HBox(
                [side, main], layout=w.Layout(width="100%", align_items="flex-start", flex_flow="row wrap")
            ),
            self.cautions_below,
            w.HTML("<h3>Current beside kept</h3>"),
            self.compare,
            w.HTML("<h3>All options of this study</h3>"),
            chooser,
            self.table,
            w.HTML("<h3>The current option in detail</h3>"),
            self.checks,
            self.rule_cautions,
            self.order,
            self.show_cuts,
            self.cutting,
        ]

    def _drawing(self) -> Elevation:
        """Return a new picture of a face: wider for a long wall, in inches where the rules build in inches."""
        wide, inches = self._kind()
        figure = new_figure(*(LONG_PICTURE if wide else PICTURE))
        elevation = Elevation(figure.add_axes((0, 0.05, 1, 0.95)), inches_text if inches else None)
        elevation_key(figure)
        return elevation

    def _kind(self) -> tuple[bool, bool]:
        wall = self.state.wall
        return wall.length > LONG_WALL * wall.height, self.state.offers.sizes == "inch"

    # What happens.

    def act(self, action: Callable[[], Any]) -> None:
        """Do something and show what became of it; a failure goes to the status line and is kept."""
        self._guard(action)
        self._guard(self.refresh)

    def _guard(self, action: Callable[[], Any]) -> None:
        try:
            action()
        except Exception as error:
            self._failed(error)

    def _failed(self, error: Exception) -> None:
        self.state.last_error = error
        self.state.messages = [Message("error", f"{type(error).__name__}: {error}")]
        self._show_status()

    def refresh(self) -> None:
        """Show the state: the pictures first, then what is read more slowly."""
        state = self.state
        self.controls.follow()
        self.figures.value = page.figures(state.row, state.kept, state.prices.currency)
        self._show_elevations()
        self._show_status()
        if not state.exported:
            self.exported.value = ""
        self._show_charts()
        self.compare.value = page.comparison(
            state.differences(), state.summary(), summary(state.kept) if state.kept else ""
        )
        self._show_details()
        self._background.wake()

    def finish(self) -> None:
        """Compute the whole study now instead of bit by bit, and show it."""
        self.state.finish()
        self._progress(True)

    def _show_elevations(self) -> None:
        state, layer = self.state, self.controls.layer.value
        if state.design is None:
            for widget in self.elevations.values():
                widget.value = ""
            return
        key = (state.design.wall, state.design.option, state.rules.digest, state.prices.digest, layer)
        if self._shown.get("elevations") == key:
            return
        if self._shown.get("kind") != self._kind():
            self._drawings = {side: self._drawing() for side in "AB"}
            self._shown["kind"] = self._kind()
        for side, elevation in self._drawings.items():
            layers = getattr(state.design.option, f"layers_{side.lower()}")
            elevation.update(state.design, side, min(layer, layers))
            room = state.wall.room_a.name if side == "A" else state.wall.room_b.name
            alt = elevation_alt(state.design, side, min(layer, layers))
            self.elevations[side].value = page.picture(
                f"Side {side}{f', seen from the {room}' if room else ''}",
                elevation.show(alt),
                scroll=self._kind()[0],
            )
        self._shown["elevations"] = key

    def _show_status(self) -> None:
        store = self.state.store
        self.status.value = page.status(self.state.messages, store.done, store.total)

    def _show_charts(self) -> None:
        """Show both charts; their lines are drawn anew only when rows were added or other rows are wanted."""
        state, currency = self.state, self.state.prices.currency
        current = state.row if state.buildable else None
        key = (id(state.store), state.store.done, self._sweep_key())
        if self._shown.get("charts") != key:
            self._table, rows = state.sweep(), state.study()
            self._best = state.unbeaten(rows)
            self._trade_alt = trade_alt(rows, self._best, currency)
            self._sweep.set_sweep(self._table, state.offers.usual, *state.offers.centres)
            self._trade.set_study(rows, self._best)
            self.key.value = unbeaten_key(self._best, currency)
            self._shown["charts"] = key
        alt = sweep_alt(self._table, current, currency)
        self.sweep.value = page.picture("Against stud centres", self._sweep.show(current, alt))
        image = self._trade.show(current, state.kept, self._trade_alt)
        self.trade.value = page.picture("Cost against sound", image)

    def _sweep_key(self) -> tuple:
        """Everything of the option but what the sweep itself changes."""
        o = self.state.option
        return tuple(
            getattr(o, name) for name in CHOICES if name not in ("stud_centres", "board_orientation")
        )

    def _show_table(self) -> None:
        state = self.state
        rows = state.sorted_study(self.sort.value, self.order_of.value, self.rows.value)
        self.pick.max = max(len(rows), 1)
        caption = f"{len(rows)} options, sorted by {self.sort.label}, {self.order_of.label}"
        self.table.value = page.study(rows, state.row, state.prices.currency, caption)

    def _show_details(self) -> None:
        state = self.state
        self.title.value = page.title(state)
        self.cautions.value = self.cautions_below.value = page.cautions(state.cautions())
        if state.design is None:
            self.checks.value = self.rule_cautions.value = self.order.value = ""
            return
        self.checks.value = page.checks(state.design)
        self.rule_cautions.value = page.rule_cautions(state.design)
        self.order.value = page.order_list(state.design, state.prices.currency)
        self._show_cutting()

    def _show_cutting(self) -> None:
        if not self.show_cuts.value or self.state.design is None:
            self.cutting.value = ""
            return
        self.cutting.value = "".join(
            page.picture(name, to_img(figure, alt))
            for figure, alt, name in cutting_figures(self.state.design)
        )

    def _progress(self, done: bool) -> None:
        self._show_status()
        self._show_charts()
        if done:
            self._show_table()
            # A full collection of all that the study made takes a third of a second: now, not during the next move.
            gc.collect()

    def _export(self) -> None:
        paths = self.state.export()
        self.exported.value = (
            page.exported([p.resolve() for p in paths], *self.state.download()) if paths else ""
        )

    def _take_row(self) -> None:
        rows = self.state.sorted_study(self.sort.value, self.order_of.value, self.rows.value)
        if len(rows):
            self.state.choose_row(rows.iloc[min(self.pick.value, len(rows)) - 1])


def _flow(children: list[w.Widget]) -> w.HBox:
    """Return a row that breaks where the window is narrow."""
    return w.HBox(
        children,
        layout=w.Layout(flex_flow="row wrap", width="100%", grid_gap="8px", align_items="flex-start"),
    )
