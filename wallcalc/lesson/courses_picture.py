"""The picture of step 7: one face boarded both ways, and the joints with a cut edge over the heights."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from matplotlib.collections import LineCollection, PolyCollection
from matplotlib.lines import Line2D

from wallcalc.draw import style
from wallcalc.draw.style import look, sized
from wallcalc.lesson.kept import Kept

SIZE = (900, 400)
NAMES = {"bound-bound": "bound edges", "bound-cut": "a bound and a cut edge", "cut-cut": "cut edges"}
"""Kinds of joint and how they are named."""


class CoursesPicture:
    """Kept artists that a change only moves.

    Parameters
    ----------
    length, tallest : float
        Length of the wall and the greatest height shown, mm.
    """

    def __init__(self, length: float, tallest: float) -> None:
        self.kept = Kept(*SIZE)
        figure, moves = self.kept.figure, self.kept.moves
        self._faces: list[dict[str, Any]] = []
        with look():
            for k, series in enumerate(style.SERIES.values()):
                ax = figure.add_axes((0.01 + 0.31 * k, 0.10, 0.30, 0.78))
                ax.set_axis_off()
                ax.set_aspect("equal", anchor="N")
                ax.set_xlim(-40, length + 40)
                ax.set_ylim(-330, tallest + 40)
                ax.set_title(f"Boards {series['name']}", fontproperties=sized(9.5, True))
                boards = moves(
                    ax.add_collection(
                        PolyCollection([], facecolor=style.BOARD, edgecolor=style.BOARD_EDGE), autolim=False
                    )
                )
                lines = {
                    kind: moves(
                        ax.add_collection(
                            LineCollection([], colors=colour, linestyles=dash, linewidths=width + 0.6),
                            autolim=False,
                        )
                    )
                    for kind, (colour, dash, width) in style.JOINT_KINDS.items()
                    if kind in NAMES
                }
                word = moves(ax.text(length / 2, -90, "", ha="center", va="top", fontproperties=sized(9.0, True),
                                     bbox={"facecolor": style.PAPER, "edgecolor": "none", "pad": 1.5}))  # fmt: skip
                self._faces.append({"ax": ax, "boards": boards, "lines": lines, "word": word})
            handles = [
                Line2D([], [], color=c, linestyle=d, linewidth=w + 0.6, label=f"joint, {NAMES[kind]}")
                for kind, (c, d, w) in style.JOINT_KINDS.items()
                if kind in NAMES
            ]
            figure.legend(handles=handles, loc="lower left", bbox_to_anchor=(0.01, 0.0), ncols=3, fontsize=8)
            self.chart = figure.add_axes((0.70, 0.15, 0.22, 0.73))
            self.chart.set_title("Joints with a cut edge, m", fontproperties=sized(9.5, True))
            self.chart.set_xlabel("height of the room, mm", fontproperties=sized(9.0))
            self.chart.grid(axis="y")
            self._now = moves(self.chart.axvline(0, color=style.INK, linewidth=1.0))
            self._dots = [
                moves(self.chart.plot([], [], color=s["color"], marker=s["marker"], markersize=9)[0])
                for s in style.SERIES.values()
            ]

    def set_sweep(self, heights: Sequence[float], cut: Sequence[Sequence[float]]) -> None:
        """Draw the metres of joint with a cut edge over the heights, one line for each way of boarding."""
        with look():
            for y, series in zip(cut, style.SERIES.values(), strict=True):
                looks = {k: v for k, v in series.items() if k != "name"}
                self.chart.plot(heights, y, **looks, markersize=4)
                self.chart.text(heights[-1] + 25, y[-1], series["name"].replace("on their", "on their\n"), va="center",
                                color=series["color"], fontproperties=sized(9.0, True))  # fmt: skip
            self.chart.set_xlim(heights[0] - 30, heights[-1] + 30)
            self.chart.set_ylim(0, 1.15 * max(max(y) for y in cut) + 0.5)
            self.chart.set_xticks(heights[::3], [f"{h:g}" for h in heights[::3]])
        self.kept.forget()

    def show(self, both: Sequence[Any], height: float, alt: str) -> str:
        """Return the picture for both ways of boarding at a height (mm)."""
        with look():
            for face, found, dot in zip(self._faces, both, self._dots, strict=True):
                face["boards"].set_verts(found.outlines, closed=True)
                for kind, lines in face["lines"].items():
                    lines.set_segments(
                        [[(x1, y1), (x2, y2)] for k, x1, y1, x2, y2 in found.joints if k == kind]
                    )
                face["word"].set_text(
                    "cannot be built" if found.why_not else f"{found.cut:.1f} m with a cut edge"
                )
                dot.set_data([height], [found.cut])
            self._now.set_xdata([height, height])
        return self.kept.show(alt)


def courses_alt(both: Sequence[Any], height: float) -> str:
    """Return the text that stands for the picture."""
    told = []
    for found, series in zip(both, style.SERIES.values(), strict=True):
        parts = (
            ", ".join(f"{m:.1f} m of {NAMES[kind]}" for kind, m in found.metres)
            or found.why_not
            or "no joints"
        )
        told.append(f"{series['name']}: {len(found.outlines)} boards, {parts}")
    return f"One face of the wall, {height:g} mm high, boarded both ways. {'; '.join(told)}."
