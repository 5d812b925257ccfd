"""One step in a notebook: the question, a guess, and after it the controls with their picture."""

from __future__ import annotations

import html
from typing import Any

import ipywidgets as w

from wallcalc.lesson.choice_buttons import ChoiceButtons
from wallcalc.lesson.panel_base import LessonBox
from wallcalc.lesson.state import LessonState
from wallcalc.lesson.step import Knob
from wallcalc.panel.controls import WIDE, button, show_on_slider
from wallcalc.panel.spoken import live


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
        self.knobs: dict[str, ChoiceButtons | tuple[w.Widget, ...]] = {}
        self._busy = False
        step = state.step(key)
        self.said, self.words, self.status = live(w.HTML()), live(w.HTML()), live(w.HTML())
        self.picture, self.table = w.HTML(), w.HTML()
        self.body = w.VBox([])
        unit = f", {step.guess.unit}" if step.guess.unit else ""
        self.typed = w.Text(
            description=f"your guess{unit}",
            placeholder="a number",
            style=WIDE,
            layout=w.Layout(width="min(260px, 98%)"),
        )  # fmt: skip
        self.show_me = button("Keep my guess and show me", lambda: self.reveal(self.typed.value), strong=True)
        self.chosen = ChoiceButtons("your guess", step.guess.choices, None, self.reveal)
        asked: list[w.Widget] = [self.chosen] if step.guess.choices else [self.typed, self.show_me]
        super().__init__(
            state,
            [
                w.HTML(
                    f"<h2>{html.escape(step.title)}</h2><p class='wallcalc-ask'>{html.escape(step.guess.ask)}</p>"
                ),
                w.HBox(asked, layout=w.Layout(flex_flow="row wrap", grid_gap="8px")),
                self.status,
                self.said,
                self.body,
            ],
        )
        if state.revealed(key):
            self.guard(self._open)

    def reveal(self, guess: Any) -> None:
        """Take a guess and show the step."""
        self.guard(lambda: self._reveal(guess))

    def _reveal(self, guess: Any) -> None:
        if self.state.guess(self.key, guess):
            self.say("")
            self._open()
        else:
            self.say(self.state.message)

    def _open(self) -> None:
        """Show the guess compared, the controls and the picture; the guess can no longer be changed."""
        self.typed.disabled = self.show_me.disabled = True
        self.chosen.disable()
        self.chosen.choose(self.state.guesses[self.key])
        said = html.escape(self.state.compared(self.key))
        self.said.value = f"<p class='wallcalc-said'><strong>{said}</strong></p>"
        if not self.body.children:
            rows = [self._control(knob) for knob in self.state.step(self.key).knobs]
            controls = w.HBox(rows, layout=w.Layout(flex_flow="row wrap", grid_gap="4px 16px", width="100%"))
            self.body.children = (controls, self.picture, self.words, self.table)
        self.refresh()

    def _control(self, knob: Knob) -> w.Widget:
        """Return a control's widgets: a list, or a slider with a box for the exact number."""
        now = self.state.values[self.key][knob.name]
        if knob.options:
            made = ChoiceButtons(knob.label, knob.options, now, lambda value: self._moved(knob.name, value))
            self.knobs[knob.name] = made
            return made
        common = {"min": knob.low, "max": knob.high, "step": knob.step, "value": now, "style": WIDE}
        pair = (
                w.FloatSlider(description=knob.label, readout=False, layout=w.Layout(width="min(420px, 98%)"),
                              **(common | {"step": max(1.0, knob.step)})),
                w.BoundedFloatText(description=f"exact {knob.label}", layout=w.Layout(width="auto"), **common),
            )  # fmt: skip
        self.knobs[knob.name] = pair
        for widget in pair:
            widget.observe(lambda change, name=knob.name: self._moved(name, change["new"]), "value")
        return w.HBox(list(pair), layout=w.Layout(flex_flow="row wrap"))

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
            for name, made in self.knobs.items():
                now = self.state.values[self.key][name]
                if isinstance(made, ChoiceButtons):
                    made.choose(now)
                    continue
                slider, number = made
                number.value = now
                show_on_slider(slider, now)
        finally:
            self._busy = False
        self.picture.value = shown.picture
        self.words.value = f"<p class='wallcalc-said'>{html.escape(shown.words)}</p>"
        self.table.value = shown.table
