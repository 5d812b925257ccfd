"""The brief in a notebook: the step's panel, and below it the buttons to hand the wall in and to take another brief."""

from __future__ import annotations

import ipywidgets as w

from wallcalc.lesson.panel_base import LessonBox
from wallcalc.lesson.state import LessonState
from wallcalc.lesson.step_view import StepPanel
from wallcalc.panel.controls import button

KEY = "brief"


class BriefPanel(w.VBox):
    """A wall to a brief.

    Parameters
    ----------
    state : LessonState
        What it shows.
    """

    def __init__(self, state: LessonState) -> None:
        self.state = state
        self.panel = StepPanel(state, KEY)
        self.hand = button("Hand in my wall", self.hand_in, strong=True)
        self.other = button("Another brief", self.another)
        self.foot = LessonBox(
            state, [w.HBox([self.hand, self.other], layout=w.Layout(flex_flow="row wrap", grid_gap="8px"))]
        )
        super().__init__([self.panel, self.foot])

    def hand_in(self) -> None:
        """Hand the wall in; it is put down for the trainer, met or not."""
        self.foot.guard(lambda: self.foot.say(self.state.hand_in(), "info"))

    def another(self) -> None:
        """Take another brief."""

        def act() -> None:
            self.state.another_brief()
            self.panel = StepPanel(self.state, KEY)
            self.children = (self.panel, self.foot)
            self.foot.say("")

        self.foot.guard(act)
