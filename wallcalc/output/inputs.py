"""The rules and prices in force as files, so that an exported set can be loaded again."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path
from typing import Any

from wallcalc.files import csv_bytes, read_csv_table, toml_text
from wallcalc.trade.price_file import COLUMNS, LENGTHS, NUMBERS, PRICE_FILE, PriceRow, read_prices
from wallcalc.trade.prices import PriceBook
from wallcalc.trade.rules import Rules
from wallcalc.units.lengths import MM
from wallcalc.units.money import format_price


def rules_text(rules: Rules) -> str:
    """Return the rules as the text of a rule file; loading it gives equal rules.

    TOML.
    """
    tables: dict[str, Any] = {"title": rules.title, "edition": rules.edition}
    tables |= {name: [] for name in rules.tables() if not rules.rows(name)}
    for key in rules.keys():  # noqa: SIM118
        rule = asdict(rules.rule(key))
        *above, name = rule.pop("key").split(".")
        place = tables
        for part in above:
            place = place.setdefault(part, {})
        always = ("value", "unit", "source", "status")
        place[name] = {part: value for part, value in rule.items() if part in always or value}
    tables |= {name: list(rules.rows(name)) for name in rules.tables() if rules.rows(name)}
    return toml_text(tables)


def prices_bytes(book: PriceBook) -> bytes:
    """Return a price book as the content of a price file.

    Text that a spreadsheet could take for a formula is guarded as in every exported table;
    :func:`load_prices` takes the guard off again.

    CSV, UTF-8.
    """
    rows = book._rows.values()
    return csv_bytes(COLUMNS, ([_price_cell(row, column) for column in COLUMNS] for row in rows))


def load_prices(path: Path, name: str | None = None) -> PriceBook:
    """Return the price book that :func:`prices_bytes` wrote.

    Raises PriceError: when the file is no price book.
    """
    rows = [list(row.values()) for row in read_csv_table(path)]
    plain = csv_bytes(COLUMNS, rows, guard=False) if rows else PRICE_FILE.content(path)
    return PriceBook(name or path.stem, read_prices(plain, str(path)))


def _price_cell(row: PriceRow, column: str) -> object:
    value = getattr(row, column)
    if column == "price":
        return format_price(value).replace(",", "")
    if column in LENGTHS:
        return f"{value / MM:.10g}" if value else ""
    if column in NUMBERS or column == "pack":
        return f"{value:.10g}" if value else ""
    return value
