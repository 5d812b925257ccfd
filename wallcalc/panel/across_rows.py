"""Sweeps of any choice and maps of two, out of the rows that are computed: what the charts and their lists show."""

from __future__ import annotations

import html
from collections.abc import Sequence
from typing import Any

from wallcalc.draw.choice_map import MapAxes, MapCell, reason_letters
from wallcalc.draw.choice_sweep import SweepPoint
from wallcalc.given.option import Option
from wallcalc.panel.across import along, axis_text, crossed, values_of
from wallcalc.panel.words import CHOICES, Measure

EXCLUDED = "the two values exclude one another"


def sweep_wanted(state: Any, name: str) -> list[Option]:
    """Return the options of a sweep of one choice."""
    return [option for _, _, option in along(name, state.option, state.wall, state.offers)]


def sweep_points(state: Any, name: str, measure: Measure) -> list[SweepPoint]:
    """Return a sweep of one choice as points of a chart."""
    points = []
    texts: dict[str, int] = {}
    for value, orientation, option in along(name, state.option, state.wall, state.offers):
        text = axis_text(name, value)
        place = float(value) if name == "stud_centres" else float(texts.setdefault(text, len(texts)))
        row = state.store.rows.get(option)
        can = bool(row is None or row["buildable"])
        points.append(
            SweepPoint(
                place,
                text,
                orientation,
                measure.value(row) if row is not None and can else float("nan"),
                row is not None,
                can,
                "" if can else str(row["reason"]),
                option == state.option,
            )
        )
    return points


def map_wanted(state: Any, x: str, y: str) -> list[Option]:
    """Return the options of a map of two choices."""
    return [
        option for *_, option in crossed(x, y, state.option, state.wall, state.offers) if option is not None
    ]


def map_axes(state: Any, x: str, y: str, measure: Measure) -> MapAxes:
    """Return what the axes of a map are."""
    texts = [
        tuple(axis_text(name, value) for value in values_of(name, state.option, state.wall, state.offers))
        for name in (x, y)
    ]
    return MapAxes(CHOICES[x], CHOICES[y], *texts, measure.title, measure.digits, measure.better)


def map_cells(state: Any, x: str, y: str, measure: Measure) -> list[MapCell]:
    """Return a map of two choices as cells."""
    found = crossed(x, y, state.option, state.wall, state.offers)
    rows_of_map = len(values_of(y, state.option, state.wall, state.offers))
    cells = []
    for number, (_, _, option) in enumerate(found):
        column, line = divmod(number, rows_of_map)
        if option is None:
            cells.append(MapCell(column, line, float("nan"), True, False, EXCLUDED))
            continue
        row = state.store.rows.get(option)
        can = bool(row is None or row["buildable"])
        value = measure.value(row) if row is not None and can else float("nan")
        reason = "" if can else str(row["reason"])
        cells.append(MapCell(column, line, value, row is not None, can, reason, option == state.option))
    return cells


def reasons_of_map(cells: Sequence[MapCell], axes: MapAxes) -> str:
    """Return the reasons behind the hatched cells as an HTML list, by their letters."""
    letters = reason_letters(cells)
    items = []
    for reason, letter in letters.items():
        places = [axes.place(c) for c in cells if c.known and not c.buildable and c.reason == reason]
        more = f" and {len(places) - 6} more" if len(places) > 6 else ""
        items.append(
            f"<li><strong>{letter}</strong> {html.escape('; '.join(places[:6]) + more)}: {html.escape(reason)}</li>"
        )
    return f'<ul class="wallcalc-reasons">{"".join(items)}</ul>' if items else ""


def reasons_of_sweep(points: Sequence[SweepPoint]) -> str:
    """Return why points of a sweep cannot be built as an HTML list."""
    items: dict[str, list[str]] = {}
    for p in points:
        if p.known and not p.buildable:
            items.setdefault(p.reason, []).append(p.name)
    lines = [
        f"<li>{html.escape(', '.join(dict.fromkeys(names)))}: {html.escape(reason)}</li>"
        for reason, names in items.items()
    ]
    return f'<ul class="wallcalc-reasons">{"".join(lines)}</ul>' if lines else ""
