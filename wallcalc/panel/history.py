"""Where a study stands, and the way back and forth between where it stood."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

MOST_STEPS = 200
"""Steps that can be undone."""


@dataclass(frozen=True, slots=True)
class Moment:
    """All that is given and chosen at one time.

    Attributes
    ----------
    wall : Wall
        The wall.
    wall_path : pathlib.Path or None
        The file it came from, whether it was changed since or not.
    rules : Rules
        Trade rules.
    prices : PriceBook
        Prices.
    prices_from : str
        Where they come from, in words.
    option : Option
        What is chosen, whether it can be built or not.
    """

    wall: Any
    wall_path: Path | None
    rules: Any
    prices: Any
    prices_from: str
    option: Any

    @property
    def given(self) -> tuple[Any, str, str]:
        """What decides a design besides the option: wall, rules and prices."""
        return (self.wall, self.rules.digest, self.prices.digest)


@dataclass
class History:
    """Moments to go back to and, after that, forth to again."""

    past: list[Moment] = field(default_factory=list)
    future: list[Moment] = field(default_factory=list)

    def leave(self, moment: Moment) -> None:
        """Remember a moment that is being left; what was undone before cannot be redone any more."""
        self.past.append(moment)
        del self.past[:-MOST_STEPS]
        self.future.clear()

    def back(self, now: Moment) -> Moment | None:
        """Return the moment before this one, None when there is none."""
        if not self.past:
            return None
        self.future.append(now)
        return self.past.pop()

    def forth(self, now: Moment) -> Moment | None:
        """Return the moment that was undone last, None when there is none."""
        if not self.future:
            return None
        self.past.append(now)
        return self.future.pop()
