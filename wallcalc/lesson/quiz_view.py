"""The questions in a notebook: one at a time, marked at once, with the session's progress and its export."""

from __future__ import annotations

import base64
import html

import ipywidgets as w

from wallcalc.lesson.choice_buttons import ChoiceButtons
from wallcalc.lesson.panel_base import LessonBox
from wallcalc.lesson.question import CHOICE, LENGTH, Question
from wallcalc.lesson.quiz import FILE
from wallcalc.lesson.state import LessonState
from wallcalc.panel import page
from wallcalc.panel.controls import WIDE, button
from wallcalc.panel.spoken import live
from wallcalc.panel.state import Message

WAYS = {
    LENGTH: "Type a length as it stands on the tape: 2.54 m, 2540 mm or 8 ft 4 in. A plain number is mm.",
    CHOICE: "Press the answer that is right.",
}


class QuizPanel(LessonBox):
    """Questions, answers, progress.

    Parameters
    ----------
    state : LessonState
        What it shows.
    """

    def __init__(self, state: LessonState) -> None:
        self.text, self.status, self.feedback, self.exported = (live(w.HTML()) for _ in range(4))
        self.progress = w.HTML()
        self.typed = w.Text(description="your answer", placeholder="2540 mm", continuous_update=False, style=WIDE,
                            layout=w.Layout(width="min(320px, 98%)"))  # fmt: skip
        self.choice = w.VBox([])
        self._asked: Question | None = None
        self.check = button("Check my answer", lambda: self.answer(str(self.typed.value)), strong=True)
        self.more = button("Next question", self.next)
        self.export = button("Export my progress (CSV)", self.write)
        super().__init__(
            state,
            [
                w.HTML("<h2>Questions</h2>"),
                self.text,
                self.typed,
                self.choice,
                w.HBox(
                    [self.check, self.more, self.export],
                    layout=w.Layout(flex_flow="row wrap", grid_gap="8px"),
                ),
                self.status,
                self.feedback,
                self.progress,
                self.exported,
            ],
        )
        self.refresh()

    def answer(self, given: str) -> None:
        """Mark what was typed or chosen."""

        def act() -> None:
            self.state.quiz.answer(given)
            self.refresh()

        self.guard(act)

    def next(self) -> None:
        """Take the next question."""

        def act() -> None:
            self.state.quiz.next()
            self.typed.value = ""
            self.refresh()

        self.guard(act)

    def write(self) -> None:
        """Write the progress and offer it for download."""

        def act() -> None:
            try:
                path = self.state.export().resolve()
            except OSError as error:
                self.say(f"The file could not be written: {error}", "error")
                return
            data = base64.b64encode(self.state.quiz.csv()).decode("ascii")
            self.exported.value = page.exported([path], FILE, f"data:text/csv;base64,{data}")

        self.guard(act)

    def refresh(self) -> None:
        """Show the state."""
        quiz = self.state.quiz
        asked = quiz.current
        chosen = asked.form == CHOICE
        way = WAYS.get(asked.form, "Type a whole number.")
        self.text.value = (
            f"<p class='wallcalc-ask'>{html.escape(asked.text)}</p>"
            f"<p class='wallcalc-said'>{html.escape(way)}</p>"
        )
        for widget in (self.typed, self.check):
            widget.layout.display = "none" if chosen else ""
        answered = quiz.marked is not None
        if self._asked is not asked:
            self._asked = asked
            made = ChoiceButtons("", [(text, text) for text in asked.choices], None, self.answer)
            self.choice.children = (made,) if chosen else ()
        self.typed.disabled = self.check.disabled = answered
        for made in self.choice.children:
            if answered:
                made.choose(quiz.log[-1].answer)
                made.disable()
        self.say(quiz.message)
        if quiz.marked is None:
            self.feedback.value = ""
        else:
            level = "info" if quiz.marked.right else "caution"
            self.feedback.value = page.status([Message(level, quiz.marked.feedback)])
        self.progress.value = f"<p class='wallcalc-said'>{html.escape(quiz.progress())}</p>"
