"""Reading a rule file (TOML) and listing every problem in it."""

from __future__ import annotations

import math
import tomllib
from dataclasses import dataclass
from functools import lru_cache
from os import PathLike
from typing import Any

from wallcalc.errors import Problem, RuleError
from wallcalc.incoming import Incoming, hint
from wallcalc.shipped import data_folder
from wallcalc.units.quantities import shown

RULE_FILE = Incoming(
    error=RuleError,
    most_bytes=1_000_000,
    pages="a copy of data/rules/uk.toml, changed",
    path="'uk', 'us' or the path of a rule file",
    encoded="a file saved as UTF-8",
    like='TOML: names on the left, numbers with a decimal point (12.5), words in "quotes"',
)
"""What is asked of a rule file before it is read."""

STATUSES = (
    "seen",
    "from memory",
    "seen in part, rest from memory",
    "computed",
    "common practice, no source",
    "invented demo value",
    "set by the user",
)
"""How well a value is vouched for."""

TENTHS_IN = {"mm": 10, "cm": 100, "m": 10_000, "in": 254, "ft": 3_048}
"""How many 0.1 mm there are in one of each unit of length."""

HEADINGS = ("title", "edition")
RULE_FIELDS = ("value", "unit", "source", "status", "note", "accepted")

Value = float | int | str | bool


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule: its value and where that comes from.

    Attributes
    ----------
    key : str
        Its name, such as ``joint.edge_cut``.
    value : float, int, str or bool
        The value as stored, in ``unit``.
    unit : str
        The unit ("" for words, switches and counts).
    source : str
        The published document and clause, or "common practice, no source".
    status : str
        One of :data:`STATUSES`.
    note : str
        What else a reader should know.
    accepted : tuple
        The values it may have; empty: any of its kind.
    """

    key: str
    value: Value
    unit: str
    source: str
    status: str
    note: str = ""
    accepted: tuple[Value, ...] = ()


@dataclass(frozen=True, slots=True)
class RuleTable:
    """The content of a rule file: headings, rules by key, rows by table."""

    title: str
    edition: str
    rules: dict[str, Rule]
    rows: dict[str, tuple[dict[str, Any], ...]]


def kind_of(value: object) -> str:
    """Return what kind of value a rule holds: "true or false", "a number" or "text" ("" for none of them)."""
    if isinstance(value, bool):
        return "true or false"
    if isinstance(value, (int, float)):
        return "a number" if math.isfinite(value) else ""
    return "text" if isinstance(value, str) else ""


def read_rule_file(path: str | PathLike[str], template: RuleTable | None = None) -> RuleTable:
    """Return the content of a rule file.

    Raises RuleError: with every problem of the file at once.
    """
    where = str(path)
    text = RULE_FILE.text(RULE_FILE.content(path), where)
    if not text.strip():
        raise RuleError([Problem("file", "nothing in it", "a copy of data/rules/uk.toml, changed")], where)
    content = RULE_FILE.toml(text, where)
    problems: list[Problem] = []
    table = _read_content(content, problems)
    if template is not None:
        _compare(table, template, problems)
    if problems:
        raise RuleError(problems, where)
    return table


def _read_content(content: dict[str, Any], problems: list[Problem]) -> RuleTable:
    headings = {name: _text(name, content.get(name), problems) for name in HEADINGS}
    rules: dict[str, Rule] = {}
    rows: dict[str, tuple[dict[str, Any], ...]] = {}
    for name, part in content.items():
        if name in HEADINGS:
            continue
        if isinstance(part, list):
            rows[name] = _read_rows(name, part, problems)
        elif isinstance(part, dict):
            _read_rules(name, part, rules, problems)
        else:
            problems.append(
                Problem(
                    name,
                    shown(part),
                    "a table such as [joint.gap] or [[board_span]]" + hint(name, HEADINGS, problems),
                )
            )
    return RuleTable(headings["title"], headings["edition"], rules, rows)


def _read_rules(key: str, part: dict[str, Any], rules: dict[str, Rule], problems: list[Problem]) -> None:
    if part and all(isinstance(below, dict) for below in part.values()):
        for name, below in part.items():
            _read_rules(f"{key}.{name}", below, rules, problems)
        return
    problems.extend(
        Problem(
            f"{key}.{name}", shown(part[name]), ", ".join(RULE_FIELDS) + hint(name, RULE_FIELDS, problems)
        )
        for name in part
        if name not in RULE_FIELDS
    )
    if "value" not in part:
        problems.append(Problem(f"{key}.value", "nothing", "a number, text, or true or false"))
    elif not kind_of(part["value"]):
        problems.append(Problem(f"{key}.value", shown(part["value"]), "a number, text, or true or false"))
    unit = _text(f"{key}.unit", part.get("unit"), problems, empty=True)
    source = _text(f"{key}.source", part.get("source"), problems)
    status = _status(key, part.get("status"), problems)
    note = _text(f"{key}.note", part.get("note", ""), problems, empty=True)
    if kind_of(part.get("value")):
        accepted = part.get("accepted", [])
        if not isinstance(accepted, list):
            problems.append(Problem(f"{key}.accepted", shown(accepted), "a list of values"))
            accepted = []
        rules[key] = Rule(key, part["value"], unit, source, status, note, tuple(accepted))


def _read_rows(name: str, part: list[Any], problems: list[Problem]) -> tuple[dict[str, Any], ...]:
    good = []
    for number, row in enumerate(part, start=1):
        place = f"{name}[{number}]"
        if not isinstance(row, dict):
            problems.append(Problem(place, shown(row), f"a row headed [[{name}]]"))
            continue
        _text(f"{place}.source", row.get("source"), problems)
        _status(place, row.get("status"), problems)
        good.append(row)
    return tuple(good)


def _text(field: str, value: object, problems: list[Problem], *, empty: bool = False) -> str:
    if isinstance(value, str) and (value.strip() or empty):
        return value
    found = shown(None if value == "" else value)
    problems.append(Problem(field, found, 'text in "quotes"' + (' ("" for none)' if empty else "")))
    return ""


def _status(key: str, value: object, problems: list[Problem]) -> str:
    if isinstance(value, str) and value in STATUSES:
        return value
    problems.append(Problem(f"{key}.status", shown(value), "one of: " + "; ".join(STATUSES)))
    return ""


def _compare(table: RuleTable, template: RuleTable, problems: list[Problem]) -> None:
    for key, rule in table.rules.items():
        model = template.rules.get(key)
        if model is None:
            problems.append(
                Problem(
                    key, "a rule that is not known", f"the rules' names{hint(key, template.rules, problems)}"
                )
            )
        else:
            problem = rule_problem(rule, model)
            if problem:
                problems.append(problem)
            if (model.unit in TENTHS_IN) != (rule.unit in TENTHS_IN):
                accepted = "one of " + ", ".join(TENTHS_IN) if model.unit in TENTHS_IN else shown(model.unit)
                problems.append(Problem(f"{key}.unit", shown(rule.unit), accepted))
            elif model.unit not in TENTHS_IN and model.unit != rule.unit:
                problems.append(Problem(f"{key}.unit", shown(rule.unit), shown(model.unit)))
    for name, rows in table.rows.items():
        if name not in template.rows:
            problems.append(
                Problem(
                    name,
                    "a table that is not known",
                    f"the tables' names{hint(name, template.rows, problems)}",
                )
            )
            continue
        models = template.rows[name]
        if not models:
            continue
        needed = set.intersection(*(set(row) for row in models)) - {"source", "status", "note"}
        for number, row in enumerate(rows, start=1):
            for column in sorted(needed):
                place = f"{name}[{number}].{column}"
                if column not in row:
                    problems.append(
                        Problem(
                            place,
                            "nothing",
                            f"a value, as in data/rules/uk.toml (here {shown(models[0][column])})",
                        )
                    )
                else:
                    problem = value_problem(place, row[column], models[0][column])
                    problem = problem or _out_of_range(f"{name}.{column}", place, row[column])
                    if problem:
                        problems.append(problem)
    problems.extend(
        Problem(key, "nothing", f"a rule, as [{key}] in data/rules/uk.toml")
        for key in template.rules
        if key not in table.rules and not any(p.field.startswith(f"{key}.") for p in problems)
    )
    problems.extend(
        Problem(name, "nothing", f"rows headed [[{name}]], or {name} = []")
        for name in template.rows
        if name not in table.rows
    )


@lru_cache(maxsize=1)
def ranges() -> dict[str, tuple[float, float]]:
    """Return the least and the most that each rule, and each column of a table, may be (lengths in mm)."""
    text = (data_folder() / "rules" / "ranges.toml").read_text(encoding="utf-8")
    return {
        f"{subject}.{name}": (least, most)
        for subject, names in tomllib.loads(text).items()
        for name, (least, most) in names.items()
    }


def _out_of_range(key: str, field: str, value: object, unit: str = "") -> Problem | None:
    """Return what is wrong with a value that is outside its rule's range, or None."""
    if key not in ranges() or kind_of(value) != "a number":
        return None
    least, most = ranges()[key]
    in_mm = float(value) * TENTHS_IN[unit] / TENTHS_IN["mm"] if unit in TENTHS_IN else float(value)
    if least <= in_mm <= most:
        return None
    said = "mm" if unit in TENTHS_IN else unit
    accepted = f"from {least:g} to {most:g} {said}".rstrip()
    return Problem(field, f"{shown(value)} {unit}".rstrip(), accepted)


def rule_problem(rule: Rule, model: Rule) -> Problem | None:
    """Return what is wrong with a rule's value beside the rule of a shipped file, or None."""
    problem = value_problem(rule.key, rule.value, model.value, model.accepted)
    return problem or _out_of_range(rule.key, rule.key, rule.value, rule.unit)


def value_problem(
    field: str, value: object, model: object, choices: tuple[Value, ...] = ()
) -> Problem | None:
    """Return what is wrong with a value beside a model of the same kind, or None."""
    if isinstance(model, list):
        return (
            None
            if isinstance(value, list)
            else Problem(field, shown(value), f"a list, such as {shown(model)}")
        )
    kind = kind_of(model)
    if kind_of(value) == kind and (value in choices if choices else kind != "a number" or value >= 0):
        return None
    accepted = "one of " + ", ".join(map(shown, choices)) if choices else kind
    if accepted == "a number":
        accepted += " from 0 up, with a decimal point and without quotes"
    return Problem(field, shown(value), accepted)
