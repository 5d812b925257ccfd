"""What the lesson's notebook checks about itself: that every step opens and every question marks as it should."""

from __future__ import annotations

from collections.abc import Iterable

from wallcalc.lesson.question import mark
from wallcalc.lesson.questions import KINDS, question
from wallcalc.lesson.state import LessonState


def check_steps(rules: str = "uk") -> list[str]:
    """Return what is wrong with the steps: none that opens without a guess, every one shows picture and words.

    Empty when all is well.
    """
    state, wrong = LessonState(rules, seed=1), []
    for key in state.keys:
        asked = state.step(key).guess
        if state.show(key) is not None:
            wrong.append(f"{key}: opens without a guess")
        state.guess(key, asked.choices[0][1] if asked.choices else 1)
        shown = state.show(key)
        if shown is None or not shown.words or not (shown.picture or shown.table):
            wrong.append(f"{key}: shows nothing")
        if not state.compared(key):
            wrong.append(f"{key}: does not compare the guess")
    return wrong


def check_questions(seeds: Iterable[int] = range(2)) -> list[str]:
    """Return what is wrong with the questions: right answers that are refused, slips that are not named.

    Empty when all is well.
    """
    wrong = []
    for kind in KINDS:
        for seed in seeds:
            asked = question(kind, seed)
            if not mark(asked, asked.answer).right:
                wrong.append(f"{kind} {seed}: the right answer is refused")
            wrong += [
                f"{kind} {seed}: {mistake.name} is not named"
                for mistake in asked.mistakes
                if mark(asked, mistake.value).diagnosis != mistake.name
            ]
    return wrong
