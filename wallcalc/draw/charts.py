"""The chart of a sweep: cost, waste by material and sound against stud centres."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import pandas as pd
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from wallcalc.draw import style
from wallcalc.draw.style import look, sized, to_img

STRIPS = (
    ("cost", "Cost", "{:.0f}", 1.0),
    ("timber_waste", "Timber waste, %", "{:.1f} %", 100.0),
    ("board_waste", "Board waste, %", "{:.1f} %", 100.0),
    ("fill_waste", "Fill waste, %", "{:.1f} %", 100.0),
    ("Rw", "Rw, dB", "{:.0f} dB", 1.0),
)
"""Column of the study, title, text of a value, factor from the study's value to the one shown."""


class SweepChart:
    """Cost, waste by material and Rw against stud centres, one line for each board orientation.

    The lines are drawn once for a sweep and kept as pixels; moving the current option over them is quick.

    Parameters
    ----------
    width, height : int
        Size in pixels.
    currency : str
        The price book's currency, written at the cost.
    """

    def __init__(self, width: int = 620, height: int = 600, currency: str = "") -> None:
        self.figure: Figure = style.new_figure(width, height)
        with look():
            grid = self.figure.add_gridspec(
                len(STRIPS),
                1,
                left=0.105,
                right=0.845,
                top=0.915,
                bottom=0.085,
                hspace=0.42,
                height_ratios=(5, 3, 3, 3, 4),
            )
            self.axes: list[Axes] = []
            for k, (_, title, _, _) in enumerate(STRIPS):
                ax = self.figure.add_subplot(grid[k], sharex=self.axes[0] if self.axes else None)
                name = f"{title}, {currency} net of tax" if k == 0 and currency else title
                ax.set_title(name, fontproperties=sized(8.0, bold=True), pad=3)
                ax.grid(True, axis="y")
                ax.tick_params(labelbottom=k == len(STRIPS) - 1)
                ax.yaxis.set_major_locator(MaxNLocator(nbins=4 if k in (0, 4) else 3, integer=k == 4))
                self.axes.append(ax)
            self.axes[-1].set_xlabel("stud centres, mm (large marks: the usual centres)")
            handles = [
                self.axes[0].plot(
                    [], [], **{k: v for k, v in s.items() if k != "name"}, label=f"boards {s['name']}"
                )[0]
                for s in style.SERIES.values()
            ]
            handles += [
                self.axes[0].plot([], [], "x", color=style.RED, markersize=5, label="cannot be built")[0],
                self.axes[0].plot([], [], "D", color=style.INK, markersize=5, label="current")[0],
            ]
            self.figure.legend(
                handles=handles,
                loc="upper left",
                bbox_to_anchor=(0.095, 0.995),
                ncols=4,
                handlelength=2.4,
                columnspacing=1.4,
            )
            self._now = [ax.axvline(0, color=style.INK, linewidth=1.0, animated=True) for ax in self.axes]
            self._dots = [
                ax.plot([], [], "D", color=style.INK, markersize=6, animated=True)[0] for ax in self.axes
            ]
            self._tags = [
                ax.annotate(
                    "",
                    (1.015, 0.5),
                    xycoords="axes fraction",
                    va="center",
                    fontproperties=sized(8.0, bold=True),
                    linespacing=1.4,
                    animated=True,
                )
                for ax in self.axes
            ]
        self._drawn: list[Any] = []
        self._ground: Any = None

    def set_sweep(self, table: pd.DataFrame, usual: Sequence[float], low: float, high: float) -> None:
        """Draw the lines of a sweep.

        Units: ``usual``, ``low``, ``high`` mm.
        """
        for artist in self._drawn:
            artist.remove()
        self._drawn = []
        with look():
            for (column, *_, factor), ax in zip(STRIPS, self.axes, strict=True):
                for orientation, series in style.SERIES.items():
                    rows = table[table["board_orientation"] == orientation].sort_values("stud_centres")
                    x = rows["stud_centres"].to_numpy(float)
                    y = rows[column].to_numpy(float) * factor
                    y[~rows["buildable"].to_numpy(bool)] = np.nan
                    big = np.isin(x, np.asarray(usual, float))
                    look_of = {k: v for k, v in series.items() if k != "name"}
                    under = orientation == "vertical"  # wider, so that it shows where the two coincide
                    self._drawn += ax.plot(
                        x,
                        y,
                        **{
                            **look_of,
                            "markersize": 3.4 if under else 1.8,
                            "linewidth": 2.6 if under else 1.1,
                        },
                    )
                    self._drawn += ax.plot(
                        x[big],
                        y[big],
                        **{**look_of, "markersize": 8.0 if under else 4.6, "linestyle": "none"},
                    )
                no = table[~table["buildable"].to_numpy(bool)]["stud_centres"].to_numpy(float)
                self._drawn += ax.plot(
                    no,
                    np.full(len(no), 0.04),
                    "x",
                    color=style.RED,
                    markersize=4,
                    transform=ax.get_xaxis_transform(),
                )
                ax.relim()
                ax.margins(y=0.16)
                ax.autoscale(axis="y")
                if column.endswith("waste"):
                    ax.set_ylim(0.0, max(0.01, 1.25 * ax.dataLim.y1) if np.isfinite(ax.dataLim.y1) else 1.0)
                ax.yaxis.set_tick_params(labelleft=True)
                if not table[column].notna().any():
                    ax.set_ylim(0.0, 1.0)
                    ax.yaxis.set_tick_params(labelleft=False)
                    self._drawn.append(
                        ax.text(
                            0.5,
                            0.5,
                            "none",
                            transform=ax.transAxes,
                            ha="center",
                            va="center",
                            color=style.SOFT,
                        )
                    )
            margin = (high - low) * 0.03
            self.axes[0].set_xlim(low - margin, high + margin)
            self.axes[0].set_xticks(list(usual), [f"{u:g}" for u in usual])
            self.figure.canvas.draw()
        self._ground = self.figure.canvas.copy_from_bbox(self.figure.bbox)

    def show(self, current: dict[str, Any] | None, alt: str) -> str:
        """Return the chart as an image with the current option marked.

        HTML image.
        """
        canvas = self.figure.canvas
        if self._ground is None:
            canvas.draw()
            self._ground = canvas.copy_from_bbox(self.figure.bbox)
        canvas.restore_region(self._ground)
        if current is not None:
            series = style.SERIES[current["board_orientation"]]
            for (column, _, form, factor), ax, line, dot, tag in zip(
                STRIPS, self.axes, self._now, self._dots, self._tags, strict=True
            ):
                x, y = current["stud_centres"], current[column] * factor
                fitted = current.get("stud_layout") == "fitted"
                if fitted:  # it has no centres: a level line instead of a place
                    line.set_data([0, 1], [y, y])
                    line.set_transform(ax.get_yaxis_transform())
                else:
                    line.set_data([x, x], [0, 1])
                    line.set_transform(ax.get_xaxis_transform())
                dot.set_data([x], [y])
                name = "fitted" if fitted else series["name"]
                tag.set_text(f"{form.format(y)}\n{name}" if np.isfinite(y) else "none")
                for artist in (line, tag) if fitted else (line, dot, tag):
                    ax.draw_artist(artist)
        return to_img(self.figure, alt, drawn=True)


def sweep_alt(table: pd.DataFrame, current: dict[str, Any] | None, currency: str = "") -> str:
    """Return the finding of the sweep chart in words."""
    rows = table[table["buildable"].astype(bool)]
    words = ["Cost, waste by material and Rw against stud centres, boards upright and on their side."]
    if len(rows):
        best = rows.loc[rows["cost"].idxmin()]
        words.append(f"Lowest cost {best['cost']:.2f} {currency} at {option_place(best)}.")
        if rows["board_waste"].notna().any():
            least, most = rows.loc[rows["board_waste"].idxmin()], rows.loc[rows["board_waste"].idxmax()]
            words.append(
                f"Board waste runs from {least['board_waste']:.1%} at {option_place(least)} "
                f"to {most['board_waste']:.1%} at {option_place(most)}."
            )
        if rows["Rw"].notna().any():
            loud = rows.loc[rows["Rw"].idxmax()]
            words.append(
                f"Rw runs from {rows['Rw'].min():.0f} to {rows['Rw'].max():.0f} dB, "
                f"highest at {option_place(loud)}."
            )
    missing = int((~table["buildable"].astype(bool)).sum())
    if missing:
        words.append(f"{missing} of {len(table)} cannot be built.")
    if current is not None:
        words.append(
            f"Current option: {current['cost']:.2f} {currency} at {option_place(current)}, "
            f"Rw {current['Rw']:.0f} dB."
        )
    return " ".join(words)


def option_place(row: Any) -> str:
    """Return an option's centres and board orientation in words."""
    if row.get("stud_layout") == "fitted":
        return f"the fitted layout, {style.SERIES[row['board_orientation']]['name']}"
    return f"{row['stud_centres']:g} mm {style.SERIES[row['board_orientation']]['name']}"
