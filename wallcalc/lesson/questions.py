"""The question set: kinds of questions, each drawn from a seed, so that a variant can be made again."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import lru_cache
from random import Random

from wallcalc.errors import OptionError
from wallcalc.lesson import questions_boards, questions_marks, questions_site
from wallcalc.lesson.question import Question

KINDS: dict[str, Callable[[Random], Question | None]] = {
    "clear bay": questions_marks.clear_bay,
    "stud mark": questions_marks.stud_mark,
    "stud edge": questions_marks.stud_edge,
    "wall thickness": questions_marks.wall_thickness,
    "stud length": questions_marks.stud_length,
    "opening width": questions_site.opening_width,
    "joint at door": questions_boards.joint_at_door,
    "second face": questions_boards.second_face,
    "corner strip": questions_boards.corner_strip,
    "screw line": questions_boards.screw_line,
    "board height": questions_boards.board_height,
    "bar length": questions_site.bar_length,
    "next job": questions_site.next_job,
}
"""Kinds of questions in the order of the work."""
MOST_DRAWS = 60


@lru_cache(maxsize=1024)
def question(kind: str, seed: int) -> Question:
    """Return the variant of a kind of question that a seed makes; the same seed makes the same variant.

    A draw in which two wrong answers, or a wrong one and the right one, cannot be told apart is drawn again.

    Raises KeyError: when there is no such kind.
    """
    draw = KINDS[kind]
    for attempt in range(MOST_DRAWS):
        rng = Random(f"{kind} {seed} {attempt}")
        try:
            found = draw(rng)
        except OptionError:
            continue  # a wall that cannot be built makes no question
        if found is not None and found.sound:
            return replace(found, seed=seed)
    raise RuntimeError(f"no variant of {kind!r} could be drawn from seed {seed}")
