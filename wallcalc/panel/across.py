"""Any choice of an option swept, alone or two at a time: which values it can take, and which options that makes."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from wallcalc.errors import OptionError
from wallcalc.given.option import (
    BOARD_ORIENTATIONS,
    COURSES_FROM,
    LAYERS,
    SECTIONS,
    SET_OUT_FROM,
    STUD_LAYOUTS,
    Option,
)
from wallcalc.given.wall import Wall
from wallcalc.panel.offers import INCH, METRIC_STEP, Offers
from wallcalc.panel.words import choice_text
from wallcalc.units.lengths import MM

INCH_STEP = 2 * INCH
MODULE_ONLY = ("stud_centres", "set_out_from")
"""Choices that mean nothing with the fitted layout."""
COURSE_STEP, LEAST_COURSE = 300, 600
"""Heights of a horizontal joint that are tried, mm: this step, and no joint lower than that."""


def values_of(name: str, option: Option, wall: Wall, offers: Offers) -> list[Any]:
    """Return the values that a sweep of one choice tries, the current one among them.

    In the order of the axis.
    """
    own = getattr(option, name)
    if name == "stud_centres":
        step = INCH_STEP if offers.sizes == "inch" else METRIC_STEP
        low, high = offers.centres
        first = -(-low // step) * step if offers.sizes == "inch" else low
        steps = {round(first + k * step, 1) for k in range(int((high - first) / step + 1e-6) + 1)}
        return sorted({*steps, *offers.usual, *([own] if low <= own <= high else [])})
    if name == "course_from":
        heights = [float(h) for h in range(LEAST_COURSE, wall.height // MM - LEAST_COURSE + 1, COURSE_STEP)]
        numbers = sorted({*heights, *([float(own)] if isinstance(own, (int, float)) else [])})
        return [*COURSES_FROM, *numbers]
    found = {
        "section": SECTIONS,
        "set_out_from": SET_OUT_FROM,
        "stud_layout": STUD_LAYOUTS,
        "board_orientation": BOARD_ORIENTATIONS,
        "sheet": (None, *offers.sheets(option.board_a)),
        "layers_a": LAYERS,
        "layers_b": LAYERS,
        "board_a": (None, *offers.boards),
        "board_b": (None, *offers.boards),
        "fill": (None, *offers.fills),
    }[name]
    return [*found, *([own] if own not in found else [])]


def with_choice(option: Option, name: str, value: Any, offers: Offers) -> Option:
    """Return an option with one choice changed; centres and where they start bring the module layout back."""
    changes: dict[str, Any] = {name: value}
    to_module = name in MODULE_ONLY or (name == "stud_layout" and value == "module")
    if to_module and option.stud_layout == "fitted":
        usual = offers.usual[-1] if offers.usual else offers.centres[1]
        changes = {"stud_layout": "module", "stud_centres": usual, **changes}
    return replace(option, **changes)


def along(name: str, option: Option, wall: Wall, offers: Offers) -> list[tuple[Any, str, Option]]:
    """Return a sweep of one choice, in both board orientations."""
    found = []
    for value in values_of(name, option, wall, offers):
        turned = [value] if name == "board_orientation" else BOARD_ORIENTATIONS
        for orientation in turned:
            base = replace(option, board_orientation=orientation)
            found.append((value, orientation, with_choice(base, name, value, offers)))
    return found


def crossed(
    x: str, y: str, option: Option, wall: Wall, offers: Offers
) -> list[tuple[Any, Any, Option | None]]:
    """Return the options of a map of two choices, column by column.

    None where the two values exclude one another.
    """
    found: list[tuple[Any, Any, Option | None]] = []
    for a in values_of(x, option, wall, offers):
        for b in values_of(y, option, wall, offers):
            if "stud_layout" in (x, y) and "fitted" in (a, b):
                other, value = (y, b) if x == "stud_layout" else (x, a)
                made = replace(option, stud_layout="fitted")
                found.append((a, b, made if other in MODULE_ONLY else replace(made, **{other: value})))
                continue
            try:
                made = with_choice(with_choice(option, x, a, offers), y, b, offers)
            except OptionError:
                made = None
            found.append((a, b, made))
    return found


def axis_text(name: str, value: Any) -> str:
    """Return a value as it stands on an axis."""
    if name in ("layers_a", "layers_b"):
        return f"{value} layer{'s' if value > 1 else ''}"
    if name == "course_from" and not isinstance(value, str):
        return f"{value:g} mm"
    return choice_text(name, value)
