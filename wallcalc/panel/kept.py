"""Options kept for comparison, up to four, each with the wall, rules and prices it was worked out under."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from wallcalc.panel.history import Moment

MOST_KEPT = 4
"""Options that can be kept at once."""


@dataclass(frozen=True, slots=True, eq=False)
class KeptOption:
    """One kept option: where it stood, its study row, and the number it carries on the charts."""

    number: int
    moment: Moment
    row: dict[str, Any]


class Kept:
    """The kept options in the order of their numbers."""

    def __init__(self) -> None:
        self.options: list[KeptOption] = []

    def __len__(self) -> int:
        return len(self.options)

    def __iter__(self) -> Any:
        return iter(self.options)

    def add(self, moment: Moment, row: dict[str, Any]) -> KeptOption | None:
        """Keep an option under the first free number; return None when all are taken."""
        free = [n for n in range(1, MOST_KEPT + 1) if n not in {k.number for k in self.options}]
        if not free:
            return None
        made = KeptOption(free[0], moment, dict(row))
        self.options = sorted([*self.options, made], key=lambda k: k.number)
        return made

    def find(self, moment: Moment) -> KeptOption | None:
        """Return the kept option that is just this one, None when there is none."""
        for kept in self.options:
            if kept.moment.given == moment.given and kept.moment.option == moment.option:
                return kept
        return None

    def number(self, number: int) -> KeptOption | None:
        """Return the kept option with a number, None when there is none."""
        return next((k for k in self.options if k.number == number), None)

    def drop(self, number: int) -> None:
        """Forget one."""
        self.options = [k for k in self.options if k.number != number]

    def like(self, moment: Moment) -> list[KeptOption]:
        """Return those of the same wall, rules and prices, which the charts of the study can show."""
        return [k for k in self.options if k.moment.given == moment.given]
