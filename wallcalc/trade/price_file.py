"""Reading a price book (CSV) and listing every problem in it."""

from __future__ import annotations

import csv
import io
import re
from dataclasses import dataclass, fields

from wallcalc.errors import PriceError, Problem
from wallcalc.incoming import Incoming, hint
from wallcalc.units.lengths import MM
from wallcalc.units.money import parse_price
from wallcalc.units.quantities import shown

GROUPS = (
    "timber",
    "sheet",
    "slab",
    "plywood",
    "screw",
    "fixing",
    "tape",
    "compound",
    "sealant",
    "adhesive",
)
"""What a row can be."""

BOARD_KINDS = ("standard", "moisture", "dense", "plywood")
EDGES = ("tapered", "square")
SIZES = ("metric", "inch", "both")

NEEDED = {
    "timber": ("section", "thickness", "width", "length"),
    "sheet": ("thickness", "width", "length", "board_kind", "edge", "surface_mass"),
    "plywood": ("thickness", "width", "length", "board_kind", "surface_mass"),
    "slab": ("thickness", "width", "length", "density", "flow_resistivity"),
    "screw": ("length",),
}
"""Columns that a row of a group must fill, beside those that every row must."""

SAME_IN_PRODUCT = {
    "sheet": ("thickness", "board_kind", "edge", "surface_mass"),
    "plywood": ("thickness", "board_kind", "edge", "surface_mass"),
    "slab": ("thickness", "density", "flow_resistivity"),
}
"""Columns in which all rows of a product agree."""

PRICE_FILE = Incoming(
    error=PriceError,
    most_bytes=2_000_000,
    pages="a price book of no more than 5,000 rows",
    path="the path of a price book",
    encoded="a file saved as CSV UTF-8",
)
"""What is asked of a price book before it is read."""

MOST_ROWS = 5_000
WHOLE_PACK = ("timber", "sheet", "plywood", "slab", "screw", "fixing")
MOST_LENGTH = 20_000
_NUMBER = re.compile(r"[0-9]{1,9}(\.[0-9]{1,6})?")


@dataclass(frozen=True, slots=True)
class PriceRow:
    """One row of the price book: lengths in 0.1 mm (0: none), price in cents, the rest in the file's units."""

    code: str
    group: str
    product: str
    description: str
    unit: str
    pack: float
    price: int
    currency: str
    sizes: str
    section: str
    thickness: int
    width: int
    length: int
    board_kind: str
    edge: str
    surface_mass: float
    density: float
    flow_resistivity: float
    source: str


COLUMNS = tuple(f.name for f in fields(PriceRow))
"""The file's columns."""

HEADER = ",".join(COLUMNS)
LENGTHS = ("thickness", "width", "length")
NUMBERS = ("surface_mass", "density", "flow_resistivity")
ALWAYS = ("code", "group", "product", "description", "unit", "pack", "price", "currency", "sizes", "source")


def read_prices(data: bytes, where: str) -> tuple[PriceRow, ...]:
    """Return the rows of a price book, in the order of the file.

    Raises PriceError: with every problem of the file at once, each with its line and column.
    """
    problems: list[Problem] = []
    rows = _read_text(PRICE_FILE.text(data, where), problems)
    if problems:
        raise PriceError(problems, where)
    return rows


def _read_text(text: str, problems: list[Problem]) -> tuple[PriceRow, ...]:
    if not text.strip():
        problems.append(Problem("file", "nothing in it", f"a header line and rows; the header is {HEADER}"))
        return ()
    first = text.lstrip().splitlines()[0]
    separator = ";" if first.count(";") > first.count(",") else ","
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    try:
        lines = [
            (reader.line_num, [cell.strip() for cell in cells])
            for cells in reader
            if any(map(str.strip, cells))
        ]
    except csv.Error as error:
        problems.append(
            Problem(
                f"line {reader.line_num}", str(error), 'CSV; a cell with " in it is written "like ""this"""'
            )
        )
        return ()
    if len(lines) > MOST_ROWS + 1:
        problems.append(Problem("file", f"{len(lines) - 1:,} rows", f"no more than {MOST_ROWS:,} rows"))
        return ()
    header = [name.lower() for name in lines[0][1]]
    if not _header_is_good(lines[0][0], header, problems):
        return ()
    read = [_read_row(number, header, cells, problems) for number, cells in lines[1:]]
    rows = [(number, row) for (number, _), row in zip(lines[1:], read, strict=True) if row is not None]
    if not lines[1:]:
        problems.append(Problem("file", "a header line and no rows", "at least one row"))
    _compare_rows(rows, problems)
    return tuple(row for _, row in rows)


def _header_is_good(number: int, header: list[str], problems: list[Problem]) -> bool:
    known = [name for name in header if name in COLUMNS]
    if len(known) < len(COLUMNS) // 3 or len(header) > 3 * len(COLUMNS):
        found = f"no header line but {', '.join(header[:4])}..."
        problems.append(
            Problem(
                f"line {number}",
                found,
                f"this header as the first line, copied from data/prices.csv: {HEADER}",
            )
        )
        return False
    before = len(problems)
    for name in COLUMNS:
        if header.count(name) != 1:
            found = "no such column" if name not in header else f"{header.count(name)} such columns"
            problems.append(Problem(f"line {number}, {name}", found, f"one each of {HEADER}"))
    problems.extend(
        Problem(
            f"line {number}, {name or 'a column without a name'}",
            "a column that is not known",
            f"{HEADER}{hint(name, COLUMNS, problems)}",
        )
        for name in header
        if name not in COLUMNS
    )
    return len(problems) == before


def _read_row(number: int, header: list[str], cells: list[str], problems: list[Problem]) -> PriceRow | None:
    if len(cells) != len(header):
        found = f"{len(cells)} cells"
        accepted = f"{len(header)} cells, as the header; a decimal comma or a comma in a text makes more"
        problems.append(Problem(f"line {number}", found, accepted))
        return None
    cell = dict(zip(header, cells, strict=True))
    before = len(problems)

    def wrong(column: str, accepted: str) -> None:
        problems.append(Problem(f"line {number}, {column}", shown(cell[column] or None), accepted))

    group = cell["group"]
    needed = ALWAYS + NEEDED.get(group, ())
    for column in ALWAYS:
        if not cell[column] and column not in ("pack", "price", "group", "sizes"):
            wrong(column, "a text")
    for column, accepted in (("group", GROUPS), ("sizes", SIZES)):
        if cell[column] not in accepted:
            wrong(column, f"one of {', '.join(accepted)}" + hint(cell[column], accepted, problems))
    for column, accepted in (("board_kind", BOARD_KINDS), ("edge", EDGES)):
        if (cell[column] or column in needed) and cell[column] not in accepted:
            wrong(column, f"one of {', '.join(accepted)}")
    if not re.fullmatch(r"[A-Z]{3}", cell["currency"]) and cell["currency"]:
        wrong("currency", "a currency code of three capitals, such as GBP")
    values: dict[str, float] = {}
    for column in ("pack", *LENGTHS, *NUMBERS):
        values[column] = 0.0
        if not cell[column] and column not in needed:
            continue
        if not _NUMBER.fullmatch(cell[column]) or float(cell[column]) <= 0:
            wrong(column, "a number above 0 with a decimal point" + (", mm" if column in LENGTHS else ""))
        elif column in LENGTHS and float(cell[column]) > MOST_LENGTH:
            wrong(column, f"a length in mm, at most {MOST_LENGTH}")
        else:
            values[column] = float(cell[column])
    if group in WHOLE_PACK and values["pack"] % 1:
        wrong("pack", "a whole number")
    try:
        price = parse_price(cell["price"])
    except ValueError as error:
        wrong("price", str(error).split("accepted: ")[1])
        price = 0
    if group == "timber" and values["thickness"] and values["width"]:
        section = f"{values['thickness']:g}x{values['width']:g}"
        if cell["section"] != section:
            wrong("section", f"thickness by width of this row, {section}")
    if len(problems) > before:
        return None
    numbers = {c: int(values[c] * MM + 0.5) for c in LENGTHS} | {c: values[c] for c in ("pack", *NUMBERS)}
    return PriceRow(**(cell | numbers | {"price": price}))


def _compare_rows(rows: list[tuple[int, PriceRow]], problems: list[Problem]) -> None:
    seen: dict[str, int] = {}
    models: dict[str, tuple[int, PriceRow]] = {}
    for number, row in rows:
        if row.code in seen:
            found = f"{shown(row.code)}, which line {seen[row.code]} has too"
            problems.append(Problem(f"line {number}, code", found, "a code of its own for each row"))
        seen.setdefault(row.code, number)
        if row.currency != rows[0][1].currency:
            accepted = f"one currency in the whole file ({rows[0][1].currency} in line {rows[0][0]})"
            problems.append(Problem(f"line {number}, currency", shown(row.currency), accepted))
        first, model = models.setdefault(row.product, (number, row))
        if row.group != model.group:
            accepted = f"one group for {row.product!r} ({model.group} in line {first})"
            problems.append(Problem(f"line {number}, group", shown(row.group), accepted))
            continue
        for column in SAME_IN_PRODUCT.get(row.group, ()):
            if getattr(row, column) != getattr(model, column):
                value, other = (getattr(r, column) for r in (row, model))
                if column in LENGTHS:
                    value, other = (f"{v / MM:g}" for v in (value, other))
                accepted = f"one {column} for {row.product!r} ({other} in line {first})"
                problems.append(Problem(f"line {number}, {column}", str(value), accepted))
