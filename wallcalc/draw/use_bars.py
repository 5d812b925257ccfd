"""Bars of use: how much of each limit a wall takes up, with the limit at 1.0 drawn across."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from matplotlib.figure import Figure

from wallcalc.draw import style
from wallcalc.draw.style import look, sized, to_img

LIMIT = 1.0
SHOWN_TO = 2.0
"""Bars are cut off here; their number still says how far they go."""

LOOKS = {
    "ok": (style.BLUE, ""),
    "caution": (style.ORANGE, "///"),
    "fail": (style.RED, "xxx"),
    "not known": (style.GREY, "..."),
}
"""Colour and hatch of a verdict."""


@dataclass(frozen=True, slots=True)
class UseBar:
    """One bar: what is checked, in which case, use of its limit and verdict."""

    name: str
    case: str
    use: float
    verdict: str


class UseBars:
    """A chart of uses, kept and updated so that a change is shown quickly.

    Parameters
    ----------
    width : int
        Width in pixels.
    rows : int
        The most bars it shows.
    """

    def __init__(self, width: int = 720, rows: int = 14) -> None:
        self.rows = rows
        self.figure: Figure = style.new_figure(width, 80 + 33 * rows)
        with look():
            self.ax = self.figure.add_axes((0.45, 0.085, 0.49, 0.855))
            self.ax.set_xlim(0, SHOWN_TO)
            self.ax.set_ylim(rows - 0.4, -0.6)
            self.ax.set_yticks([])
            self.ax.grid(True, axis="x")
            self.ax.set_xlabel("use: what is asked over what is allowed (1.0 is the limit)")
            self.ax.axvline(LIMIT, color=style.INK, linewidth=1.6)
            self.ax.text(
                LIMIT, -0.65, "limit", ha="center", va="bottom", fontproperties=sized(9.5, bold=True)
            )
            self._bars = self.ax.barh(
                range(rows), [0.0] * rows, height=0.62, edgecolor=style.INK, linewidth=0.7
            )
            self._names = [
                self.ax.text(-0.03, k - 0.02, "", ha="right", va="bottom", fontproperties=sized(9.5))
                for k in range(rows)
            ]
            self._cases = [
                self.ax.text(-0.03, k, "", ha="right", va="top", fontproperties=sized(8.2), color=style.SOFT)
                for k in range(rows)
            ]
            self._values = [
                self.ax.text(0.0, k, "", ha="left", va="center", fontproperties=sized(9.0))
                for k in range(rows)
            ]

    def update(self, bars: Sequence[UseBar]) -> None:
        """Show other bars."""
        for k in range(self.rows):
            bar = bars[k] if k < len(bars) else None
            patch, value = self._bars[k], self._values[k]
            if bar is None:
                patch.set_width(0.0)
                patch.set_visible(False)
                for text in (self._names[k], self._cases[k], value):
                    text.set_text("")
                continue
            color, hatch = LOOKS.get(bar.verdict, LOOKS["not known"])
            width = min(bar.use, SHOWN_TO)
            patch.set_visible(True)
            patch.set_width(width)
            patch.set_facecolor(color)
            patch.set_hatch(hatch)
            self._names[k].set_text(bar.name)
            self._cases[k].set_text(_short(bar.case))
            inside = width > 0.8 * SHOWN_TO
            value.set_text(f"{bar.use:.2f} {bar.verdict}" + (" >" if bar.use > SHOWN_TO else ""))
            value.set_x(width - 0.02 if inside else width + 0.02)
            value.set_ha("right" if inside else "left")
            value.set_bbox(
                {"facecolor": style.WHITE if inside else style.PAPER, "edgecolor": "none", "pad": 0.8}
            )

    def show(self, alt: str) -> str:
        """Return the chart as an HTML image."""
        return to_img(self.figure, alt)


def _short(text: str, most: int = 56) -> str:
    return text if len(text) <= most else text[: most - 1] + "…"


def bars_alt(bars: Sequence[UseBar]) -> str:
    """Return the text that stands for the chart: how many bars pass the limit, and every bar's use."""
    over = sum(bar.use > LIMIT + 1e-9 for bar in bars)
    listed = "; ".join(f"{bar.name} ({bar.case}) {bar.use:.2f}, {bar.verdict}" for bar in bars)
    return f"Bars of use against a limit of 1.0: {over} of {len(bars)} pass it. {listed}."
