"""What the checks notebook knows and can do, without any widget: one wall, four knobs, its checks and what governs."""

from __future__ import annotations

from dataclasses import replace
from os import PathLike
from typing import Any

import wallcalc as wc
from wallcalc.checks.registry import GENERAL
from wallcalc.draw.use_bars import UseBar
from wallcalc.errors import WallcalcError
from wallcalc.panel.offers import Offers
from wallcalc.records import CheckRow
from wallcalc.shipped import data_folder
from wallcalc.units.lengths import MM

LOADS = ("loads.line", "loads.area", "loads.point", "loads.check_pressure")
"""Rules that the load knob multiplies."""

LEAST_HEIGHT, MOST_HEIGHT = 1800.0, 4500.0
LEAST_LOAD, MOST_LOAD = 0.0, 4.0
STRENGTH = ("stud", "height", "hung")
"""How the names of checks of strength and stiffness begin."""


class ChecksState:
    """One wall's checks while section, centres, height and load are changed.

    Parameters
    ----------
    wall : Wall, path-like or str
        A wall, a wall file, or the name of a file in the shipped walls.
    option : Option, optional
        The option to begin with.
    rules : str, path-like or Rules
        Trade rules.
    prices : PriceBook, optional
        The price book; the invented demo prices when left out.

    Attributes
    ----------
    option : Option
        What is chosen.
    height : float
        Floor-to-ceiling height [mm], the same all along once it was changed.
    load : float
        How many times the rules' horizontal loads and check pressure are taken.
    design : Design or None
        The last wall that could be built.
    message : str
        Why the present choice cannot be built, "" when it can.
    last_error : Exception or None
        The last failure that was not foreseen.
    """

    def __init__(
        self, wall: Any = "worked_wall.toml", option: Any = None, *, rules: Any = "uk", prices: Any = None
    ) -> None:
        if isinstance(wall, (str, PathLike)):
            shipped = data_folder() / "walls" / wall
            wall = wc.Wall.load(shipped if shipped.is_file() else wall)
        self._wall = wall
        self._rules = rules if isinstance(rules, wc.Rules) else wc.Rules.load(rules)
        self._prices = wc.PriceBook.load() if prices is None else prices
        self.option = wc.Option() if option is None else option
        self.height = wall.height / MM
        self.load = 1.0
        self.design: Any = None
        self.message = ""
        self.last_error: Exception | None = None
        self.offers = Offers(self._rules, self._prices)
        self.choose()

    @property
    def wall(self) -> Any:
        """The wall at the chosen height."""
        height = round(self.height * MM)
        return self._wall if height == self._wall.height else replace(self._wall, heights=((0, height),))

    @property
    def rules(self) -> Any:
        """The rules with the chosen loads."""
        if self.load == 1.0:
            return self._rules
        return self._rules.with_values({key: float(self._rules.value(key)) * self.load for key in LOADS})

    def choose(
        self,
        section: str | None = None,
        stud_centres: float | None = None,
        height: float | None = None,
        load: float | None = None,
    ) -> bool:
        """Take new values and check the wall anew.

        Whether the wall can be built so; if not, ``message`` says why and the last design stays. Units:
        ``stud_centres``, ``height`` mm.
        """
        if section is not None or stud_centres is not None:
            self.option = replace(
                self.option,
                section=section or self.option.section,
                stud_centres=self.option.stud_centres if stud_centres is None else stud_centres,
            )
        self.height = self.height if height is None else min(max(height, LEAST_HEIGHT), MOST_HEIGHT)
        self.load = self.load if load is None else min(max(load, LEAST_LOAD), MOST_LOAD)
        try:
            self.design = wc.design(self.wall, self.option, rules=self.rules, prices=self._prices)
        except (wc.OptionError, WallcalcError) as error:
            self.message = str(error)
            return False
        self.message = ""
        return True

    @property
    def rows(self) -> tuple[CheckRow, ...]:
        """The checks of the last design, without the general cautions; empty before there is one."""
        if self.design is None:
            return ()
        return tuple(r for r in self.design.check_rows if not r.check.startswith(GENERAL))

    def bars(self) -> list[UseBar]:
        """Return one bar for each kind of check, its worst row, the greatest use first."""
        worst: dict[str, CheckRow] = {}
        for row in self.rows:
            if row.use is not None and (row.check not in worst or row.use > worst[row.check].use):
                worst[row.check] = row
        ranked = sorted(worst.values(), key=lambda r: (-r.use, r.check))
        return [UseBar(r.check, f"{r.subject}, {r.case}", r.use, r.verdict) for r in ranked]

    def governing(self, strength_only: bool = False) -> CheckRow | None:
        """Return the check with the greatest use."""
        rows = [r for r in self.rows if r.use is not None]
        if strength_only:
            rows = [r for r in rows if r.check.startswith(STRENGTH)]
        return max(rows, key=lambda r: (r.use, r.verdict == "fail"), default=None)

    def governs(self) -> str:
        """Return in words what governs: of the strength and stiffness, and of everything."""
        strong, first = self.governing(strength_only=True), self.governing()
        if strong is None or first is None:
            return "Nothing was checked."
        said = f"Of strength and stiffness, {_told(strong)} governs."
        if first != strong:
            said += f" Of all checks, {_told(first)} is nearest to or furthest past its limit."
        fails = sorted({r.check for r in self.rows if r.verdict == "fail"})
        said += f" Fails: {', '.join(fails)}." if fails else " No check fails."
        unknown = sum(r.verdict == "not known" for r in self.rows)
        if unknown:
            said += f" {unknown} questions stay open: the table says whom to ask."
        return said


def _told(row: CheckRow) -> str:
    return f"{row.check} ({row.subject}, {row.case}) at {row.use:.2f} of its limit"
