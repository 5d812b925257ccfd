"""What the lesson knows and can do, without any widget: guesses, what is revealed, the controls' values."""

from __future__ import annotations

import secrets
import threading
from os import PathLike
from pathlib import Path
from random import Random
from typing import Any

from wallcalc.lesson.amounts import AmountsStep
from wallcalc.lesson.bending import BendingStep
from wallcalc.lesson.brief_step import BriefStep
from wallcalc.lesson.close_step import CloseStep
from wallcalc.lesson.courses_step import CoursesStep
from wallcalc.lesson.edges import EdgesStep
from wallcalc.lesson.grid import GridStep
from wallcalc.lesson.marks import MarksStep
from wallcalc.lesson.quiz import SEEDS, Quiz
from wallcalc.lesson.slabs import SlabsStep
from wallcalc.lesson.sound_step import SoundStep
from wallcalc.lesson.step import Shown, Step
from wallcalc.lesson.trade import trade

STEPS = (
    EdgesStep,
    MarksStep,
    BendingStep,
    SlabsStep,
    SoundStep,
    AmountsStep,
    CoursesStep,
    GridStep,
    CloseStep,
    BriefStep,
)
MOST_GUESS = 1e6


class LessonState:
    """One apprentice's lesson.

    Parameters
    ----------
    rules : str
        Trade rules, "uk" or "us".
    exports : path-like
        Folder that the progress is written to.
    seed : int, optional
        Where the questions' chance begins.

    Attributes
    ----------
    guesses : dict
        What was guessed, by step; a guess is kept as it was first given.
    values : dict
        The controls' values, by step.
    message : str
        Why the last guess was not taken.
    lock : threading.RLock
        Held by whoever acts on it: a kernel may hear the browser on another thread than it runs cells on.
    last_error : Exception or None
        The last failure that was not foreseen.
    """

    def __init__(
        self, rules: str = "uk", exports: str | PathLike[str] = "exports", seed: int | None = None
    ) -> None:
        self.using = trade(rules)
        self.exports = Path(exports)
        self.guesses: dict[str, Any] = {}
        self.values: dict[str, dict[str, Any]] = {}
        self.message = ""
        self.last_error: Exception | None = None
        self.quiz = Quiz(seed)
        self._rng = Random(secrets.randbelow(SEEDS) if seed is None else seed)
        self._steps: dict[str, Step] = {}
        self._ready: set[str] = set()
        self.lock = threading.RLock()

    @property
    def keys(self) -> tuple[str, ...]:
        """The steps in order, by key."""
        return tuple(made.key for made in STEPS)

    def step(self, key: str) -> Step:
        """Return a step, made when it is first asked for.

        Raises KeyError: when there is no such step; the message names those there are.
        """
        if key not in self._steps:
            made = next((s for s in STEPS if s.key == key), None)
            if made is None:
                raise KeyError(f"no step {key!r}; there are: {', '.join(self.keys)}")
            self._put(made(self.using, self._rng.randrange(SEEDS)) if made is BriefStep else made(self.using))
        return self._steps[key]

    def _put(self, step: Step) -> None:
        self._steps[step.key] = step
        self.values[step.key] = {knob.name: knob.value for knob in step.knobs}

    def guess(self, key: str, answer: Any) -> bool:
        """Keep a guess; only the first one counts, and it has to be one that can be compared.

        Whether there now is a guess; ``message`` says why not.
        """
        step, self.message = self.step(key), ""
        if key in self.guesses:
            return True
        if step.guess.choices:
            if answer not in [value for _, value in step.guess.choices]:
                self.message = "Choose one of the answers first; a wrong guess costs nothing."
                return False
            self.guesses[key] = answer
            begin = getattr(step, "begin", None)
            if begin is not None:
                self.values[key].update(begin(answer))
            return True
        try:
            number = float(str(answer).strip().removesuffix(step.guess.unit).strip().replace(",", "."))
        except ValueError:
            number = -1.0
        if not 0 <= number <= MOST_GUESS:
            self.message = (
                f"Give a number{f' of {step.guess.unit}' if step.guess.unit else ''}, such as 4; "
                "a wrong guess costs nothing."
            )
            return False
        self.guesses[key] = number
        return True

    def revealed(self, key: str) -> bool:
        """Whether a step's picture may be shown: only after a guess."""
        return key in self.guesses

    def compared(self, key: str) -> str:
        """Return the guess beside what is so, in words; "" before there is a guess."""
        return self.step(key).compare(self.guesses[key]) if key in self.guesses else ""

    def choose(self, key: str, **values: Any) -> dict[str, Any]:
        """Move a step's controls; values that they cannot have are brought within their range.

        All values of the step's controls.
        """
        step, now = self.step(key), self.values.setdefault(key, {})
        knobs = {knob.name: knob for knob in step.knobs}
        for name, value in values.items():
            now[name] = knobs[name].accept(value)
            moved = getattr(step, "moved", None)
            if moved is not None:
                now.update(moved(name, dict(now)))
        return now

    def show(self, key: str) -> Shown | None:
        """Return what a step shows now; None before there is a guess."""
        step = self.step(key)
        return step.show(dict(self.values[key])) if key in self.guesses else None

    def make_ready(self) -> bool:
        """Work out what one more step shows at first, before it is opened; return whether more are left.

        It is thrown away: what was worked out for it is remembered, so that the opening need not wait for it.
        """
        waiting = [key for key in self._steps if key not in self._ready and key not in self.guesses]
        if not waiting:
            return False
        self._ready.add(waiting[0])
        step = self._steps[waiting[0]]
        with self.lock:
            step.show({knob.name: knob.value for knob in step.knobs})
            step.compare(step.guess.choices[0][1] if step.guess.choices else 0.0)
        return len(waiting) > 1

    def another_brief(self) -> None:
        """Take another brief: its guess and its wall begin anew."""
        self.guesses.pop(BriefStep.key, None)
        self._put(BriefStep(self.using, self._rng.randrange(SEEDS)))

    def hand_in(self) -> str:
        """Hand in the wall of the brief; it is put down among the answers. Return what there is to say."""
        step = self.step(BriefStep.key)
        if BriefStep.key not in self.guesses or not isinstance(step, BriefStep):
            return "Guess first, then design the wall, then hand it in."
        option, met, missed = step.handed_in(self.values[BriefStep.key])
        self.quiz.note(BriefStep.key, step.asked.seed, option, met, missed)
        if met:
            return (
                "Handed in: everything that was asked for is met. Well done; take another brief if you like."
            )
        return f"Handed in, but not everything is met yet: {missed}. You may go on and hand it in again."

    def progress(self) -> str:
        """Return how far the lesson has come, in words."""
        return f"{len(self.guesses)} of {len(STEPS)} steps opened. {self.quiz.progress()}"

    def export(self) -> Path:
        """Write the answers given so far for the trainer; return the file."""
        return self.quiz.write(self.exports)
