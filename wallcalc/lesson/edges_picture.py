"""The picture of step 1: boards over studs, every joint close up, and how many land at every setting."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from matplotlib.patches import Rectangle

from wallcalc.draw import style
from wallcalc.draw.style import look, sized
from wallcalc.lesson.kept import Kept
from wallcalc.lesson.plan_strip import PlanStrip
from wallcalc.units.lengths import MM

SIZE = (900, 470)
CLOSE = 90.0
"""Half of what a close-up shows, mm."""
GREEN = "#2f7d5b"
STATES = {
    "on timber": (GREEN, "", "on timber", "#21593f"),
    "too near the timber's edge": (style.ORANGE, "////", "too near", "#8a5200"),
    "in the air": (style.RED, "xxx", "in the air", "#a3121f"),
}
"""Colour, hatch and word of what can become of an edge, and the colour of the word, dark enough to read."""


class EdgesPicture:
    """Kept artists that a change only moves.

    Parameters
    ----------
    stud : int
        Stud thickness, 0.1 mm.
    low, high : float
        Range of centres, mm.
    """

    def __init__(self, stud: int, low: float, high: float) -> None:
        self.stud = stud / MM
        self.width = 0
        self.kept = Kept(*SIZE)
        self.figure, moves = self.kept.figure, self.kept.moves
        with look():
            title = "From above: studs, and the boards of one side"
            self.strip = PlanStrip(self.kept, (0.02, 0.715, 0.96, 0.225), title, self.stud)
            self.plan = self.strip.ax
            self._flags: list[Any] = []
            self._close: list[dict[str, Any]] = []
            for k in range(8):
                self._flags.append(
                    moves(self.plan.text(0, 0, "", ha="center", va="bottom", fontproperties=sized(9.0, True)))
                )
                self._close.append(self._close_up(k))
            self.figure.text(0.02, 0.655, "Each joint close up, and how far it is from the middle of the nearest "
            "stud",
                             fontproperties=sized(9.5, True))  # fmt: skip
            self.sweep = self.figure.add_axes((0.065, 0.115, 0.915, 0.165))
            self.sweep.set_xlim(low - 4, high + 4)
            self.sweep.set_ylim(0, 8.6)
            self.sweep.set_yticks([0, 4, 8])
            self.sweep.set_xlabel("stud centres, mm", fontproperties=sized(9.0))
            self.sweep.set_title(
                "Joints of the first eight that land on timber", fontproperties=sized(9.5, True)
            )
            self._now = moves(self.sweep.axvline(low, color=style.INK, linewidth=1.2))
        self._bars: Any = None

    def _close_up(self, k: int) -> dict[str, Any]:
        ax = self.figure.add_axes((0.02 + k * 0.1215, 0.415, 0.1095, 0.205))
        ax.set_xlim(-CLOSE, CLOSE)
        ax.set_ylim(-55, 50)
        ax.set_xticks([])
        ax.set_yticks([])
        for side in ax.spines.values():
            side.set_visible(True)
            side.set_color(style.FAINT)
        stud = ax.add_patch(
            Rectangle((0, -45), self.stud, 60, facecolor=style.TIMBER, edgecolor=style.TIMBER_EDGE)
        )
        ends = [
            ax.add_patch(Rectangle((x, 15), CLOSE - 2.5, 12.5, edgecolor=style.INK, linewidth=0.9))
            for x in (-CLOSE, 2.5)
        ]
        word = ax.text(0, -51, "", ha="center", va="bottom", fontproperties=sized(7.6, True),
                       bbox={"facecolor": style.PAPER, "edgecolor": "none", "pad": 0.6})  # fmt: skip
        off = ax.text(0, 31, "", ha="center", va="bottom", fontproperties=sized(8.0))
        for artist in (stud, *ends, word, off):
            self.kept.moves(artist)
        return {"ax": ax, "stud": stud, "ends": ends, "word": word, "off": off}

    def set_sweep(
        self, width: int, x: Sequence[float], counts: Sequence[int], marked: Sequence[float]
    ) -> None:
        """Draw how many joints land at every setting of the slider for a sheet width (0.1 mm)."""
        self.width = width
        self.kept.forget()
        if self._bars is not None:
            self._bars.remove()
        with look():
            self._bars = self.sweep.vlines(x, 0, counts, color=GREEN, linewidth=3.4)
            self.sweep.set_xticks(list(marked), [f"{m:g}" for m in marked])

    def show(self, edges: Sequence[Any], centres: int, alt: str) -> str:
        """Return the picture for the edges at stud centres (0.1 mm)."""
        reach = edges[len(edges) // 2].at / MM
        step, half = centres / MM, self.stud / 2
        with look():
            self.plan.set_xlim(-60, reach + 60)
            self.plan.set_ylim(-20, 210)
            count = int(reach / step) + 2
            xs = [0.0, *(k * step - half for k in range(1, count))]
            lefts = [x for x in xs if x < reach + 60]
            self.strip.set(lefts, 89, edges[0].at / MM, len(edges) // 2 + 1, (92, 26, 6))
            for k, (edge, flag, close) in enumerate(zip(edges, self._flags, self._close, strict=True)):
                colour, hatch, word, dark = STATES[edge.found]
                flag.set_position((edge.at / MM, 126))
                flag.set_text(f"{k + 1}\n{word}" if edge.at / MM < reach - 60 else "")
                flag.set_color(dark)
                off = edge.off / MM
                close["stud"].set_x(-off - half)
                for end in close["ends"]:
                    end.set_facecolor(colour if not hatch else style.PAPER)
                    end.set_hatch(hatch)
                    end.set_hatch_color(colour) if hasattr(end, "set_hatch_color") else end.set_edgecolor(
                        colour
                    )
                close["word"].set_text(word)
                close["word"].set_color(dark)
                close["off"].set_text(f"joint {k + 1}: {off:+.0f} mm" if off else f"joint {k + 1}: 0 mm")
            self._now.set_xdata([step, step])
        return self.kept.show(alt)


def edges_alt(edges: Sequence[Any], centres: int, width: int) -> str:
    """Return the text that stands for the picture: every joint and what becomes of it."""
    told = "; ".join(f"joint {k}: {e.found}" for k, e in enumerate(edges, 1))
    on = sum(e.found == "on timber" for e in edges)
    return (
        f"Boards {width / MM:g} mm wide over studs at {centres / MM:g} mm centres: {on} of {len(edges)} joints "
        "land on "
        f"timber. {told}."
    )
