"""Conditions on the options shown, as a person writes them: 'Rw at least 40, no fails, cost at most 300'."""

from __future__ import annotations

import math
import operator
import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import pandas as pd

from wallcalc.errors import Problem, WallcalcError
from wallcalc.panel.words import Measure

COMPARED = {
    "at least": operator.ge,
    ">=": operator.ge,
    "at most": operator.le,
    "<=": operator.le,
    "no more than": operator.le,
    "no less than": operator.ge,
    "more than": operator.gt,
    "over": operator.gt,
    ">": operator.gt,
    "less than": operator.lt,
    "under": operator.lt,
    "<": operator.lt,
    "exactly": operator.eq,
    "=": operator.eq,
}
"""Words between a figure and its number."""

SHORT_NAMES = {
    "cost": "cost",
    "rw with door": "Rw_with_door",
    "stiffness": "stiffness_use",
    "sheets": "sheets",
}
"""Short names of figures beside their labels."""

EXAMPLE = "Rw at least 40, no fails, cost at most 300"
NOT_TAKEN = "The conditions were not taken; what is wrong with them stands beside them."
_WORDS = "|".join(re.escape(word) for word in sorted(COMPARED, key=len, reverse=True))
_COMPARISON = re.compile(
    rf"(?P<name>.+?)\s*(?P<word>{_WORDS})\s*(?P<number>[0-9]+(?:\.[0-9]+)?)\s*(?P<unit>\D*)", re.I
)
_NONE = re.compile(r"no\s+(?P<name>.+)", re.I)
_BETWEEN = re.compile(r"\s*(?:,(?![0-9]{3}\b)|;|\band\b)\s*", re.I)


class ConditionError(WallcalcError):
    """A condition that cannot be read."""

    what = "conditions"


@dataclass(frozen=True, slots=True)
class Condition:
    """A figure held against a number, both as the panel shows them."""

    measure: Measure
    word: str
    number: float

    def holds(self, row: dict[str, Any]) -> bool:
        """Return whether a study row meets it; a figure that is not there does not, a range by its worse end."""
        compare = COMPARED[self.word]
        value = (self.measure.least if compare in (operator.ge, operator.gt) else self.measure.value)(row)
        if math.isnan(value):
            return False
        return bool(compare(round(value, self.measure.digits), self.number))

    def __str__(self) -> str:
        if self.word == "exactly" and self.number == 0:
            return f"no {self.measure.label}"
        return f"{self.measure.label} {self.word} {self.number:g} {self.measure.unit}".strip()


def shown_in_words(conditions: Sequence[Condition]) -> str:
    """Return which options are shown under the conditions."""
    if not conditions:
        return "All options are shown."
    return f"Only options with {', '.join(map(str, conditions))} are shown."


def read_conditions(text: str, known: Sequence[Measure]) -> tuple[Condition, ...]:
    """Return the conditions that a text states.

    Raises ConditionError: listing every part that cannot be read, with what would be accepted.
    """
    for measure in known:  # a label may hold the word that stands between conditions
        if re.search(_BETWEEN, measure.label.split(",")[0]):
            text = re.sub(re.escape(measure.label), measure.column, text, flags=re.I)
    parts = [part for part in _BETWEEN.split(text.strip()) if part]
    found: list[Condition] = []
    problems: list[Problem] = []
    names = {name.lower(): m for m in known for name in (m.label, m.column, m.label.split(",")[0])}
    by_column = {m.column: m for m in known}
    names |= {short: by_column[column] for short, column in SHORT_NAMES.items() if column in by_column}
    for number, part in enumerate(parts, 1):
        compared, none = _COMPARISON.fullmatch(part), _NONE.fullmatch(part)
        match = compared or none
        measure = names.get(match["name"].strip().lower()) if match else None
        place = f"condition {number}"
        if match is None:
            problems.append(Problem(place, f'"{part[:60]}"', f"conditions such as: {EXAMPLE}"))
        elif measure is None:
            shown = ", ".join(dict.fromkeys(m.label.split(",")[0] for m in known))
            problems.append(Problem(place, f'"{match["name"][:40]}"', f"one of the figures {shown}"))
        elif compared:
            unit = compared["unit"].strip().rstrip(".").lower()
            if unit not in ("", measure.unit.lower()):
                accepted = f"{measure.unit}, or the number alone" if measure.unit else "the number alone"
                problems.append(Problem(place, f'"{unit}"', accepted))
            found.append(Condition(measure, compared["word"].lower(), float(compared["number"])))
        else:
            found.append(Condition(measure, "exactly", 0.0))
    if problems:
        raise ConditionError(problems)
    return tuple(found)


def meeting(table: pd.DataFrame, conditions: Sequence[Condition]) -> pd.DataFrame:
    """Return the rows of a study that meet every condition, and can be built when there is any."""
    if not conditions or not len(table):
        return table
    rows = table.to_dict("records")
    keep = [bool(row["buildable"]) and all(c.holds(row) for c in conditions) for row in rows]
    return table[keep]
