"""The picture of step 2: boards, the studs as they were set out, and how far out each joint's stud is."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from wallcalc.draw import style
from wallcalc.draw.style import look, sized
from wallcalc.lesson.edges_picture import STATES
from wallcalc.lesson.kept import Kept
from wallcalc.lesson.plan_strip import PlanStrip
from wallcalc.units.lengths import MM

SIZE = (900, 400)


class MarksPicture:
    """Kept artists that a change only moves.

    Parameters
    ----------
    stud : int
        Stud thickness, 0.1 mm.
    """

    def __init__(self, stud: int) -> None:
        self.stud = stud / MM
        self.kept = Kept(*SIZE)
        self.figure, moves = self.kept.figure, self.kept.moves
        with look():
            title = "From above: boards, their joints (arrows), and the studs as they were set"
            self.strip = PlanStrip(self.kept, (0.02, 0.69, 0.96, 0.22), title, self.stud)
            self.plan = self.strip.ax
            self._meant = moves(
                self.plan.plot([], [], linestyle="none", marker="v", color=style.PLUM, markersize=6)[0]
            )
            self.off = self.figure.add_axes((0.075, 0.14, 0.905, 0.40))
            self.off.set_title(
                "How far the stud's middle is past the joint meant for it, mm",
                fontproperties=sized(9.5, True),
            )
            self.off.axhspan(-self.stud / 2, self.stud / 2, color=style.TIMBER, alpha=0.55, lw=0)
            self.off.axhline(0, color=style.SOFT, linewidth=0.8)
            self.off.set_xlim(0.4, 8.6)
            self.off.set_xlabel(
                "upright joint (the band is the stud's own thickness)", fontproperties=sized(9.0)
            )
            self._bars = self.off.bar(range(1, 9), [0.0] * 8, width=0.55, edgecolor=style.INK, linewidth=0.6)
            self._values = [
                self.off.text(k, 0, "", ha="center", va="bottom", fontproperties=sized(8.5, True))
                for k in range(1, 9)
            ]
            for artist in (*self._bars, *self._values):
                moves(artist)

    def show(self, found: Sequence[Any], middles: Sequence[int], alt: str) -> str:
        """Return the picture for the landings and all stud middles (0.1 mm)."""
        end = found[-1].joint / MM
        with look():
            self.plan.set_xlim(-80, end + 700)
            self.plan.set_ylim(-30, 330)
            lefts = [0.0, *(m / MM - self.stud / 2 for m in middles)]
            self.strip.set(lefts, 150, found[0].joint / MM, len(found), (158, 45, 8))
            self._meant.set_data([f.joint / MM for f in found], [248] * len(found))
            most = max(abs(f.off) for f in found) / MM
            limits = (-1.6 * self.stud / 2, max(1.25 * most, 1.6 * self.stud))
            if self.off.get_ylim() != limits:
                self.off.set_ylim(limits)
                self.kept.forget()
            for bar, value, landing in zip(self._bars, self._values, found, strict=True):
                colour, hatch, word, dark = STATES[landing.found]
                off = landing.off / MM
                bar.set_height(off if off else 0.4)
                bar.set_facecolor(style.PAPER if hatch else colour)
                bar.set_hatch(hatch)
                bar.set_edgecolor(colour)
                value.set_text(f"{off:g} mm\n{word}")
                value.set_color(dark)
                value.set_y(max(off, 0.0))
        return self.kept.show(alt)


def marks_alt(found: Sequence[Any], how: str) -> str:
    """Return the text that stands for the picture."""
    told = "; ".join(f"joint {k}: {f.off / MM:g} mm, {f.found}" for k, f in enumerate(found, 1))
    return f"Studs set out as follows: {how}. How far each joint's stud is out: {told}."
