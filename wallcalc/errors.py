"""Messages for bad input: every problem at once, each with its place, what was found and what would do."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

MOST_TOLD = 30
"""A message tells so many problems in full, and how many more there are."""


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing wrong in a file or a record.

    Attributes
    ----------
    field : str
        Where it stands, as the reader would find it (``opening[1].left``, ``line 12, price``).
    found : str
        The value found, as it was written.
    accepted : str
        What would be accepted in its place.
    """

    field: str
    found: str
    accepted: str

    def __str__(self) -> str:
        return f"{self.field}: found {self.found}; accepted: {self.accepted}"


class WallcalcError(ValueError):
    """Base of all errors that bad input causes; ``problems`` lists every one, the message the first of them."""

    what = "input"

    def __init__(self, problems: Iterable[Problem], where: str = "") -> None:
        self.problems: list[Problem] = list(problems)
        self.where = where
        count = len(self.problems)
        head = f"{count} problem{'s' if count != 1 else ''} in the {self.what}"
        if where:
            head += f" {where}"
        lines = [head + ":", *(f"  - {p}" for p in self.problems[:MOST_TOLD])]
        if count > MOST_TOLD:
            lines.append(f"  - and {count - MOST_TOLD:,} more")
        super().__init__("\n".join(lines))

    def __reduce__(self) -> tuple[type, tuple[list[Problem], str]]:
        """Travel between processes as problems, not as the finished message."""
        return type(self), (self.problems, self.where)


class WallError(WallcalcError):
    """A wall, or a wall file, that cannot be used."""

    what = "wall"


class RuleError(WallcalcError):
    """A rule file that cannot be used."""

    what = "rules"


class PriceError(WallcalcError):
    """A price book that cannot be used."""

    what = "price book"


@dataclass(frozen=True, slots=True)
class Subject:
    """What a refusal is about: its kind ("hung item", "service") and its name as the wall file gives it."""

    kind: str
    name: str


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why an option cannot be built: in words for people, and typed for whoever looks for a way out.

    Attributes
    ----------
    rule : str
        The rule that stands in the way (a key of the rule file or a plain name).
    place : str
        Where on the wall.
    found : str
        What was found there.
    nearest_change : str
        The nearest change that would make it buildable.
    subject : Subject or None
        Whom it is about, where it is about one thing on the wall.
    option : tuple of (str, value)
        Keywords of the option that the nearest change sets, with their values.
    before_boards : bool
        Whether it was found before any board was laid.
    """

    rule: str
    place: str
    found: str
    nearest_change: str
    subject: Subject | None = None
    option: tuple[tuple[str, str | float], ...] = ()
    before_boards: bool = False

    def __str__(self) -> str:
        return f"{self.rule} ({self.place}): {self.found}; to make it buildable: {self.nearest_change}"


class OptionError(ValueError):
    """An option that cannot be built on this wall, with the reasons in ``refusals``."""

    def __init__(self, refusals: Iterable[Refusal]) -> None:
        self.refusals: list[Refusal] = list(refusals)
        super().__init__("; ".join(str(r) for r in self.refusals))

    def __reduce__(self) -> tuple[type, tuple[list[Refusal]]]:
        """Travel between processes as refusals, not as the finished message."""
        return type(self), (self.refusals,)
