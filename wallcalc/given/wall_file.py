"""Wall files: TOML to a :class:`~wallcalc.given.wall.Wall` and back, with every problem of a file told at once."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from dataclasses import fields
from os import PathLike
from pathlib import Path
from typing import Any

from wallcalc.errors import Problem, WallError
from wallcalc.files import write_text
from wallcalc.given.reader import read_tables
from wallcalc.given.sense import disagreements
from wallcalc.given.wall import Access, HungItem, Joists, Opening, Room, Service, Wall
from wallcalc.units.quantities import (
    LENGTH_STYLES,
    QuantityError,
    format_length,
    parse_length,
    shown,
)

MOST_BYTES = 1_000_000
"""A wall file is no larger than this."""

_PLACE = re.compile(r"\s*\(at (?:line (\d+), column (\d+)|end of document)\)")
_KEYS = {"line": "fixing_line", "line_centres": "fixing_centres"}
_PLAIN_NUMBERS = ("mass", "extra", "leaf_mass", "tile_mass", "rating")


def load_wall(path: str | PathLike[str]) -> Wall:
    """Read a wall file.

    Parameters
    ----------
    path : path-like
        The file: TOML in UTF-8, with or without a byte order mark, with line ends of any system.

    Returns
    -------
    Wall

    Raises
    ------
    WallError
        With every problem of the file at once.
    OSError
        When there is no such file, or it cannot be opened.
    """
    path = Path(path)
    with path.open("rb") as file:
        data = file.read(MOST_BYTES + 1)
    return wall_of_bytes(data, str(path))


def wall_of_bytes(data: bytes, where: str = "") -> Wall:
    """Read the content of a wall file.

    Parameters
    ----------
    data : bytes
        All of it, or more than :data:`MOST_BYTES`.
    where : str
        What to call it in messages, usually its path.

    Returns
    -------
    Wall

    Raises
    ------
    WallError
        With every problem of the file at once.
    """
    if len(data) > MOST_BYTES:
        problem = Problem("file", f"more than {MOST_BYTES:,} bytes", "a wall file of a few pages")
        raise WallError([problem], where)
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        found = f"a byte that is not UTF-8 text (0x{data[error.start]:02x})"
        raise WallError([Problem(f"line {line}", found, 'a file saved as "UTF-8"')], where) from None
    return loads_wall(text, where)


def loads_wall(text: str, where: str = "") -> Wall:
    """Read the text of a wall file.

    Parameters
    ----------
    text : str
        The TOML text.
    where : str
        What to call it in messages, usually its path.

    Returns
    -------
    Wall

    Raises
    ------
    WallError
        With every problem at once; an error of TOML itself is told alone, with its line and column.
    """
    text = text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n")
    try:
        data = tomllib.loads(text)
    except (ValueError, RecursionError) as error:
        raise WallError([_syntax_problem(text, error)], where) from None
    wall, problems, written = read_tables(data)
    problems += disagreements(wall, written)
    if problems:
        raise WallError(problems, where)
    return wall


def dumps_wall(wall: Wall, units: str = "m") -> str:
    """Return a wall as the text of a wall file; what is as by default is left out.

    Parameters
    ----------
    wall : Wall
        The wall.
    units : str
        How lengths are written: "m" (m, and mm below 1 m), "mm", or "ft-in" (mm where no sixteenth of an inch
        is exact).

    Returns
    -------
    str
        TOML; :func:`loads_wall` gives an equal wall.
    """
    if units not in LENGTH_STYLES:
        raise ValueError(f"units: found {shown(units)}; accepted: one of {', '.join(LENGTH_STYLES)}")
    if len(wall.heights) == 1 and wall.heights[0][0] == 0:
        height = _length(wall.heights[0][1], units)
    else:
        height = _points(wall.heights, units)
    lines = [
        "# A wall for wallcalc. Lengths are texts with a unit, or plain numbers of mm.",
        f"name = {_quoted(wall.name)}",
        f"length = {_length(wall.length, units)}",
        f"height = {height}",
    ]
    top = ("finish", "ceiling", "floor", "left_end", "right_end", "floor_build_up", "skirting")
    if wall.floor_levels:
        lines.append(f"floor_levels = {_points(wall.floor_levels, units)}")
    lines += _pairs(wall, units, only=top)
    parts: list[tuple[str, Room | Opening | HungItem | Service | Joists | Access]] = [
        ("[room.A]", wall.room_a),
        ("[room.B]", wall.room_b),
        *(("[[opening]]", o) for o in wall.openings),
        *(("[[hung]]", h) for h in wall.hung),
        *(("[[service]]", s) for s in wall.services),
        ("[joists.above]", wall.joists_above),
        ("[joists.below]", wall.joists_below),
        ("[access]", wall.access),
    ]
    for head, record in parts:
        pairs = list(_pairs(record, units))
        if pairs or head.startswith("[["):
            lines += ["", head, *pairs]
    return "\n".join(lines) + "\n"


def save_wall(wall: Wall, path: str | PathLike[str], units: str = "m") -> Path:
    """Write a wall file whole or not at all; the comments of a file that stood there are lost.

    Parameters
    ----------
    wall : Wall
        The wall.
    path : path-like
        Where to write; its folder must exist.
    units : str
        How lengths are written, see :func:`dumps_wall`.

    Returns
    -------
    pathlib.Path
        The file written.

    Raises
    ------
    WallError
        When the wall is not one that could be loaded again; nothing is written then.
    FileHeldError
        When the file cannot be written, for instance because another program holds it open.
    """
    return write_text(path, text_to_save(wall, units))


def text_to_save(wall: Wall, units: str = "m") -> str:
    """Return a wall as the text of a wall file, as :func:`dumps_wall` does, proven to give the wall back.

    Raises
    ------
    WallError
        When the wall is not one that could be loaded again.
    """
    text = dumps_wall(wall, units)
    if loads_wall(text, "to be saved") != wall:
        raise WallError(
            [Problem("wall", "a value that a wall file cannot hold", "a wall as a file gives it")]
        )
    return text


def _syntax_problem(text: str, error: Exception) -> Problem:
    """Return the place of an error of TOML, the line found there, and what may be wrong with it."""
    if isinstance(error, RecursionError):
        return Problem("file", "brackets within brackets, too deep to read", "TOML as in the example walls")
    lines = text.split("\n")
    match = _PLACE.search(str(error))
    if match is None:
        return Problem("file", "a value that is too long to read", "TOML as in the example walls")
    reason = _PLACE.sub("", str(error))
    if match[1]:
        line, column = int(match[1]), int(match[2])
    else:
        line, column = len(lines), len(lines[-1]) + 1
    found = lines[line - 1].strip() if line <= len(lines) else ""
    accepted = f"TOML ({reason[:1].lower() + reason[1:]})"
    number = re.fullmatch(r"([\w.-]+)\s*=\s*([+-]?[0-9][0-9.,]*)\s*([^\s0-9.,\]#\"'][^\"]*)?", found)
    if number is not None and number[3]:
        plain = f"{number[2].replace(',', '.')} {number[3].strip()}"
        accepted += f'; a value with a unit stands in quotes: {number[1]} = "{plain}"'
    elif number is not None and "," in number[2]:
        accepted += "; a decimal point in place of the comma"
    elif re.fullmatch(r"""[\w.-]+\s*=\s*"[^"]*[0-9]"+.*""", found):
        accepted += '; within quotes write inches as in: "8 ft 4 in"'
    return Problem(f"line {line}, column {column}", shown(found)[1:-1] or "the end of the file", accepted)


def _quoted(text: str) -> str:
    """Return a text as a TOML basic string."""
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return '"' + "".join(c if c >= " " and c != "\x7f" else f"\\u{ord(c):04x}" for c in escaped) + '"'


def _length(tenths: int, units: str) -> str:
    style = "mm" if units == "m" and abs(tenths) < 10_000 else units
    text = format_length(tenths, style)
    try:
        exact = parse_length(text, "", negative=True) == tenths
    except QuantityError:
        exact = False
    return _quoted(text if exact else format_length(tenths, "mm"))


def _points(points: tuple[tuple[int, int], ...], units: str) -> str:
    return "[" + ", ".join(f"[{_length(x, units)}, {_length(y, units)}]" for x, y in points) + "]"


def _pairs(record: Any, units: str, only: tuple[str, ...] = ()) -> Iterator[str]:
    """Yield key = value for every field of a record that is not as by default."""
    told = _told_otherwise(record)
    for field in fields(record):
        value = getattr(record, field.name)
        if field.name in told:
            continue
        if value == field.default or value is None or (only and field.name not in only):
            continue
        yield f"{_KEYS.get(field.name, field.name)} = {_toml(field.name, value, units)}"


def _told_otherwise(record: Any) -> tuple[str, ...]:
    """Return the fields that another field of the record tells."""
    if isinstance(record, HungItem) and record.line is not None:
        return ("fixings",)
    if isinstance(record, Service) and record.size is not None:
        return ("diameter",)
    return ()


def _toml(key: str, value: Any, units: str) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return _quoted(value)
    if key in ("fixings", "line"):
        return _points(value, units)
    if key in ("at", "to", "size"):
        return _points((value,), units)[1:-1]
    if key in _PLAIN_NUMBERS:
        return str(int(value)) if value == int(value) else repr(float(value))
    return _length(value, units)
