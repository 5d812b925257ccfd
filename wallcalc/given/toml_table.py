"""A table of a wall file, read key by key.

Nothing stops at the first problem: every reading appends to one list, and a value that cannot be read becomes
None, so that the rest of the file is still read and told about.
"""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Callable
from typing import Any

from wallcalc.errors import Problem
from wallcalc.incoming import MOST_NEAREST, MOST_WORD, nearest
from wallcalc.units.lengths import MM
from wallcalc.units.quantities import (
    LENGTH_ACCEPTED,
    MASS_ACCEPTED,
    QuantityError,
    format_length,
    parse_length,
    parse_mass,
    shown,
)

METRE = 1000 * MM
MOST_NAME = 100
"""A name has no more characters than this."""

MOST_TABLES = 100
"""A wall has no more openings, hung items or services than this."""

PAIR_ACCEPTED = 'a pair of lengths in brackets, [from the left, height], such as ["0.92 m", "0.84 m"]'
_ABSENT = object()


class Table:
    """One table of the file being read: takes keys, notes problems, and at the end names unknown keys.

    Parameters
    ----------
    data : dict
        The table as TOML gave it.
    path : str
        Its place in the file ("opening[1]"; "" for the top).
    problems : list of Problem
        Where problems are put.
    written : dict of str to str
        Where the values are put as they were written, by field.
    top_keys : tuple of str
        Keys of the top of the file, to tell of one that slipped into a table.
    """

    def __init__(
        self,
        data: dict[str, Any],
        path: str,
        problems: list[Problem],
        written: dict[str, str],
        top_keys: tuple[str, ...] = (),
    ) -> None:
        self.data = data
        self.path = path
        self.problems = problems
        self.written = written
        self.top_keys = top_keys
        self.known: list[str] = []

    def field(self, key: str) -> str:
        """Return the place of a key in the file."""
        return f"{self.path}.{key}" if self.path else key

    def wrong(self, field: str, value: object, accepted: str) -> None:
        """Note a problem with a value."""
        self.problems.append(Problem(field, shown(value), accepted))

    def take(self, key: str, accepted: str, required: bool = False) -> Any:
        """Return the value of a key, or ``_ABSENT``, noting a problem when it is required."""
        self.known.append(key)
        value = self.data.get(key, _ABSENT)
        if value is _ABSENT and required:
            self.wrong(self.field(key), None, accepted)
        elif value is not _ABSENT:
            self.written[self.field(key)] = shown(value)
        return value

    def text(self, key: str, default: str = "", required: bool = False) -> str | None:
        """Return a text on one line."""
        accepted = f"a text on one line of no more than {MOST_NAME} characters"
        value = self.take(key, accepted, required)
        if value is _ABSENT:
            return None if required else default
        good = isinstance(value, str) and len(value) <= MOST_NAME and _on_one_line(value)
        if not good or (required and not value.strip()):
            self.wrong(self.field(key), value, accepted)
            return None
        return value

    def one_of(
        self, key: str, choices: tuple[str, ...], default: str = "", required: bool = False
    ) -> str | None:
        """Return a text that is one of some words."""
        accepted = "one of " + ", ".join(f'"{c}"' for c in choices)
        value = self.take(key, accepted, required)
        if value is _ABSENT:
            return None if required else default
        if isinstance(value, str) and value in choices:
            return value
        near = nearest(value, choices) if isinstance(value, str) else None
        self.wrong(self.field(key), value, accepted + (f'; did you mean "{near}"?' if near else ""))
        return None

    def flag(self, key: str) -> bool:
        """Return true or false, false when absent."""
        value = self.take(key, "true or false")
        if value is _ABSENT:
            return False
        if not isinstance(value, bool):
            self.wrong(self.field(key), value, "true or false, without quotes")
            return False
        return value

    def length(
        self,
        key: str,
        *,
        default: int | None = None,
        required: bool = False,
        least: int = 0,
        most: int = 30 * METRE,
        place: bool = False,
    ) -> int | None:
        """Return a length in 0.1 mm within bounds; ``place`` says it is a position on the wall."""
        value = self.take(key, LENGTH_ACCEPTED, required)
        if value is _ABSENT:
            return default
        return self.read_length(value, self.field(key), least, most, place)

    def read_length(
        self, value: object, field: str, least: int, most: int, place: bool = False
    ) -> int | None:
        """Return one value as a length in 0.1 mm, or None with a problem noted."""
        if place and isinstance(value, float) and 0 < value < 30:
            note = f'a length with its unit; did you mean "{value:g} m"? If it is mm, write "{value:g} mm"'
            self.wrong(field, value, note)
            return None
        try:
            tenths = parse_length(value, field)
        except QuantityError as error:
            self.problems.append(error.problem)
            return None
        if least <= tenths <= most:
            return tenths
        accepted = f"a length from {_say(least)} to {_say(most)}"
        likely = _likely(value, least, most)
        self.wrong(field, value, accepted + (f'; did you mean "{likely}"?' if likely else ""))
        return None

    def mass(
        self,
        key: str,
        read: Callable[[Any, str], float] = parse_mass,
        *,
        default: float | None = None,
        required: bool = False,
        most: float,
        unit: str = "kg",
    ) -> float | None:
        """Return a mass in kg (or kg/m2), over nothing when required."""
        value = self.take(key, MASS_ACCEPTED, required)
        if value is _ABSENT:
            return default
        try:
            mass = read(value, self.field(key))
        except QuantityError as error:
            self.problems.append(error.problem)
            return None
        if mass > most or (required and mass == 0):
            self.wrong(self.field(key), value, f"a mass over 0 and up to {most:g} {unit}")
            return None
        return mass

    def number(self, key: str, least: float, most: float, what: str) -> float | None:
        """Return a plain number within bounds, None when absent."""
        accepted = f"{what} from {least:g} to {most:g}, a plain number"
        value = self.take(key, accepted)
        if value is _ABSENT:
            return None
        is_number = isinstance(value, (int, float)) and not isinstance(value, bool)
        if not is_number or not math.isfinite(value) or not least <= value <= most:
            self.wrong(self.field(key), value, accepted)
            return None
        return float(value)

    def pair(self, value: object, field: str) -> tuple[int | None, int | None]:
        """Return a point of the elevation in 0.1 mm."""
        if not isinstance(value, list) or len(value) != 2 or any(isinstance(v, list) for v in value):
            self.wrong(field, value, PAIR_ACCEPTED)
            return None, None
        self.written[field] = shown(value)
        x, y = (self.read_length(v, field, 0, 30 * METRE, place=True) for v in value)
        return x, y

    def table(self, key: str) -> Table:
        """Return a table within this one, an empty one when absent."""
        accepted = f"a table, [{self.field(key)}]"
        value = self.take(key, accepted)
        if value is not _ABSENT and not isinstance(value, dict):
            self.wrong(self.field(key), value, accepted)
        inner = value if isinstance(value, dict) else {}
        return Table(inner, self.field(key), self.problems, self.written, self.top_keys)

    def tables(self, key: str) -> list[Table]:
        """Return the tables of a list, counted from 1."""
        accepted = f"tables, each under [[{self.field(key)}]] in two pairs of square brackets"
        value = self.take(key, accepted)
        if value is _ABSENT:
            return []
        if not isinstance(value, list) or not all(isinstance(v, dict) for v in value):
            self.wrong(self.field(key), value, accepted)
            return []
        if len(value) > MOST_TABLES:
            accepted = f"no more than {MOST_TABLES} of them"
            self.problems.append(Problem(self.field(key), f"{len(value):,} tables", accepted))
        return [
            Table(v, f"{self.field(key)}[{i}]", self.problems, self.written, self.top_keys)
            for i, v in enumerate(value[:MOST_TABLES], 1)
        ]

    def close(self) -> None:
        """Note every key of the table that no reading has asked for."""
        unknown = [key for key in self.data if key not in self.known]
        for number, key in enumerate(unknown):
            near = nearest(key, self.known) if number < MOST_NEAREST else None
            if self.path and key in self.top_keys:
                accepted = f'"{key}" at the top of the file, before the first [table]'
            elif near:
                accepted = f'"{near}", the nearest known key'
            else:
                accepted = f"one of the keys {', '.join(self.known)}"
                accepted += f"; nearest: {nearest(key, self.known, 0.0)}" if number < MOST_NEAREST else ""
            found = f"an unknown key with the value {shown(self.data[key])}"
            self.problems.append(Problem(self.field(key[:MOST_WORD]), found, accepted))


def _on_one_line(text: str) -> bool:
    """Return whether a text has no control characters, line ends or halves of characters."""
    return not any(unicodedata.category(c) in ("Cc", "Cs", "Zl", "Zp") for c in text)


def _say(tenths: int) -> str:
    return format_length(tenths, "m" if tenths >= METRE else "mm")


def _likely(value: object, least: int, most: int) -> str | None:
    """Return what a number in another unit would be, when that is within the bounds."""
    match = re.match(r"\s*([0-9]*\.?[0-9]+)", value if isinstance(value, str) else repr(value))
    if match is None:
        return None
    for unit in ("m", "mm", "cm") if float(match[1]) >= 100 else ("m", "mm"):
        try:
            tenths = parse_length(f"{match[1]} {unit}", "")
        except QuantityError:
            continue
        if least <= tenths <= most:
            return _say(tenths)
    return None
