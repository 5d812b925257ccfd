"""Step 1: where the edges of upright boards land when the stud centres change. Lengths in 0.1 mm."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from wallcalc.lesson.edges_picture import EdgesPicture, edges_alt
from wallcalc.lesson.step import Guess, Knob, Shown, weigh
from wallcalc.lesson.trade import LEAST_CENTRES, MOST_CENTRES, Trade, mm, stud_size, trade
from wallcalc.units.lengths import MM

INCH = 254
JOINTS = 8
"""Upright joints that the step looks at."""
ON, NEAR, AIR = "on timber", "too near the timber's edge", "in the air"
"""What can become of a board edge."""


@dataclass(frozen=True, slots=True)
class Edge:
    """One upright joint: where it is, the nearest stud's middle, and what becomes of it."""

    at: int
    stud: int
    found: str

    @property
    def off(self) -> int:
        """How far the joint is from the stud's middle."""
        return self.at - self.stud


def board_edges(width: int, centres: int, stud: int, need: int, number: int = JOINTS) -> tuple[Edge, ...]:
    """Return the joints of whole boards set side by side from the wall's face, with studs on the centres."""
    found = []
    for k in range(1, number + 1):
        at = k * width
        middle = (at + centres // 2) // centres * centres
        off = abs(at - middle)
        state = ON if stud - 2 * off >= need else NEAR if 2 * off < stud else AIR
        found.append(Edge(at, middle, state))
    return tuple(found)


def dividing(width: int, low: int, high: int) -> tuple[tuple[int, int], ...]:
    """Return (bays, centres) for every whole number of equal bays in a sheet's width within a range, 0.1 mm."""
    return tuple(
        (n, width // n) for n in range(1, width // low + 1) if width % n == 0 and low <= width // n <= high
    )


def landed(width: int, centres: int, stud: int, need: int, number: int = JOINTS) -> int:
    """Return how many of the joints have enough timber behind both boards."""
    return sum(e.found == ON for e in board_edges(width, centres, stud, need, number))


class EdgesStep:
    """Board edges on timber and in the air.

    Parameters
    ----------
    using : Trade
        Rules and prices.
    """

    key, title = "edges", "Where do the board edges land?"

    def __init__(self, using: Trade) -> None:
        self.stud = stud_size()[0]
        self.need = using.frame.centred("bound", "bound")
        inch = trade("us")
        widths = dict.fromkeys([*using.sheet_widths, *inch.sheet_widths])
        self.width = using.sheet_widths[0]
        named = tuple((f"{inch.length(w) if w in inch.sheet_widths else mm(w)} wide", w) for w in widths)
        low, high = round(LEAST_CENTRES * MM), round(MOST_CENTRES * MM)
        self.fits = {w: dividing(w, low, high) for w in widths}
        awkward = [round(c * MM) for c in using.offers.usual if self.width % round(c * MM)]
        self.asked = awkward[-1] if awkward else round(1.1 * self.fits[self.width][0][1])
        self.truth = landed(self.width, self.asked, self.stud, self.need)
        self.guess = Guess(
            f"Boards {mm(self.width)} wide stand side by side from the wall's end, the studs are at {mm(self.asked)} "
            f"centres. Of the first {JOINTS} upright joints, how many have timber behind both boards?",
            unit="joints",
        )
        jumps = {c: f"{c / MM:g} mm" for w in widths for _, c in self.fits[w]} | {self.asked: mm(self.asked)}
        self.knobs = (
            Knob("centres", "stud centres, mm", self.asked / MM, LEAST_CENTRES, MOST_CENTRES, 0.1),
            Knob("jump", "go to", self.asked / MM,
                 options=tuple((jumps[c], c / MM) for c in sorted(jumps))),
            Knob("width", "sheet", self.width, options=named),
        )  # fmt: skip
        self._picture: EdgesPicture | None = None

    def compare(self, guess: Any) -> str:
        """Return the guess beside the count."""
        word = weigh(float(guess), self.truth, 0.5)
        return (
            f"You guessed {float(guess):g}; it is {self.truth} of {JOINTS}, so your guess was {word}. A joint "
            "finds a "
            f"stud only where a whole number of boards and a whole number of bays come to the same length."
        )

    def moved(self, name: str, values: dict[str, Any]) -> dict[str, Any]:
        """Return the values with the slider where a button sent it, and the button of the slider's place chosen."""
        centres = values["jump"] if name == "jump" else values["centres"]
        return values | {"centres": centres, "jump": centres}

    def show(self, values: dict[str, Any]) -> Shown:
        """Return the strip of boards over studs, and how many joints land at every setting."""
        width, centres = values["width"], round(values["centres"] * MM)
        edges = board_edges(width, centres, self.stud, self.need)
        if self._picture is None:
            self._picture = EdgesPicture(self.stud, LEAST_CENTRES, MOST_CENTRES)
        if self._picture.width != width:
            x = np.unique(
                [*np.arange(LEAST_CENTRES, MOST_CENTRES + 1), *(c / MM for _, c in self.fits[width])]
            )
            counts = [landed(width, round(c * MM), self.stud, self.need) for c in x]
            self._picture.set_sweep(width, x, counts, [c / MM for _, c in self.fits[width]])
        return Shown(
            self._picture.show(edges, centres, edges_alt(edges, centres, width)), self.words(edges, width)
        )

    def words(self, edges: tuple[Edge, ...], width: int) -> str:
        """Return the finding in words."""
        on, near = (sum(e.found == what for e in edges) for what in (ON, NEAR))
        air = len(edges) - on - near
        listed = sorted(self.fits[width], key=lambda fit: fit[1])
        all_at = " or ".join(f"{_said(c)} ({n} bays to a sheet)" for n, c in listed)
        said = f"{on} of {len(edges)} joints have timber behind both boards"
        if near:
            said += f", {near} have some but too little for the screws"
        said += f", {air} are in the air. " if air else ". "
        return (
            said
            + f"With this sheet every joint lands at {all_at or 'no centres in this range'}"
            + (", and nowhere else." if self.need >= self.stud else ".")
        )


def _said(centres: int) -> str:
    """Return centres in mm, and in inches where they are whole inches."""
    return f"{centres / MM:g} mm" + (f", {centres // INCH} in" if centres % INCH == 0 else "")
