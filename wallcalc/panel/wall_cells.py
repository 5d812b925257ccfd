"""The cells in which a wall is edited: the keys of a wall file's tables, their labels, text to value and back."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from wallcalc.given import parts as given

POINT_EXAMPLE = "0.92 m, 0.84 m"
POINTS_EXAMPLE = "0.92 m, 0.84 m; 1.32 m, 0.84 m"
POINT_ACCEPTED = f"distance from the left and height with a comma between, such as {POINT_EXAMPLE}"
POINTS_ACCEPTED = (
    "distance from the left and height with a comma between, and a semicolon before the next point, "
    f"such as {POINTS_EXAMPLE}"
)


@dataclass(frozen=True, slots=True)
class Cell:
    """One key of a table of the wall file as it is edited.

    Attributes
    ----------
    key, label : str
        Its name in the file and on the page.
    kind : str
        "text", "amount" (length or mass, as text off a tape), "number", "choice", "flag", "point" or "points".
    choices : tuple of str
        What a choice is between.
    width : int
        Pixels.
    default : str
        What a choice shows where the file leaves it out, and what stands in a new row.
    """

    key: str
    label: str
    kind: str = "amount"
    choices: tuple[str, ...] = ()
    width: int = 92
    default: str = ""

    def text(self, value: Any) -> str:
        """Return a value of the file as it is edited; empty for a value that is not there."""
        if value is None:
            return ""
        if self.kind == "flag":
            return "yes" if value else "no"
        if self.kind == "point":
            return ", ".join(map(str, value))
        if self.kind == "points" and isinstance(value, list):
            return "; ".join(", ".join(map(str, pair)) for pair in value)
        return str(value)

    def value(self, text: str) -> Any:
        """Return what the text stands for in a wall file, None when it is left out.

        What cannot be read is handed on as it is: the reader of wall files says what is wrong with it.
        """
        text = text.strip()
        if not text:
            return None
        if self.kind == "flag":
            return text == "yes"
        if self.kind == "point":
            return [_plain(part) for part in text.split(",")]
        if self.kind == "points" and ("," in text or ";" in text):
            return [[_plain(part) for part in pair.split(",")] for pair in text.split(";") if pair.strip()]
        return text if self.kind in ("text", "choice") else _plain(text)


def _plain(text: str) -> Any:
    """Return a number without a unit as a number, for that is how a file would have it; other texts as they are."""
    text = text.strip()
    for read in (int, float):
        try:
            return read(text)
        except ValueError:
            continue
    return text


def _name(width: int = 120) -> Cell:
    return Cell("name", "name", "text", width=width)


SIDE = Cell("side", "side", "choice", given.SIDES, 52, "A")

TABLES: dict[str, tuple[Cell, ...]] = {
    "opening": (
        Cell("kind", "kind", "choice", given.OPENING_KINDS, 72, "door"),
        Cell("left", "from the left", width=80),
        Cell("leaf", "door leaf", width=80),
        Cell("width", "or width as built", width=104),
        Cell("height", "and height", width=76),
        Cell("sill", "sill of a hatch", width=88),
        Cell("leaf_mass", "leaf mass, kg", width=84),
        Cell("rating", "Rw of the door, dB", "number", width=120),
    ),
    "hung": (
        _name(112),
        SIDE,
        Cell("kind", "kind", "text", width=72),
        Cell("mass", "mass, kg", width=62),
        Cell("extra", "it holds, kg", width=70),
        Cell("projection", "projection", width=72),
        Cell("backing", "backing", "choice", given.BACKINGS, 80, "any"),
        Cell("pad", "fixing plate", width=76),
        Cell("fixings", "fixings (from the left, height; next one)", "points", width=256),
        Cell("fixing_line", "or a fixing line (one end; other end)", "points", width=226),
        Cell("fixing_centres", "fixings at most apart", width=130),
    ),
    "service": (
        _name(112),
        SIDE,
        Cell("kind", "kind", "choice", given.SERVICE_KINDS, 78, "pipe"),
        Cell("at", "from the left, height", "point", width=136),
        Cell("diameter", "diameter", width=70),
        Cell("size", "or box (width, height)", "point", width=136),
        Cell("clearance", "clearance", width=74),
        Cell("to", "runs on to (left, height)", "point", width=146),
        Cell("goes", "from there", "choice", given.SERVICE_WAYS, 88, "not told"),
    ),
}
"""Tables with any number of rows."""

WALL: tuple[Cell, ...] = (
    _name(220),
    Cell("length", "clear length"),
    Cell("height", "height, floor to ceiling", "points", width=150),
    Cell("floor_levels", "floor levels, if not even", "points", width=150),
    Cell("finish", "finish", "choice", given.FINISHES, 78, "taped"),
    Cell("ceiling", "ceiling", "choice", given.CEILING_KINDS, 104, "unknown"),
    Cell("floor", "floor", "choice", given.FLOOR_KINDS, 116, "unknown"),
)
"""The top of the file."""

ROOM: tuple[Cell, ...] = (
    _name(140),
    Cell("use", "use", "choice", given.ROOM_USES, 92, "other"),
    Cell("wet", "wet", "flag", ("no", "yes"), 58, "no"),
    Cell("tiled_to", "tiled to"),
    Cell("tile_mass", "tile mass, kg/m2", width=110),
)
"""A room on one side."""

JOISTS: tuple[Cell, ...] = (
    Cell("direction", "they run", "choice", given.JOIST_DIRECTIONS, 96, "unknown"),
    Cell("first", "middle of the first from the left", width=180),
    Cell("centres", "centres", width=80),
)
"""Joists above or below."""

ACCESS: tuple[Cell, ...] = (
    Cell("width", "clear width"),
    Cell("height", "clear height"),
    Cell("landing", "landing to turn on", width=120),
)
"""The way in for the sheets."""

TITLES = {"opening": "opening", "hung": "hung item", "service": "service"}

ACCEPTED = {"point": POINT_ACCEPTED, "points": POINTS_ACCEPTED}
