"""What a step of the lesson is: a question to guess at first, then controls with a picture and words that answer."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Protocol


@dataclass(frozen=True, slots=True)
class Knob:
    """A control of a step.

    ``options`` (label, value) make it a list to choose from; otherwise it is a number from ``low`` to ``high``.
    """

    name: str
    label: str
    value: Any
    low: float = 0.0
    high: float = 0.0
    step: float = 1.0
    options: tuple[tuple[str, Any], ...] = ()

    def accept(self, value: Any) -> Any:
        """Return a value this control can have: one of its options, or the number held within its range."""
        if self.options:
            allowed = [v for _, v in self.options]
            return value if value in allowed else self.value
        return min(max(float(value), self.low), self.high)


@dataclass(frozen=True, slots=True)
class Guess:
    """What a step asks before it shows anything.

    ``choices`` (text, value) are given to choose from; without them a number of ``unit`` is asked for.
    """

    ask: str
    choices: tuple[tuple[str, Any], ...] = ()
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Shown:
    """What a step shows for the values of its controls.

    ``picture`` is an HTML image (with its own text in place of it), ``words`` the finding, ``table`` more HTML.
    """

    picture: str
    words: str
    table: str = ""


class Step(Protocol):
    """One step of the lesson."""

    key: str
    title: str
    guess: Guess
    knobs: tuple[Knob, ...]

    def compare(self, guess: Any) -> str:
        """Return the guess beside what is so, in words."""

    def show(self, values: dict[str, Any]) -> Shown:
        """Return what the controls' values come to."""


def weigh(guess: float, truth: float, slack: float) -> str:
    """Return in a word how a guessed number compares: "right", "too low" or "too high"."""
    if abs(guess - truth) <= slack:
        return "right"
    return "too low" if guess < truth else "too high"
