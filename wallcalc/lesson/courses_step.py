"""Step 7: boards upright or on their side, and the joints with a cut edge, against the ceiling height."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

import wallcalc as wc
from wallcalc.given.option import BOARD_ORIENTATIONS, Option
from wallcalc.lesson.amounts import sample_wall
from wallcalc.lesson.courses_picture import NAMES, CoursesPicture, courses_alt
from wallcalc.lesson.step import Guess, Knob, Shown
from wallcalc.lesson.trade import Trade
from wallcalc.panel.words import ORIENTATIONS
from wallcalc.units.lengths import MM

LEAST, MOST, STEP = 2200.0, 3200.0, 100.0
"""Heights of the room that the control runs over, mm."""
ASKED = 2600.0
SIDE = "A"


@dataclass(frozen=True, slots=True)
class Boarded:
    """One side boarded: outlines of boards and joints with their kind, mm; metres of joint by kind; why not."""

    outlines: tuple[tuple[tuple[float, float], ...], ...] = ()
    joints: tuple[tuple[str, float, float, float, float], ...] = ()
    metres: tuple[tuple[str, float], ...] = ()
    why_not: str = ""

    @property
    def cut(self) -> float:
        """Metres of joint with a cut edge."""
        return sum(m for kind, m in self.metres if "cut" in kind)


@lru_cache(maxsize=512)
def boarded(using: Trade, orientation: str, height: float) -> Boarded:
    """Return side A of the sample wall at a height (mm), boarded one way."""
    wall = replace(sample_wall(), heights=((0, round(height * MM)),))
    option = Option(stud_centres=using.offers.usual[-1], board_orientation=orientation)
    try:
        frame = wc.design(wall, option, rules=using.rules, prices=using.prices).frame
    except wc.OptionError as error:
        return Boarded(why_not=str(error.refusals[0]))
    joints = [j for j in frame.joints if j.side == SIDE and j.layer == 1 and j.kind != "corner"]
    metres: dict[str, float] = {}
    for j in joints:
        metres[j.kind] = metres.get(j.kind, 0.0) + j.length / MM / 1000
    return Boarded(
        tuple(
            tuple((x / MM, y / MM) for x, y in b.outline)
            for b in frame.boards
            if b.side == SIDE and b.layer == 1
        ),
        tuple((j.kind, j.x1 / MM, j.y1 / MM, j.x2 / MM, j.y2 / MM) for j in joints),
        tuple(sorted(metres.items())),
    )


class CoursesStep:
    """Orientation against ceiling height.

    Parameters
    ----------
    using : Trade
        Rules and prices.
    """

    key, title = "courses", "Upright or on their side?"

    def __init__(self, using: Trade) -> None:
        self.using = using
        self.tallest = max(s.length for s in using.prices.sheets(using.board, using.offers.sizes)) / MM
        self.guess = Guess(
            f"The ceiling is {ASKED:g} mm high, the sheets are "
            f"{' or '.join(f'{w / MM:g}' for w in using.sheet_widths)} mm "
            "wide and come in several lengths. Which way of boarding gives fewer metres of joint with a cut edge?",
            choices=((ORIENTATIONS["vertical"], "vertical"), (ORIENTATIONS["horizontal"], "horizontal"),
                     ("both the same", "same")),
        )  # fmt: skip
        self.knobs = (Knob("height", "height of the room, mm", ASKED, LEAST, MOST, STEP),)
        self._picture: CoursesPicture | None = None

    @property
    def truth(self) -> str:
        """Which way has fewer metres of joint with a cut edge at the height asked about."""
        up, side = (round(boarded(self.using, o, ASKED).cut, 2) for o in BOARD_ORIENTATIONS)
        return "same" if up == side else "vertical" if up < side else "horizontal"

    def compare(self, guess: Any) -> str:
        """Return the guess beside the metres."""
        up, side = (boarded(self.using, o, ASKED).cut for o in BOARD_ORIENTATIONS)
        named = {value: text for text, value in self.guess.choices}
        right = "and so it is" if guess == self.truth else f"but it is {named[self.truth]}"
        return (
            f"You guessed {named[guess]}, {right}: {up:.1f} m upright, {side:.1f} m on their side (one face of "
            "the wall). Upright "
            "boards meet along their bound edges as long as a sheet is as tall as the room; boards on their side "
            "meet along "
            "bound edges in level rows, but wherever the wall is longer than a sheet two cut ends meet."
        )

    def show(self, values: dict[str, Any]) -> Shown:
        """Return both ways of boarding at a height, and the joints with a cut edge over the heights."""
        heights = [LEAST + k * STEP for k in range(round((MOST - LEAST) / STEP) + 1)]
        height = values["height"]
        if self._picture is None:
            self._picture = CoursesPicture(sample_wall().length / MM, MOST)
            self._picture.set_sweep(
                heights, [[boarded(self.using, o, h).cut for h in heights] for o in BOARD_ORIENTATIONS]
            )
        both = [boarded(self.using, o, height) for o in BOARD_ORIENTATIONS]
        return Shown(self._picture.show(both, height, courses_alt(both, height)), self.words(both, height))

    def words(self, both: list[Boarded], height: float) -> str:
        """Return the finding in words."""
        said = []
        for orientation, found in zip(BOARD_ORIENTATIONS, both, strict=True):
            if found.why_not:
                said.append(f"{ORIENTATIONS[orientation]}: cannot be built ({found.why_not})")
                continue
            each = (
                ", ".join(f"{m:.1f} m of joint between {NAMES[kind]}" for kind, m in found.metres)
                or "no joints"
            )
            said.append(f"{ORIENTATIONS[orientation]}: {each}")
        return (
            f"At {height:g} mm: {'; '.join(said)}. The longest sheet is {self.tallest:g} mm; above that upright "
            "boards need a "
            "second course, which meets the first along cut edges on a noggin row."
        )
