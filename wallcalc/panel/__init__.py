"""The study notebook's panel: its state, which needs no browser, and the widgets that show it."""

from __future__ import annotations

from wallcalc.panel.state import StudyState
from wallcalc.panel.view import StudyPanel

__all__ = ["StudyPanel", "StudyState"]
