"""The lesson in a notebook: one panel a step, one for the brief, one for the questions."""

from __future__ import annotations

from typing import Any

from wallcalc.lesson.brief_view import BriefPanel
from wallcalc.lesson.quiz_view import QuizPanel
from wallcalc.lesson.state import LessonState
from wallcalc.lesson.step_view import StepPanel
from wallcalc.panel.background import Background


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
    panels : dict
        The panels made so far, by step.
    """

    def __init__(self, **settings: Any) -> None:
        self.state = LessonState(**settings)
        self.panels: dict[str, StepPanel | BriefPanel] = {}
        self._background = Background(self.state.make_ready, _told_later, _told_later)

    def step(self, key: str) -> StepPanel | BriefPanel:
        """Return the panel of a step."""
        made = BriefPanel(self.state) if key == "brief" else StepPanel(self.state, key)
        self.panels[key] = made
        self._background.wake()
        return made

    def questions(self) -> QuizPanel:
        """Return the panel of the questions."""
        self.quiz = QuizPanel(self.state)
        return self.quiz


def _told_later(_: object) -> None:
    """Say nothing: what fails while a step is made ready fails again, and is told, when it is opened."""
