"""Step 8: what a door, a pipe and a basin do to a neat grid of studs."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import wallcalc as wc
from wallcalc.draw.elevation import Elevation
from wallcalc.draw.elevation_key import elevation_alt, elevation_key
from wallcalc.draw.style import new_figure
from wallcalc.given.option import Option
from wallcalc.given.parts import HungItem, Opening, Room, Service
from wallcalc.given.wall import Wall
from wallcalc.lesson.step import Guess, Knob, Shown
from wallcalc.lesson.trade import Trade
from wallcalc.records import UPRIGHT
from wallcalc.units.lengths import MM

LENGTH, HEIGHT = 38_400, 25_000
"""The wall, 0.1 mm."""
LEAF = 7_620
BASIN_HEIGHT, BASIN_APART, BASIN_MASS, BASIN_FULL = 8_200, 2_800, 16.0, 12.0
"""Invented basin: height of its two fixings and their distance, 0.1 mm; its mass and what it holds, kg."""
PIPE_HEIGHT, PIPE, PIPE_ROOM = 5_000, 430, 100
"""Waste pipe: height, diameter and what it keeps free, 0.1 mm."""
YES_NO = (("no", False), ("yes", True))
SIZE = (820, 480)


def furnished(door: float | None, pipe: float | None, basin: float | None) -> Wall:
    """Return the wall with a door, a pipe and a basin at distances from the left, mm; None for none."""
    hung, services, openings = (), (), ()
    if door is not None:
        openings = (Opening("door", round(door * MM), leaf=LEAF),)
    if pipe is not None:
        services = (
            Service("waste pipe", "A", (round(pipe * MM), PIPE_HEIGHT), PIPE, PIPE_ROOM, "pipe", goes="down"),
        )
    if basin is not None:
        x = round(basin * MM)
        points = tuple((x + side * BASIN_APART // 2, BASIN_HEIGHT) for side in (-1, 1))
        hung = (HungItem("basin", "A", points, BASIN_MASS, BASIN_FULL, kind="basin"),)
    rooms = (Room("wash room", "other"), Room("store", "other"))
    return Wall("Wash room", LENGTH, ((0, HEIGHT),), *rooms, openings, hung, services)


@lru_cache(maxsize=1024)
def built(using: Trade, wall: Wall, centres: float) -> Any:
    """Return the design of the wall at centres (mm), or the error that says why there is none."""
    try:
        return wc.design(wall, Option(stud_centres=centres), rules=using.rules, prices=using.prices)
    except (wc.OptionError, wc.WallError) as error:
        return error


def off_grid(design: Any, centres: float) -> tuple[int, int]:
    """Return how many upright timbers there are, ends left out, and how many of them are not on the grid.

    All, and those whose middle is not a whole number of centres from the left. Units: ``centres`` mm.
    """
    c = round(centres * MM)
    studs = [m for m in design.frame.members if m.role in UPRIGHT and m.role != "end stud"]
    off = [m for m in studs if (m.x + m.width // 2) % c]
    return len(studs), len(off)


class GridStep:
    """Door, pipe and basin on the grid.

    Parameters
    ----------
    using : Trade
        Rules and prices.
    """

    key, title = "grid", "What becomes of a neat grid?"

    def __init__(self, using: Trade) -> None:
        self.using, usual = using, using.offers.usual
        self.centres = usual[-1]
        self.bare = furnished(None, None, None)
        self.all = furnished(2600.0, 2 * self.centres - 8.0, 2 * self.centres - 8.0)
        self.guess = Guess(
            f"A wall {LENGTH / MM:g} mm long has studs at {self.centres:g} mm centres. Now it gets a door, a "
            "waste pipe that comes "
            "out just where a stud stands, and a basin hung over it. How many more upright timbers does it take?",
            unit="timbers",
        )
        self.knobs = (
            Knob("door", "a door", True, options=YES_NO),
            Knob("pipe", "a waste pipe", True, options=YES_NO),
            Knob("basin", "a basin", True, options=YES_NO),
            Knob("centres", "stud centres, mm", self.centres, options=tuple((f"{c:g}", c) for c in usual)),
            Knob("door_at", "door from the left, mm", 2600.0, 100.0, 2850.0, 10.0),
            Knob("pipe_at", "pipe and basin from the left, mm", 2 * self.centres - 8.0, 250.0, 3600.0, 2.0),
        )
        self._drawing: Elevation | None = None
        self._last = ""

    def counts(self) -> tuple[int, int]:
        """Return how many uprights the bare and the furnished wall take; the ends are left out."""
        both = [built(self.using, wall, self.centres) for wall in (self.bare, self.all)]
        return tuple(0 if isinstance(d, ValueError) else off_grid(d, self.centres)[0] for d in both)  # type: ignore[return-value]

    def compare(self, guess: Any) -> str:
        """Return the guess beside the count."""
        bare, full = self.counts()
        word = (
            "right"
            if float(guess) == full - bare
            else "too low"
            if float(guess) < full - bare
            else "too high"
        )
        return (
            f"You guessed {float(guess):g}; it is {full - bare} ({bare} before, {full} now, the two at the ends "
            "left out), so your "
            "guess was "
            + word
            + ". Studs go to where things are: to the sides of the opening and, short ones, over its head, out of the "
            "pipe's way, behind the fixings."
        )

    def show(self, values: dict[str, Any]) -> Shown:
        """Return the elevation of the wall as it now is, and what the grid became."""
        wall = furnished(
            values["door_at"] if values["door"] else None,
            values["pipe_at"] if values["pipe"] else None,
            values["pipe_at"] if values["basin"] else None,
        )
        found = built(self.using, wall, values["centres"])
        if isinstance(found, ValueError):
            why = (
                f"This cannot be built as it stands: {found}. The picture shows the last wall that could be."
            )
            return Shown(self._last, why)
        if self._drawing is None:
            figure = new_figure(*SIZE)
            self._drawing = Elevation(figure.add_axes((0, 0.05, 1, 0.95)))
            elevation_key(figure)
        self._drawing.update(found, "A")
        self._last = self._drawing.show(elevation_alt(found, "A"))
        return Shown(self._last, self.words(found, values["centres"]))

    def words(self, design: Any, centres: float) -> str:
        """Return the finding in words."""
        plain = built(self.using, self.bare, centres)
        studs, off = off_grid(design, centres)
        before = off_grid(plain, centres)[0]
        noggins = sum(m.role == "noggin" for m in design.frame.members)
        noggins -= sum(m.role == "noggin" for m in plain.frame.members)
        extra = sorted(
            {
                s
                for m in design.frame.members
                for s in m.serves
                if "basin" in s or "pipe" in s or "opening" in s
            }
        )
        more = design.cost - plain.cost
        said = (
            f"{studs} upright timbers between the ends, {off} of them off the grid; the bare wall has {before}. "
            f"{noggins:+d} noggins, {more:+.2f} {self.using.prices.currency} beside the bare wall. "
        )
        if extra:
            said += f"Timber is there for: {', '.join(extra)}. "
        fails = {r.check: r.why for r in design.check_rows if r.verdict == "fail"}
        if not fails:
            return said + "No check fails."
        return said + f"Checks that fail: {', '.join(fails)}. The first says: {next(iter(fails.values()))}"
