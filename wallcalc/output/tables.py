"""The tables of a design as they are written for a person to open: columns, and cells as text."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from wallcalc.checks.registry import GENERAL
from wallcalc.files import csv_bytes
from wallcalc.given.option import OPTION_FIELDS


@dataclass(frozen=True, slots=True)
class TableFile:
    """An exported table: the file's name, the design's attribute, and what it tells."""

    name: str
    attribute: str
    tells: str


TABLES = (
    TableFile("order_list.csv", "takeoff", "what to buy, packs rounded up"),
    TableFile("timber_cuts.csv", "timber_cuts", "what to cut from each length of timber"),
    TableFile("sheet_cuts.csv", "sheet_cuts", "what to cut from each sheet of board"),
    TableFile("slab_cuts.csv", "slab_cuts", "what to cut from each slab"),
    TableFile("members.csv", "members", "every piece of timber"),
    TableFile("joist_noggins.csv", "joist_noggins", "noggins between joists that run along the wall"),
    TableFile("cleats.csv", "cleats", "cleats on the studs behind the ends of pattresses"),
    TableFile("boards.csv", "boards", "every piece of board"),
    TableFile("joints.csv", "joints", "every joint between boards and what backs it"),
    TableFile("board_holes.csv", "board_holes", "holes for services, from each board's edges"),
    TableFile("holes_in_timber.csv", "bored", "holes to bore in studs, noggins and plates for pipes"),
    TableFile("hung_fixings.csv", "hung_fixings", "which piece of timber carries each fixing"),
    TableFile("fill.csv", "fill", "the slabs of each bay"),
    TableFile("setting_out.csv", "setting_out", "running dimensions and heights"),
    TableFile("checks.csv", "checks", "every check with its limit and source"),
    TableFile("cutting_bounds.csv", "bounds", "how good the cutting plans are proven to be"),
)
"""Tables written by an export, in the order of work."""

SUMMARY = "summary.csv"
SUMMARY_COLUMNS = ("group", "name", "value", "unit")

RESULTS = (
    ("cost", "currency"),
    ("timber_waste", "share of length bought"),
    ("board_waste", "share of area bought"),
    ("fill_waste", "share of volume bought"),
    ("mass", "kg"),
)
RATINGS = (
    ("Rw", "dB"), ("C", "dB"), ("Ctr", "dB"), ("C_50_5000", "dB"), ("Ctr_50_5000", "dB"), ("STC", "dB"),
    ("STC_low", "dB"), ("model", ""),
)  # fmt: skip


def table_bytes(table: Any) -> bytes:
    """Return a table (pandas.DataFrame) as CSV, lists written out as text."""
    rows = (tuple(cell(v) for v in row) for row in table.itertuples(index=False, name=None))
    return csv_bytes([str(c) for c in table.columns], rows)


def cell(value: Any) -> object:
    """Return a value as one cell: numbers rounded to a millionth, nothing as an empty cell, lists as text.

    A list of marks becomes "S1 S2"; a list of pieces becomes "S1 2544; S2 2544".
    """
    if hasattr(value, "tolist") and not isinstance(value, (str, bytes)):
        value = value.tolist()
    if isinstance(value, float):
        return "" if math.isnan(value) else round(value, 6)
    if isinstance(value, (list, tuple)):
        return _several(value)
    return value


def _several(values: Sequence[Any]) -> str:
    if any(isinstance(v, (list, tuple)) for v in values):
        return "; ".join(_one(v) for v in values)
    return _one(values)


def _one(value: Any) -> str:
    if isinstance(value, (list, tuple)):
        return " ".join(_one(v) for v in value)
    if value is None:
        return "-"
    if isinstance(value, float):
        return f"{round(value, 4):g}" if abs(value) < 1e5 else f"{value:.1f}"
    return str(value)


def summary_rows(design: Any, extra: Iterable[tuple[str, str, object, str]] = ()) -> list[tuple[object, ...]]:
    """Return the rows of a design's summary: the wall, the option keyword by keyword, results, and ``extra`` ones."""
    wall, option = design.wall, design.option
    rows: list[tuple[object, ...]] = [
        ("wall", "name", wall.name, ""),
        ("wall", "length", wall.length / 10, "mm"),
        ("wall", "height", wall.height / 10, "mm"),
    ]
    most, rise = max(h for _, h in wall.heights), max((y for _, y in wall.floor_levels), default=0)
    rows += [("wall", "greatest height", most / 10, "mm")] if most != wall.height else []
    rows += [("wall", "rise of the floor", rise / 10, "mm")] if rise else []
    rows += [("option", name, cell(getattr(option, name)), _unit(name)) for name in OPTION_FIELDS]
    currency = getattr(getattr(design, "prices", None), "currency", "")
    for name, unit in RESULTS:
        value = getattr(design, name, None)
        if value is not None:
            rows.append(("result", name, cell(value), currency if unit == "currency" else unit))
    sound = getattr(design, "sound", None)
    if sound is not None:
        rows += [("sound", name, cell(getattr(sound, name, None)), unit) for name, unit in RATINGS]
        with_door = getattr(sound, "with_door", None)
        rows.append(("sound", "Rw with door", cell(getattr(with_door, "Rw", None)), "dB"))
    for name, count in _counts(design):
        rows.append(("count", name, count, ""))
    rows += list(extra)
    return rows


def _counts(design: Any) -> list[tuple[str, int]]:
    kinds: tuple[tuple[str, Callable[[Any], int]], ...] = (
        ("members", lambda d: len(d.members)),
        ("boards", lambda d: len(d.boards)),
        ("bars of timber", lambda d: len(d.timber_cuts)),
        ("sheets", lambda d: len(d.sheet_cuts)),
        ("slabs", lambda d: len(d.slab_cuts)),
    )
    verdicts = worked_out(design)["verdict"]
    told = (("checks that fail", "fail"), ("checks with a caution", "caution"))
    return [(n, count(design)) for n, count in kinds] + [(n, int((verdicts == v).sum())) for n, v in told]


def worked_out(design: Any) -> Any:
    """Return the checks without the cautions that every such wall carries."""
    checks = design.checks
    return checks[~checks["check"].astype(str).str.startswith(GENERAL)]


def _unit(name: str) -> str:
    return "mm" if name in ("stud_centres", "course_from", "section", "sheet") else ""


def sound_bytes(sound: Any) -> bytes:
    """Return the predicted sound reduction by third octave as CSV."""
    bands = zip(
        sound.frequency, sound.R, sound.shortfall, sound.stc_shortfall, sound.uncertainty.bands, strict=True
    )
    rows = ([cell(round(float(v), 2)) for v in band] for band in bands)
    return csv_bytes(
        ("frequency_hz", "R_db", "shortfall_iso717_db", "shortfall_e413_db", "uncertainty_db"), rows
    )
