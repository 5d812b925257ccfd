"""Hung items and services of a wall file: their tables become records of :mod:`wallcalc.given.wall`."""

from __future__ import annotations

from wallcalc.given import wall as given
from wallcalc.given.toml_table import METRE, Table
from wallcalc.given.wall import HungItem, Service
from wallcalc.units.lengths import MM
from wallcalc.units.quantities import format_length

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


def read_hung(table: Table) -> HungItem:
    """Return a hung item; what could not be read is None in it.

    Parameters
    ----------
    table : Table
        One [[hung]] table.

    Returns
    -------
    HungItem
    """
    name = table.text("name", required=True)
    side = table.one_of("side", given.SIDES, required=True)
    fixings, line, centres = _where_fixed(table)
    item = HungItem(
        name=name,
        side=side,
        fixings=fixings,
        mass=table.mass("mass", required=True, most=1000.0),
        extra=table.mass("extra", default=0.0, most=1000.0),
        projection=table.length("projection", default=0, most=3 * METRE),
        backing=table.one_of("backing", given.BACKINGS, "any"),
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

    Parameters
    ----------
    line : pair of (int, int)
        The ends of the line, 0.1 mm; level or upright.
    centres : int
        The most that two neighbouring points may be apart, 0.1 mm.

    Returns
    -------
    tuple of (int, int)
        From the first end to the second.
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
    return tuple(table.pair(v, f"{field}[{i}]") for i, v in enumerate(value, 1))


def read_service(table: Table) -> Service:
    """Return a service; what could not be read is None in it.

    Parameters
    ----------
    table : Table
        One [[service]] table.

    Returns
    -------
    Service
    """
    at = _point(
        table, "at", 'a point in brackets, [from the left, height], such as ["1.12 m", "0.52 m"]', True
    )
    name = table.text("name", required=True)
    side = table.one_of("side", given.SIDES, required=True)
    kind = table.one_of("kind", given.SERVICE_KINDS, "pipe")
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
        goes=table.one_of("goes", given.SERVICE_WAYS, "not told"),
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
