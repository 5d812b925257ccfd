"""The trade rules in force: data with units, sources and statuses, read from ``data/rules``."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction
from os import PathLike
from pathlib import Path
from typing import Any

from wallcalc.errors import Problem, RuleError
from wallcalc.incoming import hint
from wallcalc.shipped import data_folder
from wallcalc.trade.rule_file import (
    STATUSES,
    TENTHS_IN,
    Rule,
    RuleTable,
    Value,
    read_rule_file,
    rule_problem,
)

__all__ = ["SHIPPED", "STATUSES", "Rule", "Rules", "canonical_digest"]

SHIPPED = ("uk", "us")
"""Names of the rule files that come with wallcalc."""

SET_BY_USER = "set by the user"


class Rules:
    """A set of trade rules; never changed once made.

    Two sets are equal when their content is, whatever file it came from.

    Attributes
    ----------
    name : str
        "uk", "us", or the file's name without its ending.
    title, edition : str
        As the file's heading says.
    digest : str
        SHA-256 of the content. Comments, layout, line endings and the order in which rules and tables stand do
        not matter to it; the order of rows in one table does.
    """

    def __init__(self, name: str, table: RuleTable) -> None:
        self.name = name
        self.title = table.title
        self.edition = table.edition
        self._rules = dict(table.rules)
        self._rows = {key: tuple(dict(row) for row in rows) for key, rows in table.rows.items()}
        self._tenths = {
            key: _to_tenths(rule.value, rule.unit)
            for key, rule in self._rules.items()
            if rule.unit in TENTHS_IN and not isinstance(rule.value, (str, bool))
        }
        self.digest = canonical_digest(
            {
                "title": self.title,
                "edition": self.edition,
                "rules": {k: [r.value, r.unit, r.source, r.status, r.note] for k, r in self._rules.items()},
                "rows": self._rows,
            }
        )

    @classmethod
    def load(cls, source: str | PathLike[str]) -> Rules:
        """Return the rules of a file.

        Parameters
        ----------
        source : str or path-like
            "uk" or "us" for a shipped set, or the path of a rule file.

        Returns
        -------
        Rules

        Raises
        ------
        RuleError
            With every problem of the file at once. A file is compared with a shipped one: it must have the same
            rules and tables, of the same kinds.
        """
        folder = data_folder() / "rules"
        if isinstance(source, str) and source in SHIPPED:
            path, model = folder / f"{source}.toml", "us" if source == "uk" else "uk"
        else:
            path, model = source, "uk"
        template = read_rule_file(folder / f"{model}.toml")
        return cls(Path(path).stem, read_rule_file(path, template))

    def keys(self) -> tuple[str, ...]:
        """Return the keys of all rules, in the order of the file."""
        return tuple(self._rules)

    def tables(self) -> tuple[str, ...]:
        """Return the names of all tables of rows, in the order of the file."""
        return tuple(self._rows)

    def rule(self, key: str) -> Rule:
        """Return a rule with its unit, source and status.

        Parameters
        ----------
        key : str
            Its key, such as "joint.edge_cut".

        Returns
        -------
        Rule

        Raises
        ------
        KeyError
            When there is none of that key; the message names the nearest.
        """
        try:
            return self._rules[key]
        except KeyError:
            raise KeyError(f"no rule {key!r} in the rules {self.name!r}{hint(key, self._rules)}") from None

    def value(self, key: str) -> Value:
        """Return a rule's value as stored, in the rule's own unit.

        Parameters
        ----------
        key : str
            The rule's key.

        Returns
        -------
        float, int, str or bool

        Raises
        ------
        KeyError
            When there is none of that key.
        """
        return self.rule(key).value

    def tenths(self, key: str) -> int:
        """Return a length as a whole number of 0.1 mm, rounded half up.

        Parameters
        ----------
        key : str
            Key of a rule whose unit is mm, cm, m, in or ft.

        Returns
        -------
        int
            The length, 0.1 mm.

        Raises
        ------
        KeyError
            When there is none of that key.
        TypeError
            When the rule is no length.
        """
        try:
            return self._tenths[key]
        except KeyError:
            rule = self.rule(key)
            raise TypeError(
                f"the rule {key!r} is no length: found {rule.value!r} {rule.unit}".rstrip()
                + f"; accepted: a number in {', '.join(TENTHS_IN)}"
            ) from None

    def rows(self, table: str) -> tuple[dict[str, Any], ...]:
        """Return the rows of a table, in the order of the file.

        Parameters
        ----------
        table : str
            The table's name, such as "board_span".

        Returns
        -------
        tuple of dict
            Each with "source" and "status"; copies, so changing one changes no rule.

        Raises
        ------
        KeyError
            When there is no such table; the message names the nearest.
        """
        try:
            return tuple(dict(row) for row in self._rows[table])
        except KeyError:
            raise KeyError(
                f"no table {table!r} in the rules {self.name!r}{hint(table, self._rows)}"
            ) from None

    def with_values(self, values: Mapping[str, Value]) -> Rules:
        """Return the same rules with some values changed; their source becomes "set by the user".

        Parameters
        ----------
        values : mapping of str to value
            New values by key, each in the rule's own unit.

        Returns
        -------
        Rules

        Raises
        ------
        KeyError
            When a key is not known.
        RuleError
            Listing every value that is not of the rule's kind or outside its range.
        """
        rules = [self.rule(key) for key in values]
        problems = [rule_problem(replace(rule, value=values[rule.key]), rule) for rule in rules]
        wrong: list[Problem] = [p for p in problems if p is not None]
        if wrong:
            raise RuleError(wrong, self.name)
        changed = {
            key: replace(self._rules[key], value=value, source=SET_BY_USER, status=SET_BY_USER)
            for key, value in values.items()
        }
        return Rules(self.name, RuleTable(self.title, self.edition, self._rules | changed, self._rows))

    def __eq__(self, other: object) -> bool:
        return self.digest == other.digest if isinstance(other, Rules) else NotImplemented

    def __hash__(self) -> int:
        return hash(self.digest)

    def __repr__(self) -> str:
        return f"Rules({self.name!r}, edition {self.edition!r}, {self.digest[:8]})"


def canonical_digest(content: Any) -> str:
    """Return the SHA-256 of plain content: names sorted, whole floats written as integers.

    64 hexadecimal digits.
    """
    text = json.dumps(_plain(content), sort_keys=True, ensure_ascii=True, separators=(",", ":"))
    return hashlib.sha256(text.encode("ascii")).hexdigest()


def _plain(content: Any) -> Any:
    if isinstance(content, dict):
        return {str(k): _plain(v) for k, v in content.items()}
    if isinstance(content, (list, tuple)):
        return [_plain(v) for v in content]
    if isinstance(content, float) and content.is_integer():
        return int(content)
    return content


def _to_tenths(value: float, unit: str) -> int:
    exact = Fraction(str(value)) * TENTHS_IN[unit]
    return (2 * exact.numerator + exact.denominator) // (2 * exact.denominator)
