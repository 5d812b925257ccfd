"""Options: one set of choices, and the grid of them that a study sweeps."""

from __future__ import annotations

import itertools
from dataclasses import dataclass, fields
from typing import Any

from wallcalc.errors import OptionError, Refusal

SECTIONS = ("38x63", "38x89", "38x140")
SET_OUT_FROM = ("left", "right", "middle")
STUD_LAYOUTS = ("module", "fitted")
BOARD_ORIENTATIONS = ("vertical", "horizontal")
COURSES_FROM = ("ceiling", "floor")
LAYERS = (1, 2)
LEAST_CENTRES, MOST_CENTRES = 200.0, 800.0


@dataclass(frozen=True, slots=True)
class Option:
    """One set of choices for a wall.

    Parameters
    ----------
    section : str
        Stud section, thickness by depth in mm: one of :data:`SECTIONS`.
    stud_centres : float
        Stud centre to stud centre, mm; no meaning with the fitted layout, where it becomes 0.
    set_out_from : str
        Where the stud marks start: "left", "right" or "middle"; no meaning with the fitted layout, where it becomes
        "left".
    stud_layout : str
        "module" keeps the centres and adds to them; "fitted" searches positions.
    board_orientation : str
        "vertical" (upright) or "horizontal" (on its side).
    sheet : str or None
        A sheet size ("1200x2400", mm) or None for the cheapest mix.
    layers_a, layers_b : int
        Layers of board on each side, 1 or 2.
    board_a, board_b : str or None
        Board product of the price book; None: by the room.
    course_from : str or float
        Where courses start: "ceiling", "floor", or the height of a horizontal joint in mm. The fitted layout keeps a
        height; of the two words it takes either when that is cheaper.
    fill : str or None
        Slab product of the price book, or None for an empty cavity.

    Raises
    ------
    OptionError
        Listing every keyword whose value is not accepted.
    """

    section: str = "38x89"
    stud_centres: float = 600.0
    set_out_from: str = "left"
    stud_layout: str = "module"
    board_orientation: str = "vertical"
    sheet: str | None = None
    layers_a: int = 1
    layers_b: int = 1
    board_a: str | None = None
    board_b: str | None = None
    course_from: str | float = "ceiling"
    fill: str | None = None

    def __post_init__(self) -> None:
        wrong: list[Refusal] = []

        def expect(name: str, ok: bool, accepted: str) -> None:
            if not ok:
                wrong.append(
                    Refusal(f"option.{name}", "option", f"found {getattr(self, name)!r}", f"give {accepted}")
                )

        expect("section", self.section in SECTIONS, f"one of {', '.join(SECTIONS)}")
        number = isinstance(self.stud_centres, (int, float)) and not isinstance(self.stud_centres, bool)
        expect(
            "stud_centres",
            self.stud_layout == "fitted" or (number and LEAST_CENTRES <= self.stud_centres <= MOST_CENTRES),
            f"a number of mm from {LEAST_CENTRES:g} to {MOST_CENTRES:g}",
        )
        expect("set_out_from", self.set_out_from in SET_OUT_FROM, f"one of {', '.join(SET_OUT_FROM)}")
        expect("stud_layout", self.stud_layout in STUD_LAYOUTS, f"one of {', '.join(STUD_LAYOUTS)}")
        expect(
            "board_orientation",
            self.board_orientation in BOARD_ORIENTATIONS,
            f"one of {', '.join(BOARD_ORIENTATIONS)}",
        )
        expect(
            "sheet", self.sheet is None or _is_size(self.sheet), "a size such as '1200x2400' in mm, or None"
        )
        for name in ("layers_a", "layers_b"):
            value = getattr(self, name)
            expect(name, not isinstance(value, bool) and value in LAYERS, "1 or 2")
        for name in ("board_a", "board_b", "fill"):
            value = getattr(self, name)
            expect(
                name,
                value is None or (isinstance(value, str) and value != ""),
                "a price-book product or None",
            )
        course = self.course_from
        expect(
            "course_from",
            course in COURSES_FROM
            or (isinstance(course, (int, float)) and not isinstance(course, bool) and 0 < course < 20_000),
            "'ceiling', 'floor' or the height of a joint in mm",
        )
        if wrong:
            raise OptionError(wrong)
        object.__setattr__(self, "stud_centres", round(float(self.stud_centres), 1))
        if self.stud_layout == "fitted":
            object.__setattr__(self, "stud_centres", 0.0)
            object.__setattr__(self, "set_out_from", SET_OUT_FROM[0])


def _is_size(text: object) -> bool:
    if not isinstance(text, str):
        return False
    parts = text.split("x")
    return len(parts) == 2 and all(p.replace(".", "", 1).isdigit() for p in parts)


OPTION_FIELDS = tuple(f.name for f in fields(Option))
"""The option's keywords, in order."""


def options(**choices: Any) -> list[Option]:
    """Return the full grid of options; every keyword of :class:`Option` takes one value or a list of them.

    Parameters
    ----------
    **choices
        Keywords of :class:`Option`, each one value or a list, tuple, range or set of values.

    Returns
    -------
    list of Option
        In the order of the keywords as the option lists them, without twins.

    Raises
    ------
    OptionError
        Naming every unknown keyword, or the first combination that is not accepted.
    """
    unknown = [name for name in choices if name not in OPTION_FIELDS]
    if unknown:
        raise OptionError(
            Refusal(f"option.{name}", "option", "no such keyword", f"use one of {', '.join(OPTION_FIELDS)}")
            for name in unknown
        )
    axes = []
    for name in OPTION_FIELDS:
        if name not in choices:
            continue
        value = choices[name]
        values = list(value) if isinstance(value, (list, tuple, range, set, frozenset)) else [value]
        axes.append([(name, v) for v in values])
    grid = (Option(**dict(combo)) for combo in itertools.product(*axes))
    return list(dict.fromkeys(grid))
