"""Wall files: TOML to the record of a wall and back, with every problem of a file told at once."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields
from typing import Any

from wallcalc.errors import Problem, WallError
from wallcalc.files import toml_text
from wallcalc.given.parts import GivenWall, HungItem, Service
from wallcalc.given.reader import Made, read_tables
from wallcalc.incoming import Incoming
from wallcalc.units.quantities import LENGTH_STYLES, QuantityError, format_length, parse_length, shown

WALL_FILE = Incoming(
    error=WallError,
    most_bytes=1_000_000,
    pages="a wall file of a few pages",
    path="the path of a wall file",
    encoded='a file saved as "UTF-8"',
    like="TOML as in the example walls",
)
"""What is asked of a wall file before it is read."""

REMARK = "A wall for wallcalc. Lengths are texts with a unit, or plain numbers of mm."
_KEYS = {"line": "fixing_line", "line_centres": "fixing_centres"}
_PLAIN_NUMBERS = ("mass", "extra", "leaf_mass", "tile_mass", "rating")


def read_wall(make: type[Made], text: str | bytes, where: str = "") -> Made:
    """Return the wall, of the class asked for, that the content of a wall file tells.

    Raises WallError: with every problem at once; an error of TOML itself is told alone, with its line and
    column.
    """
    if isinstance(text, bytes):
        text = WALL_FILE.text(text, where)
    wall, problems = read_tables(make, WALL_FILE.toml(text, where))
    if problems:
        raise WallError(problems, where)
    return wall


def text_to_save(wall: GivenWall, units: str = "m") -> str:
    """Return a wall as the text of a wall file, as :func:`dumps_wall` does, proven to give the wall back.

    Raises WallError: when the wall is not one that could be loaded again.
    """
    text = dumps_wall(wall, units)
    if read_wall(type(wall), text, "to be saved") != wall:
        raise WallError(
            [Problem("wall", "a value that a wall file cannot hold", "a wall as a file gives it")]
        )
    return text


def dumps_wall(wall: GivenWall, units: str = "m") -> str:
    """Return a wall as the text of a wall file; what is as by default is left out."""
    return toml_text(tables_of(wall, units), REMARK)


def tables_of(wall: GivenWall, units: str = "m") -> dict[str, Any]:
    """Return a wall as the tables of a wall file, lengths as texts in the units of :func:`dumps_wall`."""
    if units not in LENGTH_STYLES:
        raise ValueError(f"units: found {shown(units)}; accepted: one of {', '.join(LENGTH_STYLES)}")
    level = len(wall.heights) == 1 and wall.heights[0][0] == 0
    tables: dict[str, Any] = {
        "name": wall.name,
        "length": _length(wall.length, units),
        "height": _length(wall.heights[0][1], units) if level else _points(wall.heights, units),
    }
    if wall.floor_levels:
        tables["floor_levels"] = _points(wall.floor_levels, units)
    top = ("finish", "ceiling", "floor", "left_end", "right_end", "floor_build_up", "skirting")
    tables |= {key: value for key, value in _pairs(wall, units) if key in top}
    parts = {
        "room": {"A": dict(_pairs(wall.room_a, units)), "B": dict(_pairs(wall.room_b, units))},
        "opening": [dict(_pairs(opening, units)) for opening in wall.openings],
        "hung": [dict(_pairs(item, units)) for item in wall.hung],
        "service": [dict(_pairs(service, units)) for service in wall.services],
        "joists": {
            "above": dict(_pairs(wall.joists_above, units)),
            "below": dict(_pairs(wall.joists_below, units)),
        },
        "access": dict(_pairs(wall.access, units)),
    }
    for name in ("room", "joists"):
        parts[name] = {key: table for key, table in parts[name].items() if table}
    return tables | {name: part for name, part in parts.items() if part}


def _pairs(record: Any, units: str) -> Iterator[tuple[str, Any]]:
    """Yield the key and the written value of every field of a record that is not as by default."""
    told = ()  # fields that another field of the record tells
    if isinstance(record, HungItem) and record.line is not None:
        told = ("fixings",)
    elif isinstance(record, Service) and record.size is not None:
        told = ("diameter",)
    for field in fields(record):
        value = getattr(record, field.name)
        if field.name not in told and value is not None and value != field.default:
            yield _KEYS.get(field.name, field.name), _written(field.name, value, units)


def _written(name: str, value: Any, units: str) -> Any:
    if isinstance(value, (bool, str)):
        return value
    if name in ("fixings", "line"):
        return _points(value, units)
    if name in ("at", "to", "size"):
        return _points((value,), units)[0]
    if name in _PLAIN_NUMBERS:
        return int(value) if value == int(value) else float(value)
    return _length(value, units) if isinstance(value, int) else value


def _length(tenths: int, units: str) -> str:
    style = "mm" if units == "m" and abs(tenths) < 10_000 else units
    text = format_length(tenths, style)
    try:
        exact = parse_length(text, "", negative=True) == tenths
    except QuantityError:
        exact = False
    return text if exact else format_length(tenths, "mm")


def _points(points: tuple[tuple[int, int], ...], units: str) -> list[list[str]]:
    return [[_length(x, units), _length(y, units)] for x, y in points]
