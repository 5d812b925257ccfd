"""One figure against any choice of an option, a line for each board orientation."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from matplotlib.ticker import MaxNLocator

from wallcalc.draw import style
from wallcalc.draw.style import look, sized, spread, to_img

MOST_LABELS = 14
"""With more points than this only the lowest and the highest carry their value."""


@dataclass(frozen=True, slots=True)
class SweepPoint:
    """One option of the sweep.

    Attributes
    ----------
    x : float
        Where it stands on the axis.
    name : str
        The value of the choice in words.
    orientation : str
        "vertical" or "horizontal".
    value : float
        The figure; nan when there is none.
    known, buildable : bool
        Whether it is computed yet, and whether it can be built.
    reason : str
        Why it cannot be built.
    current : bool
        Whether it is the current option.
    """

    x: float
    name: str
    orientation: str
    value: float
    known: bool = True
    buildable: bool = True
    reason: str = ""
    current: bool = False


class ChoiceSweep:
    """The chart on a figure of its own.

    Parameters
    ----------
    width, height : int
        Size in pixels.
    """

    def __init__(self, width: int = 544, height: int = 330) -> None:
        self.figure = style.new_figure(width, height)

    def show(self, points: Sequence[SweepPoint], x_label: str, y_label: str, digits: int, alt: str) -> str:
        """Return the chart as an HTML image."""
        self.figure.clear()
        with look():
            names = dict.fromkeys((p.x, p.name) for p in points)
            crowded = max((len(n) for _, n in names), default=0) * len(names) > 84
            below = 0.27 if crowded else 0.15
            ax = self.figure.add_axes((0.11, below, 0.86, 0.83 - below))
            ax.grid(True, axis="y")
            ax.yaxis.set_major_locator(MaxNLocator(nbins=5, integer=digits == 0))
            ax.set_title(y_label, fontproperties=sized(8.5, bold=True), pad=4)
            for orientation, series in style.SERIES.items():
                part = [p for p in points if p.orientation == orientation and p.known]
                x = np.array([p.x for p in part], float)
                y = np.array([p.value if p.buildable else np.nan for p in part], float)
                ax.plot(
                    x, y, label=f"boards {series['name']}", **{k: v for k, v in series.items() if k != "name"}
                )
            cannot = [p.x for p in points if p.known and not p.buildable]
            ax.plot(cannot, np.full(len(cannot), 0.04), "x", color=style.RED, markersize=6,
                    transform=ax.get_xaxis_transform(), label="cannot be built")  # fmt: skip
            now = [p for p in points if p.current and p.buildable and p.value == p.value]
            ax.plot([p.x for p in now], [p.value for p in now], "D", color=style.INK, markersize=8,
                    fillstyle="none", markeredgewidth=1.8, label="current")  # fmt: skip
            ax.margins(x=0.05, y=0.2)
            ax.set_xticks([x for x, _ in names], [n for _, n in names],
                          rotation=90 if crowded and len(names) > 14 else 28 if crowded else 0,
                          ha="right" if crowded and len(names) <= 14 else "center")  # fmt: skip
            self.figure.text(0.54, 0.015, x_label, ha="center", va="bottom", fontproperties=sized(8.0))
            self._values(ax, points, digits)
            self.figure.legend(
                loc="upper left", bbox_to_anchor=(0.1, 0.995), ncols=4, handlelength=2.4, columnspacing=1.4
            )
        return to_img(self.figure, alt)

    @staticmethod
    def _values(ax: Any, points: Sequence[SweepPoint], digits: int) -> None:
        """Write the values at their points, those on one place of the axis clear of one another."""
        seen = [p for p in points if p.known and p.buildable and p.value == p.value]
        if len(seen) > MOST_LABELS:
            ends = {min(seen, key=lambda p: p.value), max(seen, key=lambda p: p.value)}
            seen = [p for p in seen if p in ends or p.current]
        low, high = ax.get_ylim()
        least = (high - low) * 0.075
        for x in dict.fromkeys(p.x for p in seen):
            here = sorted({round(p.value, digits) for p in seen if p.x == x})
            spots = spread([v + least * 0.9 for v in here], least, low, high - least / 2)
            for value, spot in zip(here, spots, strict=True):
                ax.text(x, spot, f"{value:,.{digits}f}", ha="center", va="center", zorder=6,
                        fontproperties=sized(7.5), bbox={"facecolor": style.PAPER, "alpha": 0.75,
                                                         "edgecolor": "none", "pad": 0.6})  # fmt: skip


def choice_sweep_alt(points: Sequence[SweepPoint], x_label: str, y_label: str, digits: int) -> str:
    """Return the finding of the chart in words."""
    seen = [p for p in points if p.known and p.buildable and p.value == p.value]
    words = [f"{y_label} against {x_label}."]
    if seen:
        low, high = min(seen, key=lambda p: p.value), max(seen, key=lambda p: p.value)
        if round(low.value, digits) == round(high.value, digits):
            words.append(f"It is {low.value:,.{digits}f} everywhere: this choice does not move it.")
        else:
            words.append(
                f"Lowest {low.value:,.{digits}f} with {_place(low)}; "
                f"highest {high.value:,.{digits}f} with {_place(high)}."
            )
    words += [f"Current option: {p.value:,.{digits}f}." for p in seen if p.current]
    cannot = [p for p in points if p.known and not p.buildable]
    if cannot:
        words.append(
            f"{len(cannot)} of {len(points)} cannot be built: {', '.join(dict.fromkeys(map(_place, cannot)))}."
        )
    missing = sum(not p.known for p in points)
    if missing:
        words.append(f"{missing} are still being worked out.")
    return " ".join(words)


def _place(point: SweepPoint) -> str:
    return f"{point.name}, boards {style.SERIES[point.orientation]['name']}"
