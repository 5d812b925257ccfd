"""Sizes outside what walls usually have: they may be right, or a slip of ten, so a question is asked of each."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from wallcalc.given.parts import GivenWall
from wallcalc.given.sense import metres
from wallcalc.shipped import data_folder
from wallcalc.units.quantities import format_mass, parse_length, parse_mass, parse_surface_mass

SLIPS = (10, 100)
"""A nought or two too many or too few."""


@dataclass(frozen=True, slots=True)
class Question:
    """A question about a size that walls seldom have.

    Attributes
    ----------
    field : str
        Where it stands in the wall file (``opening[1].leaf``).
    value : str
        The size, as people say it.
    likely : str
        What may have been meant; empty where no slip of ten gives a usual size.
    usual : str
        What walls usually have.
    """

    field: str
    value: str
    likely: str
    usual: str

    def __str__(self) -> str:
        if self.likely:
            return f"{self.value}: did you mean {self.likely}?"
        return f"{self.value}: is that so? Usual is {self.usual}."


def questions(wall: GivenWall) -> tuple[Question, ...]:
    """Return a question for every size outside what walls usually have; what could not be read is passed over."""
    return tuple(_asked(wall))


def _asked(wall: GivenWall) -> Iterator[Question]:
    heights = [height for _, height in wall.heights if height is not None]
    yield from _of("wall", "length", "length", wall.length)
    yield from _of("wall", "height", "height", max(heights, default=None))
    if len(heights) > 1:
        yield from _of("wall", "lowest", "height", min(heights))
    parts = [("wall", "", wall)]
    parts += [("room", f"room.{side}.", room) for side, room in (("A", wall.room_a), ("B", wall.room_b))]
    for table, records in (("opening", wall.openings), ("hung", wall.hung), ("service", wall.services)):
        parts += [(table, f"{table}[{number}].", record) for number, record in enumerate(records, 1)]
    parts += [("joists", "joists.above.", wall.joists_above), ("joists", "joists.below.", wall.joists_below)]
    parts.append(("access", "access.", wall.access))
    for table, place, record in parts:
        for key in usual_sizes()[table]:
            if table != "wall" or key in ("floor_build_up", "skirting"):
                yield from _of(table, key, f"{place}{key}", getattr(record, key))


def _of(table: str, key: str, field: str, value: float | None) -> Iterator[Question]:
    least, most, unit = usual_sizes()[table][key]
    if not value or least <= value <= most:
        return
    turned = [value * slip for slip in SLIPS] + [value / slip for slip in SLIPS]
    likely = [_said(other, unit) for other in turned if least <= other <= most]
    usual = f"{_said(least, unit)} to {_said(most, unit)}"
    yield Question(field, _said(value, unit), likely[0] if likely else "", usual)


def _said(value: float, unit: str) -> str:
    if not unit:
        return metres(round(value))
    return format_mass(value) if unit == "kg" else f"{value:g} {unit}"


@lru_cache(maxsize=1)
def usual_sizes() -> dict[str, dict[str, tuple[float, float, str]]]:
    """Return least, most and unit by table and key: lengths in 0.1 mm with unit "", masses in kg or kg/m2."""
    text = (data_folder() / "rules" / "usual_sizes.toml").read_text(encoding="utf-8")
    tables = {name: part for name, part in tomllib.loads(text).items() if isinstance(part, dict)}
    return {
        name: {key: _bounds(f"{name}.{key}", *bounds) for key, bounds in part.items()}
        for name, part in tables.items()
    }


def _bounds(field: str, least: str, most: str) -> tuple[float, float, str]:
    unit = "kg/m2" if most.endswith("kg/m2") else "kg" if most.endswith("kg") else ""
    read = {"": parse_length, "kg": parse_mass, "kg/m2": parse_surface_mass}[unit]
    return read(least, field), read(most, field), unit
