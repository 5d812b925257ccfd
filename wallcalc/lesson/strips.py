"""A column of small charts over stud centres, drawn once and kept as pixels, with a mark that moves over them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from matplotlib.ticker import MaxNLocator
from numpy.typing import ArrayLike

from wallcalc.draw import style
from wallcalc.draw.style import look, sized
from wallcalc.lesson.kept import Kept

LINES = (
    {"color": style.BLUE, "linestyle": "-", "marker": "o"},
    {"color": style.ORANGE, "linestyle": (0, (5, 1.6)), "marker": "s"},
    {"color": style.PLUM, "linestyle": (0, (1.4, 1.2)), "marker": "^"},
)
"""How the lines of one chart are told apart: colour, dash and marker together."""


@dataclass(frozen=True, slots=True)
class Strip:
    """One chart: its title, how a value reads, the names of its lines and whether it counts whole things."""

    title: str
    form: str = "{:g}"
    names: tuple[str, ...] = ("",)
    whole: bool = False
    bars: bool = False
    from_zero: bool = True


class Strips:
    """Charts that share the axis of stud centres.

    Parameters
    ----------
    strips : sequence of Strip
        From the top.
    width, height : int
        Size in pixels.
    marked : sequence of float
        Centres that get a tick and a number, mm.
    across : str
        What the axis is.
    """

    def __init__(
        self,
        strips: Sequence[Strip],
        width: int,
        height: int,
        marked: Sequence[float],
        across: str = "stud centres, mm",
    ) -> None:
        self.strips = tuple(strips)
        self.kept = Kept(width, height)
        self.figure, moves = self.kept.figure, self.kept.moves
        with look():
            grid = self.figure.add_gridspec(
                len(strips), 1, left=62 / width, right=1 - 150 / width, top=1 - 26 / height, bottom=42 / height,
                hspace=0.5,
            )  # fmt: skip
            self.axes = []
            for k, strip in enumerate(strips):
                ax = self.figure.add_subplot(grid[k], sharex=self.axes[0] if self.axes else None)
                ax.set_title(strip.title, fontproperties=sized(9.0, bold=True), pad=4)
                ax.grid(True, axis="y")
                ax.tick_params(labelbottom=k == len(strips) - 1)
                ax.yaxis.set_major_locator(MaxNLocator(nbins=3, integer=strip.whole))
                self.axes.append(ax)
            self.axes[-1].set_xlabel(across, fontproperties=sized(9.0))
            self.axes[-1].set_xticks(list(marked), [f"{m:g}" for m in marked])
            self._now = [ax.axvline(0, color=style.INK, linewidth=1.0) for ax in self.axes]
            self._tags = [
                ax.annotate("", (1.02, 0.5), xycoords="axes fraction", va="center", linespacing=1.4,
                            fontproperties=sized(9.0, bold=True), annotation_clip=False)
                for ax in self.axes
            ]  # fmt: skip
            self._dots = [
                ax.plot([], [], linestyle="none", marker="D", color=style.INK, markersize=6)[0]
                for ax in self.axes
            ]
        for artist in (*self._now, *self._dots, *self._tags):
            moves(artist)
        self._x = np.array([])
        self._values: list[list[np.ndarray]] = []

    def set(self, x: ArrayLike, values: Sequence[Sequence[ArrayLike]]) -> None:
        """Draw the lines.

        Units: ``x`` mm.
        """
        self._x = np.asarray(x, float)
        self._values = [[np.asarray(y, float) for y in lines] for lines in values]
        with look():
            for ax, strip, lines in zip(self.axes, self.strips, self._values, strict=True):
                for y, name, kind in zip(lines, strip.names, LINES, strict=False):
                    if strip.bars:
                        step = np.diff(self._x).min() if len(self._x) > 1 else 1.0
                        ax.bar(self._x, y, width=step, color=kind["color"])
                        continue
                    few = len(self._x) <= 40
                    ax.plot(
                        self._x,
                        y,
                        **{**kind, "marker": kind["marker"] if few else ""},
                        markersize=3.2,
                        label=name,
                    )
                if len(strip.names) > 1:
                    ax.legend(loc="best", ncols=len(strip.names), fontsize=7.5, handlelength=2.6)
                ax.margins(y=0.14)
                if strip.from_zero:
                    ax.set_ylim(bottom=0)
            margin = 0.02 * (self._x[-1] - self._x[0])
            self.axes[0].set_xlim(self._x[0] - margin, self._x[-1] + margin)
        self.kept.forget()

    def show(self, now: float, alt: str, values: Sequence[Sequence[float]] | None = None) -> str:
        """Return the charts as an HTML image with the current centres marked.

        Units: ``now`` mm.
        """
        if values is None:
            at = int(np.argmin(np.abs(self._x - now)))
            values = [[float(y[at]) for y in lines] for lines in self._values]
        with look():
            for strip, ys, line, dots, tag in zip(
                self.strips, values, self._now, self._dots, self._tags, strict=True
            ):
                line.set_xdata([now, now])
                dots.set_data([now] * len(ys), ys)
                said = [
                    f"{name}: {strip.form.format(y)}" if name else strip.form.format(y)
                    for name, y in zip(strip.names, ys, strict=False)
                    if np.isfinite(y)
                ]
                tag.set_text("\n".join(said) or "none")
        return self.kept.show(alt)
