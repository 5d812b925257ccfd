"""The tables of a wall file become the records of :mod:`wallcalc.given.parts`."""

from __future__ import annotations

from typing import Any, TypeVar

from wallcalc.errors import Problem
from wallcalc.given import parts
from wallcalc.given.parts import Access, GivenWall, HungItem, Joists, Opening, Room, Service
from wallcalc.given.sense import disagreements
from wallcalc.given.toml_table import METRE, Table
from wallcalc.units.lengths import MM
from wallcalc.units.quantities import format_length, parse_surface_mass, shown

Made = TypeVar("Made", bound=GivenWall)

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
FIXINGS_ACCEPTED = (
    "a list of fixing points, each a pair [from the left, height], "
    'such as [["0.92 m", "0.84 m"], ["1.32 m", "0.84 m"]]'
)
LINE_ACCEPTED = (
    "the two ends of a level or an upright line, each a pair [from the left, height], "
    'such as [["0.92 m", "0.84 m"], ["1.72 m", "0.84 m"]]'
)
CENTRES_ACCEPTED = 'the most that the fixings along fixing_line may be apart, such as "400 mm"'
SIZE_ACCEPTED = 'the width and height of the box in brackets, such as ["146 mm", "86 mm"]'
BOXES = ("socket", "other")
"""Kinds of service that have a width and a height of their own."""

RUNS = ("pipe", "waste", "cable", "other")
"""Kinds of service that may run on inside the wall."""

_LEAST_APART = 50 * MM
_AS_BUILT = {"width": '"842 mm"', "height": '"2.03 m"', "sill": '"1.05 m"'}
MOST_FIXINGS = 200
"""All that hangs on a wall has no more fixings than this."""

MOST_PLACES = 200
"""Heights and levels are told at no more places than this."""

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


def read_tables(make: type[Made], data: dict[str, Any]) -> tuple[Made, list[Problem]]:
    """Return the wall that the tables of a wall file describe, and every problem of its parts and between them.

    The wall, of the class ``make``, is only to be used when there is no problem: what could not be read is None in
    it. Problems come in the order of the file's keys, then those between parts.
    """
    problems: list[Problem] = []
    written: dict[str, str] = {}
    top = Table(data, "", problems, written, TOP_KEYS)
    values: dict[str, Any] = {
        "name": top.text("name", required=True),
        "length": top.length("length", required=True, least=LEAST_LENGTH, most=MOST_LENGTH),
        "heights": _heights(top),
        "floor_levels": _floor_levels(top),
        "finish": top.one_of("finish", parts.FINISHES, "taped"),
        "ceiling": top.one_of("ceiling", parts.CEILING_KINDS, "unknown"),
        "floor": top.one_of("floor", parts.FLOOR_KINDS, "unknown"),
        "left_end": top.one_of("left_end", parts.END_KINDS, "unknown"),
        "right_end": top.one_of("right_end", parts.END_KINDS, "unknown"),
        "floor_build_up": top.length("floor_build_up", default=0, most=500 * MM),
        "skirting": top.length("skirting", default=0, most=METRE),
    }
    rooms = top.table("room")
    values["room_a"] = _room(rooms.table("A"))
    values["room_b"] = _room(rooms.table("B"))
    rooms.close()
    values["openings"] = tuple(_opening(t) for t in top.tables("opening"))
    values["hung"] = _not_too_many(tuple(read_hung(t) for t in top.tables("hung")), top)
    values["services"] = tuple(read_service(t) for t in top.tables("service"))
    joists = top.table("joists")
    values["joists_above"] = _joists(joists.table("above"))
    values["joists_below"] = _joists(joists.table("below"))
    joists.close()
    values["access"] = _access(top.table("access"))
    top.close()
    wall = make(**values)
    return wall, [*problems, *disagreements(wall, written)]


def _not_too_many(items: tuple[HungItem, ...], top: Table) -> tuple[HungItem, ...]:
    """Return hung items that have no more fixings in all than a wall may have."""
    count = sum(len(item.fixings) for item in items)
    if count <= MOST_FIXINGS:
        return items
    top.problems.append(
        Problem("hung", f"{count:,} fixings in all", f"no more than {MOST_FIXINGS} fixings on a wall")
    )
    return ()


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
    if len(value) > MOST_PLACES:
        top.problems.append(Problem(key, f"{len(value):,} pairs", f"no more than {MOST_PLACES} pairs"))
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
        use=table.one_of("use", parts.ROOM_USES, "other"),
        wet=table.flag("wet"),
        tiled_to=table.length("tiled_to", default=0, most=MOST_HEIGHT, place=True),
        tile_mass=table.mass("tile_mass", parse_surface_mass, default=0.0, most=200.0, unit="kg/m2"),
    )
    table.close()
    return room


def _opening(table: Table) -> Opening:
    kind = table.one_of("kind", parts.OPENING_KINDS, required=True)
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
        direction=table.one_of("direction", parts.JOIST_DIRECTIONS, "unknown"),
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


def read_hung(table: Table) -> HungItem:
    """Return a hung item; what could not be read is None in it.

    Units: ``table`` [hung.
    """
    name = table.text("name", required=True)
    side = table.one_of("side", parts.SIDES, required=True)
    fixings, line, centres = _where_fixed(table)
    item = HungItem(
        name=name,
        side=side,
        fixings=fixings,
        mass=table.mass("mass", required=True, most=1000.0),
        extra=table.mass("extra", default=0.0, most=1000.0),
        projection=table.length("projection", default=0, most=3 * METRE),
        backing=table.one_of("backing", parts.BACKINGS, "any"),
        kind=table.text("kind"),
        pad=table.length("pad", default=0, most=METRE),
        line=line,
        line_centres=centres,
    )
    table.close()
    return item


def _where_fixed(table: Table) -> tuple[tuple, tuple | None, int | None]:
    """Return the fixing points, and the line and centres that they were taken from, if any."""
    both = "either fixings, or fixing_line with fixing_centres"
    line = table.take("fixing_line", LINE_ACCEPTED)
    if table.field("fixing_line") not in table.written:
        fixings = _fixings(table)
        if "fixing_centres" in table.data:
            table.wrong(
                table.field("fixing_centres"),
                table.data["fixing_centres"],
                f"{both}; there is no fixing_line here",
            )
        table.known.append("fixing_centres")
        return fixings, None, 0
    table.known.append("fixings")
    if "fixings" in table.data:
        table.wrong(table.field("fixings"), table.data["fixings"], f"{both}, not both")
    centres = table.take("fixing_centres", CENTRES_ACCEPTED, required=True)
    if table.field("fixing_centres") in table.written:
        centres = table.read_length(centres, table.field("fixing_centres"), _LEAST_APART, 3 * METRE)
    else:
        centres = None
    ends = _ends(table, line)
    if ends is None or centres is None:
        return (), ends, centres
    return points_along(ends, centres), ends, centres


def _ends(table: Table, line: object) -> tuple | None:
    """Return the two ends of a fixing line."""
    field = table.field("fixing_line")
    if not isinstance(line, list) or len(line) != 2 or not all(isinstance(v, list) for v in line):
        table.wrong(field, line, LINE_ACCEPTED)
        return None
    (x1, y1), (x2, y2) = ends = tuple(table.pair(v, f"{field}[{i}]") for i, v in enumerate(line, 1))
    if None in (x1, y1, x2, y2):
        return None
    if (x1 == x2) == (y1 == y2):
        table.wrong(field, line, LINE_ACCEPTED + ("; these two are one point" if x1 == x2 else ""))
        return None
    return ends


def points_along(line: tuple[tuple[int, int], tuple[int, int]], centres: int) -> tuple[tuple[int, int], ...]:
    """Return the fixing points along a line: both ends, and the fewest evenly spaced ones between them.

    From the first end to the second. Units: ``line``, ``centres`` 0.1 mm.
    """
    (x1, y1), (x2, y2) = line
    gaps = max(-(-max(abs(x2 - x1), abs(y2 - y1)) // centres), 1)
    return tuple((x1 + (x2 - x1) * i // gaps, y1 + (y2 - y1) * i // gaps) for i in range(gaps + 1))


def _fixings(table: Table) -> tuple[tuple[int | None, int | None], ...]:
    value = table.take("fixings", FIXINGS_ACCEPTED, required=True)
    field = table.field("fixings")
    if field not in table.written:
        return ()
    if not isinstance(value, list) or not value or not any(isinstance(v, list) for v in value):
        table.wrong(field, value, FIXINGS_ACCEPTED)
        return ()
    if len(value) > MOST_FIXINGS:
        found = f"{len(value):,} fixings"
        table.problems.append(Problem(field, found, f"no more than {MOST_FIXINGS} fixings on a wall"))
        return ()
    return tuple(table.pair(v, f"{field}[{i}]") for i, v in enumerate(value, 1))


def read_service(table: Table) -> Service:
    """Return a service; what could not be read is None in it.

    Units: ``table`` [service.
    """
    at = _point(
        table, "at", 'a point in brackets, [from the left, height], such as ["1.12 m", "0.52 m"]', True
    )
    name = table.text("name", required=True)
    side = table.one_of("side", parts.SIDES, required=True)
    kind = table.one_of("kind", parts.SERVICE_KINDS, "pipe")
    size, diameter = _service_size(table, kind)
    service = Service(
        name=name,
        side=side,
        at=at or (None, None),
        diameter=diameter,
        clearance=table.length("clearance", default=0, most=500 * MM),
        kind=kind,
        size=size,
        to=_point(
            table,
            "to",
            'the other end of the run inside the wall, [from the left, height], such as ["1.8 m", "0.5 m"]',
        ),
        goes=table.one_of("goes", parts.SERVICE_WAYS, "not told"),
    )
    table.close()
    if service.to is not None and kind is not None and kind not in RUNS:
        accepted = f'no run: a {kind} stays where it is; give its cable as a service of kind "cable"'
        table.wrong(table.field("to"), table.data["to"], accepted)
    return service


def _point(
    table: Table, key: str, accepted: str, required: bool = False
) -> tuple[int | None, int | None] | None:
    value = table.take(key, accepted, required)
    return table.pair(value, table.field(key)) if table.field(key) in table.written else None


def _service_size(table: Table, kind: str | None) -> tuple[tuple[int, int] | None, int | None]:
    """Return width and height of a box (None for what is round), and the diameter."""
    diameter_field, size_field = table.field("diameter"), table.field("size")
    value = table.take("size", SIZE_ACCEPTED)
    bounds = {"least": 1 * MM, "most": 500 * MM}
    if size_field not in table.written:
        if kind in BOXES and "diameter" not in table.data:
            table.known.append("diameter")
            table.wrong(size_field, None, SIZE_ACCEPTED + ", or the diameter of a round one")
            return None, None
        return None, table.length("diameter", required=True, **bounds)
    diameter = table.length("diameter", **bounds)
    if kind is not None and kind not in BOXES:
        words = " or ".join(f'"{k}"' for k in BOXES)
        table.wrong(size_field, value, f"a diameter for what is round; only kind = {words} has a size")
        return None, diameter
    if not isinstance(value, list) or len(value) != 2 or any(isinstance(v, list) for v in value):
        table.wrong(size_field, value, SIZE_ACCEPTED)
        return None, diameter
    width, height = (table.read_length(v, size_field, bounds["least"], bounds["most"]) for v in value)
    if width is None or height is None:
        return None, diameter
    if diameter is not None and diameter != max(width, height):
        accepted = f"no diameter beside a size, or its larger side, {format_length(max(width, height))}"
        table.wrong(diameter_field, table.data["diameter"], accepted)
    return (width, height), max(width, height)
