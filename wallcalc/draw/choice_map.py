"""One figure over two choices: a cell for every pair, its value written in it, hatched where it cannot be built."""

from __future__ import annotations

import string
from collections.abc import Sequence
from dataclasses import dataclass

import matplotlib
import numpy as np
from matplotlib.colors import Normalize
from matplotlib.patches import Rectangle

from wallcalc.draw import style
from wallcalc.draw.style import look, sized, to_img

COLOURS = "cividis"
"""Made for colour-vision deficiency; its lightness rises evenly, so that it reads in grey as well."""


@dataclass(frozen=True, slots=True)
class MapCell:
    """One pair of values.

    Attributes
    ----------
    column, row : int
        Place on the map, from the left and from below.
    value : float
        The figure; nan when there is none.
    known, buildable : bool
        Whether it is computed yet, and whether it can be built.
    reason : str
        Why it cannot be built.
    current : bool
        Whether it is the current option.
    """

    column: int
    row: int
    value: float
    known: bool = True
    buildable: bool = True
    reason: str = ""
    current: bool = False


@dataclass(frozen=True, slots=True)
class MapAxes:
    """What the axes are: names of the choices, texts of their values; the figure, its digits, which way is better."""

    x_label: str
    y_label: str
    columns: tuple[str, ...]
    rows: tuple[str, ...]
    figure: str
    digits: int
    better: str = ""

    def place(self, cell: MapCell) -> str:
        """Return the pair of values that a cell stands for."""
        return f"{self.columns[cell.column]} and {self.rows[cell.row]}"


class ChoiceMap:
    """The map on a figure of its own.

    Parameters
    ----------
    width, height : int
        Size in pixels.
    """

    def __init__(self, width: int = 544, height: int = 330) -> None:
        self.figure = style.new_figure(width, height)

    def show(self, cells: Sequence[MapCell], axes: MapAxes, alt: str) -> str:
        """Return the map as an HTML image."""
        self.figure.clear()
        letters = reason_letters(cells)
        values = [c.value for c in _seen(cells)]
        low, high = (min(values), max(values)) if values else (0.0, 1.0)
        scale = Normalize(low, high if high > low else low + 1.0)
        colours = matplotlib.colormaps[COLOURS + ("_r" if axes.better == "low" else "")]
        best = _best(cells, axes)
        with look():
            longest = max(map(len, axes.rows))
            left = min(0.09 + 0.0105 * longest, 0.34)
            tall = max(map(len, axes.columns)) * len(axes.columns) > 66
            below = 0.30 if tall else 0.14
            ax = self.figure.add_axes((left, below, 0.985 - left, 0.90 - below))
            for c in cells:
                self._cell(ax, c, axes, scale, colours, letters, c in best)
            ax.set_xlim(-0.5, len(axes.columns) - 0.5)
            ax.set_ylim(-0.5, len(axes.rows) - 0.5)
            ax.set_xticks(range(len(axes.columns)), axes.columns, rotation=35 if tall else 0,
                          ha="right" if tall else "center")  # fmt: skip
            ax.set_yticks(range(len(axes.rows)), axes.rows)
            ax.tick_params(length=0)
            for spine in ax.spines.values():
                spine.set_visible(False)
            self.figure.text(
                left, 0.985, f"{axes.figure}{_sense(axes)}", va="top", fontproperties=sized(8.5, bold=True)
            )
            self.figure.text(
                0.5 + left / 2, 0.015, axes.x_label, ha="center", va="bottom", fontproperties=sized(8.0)
            )
            self.figure.text(0.008, below + (0.90 - below) / 2, axes.y_label, rotation=90, va="center", ha="left",
                             fontproperties=sized(8.0))  # fmt: skip
        return to_img(self.figure, alt)

    @staticmethod
    def _cell(ax, cell, axes, scale, colours, letters, best) -> None:  # type: ignore[no-untyped-def]
        place = (cell.column - 0.5, cell.row - 0.5)
        x, y = cell.column, cell.row
        size = 7.5 if len(axes.columns) > 8 else 8.5
        if cell.known and cell.buildable and cell.value == cell.value:
            colour = colours(float(scale(cell.value)))
            ax.add_patch(Rectangle(place, 1, 1, facecolor=colour, edgecolor=style.PAPER, linewidth=1.2))
            ink = ink_on(colour)
            text = f"{cell.value:,.{axes.digits}f}"
            ax.text(
                x,
                y,
                text,
                ha="center",
                va="center",
                color=ink,
                fontproperties=sized(size, bold=best or cell.current),
            )
            if best:
                ax.text(x, y - 0.34, "best", ha="center", va="center", color=ink, fontproperties=sized(6.5))
        elif cell.known and not cell.buildable:
            ax.add_patch(
                Rectangle(
                    place, 1, 1, facecolor=style.PAPER, edgecolor=style.SOFT, hatch="////", linewidth=0.4
                )
            )
            ax.text(x, y, letters.get(cell.reason, "?"), ha="center", va="center", color=style.INK,
                    fontproperties=sized(size, bold=True),
                    bbox={"facecolor": style.PAPER, "edgecolor": "none", "pad": 1.2})  # fmt: skip
        else:
            ax.add_patch(Rectangle(place, 1, 1, facecolor=style.PAPER, edgecolor=style.FAINT, linewidth=0.8))
            ax.text(x, y, "none" if cell.known else "...", ha="center", va="center", color=style.SOFT,
                    fontproperties=sized(7.0))  # fmt: skip
        if cell.current:
            ax.add_patch(Rectangle((x - 0.455, y - 0.455), 0.91, 0.91, fill=False, edgecolor=style.WHITE, linewidth=4.0,
                                   zorder=5))  # fmt: skip
            ax.add_patch(Rectangle((x - 0.455, y - 0.455), 0.91, 0.91, fill=False, edgecolor=style.INK, linewidth=2.2,
                                   zorder=6))  # fmt: skip


def reason_letters(cells: Sequence[MapCell]) -> dict[str, str]:
    """Return a letter for every reason why cells cannot be built, in the order of the cells."""
    reasons = dict.fromkeys(c.reason for c in cells if c.known and not c.buildable)
    return {reason: string.ascii_lowercase[k % 26] for k, reason in enumerate(reasons)}


def choice_map_alt(cells: Sequence[MapCell], axes: MapAxes) -> str:
    """Return the finding of the map in words."""
    words = [f"{axes.figure} over {axes.x_label} and {axes.y_label}."]
    seen = _seen(cells)
    if seen:
        low, high = min(seen, key=lambda c: c.value), max(seen, key=lambda c: c.value)
        words.append(
            f"Lowest {low.value:,.{axes.digits}f} at {axes.place(low)}; highest {high.value:,.{axes.digits}f} "
            f"at {axes.place(high)}."
        )
    words += [
        f"Current option, framed: {c.value:,.{axes.digits}f} at {axes.place(c)}." for c in seen if c.current
    ]
    cannot = [c for c in cells if c.known and not c.buildable]
    if cannot:
        words.append(
            f"{len(cannot)} of {len(cells)} cannot be built: {'; '.join(axes.place(c) for c in cannot[:8])}."
        )
    missing = sum(not c.known for c in cells)
    if missing:
        words.append(f"{missing} are still being worked out.")
    return " ".join(words)


def _seen(cells: Sequence[MapCell]) -> list[MapCell]:
    return [c for c in cells if c.known and c.buildable and c.value == c.value]


def _best(cells: Sequence[MapCell], axes: MapAxes) -> list[MapCell]:
    seen = _seen(cells)
    if not axes.better or not seen:
        return []
    values = [round(c.value, axes.digits) for c in seen]
    target = min(values) if axes.better == "low" else max(values)
    return [] if min(values) == max(values) else [c for c, v in zip(seen, values, strict=True) if v == target]


def _sense(axes: MapAxes) -> str:
    return {"low": " (lighter is lower, better)", "high": " (lighter is higher, better)"}.get(
        axes.better, " (lighter is higher)"
    )


def ink_on(colour: tuple[float, ...]) -> str:
    """Return black or white, whichever stands out more on a colour (contrast ratio of relative luminances)."""
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in colour[:3]]
    luminance = float(np.dot(linear, (0.2126, 0.7152, 0.0722)))
    return "#000000" if (luminance + 0.05) / 0.05 > 1.05 / (luminance + 0.05) else style.WHITE
