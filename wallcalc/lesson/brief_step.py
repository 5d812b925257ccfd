"""Step 10 as a step: the brief, a guess at the centres, the controls of the wall, and the verdict on every wish."""

from __future__ import annotations

from typing import Any

from wallcalc.draw.elevation import Elevation
from wallcalc.draw.elevation_key import elevation_alt, elevation_key
from wallcalc.draw.style import new_figure
from wallcalc.given.option import BOARD_ORIENTATIONS, LAYERS, Option
from wallcalc.lesson.brief import Brief, Verdict, brief, built, fills_that_fit, judge
from wallcalc.lesson.step import Guess, Knob, Shown
from wallcalc.lesson.trade import Trade
from wallcalc.panel.words import ORIENTATIONS, option_words, table

SIZE = (900, 430)
CHOICES = ("stud_centres", "board_orientation", "fill", "layers_a", "layers_b")


class BriefStep:
    """A wall to a brief.

    Parameters
    ----------
    using : Trade
        Rules and prices.
    seed : int
        What the brief is made from.
    """

    key, title = "brief", "Your own wall"

    def __init__(self, using: Trade, seed: int = 1) -> None:
        self.using = using
        self.asked: Brief = brief(using, seed)
        usual = using.offers.usual
        self.guess = Guess(
            f"{self.asked.told(using)} Which stud centres do you think will do?",
            choices=tuple((f"{c:g} mm", c) for c in usual),
        )
        fills = fills_that_fit(using)
        layers = tuple((str(n), n) for n in LAYERS)
        self.knobs = (
            Knob("stud_centres", "stud centres, mm", usual[-1], options=tuple((f"{c:g}", c) for c in usual)),
            Knob("board_orientation", "boards", BOARD_ORIENTATIONS[0],
                 options=tuple((ORIENTATIONS[o], o) for o in BOARD_ORIENTATIONS)),
            Knob("fill", "in the cavity", None, options=(("nothing", None), *((f, f) for f in fills))),
            Knob("layers_a", "layers of board, side A", 1, options=layers),
            Knob("layers_b", "layers of board, side B", 1, options=layers),
        )  # fmt: skip
        self._drawing: Elevation | None = None
        self._last = ""

    def option(self, values: dict[str, Any]) -> Option:
        """Return the option that the controls' values make."""
        return Option(**{name: values[name] for name in CHOICES})

    def begin(self, guess: Any) -> dict[str, Any]:
        """Return the controls' values that a guess begins with."""
        return {"stud_centres": guess}

    def compare(self, guess: Any) -> str:
        """Return how far the guessed centres alone bring the wall."""
        found = judge(self.using, self.asked, Option(stud_centres=guess))
        if isinstance(found, str):
            return (
                f"You guessed {guess:g} mm: with everything else left as it is that cannot be built: {found}"
            )
        met = sum(v.met for v in found)
        more = "Now change the wall until all are met." if met < len(found) else "That is all of them."
        return (
            f"You guessed {guess:g} mm: with upright boards, one layer a side and an empty cavity that meets {met} of "
            f"{len(found)} wishes. {more}"
        )

    def verdicts(self, values: dict[str, Any]) -> tuple[Verdict, ...] | str:
        """Return a verdict for every wish, or why the wall cannot be built."""
        return judge(self.using, self.asked, self.option(values))

    def handed_in(self, values: dict[str, Any]) -> tuple[str, bool, str]:
        """Return the option in words, whether every wish is met, and what is not."""
        found = self.verdicts(values)
        said = option_words(self.option(values))
        if isinstance(found, str):
            return said, False, "cannot be built"
        missed = [v.wish.measure for v in found if not v.met]
        return said, not missed, ", ".join(missed)

    def show(self, values: dict[str, Any]) -> Shown:
        """Return the wall as drawn, and the verdict on every wish."""
        found = self.verdicts(values)
        if isinstance(found, str):
            return Shown(
                self._last, f"This cannot be built: {found}. The picture shows the last wall that could be."
            )
        if self._drawing is None:
            figure = new_figure(*SIZE)
            self._drawing = Elevation(figure.add_axes((0, 0.05, 1, 0.95)))
            elevation_key(figure)
        made = built(self.using, self.asked.wall, self.option(values))
        self._drawing.update(made, "A")
        self._last = self._drawing.show(elevation_alt(made, "A"))
        met = sum(v.met for v in found)
        words = f"{met} of {len(found)} wishes are met."
        if met == len(found):
            words += " That is what was asked for: hand it in."
        rows = [("✓ met" if v.met else "✗ not yet", v.wish.text, v.found) for v in found]
        verdict = table(("", "asked for", "found"), rows, "The wishes and your wall")
        return Shown(self._last, words, verdict)
