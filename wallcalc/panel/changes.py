"""What changed between two states of a study, in words: the choices, the wall, and what came of it."""

from __future__ import annotations

from dataclasses import fields
from typing import Any

from wallcalc.given.wall import Wall
from wallcalc.panel.history import Moment
from wallcalc.panel.words import CHOICES, NOT_COMPARABLE, choice_text, difference, measures
from wallcalc.units.lengths import MM

CAME_OF_IT = (
    "cost",
    "timber_waste",
    "board_waste",
    "Rw",
    "stiffness_use",
    "studs",
    "noggins",
    "sheets",
    "cuts",
)
CAME_OF_IT_ALSO = ("mass", "cautions", "fails")
LISTS = {"openings": "opening", "hung": "hung item", "services": "service"}
UNIT = ", mm"
LENGTHS = ("length", "floor_build_up", "skirting")


def changes(then: Moment, now: Moment) -> list[str]:
    """Return what was given or chosen differently, one text for each.

    Empty when they are alike.
    """
    found: list[str] = []
    if then.wall_path != now.wall_path and then.wall.name != now.wall.name:
        found.append(f"wall {then.wall.name} → {now.wall.name}")
    elif then.wall != now.wall:
        found += wall_changes(then.wall, now.wall)
    if then.rules.digest != now.rules.digest:
        found.append(
            f"trade rules {then.rules.title or then.rules.name} → {now.rules.title or now.rules.name}"
        )
    if then.prices.digest != now.prices.digest:
        found.append(f"prices {then.prices_from} → {now.prices_from}")
    for name, label in CHOICES.items():
        a, b = getattr(then.option, name), getattr(now.option, name)
        if a != b and not (
            name == "stud_centres" and "fitted" in (then.option.stud_layout, now.option.stud_layout)
        ):
            unit = " mm" if label.endswith(UNIT) and name == "stud_centres" else ""
            found.append(f"{label.removesuffix(UNIT)} {choice_text(name, a)} → {choice_text(name, b)}{unit}")
    return found


def wall_changes(then: Wall, now: Wall) -> list[str]:
    """Return what differs between two walls, one text for each."""
    found: list[str] = []
    for field in fields(Wall):
        a, b = getattr(then, field.name), getattr(now, field.name)
        if a == b:
            continue
        if field.name in LISTS:
            found += _list_changes(LISTS[field.name], a, b)
        elif field.name in LENGTHS:
            found.append(f"wall's {field.name.replace('_', ' ')} {a / MM:g} → {b / MM:g} mm")
        elif field.name == "heights":
            found.append(f"wall's height {_heights(a)} → {_heights(b)} mm")
        elif isinstance(a, str):
            found.append(f"wall's {field.name.replace('_', ' ')} {a} → {b}")
        else:
            found.append(f"{field.name.replace('_', ' ')} changed")
    return found


def _heights(heights: tuple[tuple[int, int], ...]) -> str:
    low, high = min(h for _, h in heights), max(h for _, h in heights)
    return f"{low / MM:g}" if low == high else f"{low / MM:g} to {high / MM:g}"


def _list_changes(what: str, then: tuple[Any, ...], now: tuple[Any, ...]) -> list[str]:
    """Tell added, removed and changed records apart by their name (openings: by their number)."""
    a = {getattr(r, "name", "") or str(k): r for k, r in enumerate(then, 1)}
    b = {getattr(r, "name", "") or str(k): r for k, r in enumerate(now, 1)}
    found = [f"{what} {name} added" for name in b if name not in a]
    found += [f"{what} {name} removed" for name in a if name not in b]
    found += [f"{what} {name} changed" for name in b if name in a and a[name] != b[name]]
    return found


def came_of_it(then: dict[str, Any] | None, now: dict[str, Any] | None, currency: str) -> list[str]:
    """Return how the figures moved, one text for each that did, money first."""
    if not (then and now and then["buildable"] and now["buildable"]):
        return []
    found = []
    for measure in measures(currency):
        if measure.column not in (*CAME_OF_IT, *CAME_OF_IT_ALSO):
            continue
        text, verdict = difference(measure, now, then)
        if text not in ("same", NOT_COMPARABLE):
            found.append(f"{measure.label} {text}{f' ({verdict})' if verdict else ''}")
    return found


def sentence(
    then: Moment, now: Moment, row_then: dict[str, Any] | None, row_now: dict[str, Any] | None, currency: str
) -> str:
    """Return what changed and what came of it as one text; empty when nothing changed."""
    what = changes(then, now)
    if not what:
        return ""
    so = came_of_it(row_then, row_now, currency)
    text = "; ".join(what)
    if so:
        return f"Changed: {text}. That makes: {', '.join(so)}."
    same = row_then and row_now and row_then["buildable"] and row_now["buildable"]
    return f"Changed: {text}. {'No figure moved.' if same else ''}".strip()
