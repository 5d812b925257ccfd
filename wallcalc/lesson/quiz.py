"""The questions of one session: which comes next, how an answer is marked, progress, and its export for the trainer."""

from __future__ import annotations

import secrets
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from os import PathLike
from pathlib import Path
from random import Random

from wallcalc.files import csv_bytes, write_bytes
from wallcalc.lesson.question import MISCONCEPTIONS, Marked, Question, mark, read_answer
from wallcalc.lesson.questions import KINDS, question
from wallcalc.units.quantities import QuantityError

COLUMNS = ("time", "question", "seed", "answer", "right", "diagnosis")
SEEDS = 1_000_000
FILE = "lesson_progress.csv"


@dataclass(frozen=True, slots=True)
class Entry:
    """One answer given: when, what kind, which variant, the answer as it was typed, and how it was marked."""

    time: str
    kind: str
    seed: int
    answer: str
    right: bool
    diagnosis: str


class Quiz:
    """The questions of one session.

    A kind answered wrong comes back, with another variant, before the round ends.

    Parameters
    ----------
    seed : int, optional
        Where the session's chance begins; by chance when left out.
    clock : callable
        Tells the time.

    Attributes
    ----------
    current : Question
        What is asked now.
    marked : Marked or None
        The last answer to it, marked.
    message : str
        Why an answer could not be read, "" when it could.
    log : list of Entry
        All answers, in order.
    """

    def __init__(self, seed: int | None = None, clock: Callable[[], datetime] = datetime.now) -> None:
        self._rng = Random(secrets.randbelow(SEEDS) if seed is None else seed)
        self._clock = clock
        self._waiting: list[str] = list(KINDS)
        self.log: list[Entry] = []
        self.marked: Marked | None = None
        self.message = ""
        self.current = self._draw(self._waiting.pop(0))

    def answer(self, text: str) -> bool:
        """Mark an answer; one that cannot be read is not counted.

        Whether it was marked.
        """
        if self.marked is not None:
            self.message = "This question is answered. Take the next one."
            return False
        try:
            value = read_answer(self.current, text)
        except QuantityError as error:
            self.message = f"That cannot be read. {error.problem}"
            return False
        self.message = ""
        self.marked = mark(self.current, value)
        kind, seed = self.current.kind, self.current.seed
        self.note(kind, seed, text.strip(), self.marked.right, self.marked.diagnosis)
        if not self.marked.right:
            self._waiting.insert(min(2, len(self._waiting)), kind)
        return True

    def note(self, kind: str, seed: int, answer: str, right: bool, diagnosis: str) -> None:
        """Put down an answer, or something else handed in, with the time."""
        now = self._clock().isoformat(timespec="seconds")
        self.log.append(Entry(now, kind, seed, answer, right, diagnosis))

    def next(self) -> Question:
        """Draw the next question; when every kind was answered a new round begins in another order."""
        if not self._waiting:
            self._waiting = self._rng.sample(list(KINDS), len(KINDS))
        self.marked, self.message = None, ""
        self.current = self._draw(self._waiting.pop(0))
        return self.current

    def ask(self, kind: str, seed: int) -> Question:
        """Ask one given variant, such as one from a trainer's list."""
        self.marked, self.message = None, ""
        self.current = question(kind, seed)
        return self.current

    def _draw(self, kind: str) -> Question:
        return question(kind, self._rng.randrange(SEEDS))

    @property
    def right(self) -> int:
        """How many answers were right."""
        return sum(e.right for e in self.log)

    @property
    def kinds_right(self) -> int:
        """How many kinds of question were answered right at least once."""
        return len({e.kind for e in self.log if e.right and e.kind in KINDS})

    def progress(self) -> str:
        """Return how the session stands, in words."""
        if not self.log:
            return f"No question answered yet; there are {len(KINDS)} kinds."
        said = (
            f"{self.right} of {len(self.log)} answers right; {self.kinds_right} of {len(KINDS)} kinds of question "
            "answered right."
        )
        shown = Counter(e.diagnosis for e in self.log if e.diagnosis in MISCONCEPTIONS).most_common()
        if shown:
            said += " To look at again: " + "; ".join(
                f"{MISCONCEPTIONS[name]}{f' ({n} times)' if n > 1 else ''}" for name, n in shown
            ) + "."  # fmt: skip
        return said

    def csv(self) -> bytes:
        """Return the session's answers as CSV, safe to open in a spreadsheet."""
        rows = [(e.time, e.kind, e.seed, e.answer, "yes" if e.right else "no", e.diagnosis) for e in self.log]
        return csv_bytes(COLUMNS, rows)

    def write(self, folder: str | PathLike[str]) -> Path:
        """Write the session's answers into a folder, which is made where it is missing.

        The file written. Raises OSError: when it cannot be written.
        """
        target = Path(folder)
        target.mkdir(parents=True, exist_ok=True)
        return write_bytes(target / FILE, self.csv())
