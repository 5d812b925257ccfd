"""The widgets of the sweep of any choice and of the map of two."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import ipywidgets as w

from wallcalc.draw.choice_map import ChoiceMap, choice_map_alt
from wallcalc.draw.choice_sweep import ChoiceSweep, choice_sweep_alt
from wallcalc.panel import page
from wallcalc.panel.across_rows import (
    map_axes,
    map_cells,
    map_wanted,
    reasons_of_map,
    reasons_of_sweep,
    sweep_points,
    sweep_wanted,
)
from wallcalc.panel.controls import dropdown, row_of
from wallcalc.panel.words import CHOICES, Measure, measures

SIZE = (544, 340)
WIDE_SIZE = (820, 400)
MOST_COLUMNS = 8
"""Columns up to which a map goes into the narrower picture."""


class AcrossView(w.VBox):
    """One chart with the controls that say what it shows.

    Parameters
    ----------
    state : StudyState
        Rows, option, offers.
    changed : callable
        Called when other options are wanted.
    axes : sequence of str
        Keywords that the axes begin with: one for a sweep, two for a map.
    figure : str
        Column of the figure it begins with.
    """

    def __init__(self, state: Any, changed: Callable[[], None], axes: tuple[str, ...], figure: str) -> None:
        self.state, self._changed = state, changed
        choices = [(label, name) for name, label in CHOICES.items()]
        labels = ("across",) if len(axes) == 1 else ("across", "upwards")
        self.axes = [dropdown(label, choices, name) for label, name in zip(labels, axes, strict=True)]
        self.figure = dropdown(
            "figure", [(m.label, m.column) for m in measures(state.prices.currency)], figure
        )
        for widget in (*self.axes, self.figure):
            widget.layout.width = "230px"
            widget.observe(lambda _: self._changed(), "value")
        self.picture, self.reasons = w.HTML(), w.HTML()
        self._draw: dict[tuple[int, int], ChoiceMap] = {}
        self._sweep = ChoiceSweep(*SIZE)
        self._shown: Any = None
        super().__init__([row_of([*self.axes, self.figure]), row_of([self.picture, self.reasons])])

    def wanted(self) -> list[Any]:
        """Return the options that it shows."""
        names = [widget.value for widget in self.axes]
        if len(names) == 2 and names[0] != names[1]:
            return map_wanted(self.state, *names)
        return sweep_wanted(self.state, names[0])

    def refresh(self) -> None:
        """Draw what is known, when it is not drawn already."""
        measure = next(m for m in measures(self.state.prices.currency) if m.column == self.figure.value)
        names = [widget.value for widget in self.axes]
        if len(names) == 2 and names[0] != names[1]:
            self._show_map(names[0], names[1], measure)
        else:
            self._show_sweep(names[0], measure)

    def _show_sweep(self, name: str, measure: Measure) -> None:
        points = sweep_points(self.state, name, measure)
        figure = measure.title
        if self._shown == repr((points, figure)):
            return
        alt = choice_sweep_alt(points, CHOICES[name], figure, measure.digits)
        image = self._sweep.show(points, CHOICES[name], figure, measure.digits, alt)
        self.picture.value = page.picture(f"{measure.label} against {CHOICES[name]}", image)
        self.reasons.value = reasons_of_sweep(points)
        self._shown = repr((points, figure))

    def _show_map(self, x: str, y: str, measure: Measure) -> None:
        cells, axes = map_cells(self.state, x, y, measure), map_axes(self.state, x, y, measure)
        if self._shown == repr((cells, axes)):
            return
        size = SIZE if len(axes.columns) <= MOST_COLUMNS and len(axes.rows) <= MOST_COLUMNS else WIDE_SIZE
        drawing = self._draw.setdefault(size, ChoiceMap(*size))
        image = drawing.show(cells, axes, choice_map_alt(cells, axes))
        self.picture.value = page.picture(f"{measure.label} over {CHOICES[x]} and {CHOICES[y]}", image)
        self.reasons.value = reasons_of_map(cells, axes)
        self._shown = repr((cells, axes))
