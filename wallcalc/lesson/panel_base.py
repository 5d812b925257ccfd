"""What every panel of the lesson shares: its look, a status line, and failures that end there instead of being lost."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import ipywidgets as w

from wallcalc.draw.turns import in_turn
from wallcalc.panel import page
from wallcalc.panel.keys import OwnKeys
from wallcalc.panel.spoken import live
from wallcalc.panel.state import Message

STYLE = """
<style>
.wallcalc-lesson .wallcalc-ask { font-size:14px; line-height:1.45; max-width:74ch; margin:4px 0; }
.wallcalc-lesson .wallcalc-said { font-size:13px; line-height:1.45; max-width:90ch; margin:4px 0; }
.wallcalc-lesson .wallcalc-message { font-size:13px; line-height:1.45; max-width:90ch; }
.wallcalc-lesson .wallcalc-choices .jupyter-button { white-space:normal; text-align:left; line-height:1.3;
  padding:4px 10px;
  font-size:13px; max-width:100%; }
.wallcalc-lesson .widget-html, .wallcalc-lesson .jupyter-widget-html { min-height:0; }
.wallcalc-lesson .wallcalc-status:empty { min-height:0; }
.wallcalc-lesson .widget-text { max-width:100%; }
.wallcalc-lesson .widget-text input { min-width:84px; }
</style>
"""


class LessonBox(OwnKeys, w.VBox):
    """A panel of the lesson.

    Parameters
    ----------
    state : LessonState
        What it shows; ``last_error`` keeps a failure that was not foreseen.
    children : sequence of Widget
        From the top. ``status``, the status line, is put below them where it is not among them.
    """

    def __init__(self, state: Any, children: Sequence[w.Widget]) -> None:
        self.state = state
        if not hasattr(self, "status"):
            self.status = live(w.HTML())
            children = [*children, self.status]
        super().__init__([w.HTML(page.STYLE + STYLE), *children])
        for name in ("wallcalc-panel", "wallcalc-lesson"):
            self.add_class(name)

    @in_turn
    def guard(self, action: Callable[[], Any]) -> None:
        """Do something; a failure goes to the status line and is kept."""
        try:
            with self.state.lock:
                action()
        except Exception as error:
            self.state.last_error = error
            self.say(f"{type(error).__name__}: {error}", "error")

    def say(self, text: str, level: str = "caution") -> None:
        """Put a text into the status line, or clear it."""
        self.status.value = page.status([Message(level, text)] if text else [])
