"""The lesson in a notebook: one panel a step, one for the questions."""

from __future__ import annotations

import html
from typing import Any

import ipywidgets as w

from wallcalc.lesson.panel_base import CHOOSE, LessonBox
from wallcalc.lesson.quiz_view import QuizPanel
from wallcalc.lesson.state import LessonState
from wallcalc.lesson.step import Knob
from wallcalc.panel.controls import WIDE, button


class Lesson:
    """The lesson; each of its methods returns a panel for one cell.

    Parameters
    ----------
    **settings
        Keywords of :class:`wallcalc.lesson.state.LessonState`.

    Attributes
    ----------
    state : LessonState
        What the panels show; its methods do what the controls do.
    """

    def __init__(self, **settings: Any) -> None:
        self.state = LessonState(**settings)
        self.panels: dict[str, StepPanel] = {}

    def step(self, key: str) -> StepPanel:
        """Return the panel of a step."""
        self.panels[key] = StepPanel(self.state, key)
        return self.panels[key]

    def questions(self) -> QuizPanel:
        """Return the panel of the questions."""
        self.quiz = QuizPanel(self.state)
        return self.quiz


class StepPanel(LessonBox):
    """One step: the question, a guess, and after it the controls with their picture.

    Parameters
    ----------
    state : LessonState
        What it shows.
    key : str
        The step.
    """

    def __init__(self, state: LessonState, key: str) -> None:
        self.key = key
        self.knobs: dict[str, tuple[w.Widget, ...]] = {}
        self._busy = False
        step = state.step(key)
        self.said, self.picture, self.words, self.table = w.HTML(), w.HTML(), w.HTML(), w.HTML()
        self.status = w.HTML()
        self.body = w.VBox([])
        if step.guess.choices:
            self.answer: w.Widget = w.Dropdown(
                description="your guess", options=[(CHOOSE, None), *step.guess.choices], value=None,
                style=WIDE, layout=w.Layout(width="min(420px, 98%)"),
            )  # fmt: skip
        else:
            unit = f", {step.guess.unit}" if step.guess.unit else ""
            self.answer = w.Text(
                description=f"your guess{unit}",
                placeholder="a number",
                style=WIDE,
                layout=w.Layout(width="min(260px, 98%)"),
            )
        self.show_me = button("Keep my guess and show me", self.reveal, strong=True)
        super().__init__(
            state,
            [
                w.HTML(
                    f"<h2>{html.escape(step.title)}</h2><p class='wallcalc-ask'>{html.escape(step.guess.ask)}</p>"
                ),
                w.HBox([self.answer, self.show_me], layout=w.Layout(flex_flow="row wrap", grid_gap="8px")),
                self.status,
                self.said,
                self.body,
            ],
        )
        if state.revealed(key):
            self.guard(self._open)

    def reveal(self) -> None:
        """Take the guess and show the step."""
        self.guard(self._reveal)

    def _reveal(self) -> None:
        if self.state.guess(self.key, self.answer.value):
            self.say("")
            self._open()
        else:
            self.say(self.state.message)

    def _open(self) -> None:
        """Show the guess compared, the controls and the picture; the guess can no longer be changed."""
        self.answer.disabled = self.show_me.disabled = True
        said = html.escape(self.state.compared(self.key))
        self.said.value = f"<p class='wallcalc-said' role='status'><strong>{said}</strong></p>"
        if not self.body.children:
            rows = [self._control(knob) for knob in self.state.step(self.key).knobs]
            controls = w.HBox(rows, layout=w.Layout(flex_flow="row wrap", grid_gap="4px 16px", width="100%"))
            self.body.children = (controls, self.picture, self.words, self.table)
        self.refresh()

    def _control(self, knob: Knob) -> w.Widget:
        """Return a control's widgets: a list, or a slider with a box for the exact number."""
        now = self.state.values[self.key][knob.name]
        if knob.options:
            made: tuple[w.Widget, ...] = (
                w.Dropdown(description=knob.label, options=list(knob.options), value=now, style=WIDE,
                           layout=w.Layout(width="auto", max_width="98%")),
            )  # fmt: skip
        else:
            common = {"min": knob.low, "max": knob.high, "step": knob.step, "value": now, "style": WIDE}
            made = (
                w.FloatSlider(description=knob.label, readout=False, layout=w.Layout(width="min(420px, 98%)"),
                              **(common | {"step": max(1.0, knob.step)})),
                w.BoundedFloatText(description=f"exact {knob.label}", layout=w.Layout(width="min(300px, "
                "98%)"), **common),
            )  # fmt: skip
        self.knobs[knob.name] = made
        for widget in made:
            widget.observe(lambda change, name=knob.name: self._moved(name, change["new"]), "value")
        return w.HBox(list(made), layout=w.Layout(flex_flow="row wrap"))

    def _moved(self, name: str, value: Any) -> None:
        if self._busy:
            return

        def act() -> None:
            self.state.choose(self.key, **{name: value})
            self.refresh()

        self.guard(act)

    def refresh(self) -> None:
        """Show the state."""
        shown = self.state.show(self.key)
        if shown is None:
            return
        self._busy = True
        try:
            for name, widgets in self.knobs.items():
                for widget in widgets:
                    if widget.value != self.state.values[self.key][name]:
                        widget.value = self.state.values[self.key][name]
        finally:
            self._busy = False
        self.picture.value = shown.picture
        self.words.value = f"<p class='wallcalc-said'>{html.escape(shown.words)}</p>"
        self.table.value = shown.table
