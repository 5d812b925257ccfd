"""The picture of step 5: the sound curve with its dip, and the ratings over the centres."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from matplotlib.ticker import MaxNLocator

from wallcalc.draw import style
from wallcalc.draw.sound_pictures import TICKS
from wallcalc.draw.style import look, sized
from wallcalc.lesson.kept import Kept
from wallcalc.sound.records import BANDS

SIZE = (900, 380)


class SoundPicture:
    """Kept artists that a change only moves.

    Parameters
    ----------
    usual : sequence of float
        Usual centres, mm, marked on the axis.
    """

    def __init__(self, usual: Sequence[float]) -> None:
        self.kept = Kept(*SIZE)
        figure, moves = self.kept.figure, self.kept.moves
        with look():
            self.curve = figure.add_axes((0.065, 0.14, 0.48, 0.75))
            self.curve.set_title("How much sound it stops, by pitch", fontproperties=sized(9.5, True))
            self.curve.set_xscale("log")
            self.curve.set_xlim(47, 5300)
            self.curve.set_xticks(TICKS, [f"{t:g}" if t < 1000 else f"{t // 1000}k" for t in TICKS])
            self.curve.minorticks_off()
            self.curve.set_ylim(0, 70)
            self.curve.grid(axis="y")
            self.curve.set_xlabel(
                "third-octave band, Hz (low notes left, high notes right)", fontproperties=sized(9.0)
            )
            self.curve.set_ylabel("sound reduction, dB", fontproperties=sized(9.0))
            self._line = moves(self.curve.plot([], [], color=style.BLUE, marker="o", markersize=3.4)[0])
            self._dip = moves(
                self.curve.plot([], [], color=style.RED, marker="v", markersize=10, linestyle="none")[0]
            )
            self._word = moves(
                self.curve.text(0, 0, "", fontproperties=sized(9.0, True), color="#a3121f", va="top")
            )
            self.rating = figure.add_axes((0.615, 0.14, 0.265, 0.75))
            self.rating.set_title("Ratings over the centres, dB", fontproperties=sized(9.5, True))
            self.rating.set_xlim(296, 604)
            self.rating.set_xticks([u for u in usual if u <= 604], [f"{u:g}" for u in usual if u <= 604])
            self.rating.set_xlabel("stud centres, mm", fontproperties=sized(9.0))
            self.rating.grid(axis="y")
            self.rating.yaxis.set_major_locator(MaxNLocator(integer=True))
            looks = ((style.PLUM, "-", "s"), (style.BLUE, (0, (5, 1.6)), "o"))
            self._rates = [
                self.rating.plot([], [], color=c, linestyle=s, drawstyle="steps-mid", linewidth=2)[0]
                for c, s, _ in looks
            ]
            self._dots = [
                moves(self.rating.plot([], [], color=c, marker=m, markersize=8)[0]) for c, _, m in looks
            ]
            self._names = [
                moves(self.rating.text(608, 0, "", fontproperties=sized(9.0, True), color=c, va="center"))
                for c, *_ in looks
            ]
            self._now = moves(self.rating.axvline(300, color=style.INK, linewidth=1.0))
        self._band: Any = None

    def set_sweep(
        self, x: Sequence[float], rw: Sequence[int], stc_low: Sequence[int], stc: Sequence[int]
    ) -> None:
        """Draw both ratings over the centres; the band is between the STC that guidance credits and the model's."""
        with look():
            if self._band is not None:
                self._band.remove()
            self._band = self.rating.fill_between(
                x, stc_low, stc, step="mid", color=style.BLUE, alpha=0.2, linewidth=0
            )
            for line, y in zip(self._rates, (rw, stc_low), strict=True):
                line.set_data(x, y)
            self.rating.set_ylim(min(*rw, *stc_low) - 2, max(*rw, *stc) + 2)
        self.kept.forget()

    def show(self, found: Any, where: tuple[float, float], centres: float, alt: str) -> str:
        """Return the picture of one prediction."""
        with look():
            self._line.set_data(BANDS, found.R)
            self._dip.set_data([where[0]], [where[1] - 2.5])
            self._word.set_position((where[0], where[1] - 5.5))
            self._word.set_text(f"dip: {where[1]:.0f} dB at {where[0]:g} Hz")
            self._word.set_ha("left" if where[0] < 200 else "center")
            self._now.set_xdata([centres, centres])
            values, said = (found.Rw, found.STC_low), (found.Rw, found.stc_text)
            low, high = self.rating.get_ylim()
            order = sorted(range(2), key=lambda k: values[k])
            places = style.spread([values[k] for k in order], 0.07 * (high - low), low, high)
            for place, k in zip(places, order, strict=True):
                self._names[k].set_position((608, place))
                self._names[k].set_text(f"{('Rw', 'STC')[k]} {said[k]}")
                self._dots[k].set_data([centres], [values[k]])
        return self.kept.show(alt)


def sound_alt(found: Any, where: tuple[float, float], centres: float, sweep: Sequence[Any]) -> str:
    """Return the text that stands for the picture; ``sweep`` are the predictions from the narrowest centres on."""
    first, last = sweep[0], sweep[-1]
    return (
        f"Sound reduction by pitch at {centres:g} mm centres: it dips to {where[1]:.0f} dB at {where[0]:g} Hz. Rw "
        f"{found.Rw}, "
        f"STC {found.stc_text}. Beside it both ratings over the centres: from the narrowest to the widest Rw goes "
        "from "
        f"{first.Rw} "
        f"to {last.Rw} and STC from {first.stc_text} to {last.stc_text}."
    )
