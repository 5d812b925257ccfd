"""A question with its right answer, the wrong answers that misconceptions lead to, and how an answer is marked."""

from __future__ import annotations

from dataclasses import dataclass

from wallcalc.errors import Problem
from wallcalc.units.lengths import MM
from wallcalc.units.quantities import QuantityError, parse_length

MISCONCEPTIONS = {
    "centres as clear bay": "the centres were taken as the clear gap between studs",
    "error runs on": "each stud was measured from the last stud's edge, so the error runs on",
    "edge on the mark": "the stud was set with its edge on the mark",
    "nominal for actual": "the nominal timber size was taken for the actual one",
    "one stud height": "all studs were cut to one height",
    "leaf as opening": "the door leaf was taken as the opening",
    "joint on jamb line": "a board joint was put on the jamb line",
    "both faces one stud": "joints of both faces were put on one stud",
    "bound edge in corner": "the bound edge was put in the corner and the cut edge in the middle",
    "screw near cut edge": "the screw is too near a cut edge",
    "floor gap forgotten": "the gap above the floor was forgotten",
    "kerf forgotten": "the width of the saw cuts was forgotten",
    "closed too soon": "the second side was closed before pipes, noggins and fill were in",
}
"""What an answer can show to be misunderstood, and how it is said."""

LENGTH, COUNT, CHOICE = "length", "count", "choice"
LENGTH_TOLERANCE = 10
"""A typed length may be this far off, 0.1 mm."""
INCH_TOLERANCE = 16
"""The same where the tape reads inches: a sixteenth, 0.1 mm."""


@dataclass(frozen=True, slots=True)
class Mistake:
    """A misconception and the answer that would result from it; ``reason`` says why that is wrong."""

    name: str
    value: int
    reason: str

    def __post_init__(self) -> None:
        if self.name not in MISCONCEPTIONS:
            raise ValueError(f"name: found {self.name!r}; accepted: one of {', '.join(MISCONCEPTIONS)}")


@dataclass(frozen=True, slots=True)
class Question:
    """One variant of a kind of question.

    Attributes
    ----------
    kind, seed : str, int
        What it was made from.
    text : str
        The question.
    form : str
        "length" (0.1 mm), "count" or "choice" (the number of the choice).
    answer : int
        The right answer.
    shown : str
        The right answer as a person reads it.
    reason : str
        Why it is right.
    mistakes : tuple of Mistake
        Wrong answers that are recognised.
    choices : tuple of str
        Texts to choose from, for "choice".
    tolerance : int
        How far off an answer may be.
    """

    kind: str
    seed: int
    text: str
    form: str
    answer: int
    shown: str
    reason: str
    mistakes: tuple[Mistake, ...] = ()
    choices: tuple[str, ...] = ()
    tolerance: int = 0

    @property
    def sound(self) -> bool:
        """Whether right and wrong answers can all be told apart, tolerance included."""
        values = [self.answer, *(m.value for m in self.mistakes)]
        gaps = [abs(a - b) for i, a in enumerate(values) for b in values[i + 1 :]]
        listed = not self.choices or (len(set(self.choices)) == len(self.choices) > 1)
        return listed and all(gap > 2 * self.tolerance for gap in gaps) and all(v >= 0 for v in values)


@dataclass(frozen=True, slots=True)
class Marked:
    """An answer marked: right or not, the misconception it shows ("" if none is recognised), and what to say."""

    right: bool
    diagnosis: str
    feedback: str


def read_answer(question: Question, text: str) -> int:
    """Return an answer as a number: 0.1 mm for a length, else a whole number.

    Raises QuantityError: when it cannot be read; the message says what is accepted.
    """
    if question.form == LENGTH:
        return parse_length(text.strip(), "answer")
    if question.form == CHOICE and text in question.choices:
        return question.choices.index(text)
    try:
        value = int(text.strip()) if len(text) < 20 else -1
    except ValueError:
        value = -1
    if value < 0 or (question.form == CHOICE and value >= len(question.choices)):
        raise QuantityError(Problem("answer", f'"{text[:40]}"', "a whole number, such as 4"))
    return value


def mark(question: Question, value: int) -> Marked:
    """Return an answer marked, its misconception recognised where it shows one."""
    if abs(value - question.answer) <= question.tolerance:
        return Marked(True, "", f"Right: {question.shown}. {question.reason}")
    for mistake in question.mistakes:
        if abs(value - mistake.value) <= question.tolerance:
            said = MISCONCEPTIONS[mistake.name]
            return Marked(
                False,
                mistake.name,
                f"Not so: {said}. {mistake.reason} Right is {question.shown}. {question.reason}",
            )
    return Marked(False, "", f"Not so: right is {question.shown}. {question.reason}")


def reads(tenths: int) -> str:
    """Return a length in mm as a person types it."""
    return f"{tenths / MM:g} mm"
