"""The lesson: why stud spacing matters, step by step, with questions and a wall to design.

``Lesson`` shows it in a notebook; everything it knows is in modules without widgets, which tests call.
"""

from __future__ import annotations

from wallcalc.lesson.state import LessonState
from wallcalc.lesson.view import Lesson

__all__ = ["Lesson", "LessonState"]
