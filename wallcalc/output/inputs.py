"""The rules and prices in force as files, so that an exported set can be loaded again."""

from __future__ import annotations

import json
import tempfile
from dataclasses import fields
from pathlib import Path
from typing import Any

from wallcalc.files import csv_bytes, read_csv_table, write_csv_table
from wallcalc.trade.price_file import COLUMNS, LENGTHS, NUMBERS, PriceRow
from wallcalc.trade.prices import PriceBook
from wallcalc.trade.rules import Rules
from wallcalc.units.lengths import MM
from wallcalc.units.money import format_price


def rules_text(rules: Rules) -> str:
    """Return the rules as the text of a rule file; loading it gives equal rules.

    Parameters
    ----------
    rules : Rules
        The rules in force, user's changes included.

    Returns
    -------
    str
        TOML.
    """
    lines = [f"title = {_toml(rules.title)}", f"edition = {_toml(rules.edition)}"]
    lines += [f"{name} = []" for name in rules.tables() if not rules.rows(name)]
    for key in rules.keys():  # noqa: SIM118
        rule = rules.rule(key)
        lines += ["", f"[{key}]"]
        for part in fields(rule):
            value = getattr(rule, part.name)
            if part.name != "key" and (part.name in ("value", "unit", "source", "status") or value):
                lines.append(f"{part.name} = {_toml(value)}")
    for name in rules.tables():
        for row in rules.rows(name):
            lines += ["", f"[[{name}]]", *(f"{k} = {_toml(v)}" for k, v in row.items())]
    return "\n".join(lines) + "\n"


def prices_bytes(book: PriceBook) -> bytes:
    """Return a price book as the content of a price file.

    Text that a spreadsheet could take for a formula is guarded as in every exported table;
    :func:`load_prices` takes the guard off again.

    Parameters
    ----------
    book : PriceBook
        The prices in force, user's changes included.

    Returns
    -------
    bytes
        CSV, UTF-8.
    """
    rows = book._rows.values()
    return csv_bytes(COLUMNS, ([_price_cell(row, column) for column in COLUMNS] for row in rows))


def load_prices(path: Path, name: str | None = None) -> PriceBook:
    """Return the price book that :func:`prices_bytes` wrote.

    Parameters
    ----------
    path : pathlib.Path
        The file.
    name : str, optional
        Name of the book; the file's without its ending when left out.

    Returns
    -------
    PriceBook

    Raises
    ------
    PriceError
        When the file is no price book.
    """
    rows = [list(row.values()) for row in read_csv_table(path)]
    if not rows:
        return PriceBook.load(path)
    with tempfile.TemporaryDirectory() as folder:
        plain = Path(folder) / f"{name or path.stem}.csv"
        write_csv_table(plain, COLUMNS, rows, guard=False)
        return PriceBook.load(plain)


def _price_cell(row: PriceRow, column: str) -> object:
    value = getattr(row, column)
    if column == "price":
        return format_price(value).replace(",", "")
    if column in LENGTHS:
        return f"{value / MM:.10g}" if value else ""
    if column in NUMBERS or column == "pack":
        return f"{value:.10g}" if value else ""
    return value


def _toml(value: Any) -> str:
    """Return a value as TOML: JSON's texts, numbers, switches and lists are TOML's too."""
    if isinstance(value, (list, tuple)):
        return "[" + ", ".join(_toml(v) for v in value) + "]"
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{json.dumps(k)} = {_toml(v)}" for k, v in value.items()) + " }"
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    return json.dumps(value)
