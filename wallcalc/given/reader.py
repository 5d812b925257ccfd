"""The tables of a wall file become the records of :mod:`wallcalc.given.wall`."""

from __future__ import annotations

from typing import Any

from wallcalc.errors import Problem
from wallcalc.given import wall as given
from wallcalc.given.items import read_hung, read_service
from wallcalc.given.toml_table import METRE, Table
from wallcalc.given.wall import Access, Joists, Opening, Room, Wall
from wallcalc.units.lengths import MM
from wallcalc.units.quantities import parse_surface_mass, shown

LEAST_LENGTH, MOST_LENGTH = 300 * MM, 30 * METRE
LEAST_HEIGHT, MOST_HEIGHT = 300 * MM, 12 * METRE
MOST_LEVEL = METRE
LEAST_WAY, MOST_WAY = 300 * MM, 12 * METRE
HEIGHTS_ACCEPTED = (
    'a height such as "2.62 m", or a list of two pairs or more, [distance from the left, height], '
    'such as [["0 m", "2.1 m"], ["3 m", "2.6 m"]]'
)
LEVELS_ACCEPTED = (
    "a list of two pairs or more, [distance from the left, level of the floor above the lowest place], "
    'such as [["0 m", "0 mm"], ["3 m", "14 mm"]]'
)
_AS_BUILT = {"width": '"842 mm"', "height": '"2.03 m"', "sill": '"1.05 m"'}
TOP_KEYS = (
    "name",
    "length",
    "height",
    "floor_levels",
    "finish",
    "ceiling",
    "floor",
    "left_end",
    "right_end",
    "floor_build_up",
    "skirting",
    "room",
    "opening",
    "hung",
    "service",
    "joists",
    "access",
)
"""The keys at the top of a wall file."""


def read_tables(data: dict[str, Any]) -> tuple[Wall, list[Problem], dict[str, str]]:
    """Return the wall that the tables describe, every problem met, and the values as they were written.

    Parameters
    ----------
    data : dict
        What :mod:`tomllib` read.

    Returns
    -------
    wall : Wall
        Only to be used when there is no problem: what could not be read is None in it.
    problems : list of Problem
        In the order of the file's keys.
    written : dict of str to str
        By field.
    """
    problems: list[Problem] = []
    written: dict[str, str] = {}
    top = Table(data, "", problems, written, TOP_KEYS)
    values: dict[str, Any] = {
        "name": top.text("name", required=True),
        "length": top.length("length", required=True, least=LEAST_LENGTH, most=MOST_LENGTH),
        "heights": _heights(top),
        "floor_levels": _floor_levels(top),
        "finish": top.one_of("finish", given.FINISHES, "taped"),
        "ceiling": top.one_of("ceiling", given.CEILING_KINDS, "unknown"),
        "floor": top.one_of("floor", given.FLOOR_KINDS, "unknown"),
        "left_end": top.one_of("left_end", given.END_KINDS, "unknown"),
        "right_end": top.one_of("right_end", given.END_KINDS, "unknown"),
        "floor_build_up": top.length("floor_build_up", default=0, most=500 * MM),
        "skirting": top.length("skirting", default=0, most=METRE),
    }
    rooms = top.table("room")
    values["room_a"] = _room(rooms.table("A"))
    values["room_b"] = _room(rooms.table("B"))
    rooms.close()
    values["openings"] = tuple(_opening(t) for t in top.tables("opening"))
    values["hung"] = tuple(read_hung(t) for t in top.tables("hung"))
    values["services"] = tuple(read_service(t) for t in top.tables("service"))
    joists = top.table("joists")
    values["joists_above"] = _joists(joists.table("above"))
    values["joists_below"] = _joists(joists.table("below"))
    joists.close()
    values["access"] = _access(top.table("access"))
    top.close()
    return Wall(**values), problems, written


def _heights(top: Table) -> tuple[tuple[int | None, int | None], ...]:
    value = top.take("height", HEIGHTS_ACCEPTED, required=True)
    if isinstance(value, list):
        return _profile(top, "height", value, HEIGHTS_ACCEPTED, LEAST_HEIGHT, MOST_HEIGHT)
    if "height" not in top.written:
        return ()
    height = top.read_length(value, "height", LEAST_HEIGHT, MOST_HEIGHT)
    return () if height is None else ((0, height),)


def _floor_levels(top: Table) -> tuple[tuple[int | None, int | None], ...]:
    value = top.take("floor_levels", LEVELS_ACCEPTED)
    if "floor_levels" not in top.written:
        return ()
    return _profile(top, "floor_levels", value, LEVELS_ACCEPTED, 0, MOST_LEVEL)


def _profile(
    top: Table, key: str, value: object, accepted: str, least: int, most: int
) -> tuple[tuple[int | None, int | None], ...]:
    """Return lengths at distances from the left, one pair for each place measured."""
    if not isinstance(value, list) or len(value) < 2:
        top.wrong(key, value, accepted)
        return ()
    return tuple(_at_distance(top, pair, f"{key}[{i}]", least, most) for i, pair in enumerate(value, 1))


def _at_distance(
    top: Table, pair: object, field: str, least: int, most: int
) -> tuple[int | None, int | None]:
    if not isinstance(pair, list) or len(pair) != 2:
        example = (
            'height], such as ["0 m", "2.1 m"]' if most == MOST_HEIGHT else 'level], such as ["0 m", "14 mm"]'
        )
        top.wrong(field, pair, f"a pair in brackets, [distance from the left, {example}")
        return None, None
    top.written[field] = shown(pair)
    at = top.read_length(pair[0], field, 0, MOST_LENGTH, place=True)
    return at, top.read_length(pair[1], field, least, most, place=least == 0)


def _room(table: Table) -> Room:
    room = Room(
        name=table.text("name"),
        use=table.one_of("use", given.ROOM_USES, "other"),
        wet=table.flag("wet"),
        tiled_to=table.length("tiled_to", default=0, most=MOST_HEIGHT, place=True),
        tile_mass=table.mass("tile_mass", parse_surface_mass, default=0.0, most=200.0, unit="kg/m2"),
    )
    table.close()
    return room


def _opening(table: Table) -> Opening:
    kind = table.one_of("kind", given.OPENING_KINDS, required=True)
    size = {"least": 100 * MM, "most": 6 * METRE}
    opening = Opening(
        kind=kind,
        left=table.length("left", required=True, most=MOST_LENGTH, place=True),
        leaf=table.length("leaf", least=300 * MM, most=3 * METRE),
        width=table.length("width", **size),
        height=table.length("height", **size),
        sill=table.length("sill", most=MOST_HEIGHT, place=True),
        leaf_mass=table.mass("leaf_mass", most=500.0),
        rating=table.number("rating", 0, 80, "the Rw of the door set in dB,"),
    )
    table.close()
    has = {key for key in ("leaf", "width", "height", "sill") if key in table.data}
    if kind == "door":
        if "leaf" in has and has & {"width", "height"}:
            given_too = min(has & {"width", "height"})
            accepted = "either leaf alone, or width and height as built without leaf"
            table.wrong(table.field(given_too), table.data[given_too], accepted)
        elif not has & {"leaf", "width", "height"}:
            table.wrong(
                table.field("leaf"),
                None,
                'the leaf\'s width, such as leaf = "762 mm", or width and height as built',
            )
        if "sill" in has and opening.sill != 0:
            table.wrong(
                table.field("sill"),
                table.data["sill"],
                'no sill, for a door stands on the floor; or kind = "hatch"',
            )
    elif kind == "hatch" and "leaf" in has:
        table.wrong(
            table.field("leaf"), table.data["leaf"], "width, height and sill as built; only a door has a leaf"
        )
    as_built = kind == "hatch" or (kind == "door" and "leaf" not in has and has & {"width", "height"})
    for key in ("width", "height", "sill") if kind == "hatch" else ("width", "height"):
        if as_built and key not in has:
            table.wrong(table.field(key), None, f"the {key} as built, such as {key} = {_AS_BUILT[key]}")
    return opening


def _joists(table: Table) -> Joists:
    joists = Joists(
        direction=table.one_of("direction", given.JOIST_DIRECTIONS, "unknown"),
        first=table.length("first", most=MOST_LENGTH, place=True),
        centres=table.length("centres", least=100 * MM, most=3 * METRE),
    )
    table.close()
    if joists.direction in ("along", "solid", "unknown") and "first" in table.data:
        accepted = 'no first joist from the left, or direction = "across"'
        table.wrong(table.field("first"), table.data["first"], accepted)
    if joists.direction in ("solid", "unknown") and "centres" in table.data:
        table.wrong(
            table.field("centres"), table.data["centres"], 'no centres, or direction = "across" or "along"'
        )
    return joists


def _access(table: Table) -> Access:
    bounds = {"default": 0, "least": LEAST_WAY, "most": MOST_WAY}
    access = Access(
        width=table.length("width", **bounds),
        height=table.length("height", **bounds),
        landing=table.length("landing", **bounds),
    )
    table.close()
    return access
