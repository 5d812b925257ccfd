"""Step 6: studs, screws, cost and waste against the stud centres, from whole designs."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

import wallcalc as wc
from wallcalc.given.option import Option
from wallcalc.given.wall import Wall
from wallcalc.lesson.step import Guess, Knob, Shown
from wallcalc.lesson.strips import Strip, Strips
from wallcalc.lesson.trade import Trade
from wallcalc.shipped import data_folder

STEP = 25.0
"""Step of the sweep, mm; the usual centres are added."""
SAMPLE = "worked_wall.toml"


@dataclass(frozen=True, slots=True)
class Amounts:
    """What one option of the sample wall comes to; waste as shares. None where it cannot be built."""

    studs: int
    screws: int
    cost: float
    timber_waste: float
    board_waste: float


@lru_cache(maxsize=4)
def sample_wall(door: bool = False) -> Wall:
    """Return the wall that steps are shown on: the shipped worked wall, without its door unless asked for."""
    wall = Wall.load(data_folder() / "walls" / SAMPLE)
    return wall if door else replace(wall, openings=())


@lru_cache(maxsize=1024)
def amounts(using: Trade, centres: float) -> Amounts | None:
    """Return what the sample wall takes at stud centres (mm), or None where it cannot be built."""
    option = Option(stud_centres=centres)
    try:
        made = wc.design(sample_wall(), option, rules=using.rules, prices=using.prices)
    except wc.OptionError:
        return None
    row = made.summary()
    screws = sum(line.needed for line in made.parts.order if line.group == "screw")
    return Amounts(row["studs"], round(screws), row["cost"], row["timber_waste"], row["board_waste"])


class AmountsStep:
    """Studs, screws, cost, waste.

    Parameters
    ----------
    using : Trade
        Rules and prices.
    """

    key, title = "amounts", "Do wider centres save timber?"

    def __init__(self, using: Trade) -> None:
        self.using, usual = using, using.offers.usual
        self.wall = sample_wall()
        self.asked = (usual[1], usual[1] + 4 * STEP)
        self.guess = Guess(
            f"The same wall, {self.wall.length / 10:g} mm long and {self.wall.height / 10:g} mm high, is built "
            "with studs at "
            f"{self.asked[0]:g} mm centres and again at {self.asked[1]:g} mm. Which of the two takes more upright "
            "timbers?",
            choices=(*((f"the one at {c:g} mm", c) for c in self.asked), ("both the same", 0.0)),
        )
        low, high = usual[0], usual[-1]
        count = round((high - low) / STEP)
        self.swept = sorted({*usual, *(low + k * STEP for k in range(count + 1))})
        self.knobs = (Knob("centres", "stud centres, mm", usual[-1], low, high, 5.0),)
        self._chart: Strips | None = None

    @property
    def truth(self) -> float:
        """At which of the two centres more uprights are needed; 0 where both take the same."""
        near, wide = (amounts(self.using, c) for c in self.asked)
        if near is None or wide is None or near.studs == wide.studs:
            return 0.0
        return self.asked[0] if near.studs > wide.studs else self.asked[1]

    def compare(self, guess: Any) -> str:
        """Return the guess beside the counts."""
        found = [amounts(self.using, c) for c in self.asked]
        told = " and ".join(
            f"{a.studs if a else 'none'} at {c:g} mm" for c, a in zip(self.asked, found, strict=True)
        )
        named = {value: text for text, value in self.guess.choices}
        right = "and so it is" if guess == self.truth else f"but it is {named[self.truth]}"
        words = f"You guessed {named[guess]}, {right}: {told}."
        if self.truth == self.asked[0]:
            return (
                f"{words} Closer centres put more studs into the same length, and here that is more than what wider "
                "ones add under the boards' edges."
            )
        return (
            f"{words} Where the centres do not divide the sheet, its edge misses the studs: either the board is cut "
            "back to the last stud it reaches, or a stud is added for the edge."
        )

    def show(self, values: dict[str, Any]) -> Shown:
        """Return studs, screws, cost and waste over the centres."""
        if self._chart is None:
            self._chart = self._draw()
        now = values["centres"]
        found = amounts(self.using, now)
        money = self.using.prices.currency
        if found is None:
            words = f"At {now:g} mm centres this wall cannot be built."
        else:
            words = (
                f"At {now:g} mm centres: {found.studs} upright timbers, {found.screws} board screws, "
                f"{found.cost:.2f} {money} for everything, {found.timber_waste:.0%} of the timber and "
                f"{found.board_waste:.0%} of the board not fixed to the wall. Prices are invented. The "
                f"lines join what was worked out for every {STEP:g} mm and the usual centres; the dots are exact."
            )
        here = [[line[0] for line in lines] for lines in _strips([found])]
        return Shown(self._chart.show(now, self.alt(now), here), words)

    def _draw(self) -> Strips:
        found = [amounts(self.using, c) for c in self.swept]
        money = self.using.prices.currency
        chart = Strips(
            (
                Strip("Upright timbers", "{:.0f}", whole=True),
                Strip("Board screws", "{:.0f}", whole=True),
                Strip(f"Cost of everything, {money} net of tax (invented prices)", "{:.0f}", from_zero=False),
                Strip("Not fixed to the wall, % of what is bought", "{:.0f} %", ("timber", "board")),
            ),
            900, 470, self.using.offers.usual,
        )  # fmt: skip
        chart.set(self.swept, _strips(found))
        return chart

    def alt(self, now: float) -> str:
        """Return the text that stands for the charts."""
        known = {c: a for c in self.swept if (a := amounts(self.using, c)) is not None}
        cheap, least = min(known, key=lambda c: known[c].cost), min(known, key=lambda c: known[c].board_waste)
        most = max(known, key=lambda c: known[c].board_waste)
        return (
            f"Upright timbers, screws, cost and waste against stud centres. Timbers fall from "
            f"{known[self.swept[0]].studs} to "
            f"{known[self.swept[-1]].studs}. Cheapest at {cheap:g} mm with {known[cheap].cost:.2f}; board waste "
            "is least at "
            f"{least:g} mm with {known[least].board_waste:.0%} and most at {most:g} mm with "
            f"{known[most].board_waste:.0%}. "
            f"Shown now: {now:g} mm."
        )


def _strips(found: list[Amounts | None]) -> Any:
    """Return the values of each chart's lines; NaN where the wall cannot be built."""

    def line(name: str, factor: float = 1.0) -> list[float]:
        return [float("nan") if a is None else factor * getattr(a, name) for a in found]

    return (
        [line("studs")],
        [line("screws")],
        [line("cost")],
        [line("timber_waste", 100), line("board_waste", 100)],
    )
