"""Step 5: what the stud centres do to sound, with the dip. Centres in mm, levels in dB."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wallcalc.lesson.sound_picture import SoundPicture, sound_alt
from wallcalc.lesson.step import Guess, Knob, Shown
from wallcalc.lesson.trade import Trade
from wallcalc.sound import Sound, predict
from wallcalc.sound.lesson import BOARD as LEAF
from wallcalc.sound.lesson import bay_resonance, dip, spacing_sweep, whole_bays

FILLS = (("empty cavity", 0.0), ("thin wool slab", 50.0), ("cavity full of wool", 89.0))
"""Fills of the sound notebook's wall: name and thickness, mm."""


@lru_cache(maxsize=8)
def sweep(fill: float) -> tuple[NDArray[np.float64], list[Sound]]:
    """Return stud centres and the prediction at each, for a thickness of wool (mm)."""
    return spacing_sweep(fill)


class SoundStep:
    """Sound against spacing.

    Parameters
    ----------
    using : Trade
        Rules and prices.
    """

    key, title = "sound", "Which wall lets less sound through?"

    def __init__(self, using: Trade) -> None:
        usual = using.offers.usual
        self.narrow, self.wide = usual[0], min(usual[-1], 600.0)
        self.usual = usual
        self.guess = Guess(
            f"Two walls, one board on each side, nothing in the cavity: studs at {self.narrow:g} mm centres in "
            "one, at "
            f"{self.wide:g} mm in the other. Which one lets less sound through?",
            choices=(
                (f"the one at {self.narrow:g} mm: more timber", "narrow"),
                (f"the one at {self.wide:g} mm: less timber", "wide"),
                ("no difference", "same"),
            ),
        )
        self.knobs = (
            Knob("centres", "stud centres, mm", self.narrow, 300.0, 600.0, 10.0),
            Knob("fill", "in the cavity", 0.0, options=FILLS),
        )
        self._picture: SoundPicture | None = None
        self._set = -1.0

    def at(self, centres: float, fill: float = 0.0) -> Sound:
        """Return the prediction at stud centres (mm), for a thickness of wool (mm)."""
        return predict(whole_bays(centres, fill))

    @property
    def truth(self) -> str:
        """Which wall stops more: "narrow", "wide" or "same", by the STC that guidance credits."""
        a, b = self.at(self.narrow).STC_low, self.at(self.wide).STC_low
        return "narrow" if a > b else "wide" if b > a else "same"

    def compare(self, guess: Any) -> str:
        """Return the guess beside the ratings."""
        a, b = self.at(self.narrow), self.at(self.wide)
        named = dict((value, text) for text, value in self.guess.choices)
        right = "and so it is" if guess == self.truth else f"but it is {named[self.truth]}"
        return (
            f"You guessed: {named[guess]}, {right}. At {self.narrow:g} mm Rw {a.Rw} and STC {a.stc_text}, at "
            f"{self.wide:g} mm "
            f"Rw {b.Rw} and STC {b.stc_text}. Close studs make the board between them a stiff little drum whose tone "
            "lies where "
            "we hear it."
        )

    def show(self, values: dict[str, Any]) -> Shown:
        """Return the curve with its dip, and both ratings over the centres."""
        centres, fill = values["centres"], values["fill"]
        x, sounds = sweep(fill)
        if self._picture is None:
            self._picture = SoundPicture(self.usual)
        if self._set != fill:
            self._picture.set_sweep(
                x, *([getattr(s, name) for s in sounds] for name in ("Rw", "STC_low", "STC"))
            )
            self._set = fill
        found = self.at(centres, fill)
        where = dip(found.R)
        return Shown(
            self._picture.show(found, where, centres, sound_alt(found, where, centres, sounds)),
            self.words(found, where, centres, fill),
        )

    def words(self, found: Sound, where: tuple[float, float], centres: float, fill: float) -> str:
        """Return the finding in words."""
        name = next(text for text, value in FILLS if value == fill)
        doubt = ""
        if found.STC_low < found.STC:
            doubt = " The sums promise more STC at wide centres than published guidance credits: rely on the lower."
        return (
            f"At {centres:g} mm centres, {name}: Rw {found.Rw} dB and STC {found.stc_text}.{doubt} The curve dips to "
            f"{where[1]:.0f} dB in the band at {where[0]:g} Hz; a strip of board held fast at both studs would "
            "sound at "
            f"{bay_resonance(LEAF, centres):.0f} Hz by itself, and the boards bounce on the air between them. "
            f"Wider centres move the dip down, where it counts less. A laboratory figure, ± "
            f"{found.uncertainty.Rw:g} dB; a house comes out lower."
        )
