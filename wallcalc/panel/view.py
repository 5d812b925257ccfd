"""The study notebook's panel: controls, elevations, charts, and the parts that open under them."""

from __future__ import annotations

import gc
from collections import deque
from collections.abc import Callable, Iterator
from typing import Any

import ipywidgets as w

from wallcalc.draw.charts import SweepChart, sweep_alt
from wallcalc.draw.trade_chart import TradeChart, trade_alt, unbeaten_key
from wallcalc.draw.turns import in_turn
from wallcalc.panel import page
from wallcalc.panel.across_view import AcrossView
from wallcalc.panel.background import Background
from wallcalc.panel.conditions import EXAMPLE, NOT_TAKEN, shown_in_words
from wallcalc.panel.controls import Controls, button, row_of
from wallcalc.panel.details_view import DetailsView
from wallcalc.panel.files_view import FilesView
from wallcalc.panel.fold import Fold
from wallcalc.panel.kept_view import KeptView
from wallcalc.panel.keys import OwnKeys
from wallcalc.panel.layouts_view import LayoutsView
from wallcalc.panel.messages import Message
from wallcalc.panel.pictures import PICTURE, Pictures
from wallcalc.panel.spoken import live
from wallcalc.panel.state import StudyState
from wallcalc.panel.study_rows import sweep_key
from wallcalc.panel.table_view import TableView
from wallcalc.panel.wall_view import WallEditor


class StudyPanel(OwnKeys, w.VBox):
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
        self.state = state = StudyState(wall, **settings)
        self.controls = Controls(state, self.act)
        self.editor, self.files = WallEditor(state, self.act), FilesView(state, self.act)
        self.kept, self.details = KeptView(state, self.act), DetailsView(state)
        self.across = AcrossView(state, self._other_rows, ("fill",), "Rw")
        self.map = AcrossView(state, self._other_rows, ("stud_centres", "fill"), "Rw")
        self.table, self.layouts = TableView(state, self.act), LayoutsView(state, self.act)
        self._sweep = SweepChart(PICTURE[0], 590, state.prices.currency)
        self._trade = TradeChart(PICTURE[0], 400, state.prices.currency)
        reports = (self._show_rows, self._show_sweep, self._show_trade, self._show_open)
        step, ahead = state.advance, state.ahead
        self._background = Background(step, reports, self._failed, slow=self._slow_work, ahead=ahead.step)
        self._shown: dict[str, Any] = {}
        self._pictures, ahead.draw = Pictures(), self._draw_ahead
        self._make_widgets()
        super().__init__(children=self._arrange())
        self.add_class("wallcalc-panel")
        self.refresh()

    # What is on the page.

    def _make_widgets(self) -> None:
        self.title, self.figures, self.progress = w.HTML(), w.HTML(), w.HTML()
        self.status, self.changed = live(w.HTML()), live(w.HTML())
        self.elevations = {side: w.HTML() for side in "AB"}
        self.sweep, self.trade, self.key, self.exported = w.HTML(), w.HTML(), w.HTML(), live(w.HTML())
        self.cautions, self.cautions_below = w.HTML(), w.HTML()
        self.cautions.add_class("wallcalc-beside")
        self.cautions_below.add_class("wallcalc-below")
        self.conditions = w.Text(
            description="only options with",
            placeholder=EXAMPLE,
            continuous_update=False,
            style={"description_width": "initial"},
            layout=w.Layout(width="100%", max_width="544px"),
        )
        self.conditions.observe(lambda change: self._set_conditions(change["new"]), "value")
        self.take_next = button("Make the next best current", lambda: self.act(self.state.take_next))
        self.conditions_said = live(w.HTML(), alert=True)
        again = self._other_rows
        self.folds = {
            "wall": Fold(
                "change the wall: measures, doors, hung items, services", [self.editor], self.editor.refresh
            ),
            "files": Fold("open and save walls, own prices", [self.files], self.files.refresh),
            "kept": Fold("kept options side by side", [self.kept], self.kept.refresh),
            "across": Fold("one figure against any choice", [self.across], again),
            "map": Fold("map of two choices", [self.map], again),
            "layouts": Fold("fitted layout and modules side by side", [self.layouts], self._ask_layouts),
            "table": Fold("all options of this study, one a row", [self.table], self.table.refresh),
            "details": Fold(
                "checks, order list and cutting plans", [self.details], self.details.refresh, is_open=True
            ),
        }

    def _arrange(self) -> list[w.Widget]:
        act, state = self.act, self.state
        actions = row_of(
            [
                button("Undo", lambda: act(state.undo)),
                button("Redo", lambda: act(state.redo)),
                button("Keep this option", lambda: act(self._keep)),
                button("Drop all kept", lambda: act(state.drop_kept)),
                button("Export files", lambda: act(self._export), strong=True),
            ],
            "2px",
        )
        side = w.VBox([*self.controls.column(), self.cautions], layout=w.Layout(margin="0 12px 0 0"))
        side.add_class("wallcalc-side")
        conditions = w.VBox([self.conditions, self.conditions_said], layout=w.Layout(width="auto"))
        found = w.VBox(
            [self.trade, conditions, self.key, self.take_next], layout=w.Layout(width="auto", min_width="0")
        )
        main = w.VBox(
            [
                self.figures,
                actions,
                self.status,
                self.progress,
                row_of([*self.elevations.values()], "8px"),
                self.changed,
                self.exported,
                row_of([self.sweep, found], "8px"),
            ],
            layout=w.Layout(flex="1 1 440px", min_width="0", width="auto"),
        )
        folds = self.folds
        return [
            w.HTML(page.STYLE),
            self.title,
            row_of([folds["wall"].head, folds["files"].head], "0 12px"),
            folds["wall"].body,
            folds["files"].body,
            w.HBox(
                [side, main], layout=w.Layout(width="100%", align_items="flex-start", flex_flow="row wrap")
            ),
            self.cautions_below,
            *(folds[name].stacked() for name in ("kept", "across", "map", "layouts", "table", "details")),
        ]

    # What happens.

    @in_turn
    def act(self, action: Callable[[], Any]) -> None:
        """Do something and show what became of it; a failure goes to the status line and is kept."""
        self.state.patient = self._background.can_wait
        self._guard(action)
        job = self.state.pending
        if job is not None and job.slow and not job.begun:
            job.begun = True
            self._background.run_elsewhere(job.run, lambda found: self._settle(job, found))
        self._show()

    def _settle(self, job: Any, found: Any) -> None:
        awaited = self.state.pending is job
        self._guard(lambda: self.state.settle(job, found))
        if awaited:
            self._show()

    def _show(self) -> None:
        """Show the state: the first piece of it at once, the others between a person's moves."""
        pieces = self._pieces()
        if self._background.can_wait:
            self._guard(lambda: next(pieces, None))
            self._background.wake(pieces)
        else:
            self._guard(lambda: deque(pieces, maxlen=0))

    @in_turn
    def _guard(self, action: Callable[[], Any]) -> None:
        try:
            action()
        except Exception as error:
            self._failed(error)

    def _failed(self, error: Exception) -> None:
        self.state.last_error = error
        self.state.messages = [Message("error", f"{type(error).__name__}: {error}")]
        self._show_status()

    @in_turn
    def refresh(self) -> None:
        """Show the state, all of it at once."""
        self._guard(lambda: deque(self._pieces(), maxlen=0))
        self._background.wake()

    def _pieces(self) -> Iterator[None]:
        """Show the state piece by piece, the picture first, so that a newer move need not wait for all of it.

        While a slow option is being worked out everything but the controls and the status stays as it was.
        """
        state = self.state
        job = None if state.pending is None or state.pending.slow else state.pending
        if job is not None:
            if job.raised is None:
                job.step()
            if job.raised is not None:
                self._guard(lambda: self._show_elevation("A", job.raised))
        self.controls.follow()
        if self.folds["wall"].is_open:
            self.editor.refresh()
        if job is not None:
            yield
            if job.raised is not None:
                self._guard(lambda: self._show_elevation("B", job.raised))
                yield
            while job.step():
                yield
            state.settle(job, job.found)
        self._show_status()
        if state.pending is not None:
            return
        held = state.held_against()
        self.figures.value = page.figures(
            state.row, held.row if held else None, state.prices.currency, state.against,
            openings=bool(state.wall.openings),
        )  # fmt: skip
        self._show_elevations()
        self.changed.value = page.changed(state.changed)
        yield
        self._show_sweep()
        yield
        self._show_trade()
        yield
        self._show_rest()

    @in_turn
    def finish(self) -> None:
        """Compute the whole study now instead of bit by bit, and show it."""
        self.state.finish()
        if self.folds["layouts"].is_open:
            self._ask_layouts(wait=False)
        self._progress(True)

    def _show_rest(self) -> None:
        state = self.state
        if not state.exported:
            self.exported.value = ""
        self.title.value = page.title(state)
        self.cautions.value = self.cautions_below.value = page.cautions(state.cautions())
        for name, view in (("files", self.files), ("kept", self.kept), ("details", self.details)):
            if self.folds[name].is_open:
                view.refresh()
        if any(self.folds[name].is_open for name in ("across", "map")):
            self._ask()  # they are drawn when nobody moves a control, see _progress
            if not self._background.can_wait:
                self._show_across()
        if self.folds["layouts"].is_open:
            self.layouts.refresh()

    def _show_elevations(self) -> None:
        for side, widget in self.elevations.items():
            if self.state.design is None:
                widget.value = ""
                self._shown.pop(side, None)
            else:
                self._show_elevation(side, self.state.design, stale=not self.state.buildable)

    def _show_elevation(self, side: str, raised: Any, *, stale: bool = False) -> None:
        layer = self.controls.layer.value
        key = (self._pictures.key(raised, side, layer), stale)
        if self._shown.get(side) != key:
            self.elevations[side].value = self._pictures.figure(raised, side, layer, stale=stale)
            self._shown[side] = key

    def _draw_ahead(self, job: Any, number: int) -> bool:
        self._pictures.image(job.raised, "AB"[number], self.controls.layer.value)
        return number == 0

    def _show_status(self) -> None:
        store = self.state.store
        working = self.state.pending is not None and self.state.pending.slow
        self.status.value = page.status(self.state.messages)
        self.progress.value = page.progress(store.done, store.total, working=working)
        self.progress.layout.display = "flex" if self.progress.value else "none"

    def _chart_key(self) -> tuple:
        """Everything that the lines of the charts depend on."""
        store = self.state.store
        return (id(store), store.done, sweep_key(self.state.option), self.state.conditions)

    def _show_sweep(self, _done: bool = True) -> None:
        """Show the sweep; its lines are drawn anew only when rows were added or other rows are wanted."""
        state, key = self.state, self._chart_key()
        if state.pending is not None:
            return
        if self._shown.get("sweep") != key:
            self._table = state.tables.sweep()
            self._sweep.set_sweep(self._table, state.offers.usual, *state.offers.centres)
            self._shown["sweep"] = key
        current = state.row if state.buildable else None
        alt = sweep_alt(self._table, current, state.prices.currency)
        self.sweep.value = page.picture("Against stud centres", self._sweep.show(current, alt))

    def _show_trade(self, _done: bool = True) -> None:
        """Show cost against sound, drawn anew as the sweep is."""
        state, key, currency = self.state, self._chart_key(), self.state.prices.currency
        if state.pending is not None:
            return
        if self._shown.get("trade") != key:
            rows = state.tables.shown()
            best = state.tables.unbeaten(rows)
            self._trade_alt = trade_alt(rows, best, currency)
            self._trade.set_study(rows, best)
            none = None if len(rows) else state.tables.none_met()
            self.take_next.layout.display = "flex" if none else "none"
            self.key.value = state.said_of(none) if none else unbeaten_key(best, currency)
            self._shown["trade"] = key
        kept = [(k.number, k.row) for k in state.kept.like(state.now)]
        current = state.row if state.buildable else None
        image = self._trade.show(current, kept, self._trade_alt)
        self.trade.value = page.picture("Cost against sound", image)

    def _show_across(self) -> None:
        for name, view in (("across", self.across), ("map", self.map)):
            if self.folds[name].is_open:
                view.refresh()

    @in_turn
    def _other_rows(self) -> None:
        """Ask for what the open charts show, and show what of it is known."""
        self._guard(self._ask)
        self._guard(self._show_across)
        self._background.wake()

    def _ask(self) -> None:
        views = [v for name, v in (("across", self.across), ("map", self.map)) if self.folds[name].is_open]
        self.state.want([option for view in views for option in view.wanted()])

    def _slow_work(self) -> Any:
        """Return slow work to be run elsewhere: rows first, then the layouts when they are shown."""
        found = self.state.slow_work()
        return found if found or not self.folds["layouts"].is_open else self.layouts.work.slow_work()

    def _ask_layouts(self, wait: bool = True) -> None:
        """Show the layouts, and have them worked out when they are not."""
        self.layouts.refresh()
        missing = self.layouts.work.slow_work()
        if missing is not None and wait and self._background.can_wait:
            self._background.wake()
        elif missing is not None:
            work, take = missing
            take(work())
            self.layouts.refresh()

    def _show_rows(self, done: bool) -> None:
        """Say how many rows are known, and show the table when all are."""
        self._show_status()
        if done and self.folds["table"].is_open:
            self.table.refresh()

    def _show_open(self, done: bool) -> None:
        """Show what is known in the parts that are open."""
        if self.state.pending is None:
            self._show_across()
            if self.folds["layouts"].is_open:
                self.layouts.refresh()
        if done:
            # A full collection of all that the study made takes a third of a second: now, not during the next move;
            # and what is left need not be looked through again.
            gc.collect()
            gc.freeze()

    def _progress(self, done: bool) -> None:
        for show in (self._show_rows, self._show_sweep, self._show_trade, self._show_open):
            show(done)

    def _set_conditions(self, text: str) -> None:
        def action() -> None:
            good = self.state.set_conditions(text)
            self.conditions_said.value = "" if good else page.messages(self.state.messages)
            self.state.messages = [
                Message("info", shown_in_words(self.state.conditions) if good else NOT_TAKEN)
            ]

        self.act(action)
        if self.folds["table"].is_open:
            self.table.refresh()

    def _keep(self) -> None:
        if self.state.keep():
            self.folds["kept"].turn(True)

    def _export(self) -> None:
        paths = self.state.export()
        self.exported.value = (
            page.exported([p.resolve() for p in paths], *self.state.download()) if paths else ""
        )
