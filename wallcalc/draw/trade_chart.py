"""The chart of a whole study: cost against sound, with the options that no other beats."""

from __future__ import annotations

import html
from collections.abc import Sequence
from typing import Any

import pandas as pd
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from wallcalc.draw import style
from wallcalc.draw.charts import option_place
from wallcalc.draw.style import look, sized, spread, to_img


class TradeChart:
    """Cost against Rw of a whole study, the unbeaten options numbered, current and kept option marked.

    Parameters
    ----------
    width, height : int
        Size in pixels.
    currency : str
        The price book's currency.
    """

    def __init__(self, width: int = 620, height: int = 420, currency: str = "") -> None:
        self.figure: Figure = style.new_figure(width, height)
        with look():
            ax = self.figure.add_axes((0.085, 0.12, 0.89, 0.75))
            ax.grid(True)
            ax.yaxis.set_major_locator(MaxNLocator(nbins=8, integer=True))
            ax.set_xlabel(f"cost, {currency} net of tax" if currency else "cost")
            ax.set_title("Rw, dB", fontproperties=sized(8.0, bold=True), pad=3)
            handles = [
                ax.plot(
                    [],
                    [],
                    s["marker"],
                    color=s["color"],
                    alpha=0.6,
                    markersize=4,
                    label=f"boards {s['name']}",
                )[0]
                for s in style.SERIES.values()
            ]
            handles += [
                ax.plot(
                    [], [], "o-", color=style.VIOLET, markerfacecolor=style.WHITE, label="unbeaten (numbered)"
                )[0],
                ax.plot([], [], "D", color=style.INK, markersize=6, label="current")[0],
                ax.plot(
                    [],
                    [],
                    "^",
                    color=style.INK,
                    markerfacecolor=style.WHITE,
                    markersize=8,
                    label="kept",
                )[0],
            ]
            self.figure.legend(
                handles=handles,
                loc="upper left",
                bbox_to_anchor=(0.075, 0.995),
                ncols=5,
                handlelength=1.6,
                columnspacing=1.2,
            )
            self._kept = ax.plot(
                [], [], "^", color=style.INK, markerfacecolor="none", markersize=13, animated=True
            )[0]
            self._number = ax.text(
                0, 0, "", ha="center", va="center", animated=True, fontproperties=sized(6.5, bold=True)
            )
            self._dot = ax.plot([], [], "D", color=style.INK, markersize=7, animated=True)[0]
        self.ax = ax
        self._drawn: list[Any] = []
        self._ground: Any = None

    def set_study(self, table: pd.DataFrame, unbeaten: pd.DataFrame) -> None:
        """Draw the options and join the unbeaten ones."""
        for artist in self._drawn:
            artist.remove()
        self._drawn = []
        ax = self.ax
        rows = table[table["buildable"].astype(bool)]
        with look():
            for orientation, s in style.SERIES.items():
                part = rows[rows["board_orientation"] == orientation]
                self._drawn += ax.plot(
                    part["cost"],
                    part["Rw"],
                    s["marker"],
                    color=s["color"],
                    alpha=0.55,
                    markersize=4,
                    markeredgewidth=0,
                )
            best = unbeaten.sort_values("cost")
            x, y = best["cost"].to_numpy(float), best["Rw"].to_numpy(float)
            self._drawn += ax.plot(x, y, drawstyle="steps-post", color=style.VIOLET, linewidth=1.2)
            self._drawn += ax.plot(x, y, "o", color=style.VIOLET, markerfacecolor=style.WHITE, markersize=6)
            ax.relim()
            ax.margins(x=0.05, y=0.14)
            ax.autoscale()
            low, high = ax.get_xlim()
            spots = spread(list(x), (high - low) * 0.026, low, high)
            up = (ax.get_ylim()[1] - ax.get_ylim()[0]) * 0.028
            for k, (spot, level) in enumerate(zip(spots, y, strict=True), 1):
                text = ax.text(
                    spot,
                    level + up,
                    str(k),
                    ha="center",
                    va="bottom",
                    fontproperties=sized(8.0, bold=True),
                    color="#4d1590",
                )
                self._drawn.append(text)
            if not len(rows):
                self._drawn.append(
                    ax.text(
                        0.5, 0.5, "no option meets the conditions yet", transform=ax.transAxes, ha="center"
                    )
                )
            self.figure.canvas.draw()
        self._ground = self.figure.canvas.copy_from_bbox(self.figure.bbox)

    def show(
        self, current: dict[str, Any] | None, kept: Sequence[tuple[int, dict[str, Any]]], alt: str
    ) -> str:
        """Return the chart as an image with the current and the kept options marked.

        HTML image.
        """
        canvas = self.figure.canvas
        if self._ground is None:
            canvas.draw()
            self._ground = canvas.copy_from_bbox(self.figure.bbox)
        canvas.restore_region(self._ground)
        low, high, under, over = (*self.ax.get_xlim(), *self.ax.get_ylim())
        for number, row in kept:
            if not (low <= row["cost"] <= high and under <= row["Rw"] <= over):
                continue  # the conditions leave it out of the picture
            self._kept.set_data([row["cost"]], [row["Rw"]])
            self._number.set_position((row["cost"], row["Rw"]))
            self._number.set_text(str(number))
            self.ax.draw_artist(self._kept)
            self.ax.draw_artist(self._number)
        if current is not None:
            self._dot.set_data([current["cost"]], [current["Rw"]])
            self.ax.draw_artist(self._dot)
        return to_img(self.figure, alt, drawn=True)


def trade_alt(table: pd.DataFrame, unbeaten: pd.DataFrame, currency: str = "") -> str:
    """Return the finding of the cost-against-Rw chart in words."""
    rows = table[table["buildable"].astype(bool)]
    words = [f"Cost against Rw of {len(rows)} options; {len(unbeaten)} are unbeaten."]
    if len(unbeaten):
        best = unbeaten.sort_values("cost")
        first, last = best.iloc[0], best.iloc[-1]
        words.append(
            f"The cheapest costs {first['cost']:.2f} {currency} with Rw {first['Rw']:.0f} dB; "
            f"the quietest {last['cost']:.2f} {currency} with Rw {last['Rw']:.0f} dB."
        )
    return " ".join(words)


def unbeaten_key(unbeaten: pd.DataFrame, currency: str = "") -> str:
    """Return the list that the chart's numbers refer to, as HTML.

    An ordered list; all text escaped.
    """
    items = []
    for _, row in unbeaten.sort_values("cost").iterrows():
        fill = row["fill"] if isinstance(row["fill"], str) else "no fill"
        text = (
            f"{row['cost']:.2f} {currency}, Rw {row['Rw']:.0f} dB: {row['section']} at {option_place(row)}, "
            f"{fill}, layers {row['layers_a']} + {row['layers_b']}"
        )
        items.append(f"<li>{html.escape(text)}</li>")
    return f'<ol class="wallcalc-key">{"".join(items)}</ol>'
