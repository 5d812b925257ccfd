"""Step 3: how far a stud and a board bend under a lean, against the stud centres. Lengths in mm, forces in N."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wallcalc.checks.boards import span_limits
from wallcalc.checks.strength_values import load_cases, section_of, timber
from wallcalc.given.option import SECTIONS
from wallcalc.lesson.bending_picture import BendingPicture, bending_alt
from wallcalc.lesson.step import Guess, Knob, Shown, weigh
from wallcalc.lesson.trade import LEAST_CENTRES, MOST_CENTRES, SECTION, Trade
from wallcalc.sound.leaf import plate
from wallcalc.sound.records import Leaf
from wallcalc.strength.beam import Beam, LineLoad, shear_stiffness
from wallcalc.trade.rules import Rules
from wallcalc.units.lengths import MM

LEAN_STRIP = 300.0
"""Height of the strip of board that is taken to carry the lean alone, mm; a whole board shares more and bends less."""
POINTS = 41
HEIGHTS = (2200.0, 3200.0)
"""Room heights that the control runs over, mm."""


@dataclass(frozen=True, slots=True)
class Bend:
    """A bent piece: places along it and how far each moves, mm; the most it moves and what is allowed (0: no rule)."""

    at: NDArray[np.float64]
    by: NDArray[np.float64]
    most: float
    limit: float = 0.0


@lru_cache(maxsize=4096)
def stud_bend(rules: Rules, section: str, height: float, centres: float) -> Bend:
    """Return how a stud bends under the rules' line load.

    Units: ``height``, ``centres`` mm.
    """
    case = lean(rules)
    size, material = section_of(section), timber(rules)
    beam = Beam(height, case.loads(height, centres, 0.0))
    stiff = material.modulus * size.inertia
    slip = shear_stiffness(size.area, material.shear_modulus)
    at = np.linspace(0.0, height, POINTS)
    by = np.array([beam.deflection(x, stiff) + beam.shear_deflection(x, slip) for x in at])
    return Bend(at, by, beam.greatest_deflection(stiff, slip)[1], case.deflection_limit(height))


def lean(rules: Rules) -> Any:
    """Return the load case of people leaning: the rules' line load, or their first case where they have none."""
    cases = load_cases(rules, False)
    return next((c for c in cases if c.kind == "line"), cases[0])


@lru_cache(maxsize=4096)
def board_bend(rules: Rules, leaf: Leaf, centres: float) -> Bend:
    """Return how a strip of board between two studs bends under the lean.

    The strip is :data:`LEAN_STRIP` high and rests on two studs: it takes all of a line load, or what a load on the
    whole face puts on it. Its stiffness is that of the sound model's plate (from the board's mass and critical
    frequency).

    Units: ``centres`` mm.
    """
    per_width = plate(leaf).stiffness * 1000.0  # N m to N mm2 for each mm of width
    case = lean(rules)
    force = case.value if case.kind == "line" else case.value * LEAN_STRIP  # N for each mm along the strip
    beam = Beam(centres, (LineLoad(0.0, centres, force),))
    at = np.linspace(0.0, centres, POINTS)
    by = np.array([beam.deflection(x, per_width * LEAN_STRIP) for x in at])
    return Bend(at, by, float(by.max()))


class BendingStep:
    """Bending of a stud and of a board.

    Parameters
    ----------
    using : Trade
        Rules and prices.
    """

    key, title = "bending", "What bends when somebody leans on the wall?"

    def __init__(self, using: Trade) -> None:
        self.using, rules = using, using.rules
        board = using.prices.board(using.board)
        self.leaf = Leaf(board.surface_mass, board.thickness / MM)
        self.board = board.description
        usual = using.offers.usual
        self.narrow, self.wide = usual[0], usual[-1]
        self.truth = (
            board_bend(rules, self.leaf, self.wide).most / board_bend(rules, self.leaf, self.narrow).most
        )
        self.stud_truth = self.wide / self.narrow
        self.guess = Guess(
            f"Studs go from {self.narrow:g} to {self.wide:g} mm centres, {self.stud_truth:g} times as far apart. "
            "Somebody "
            "leans on the board between two studs. How many times as far does the board give?",
            unit="times",
        )
        self.knobs = (
            Knob("centres", "stud centres, mm", self.wide, LEAST_CENTRES, MOST_CENTRES, 1.0),
            Knob("section", "stud section, mm", SECTION, options=tuple((s, s) for s in SECTIONS)),
            Knob("height", "length of the studs, mm", 2500.0, *HEIGHTS, 50.0),
        )
        self._picture: BendingPicture | None = None
        self._set: tuple[Any, ...] = ()

    def compare(self, guess: Any) -> str:
        """Return the guess beside the ratio."""
        word = weigh(float(guess), self.truth, 0.12 * self.truth)
        return (
            f"You guessed {float(guess):g} times; it is {self.truth:.1f} times, so your guess was {word}. The "
            "board's "
            f"bending goes with the fourth power of the distance it spans; the stud only carries more wall, so it "
            "bends "
            f"{self.stud_truth:.1f} times as far."
        )

    def show(self, values: dict[str, Any]) -> Shown:
        """Return both pieces to scale and exaggerated, and both bendings over the centres."""
        centres, section, height = values["centres"], values["section"], values["height"]
        rules = self.using.rules
        stud, board = stud_bend(rules, section, height, centres), board_bend(rules, self.leaf, centres)
        if self._picture is None:
            self._picture = BendingPicture(self.using.offers.usual)
        if self._set != (section, height):
            x = np.arange(LEAST_CENTRES, MOST_CENTRES + 1, 10.0)
            studs = [stud_bend(rules, section, height, c).most for c in x]
            self._picture.set_sweep(x, studs, [board_bend(rules, self.leaf, c).most for c in x])
            self._set = (section, height)
        depth = section_of(section).depth
        alt = bending_alt(stud, board, centres, lean(rules).name)
        return Shown(self._picture.show(stud, board, depth, self.leaf.thickness, centres, alt),
                     self.words(stud, board, centres))  # fmt: skip

    def words(self, stud: Bend, board: Bend, centres: float) -> str:
        """Return the finding in words."""
        case = lean(self.using.rules)
        line = case.kind == "line"
        where = f" at {case.height:.0f} mm" if line else " on all the face"
        shared = (
            f"One strip of board {LEAN_STRIP:.0f} mm high is taken to carry it all; a whole board shares the push "
            "and gives less."
            if line
            else f"The strip of board is {LEAN_STRIP:.0f} mm high and carries what presses on it."
        )
        allowed = f" ({stud.limit:.0f} mm allowed)" if stud.limit else ""
        limits = span_limits(self.using.rules, self.leaf.thickness, False, True)
        most = max((c for _, c, *_ in limits if c is not None), default=None)
        rule = f" The rules let this board span {most:g} mm." if most else ""
        return (
            f"Under a {case.name}{where} the stud gives {stud.most:.1f} mm{allowed} and the strip of board between "
            f"two studs {board.most:.1f} mm, at {centres:g} mm centres.{rule} {shared} Load: {case.source}, "
            f"{case.status}."
        )
