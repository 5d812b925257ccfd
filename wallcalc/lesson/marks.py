"""Step 2: where the first stud goes, and what a small error does to the eighth board. Lengths in 0.1 mm."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from wallcalc.framing.stud_lines import module_lines
from wallcalc.lesson.edges import AIR, JOINTS, NEAR, ON
from wallcalc.lesson.marks_picture import MarksPicture, marks_alt
from wallcalc.lesson.step import Guess, Knob, Shown, weigh
from wallcalc.lesson.trade import Trade, mm, stud_size
from wallcalc.units.lengths import MM

HOWS = (
    ("one tape from the wall's face, the stud's middle on each mark", "face"),
    ("one tape from the wall's face, the stud's edge on each mark", "edge on mark"),
    ("each stud from the one before, centres from its far edge", "from last edge"),
    ("each stud from the one before, half a stud out every time", "half out"),
)
"""Ways of setting out, good and bad."""


@dataclass(frozen=True, slots=True)
class Landing:
    """A board joint and the middle of the stud that was meant for it."""

    joint: int
    stud: int
    found: str

    @property
    def off(self) -> int:
        """How far the stud's middle is past the joint, 0.1 mm."""
        return self.stud - self.joint


def stud_middles(how: str, centres: int, stud: int, number: int) -> tuple[int, ...]:
    """Return the middles of the first studs after the end stud, as each way of measuring puts them.

    0.1 mm from the wall's face.
    """
    right = module_lines((number + 1) * centres, centres, "left")[:number]
    shift = {
        "face": lambda k: 0,
        "edge on mark": lambda k: stud // 2,
        "from last edge": lambda k: k * stud + stud // 2,
        "half out": lambda k: k * (stud // 2),
    }[how]
    return tuple(x + shift(k) for k, x in enumerate(right, start=1))


def landings(
    how: str, centres: int, stud: int, width: int, need: int, joints: int = JOINTS
) -> tuple[Landing, ...]:
    """Return where the joints of whole boards and the studs meant for them come to be."""
    bays = width // centres
    middles = stud_middles(how, centres, stud, joints * bays)
    found = []
    for k in range(1, joints + 1):
        off = abs(middles[k * bays - 1] - k * width)
        state = ON if stud - 2 * off >= need else NEAR if 2 * off < stud else AIR
        found.append(Landing(k * width, middles[k * bays - 1], state))
    return tuple(found)


class MarksStep:
    """Setting out the studs.

    Parameters
    ----------
    using : Trade
        Rules and prices.
    """

    key, title = "marks", "Where does the first stud go?"

    def __init__(self, using: Trade) -> None:
        self.stud = stud_size()[0]
        self.need = using.frame.centred("bound", "bound")
        self.width = using.sheet_widths[0]
        self.centres = [round(c * MM) for c in using.offers.usual if self.width % round(c * MM) == 0]
        self.asked = self.centres[-1]
        self.truth = landings("half out", self.asked, self.stud, self.width, self.need)[-1].off / MM
        self.guess = Guess(
            f"Studs at {mm(self.asked)} centres, boards {mm(self.width)} wide. Someone measures each stud from "
            "the one "
            f"before and is half a stud out every time. How far out, in mm, is the stud meant for the {JOINTS}th "
            "joint?",
            unit="mm",
        )
        self.knobs = (
            Knob("how", "how the studs are measured", "half out", options=HOWS),
            Knob(
                "centres",
                "stud centres, mm",
                self.asked,
                options=tuple((f"{c / MM:g}", c) for c in self.centres),
            ),
        )
        self._picture: MarksPicture | None = None

    def compare(self, guess: Any) -> str:
        """Return the guess beside the error."""
        word = weigh(float(guess), self.truth, 0.5 * self.stud / MM)
        bays = JOINTS * (self.width // self.asked)
        return (
            f"You guessed {float(guess):g} mm; it is {self.truth:g} mm, so your guess was {word}. There are "
            f"{bays} bays "
            f"up to that joint and each adds {self.stud / 2 / MM:g} mm: an error that is carried on grows with "
            "every stud."
        )

    def show(self, values: dict[str, Any]) -> Shown:
        """Return the boards, the studs as they were set, and how far out each joint is."""
        how, centres = values["how"], values["centres"]
        found = landings(how, centres, self.stud, self.width, self.need)
        if self._picture is None:
            self._picture = MarksPicture(self.stud)
        middles = stud_middles(how, centres, self.stud, JOINTS * self.width // centres)
        alt = marks_alt(found, dict((v, t) for t, v in HOWS)[how])
        return Shown(self._picture.show(found, middles, alt), self.words(found, how, centres))

    def words(self, found: tuple[Landing, ...], how: str, centres: int) -> str:
        """Return the finding in words."""
        on = sum(f.found == ON for f in found)
        first, last = found[0].off, found[-1].off
        bay = mm(centres - self.stud // 2 - self.stud)
        why = {
            "face": f"The first mark is {mm(centres)} from the wall's face, where the first board also begins, so "
            "the first "
            f"clear bay is only {bay}; nothing is carried on, because the tape stays hooked on the wall.",
            "edge on mark": f"Every stud is {mm(first)} past its joint: the next board has all of the stud, the one "
            "that ends there only touches its edge and has nothing to be screwed to. Put the mark in the middle of the "
            "stud.",
            "from last edge": "The centres were taken as the clear gap, so every bay is one stud too wide, and "
            "the error of "
            "each bay is carried to the next.",
            "half out": "A small error that is carried on is not small: keep one tape hooked on the wall and mark "
            "running "
            "dimensions.",
        }[how]  # fmt: skip
        return f"{on} of {len(found)} joints land on timber; joint {len(found)} is {mm(last)} out. {why}"
