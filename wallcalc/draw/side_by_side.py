"""Two or more layouts of one wall, drawn one over the other at one scale, each with what it costs and takes."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from matplotlib.figure import Figure

from wallcalc.buying.cut_plans import count_cuts
from wallcalc.draw import style
from wallcalc.draw.elevation import Elevation
from wallcalc.draw.elevation_key import elevation_key
from wallcalc.draw.frame_marks import added_words
from wallcalc.draw.style import look, new_figure
from wallcalc.fitting.words import counts

CAPTION, KEY = 40, 24
"""Height of a layout's lines and of the key, pixels."""


def compare_layouts(
    designs: Sequence[tuple[str, Any]],
    side: str = "A",
    *,
    width: int = 620,
    height: int = 420,
    format_length: Callable[[float], str] | None = None,
) -> Figure:
    """Return a picture of several layouts of one wall, one over the other at one scale.

    Above each elevation stands its name, what timber and boards cost, the cuts, and what was added for whom.
    Units: ``format_length`` mm.
    """
    whole = len(designs) * (height + CAPTION) + KEY
    figure = new_figure(width, whole)
    drawn = []
    for place, (name, design) in enumerate(designs):
        top = whole - place * (height + CAPTION)
        ax = figure.add_axes((0, (top - CAPTION - height) / whole, 1, height / whole))
        drawn.append((Elevation(ax, format_length), design))
        first, second = layout_words(name, design)
        with look():
            figure.text(8 / width, (top - 8) / whole, first, va="top", fontproperties=style.sized(8.5, True))
            figure.text(
                8 / width,
                (top - 23) / whole,
                second,
                va="top",
                fontproperties=style.sized(7.4),
                color=style.SOFT,
            )
    scale = max((elevation.scale_for(design, side) for elevation, design in drawn), default=1.0)
    for elevation, design in drawn:
        elevation.update(design, side, scale=scale)
    elevation_key(figure)
    return figure


def layout_words(name: str, design: Any) -> tuple[str, str]:
    """Return what stands over a layout: its name and cost, and what it takes.

    Two lines.
    """
    cents = design.cost_cents
    currency = design.prices.currency
    numbers = {**counts(design.parts.cut), "cuts": count_cuts(design.parts.cut)}
    told = ", ".join(f"{n} {what}" for what, n in numbers.items() if n or what != "pattresses")
    added = added_words(design)
    first = f"{name}: {currency} {(cents['timber'] + cents['board']) / 100:,.2f} for timber and boards"
    return first, f"{told}{f'; put in {added}' if added else ''}"


def layouts_alt(designs: Sequence[tuple[str, Any]], side: str = "A") -> str:
    """Return the text that stands for the picture of :func:`compare_layouts`."""
    lines = [". ".join(layout_words(name, design)) for name, design in designs]
    costs = [sum(d.cost_cents[k] for k in ("timber", "board")) for _, d in designs]
    best = min(range(len(costs)), key=costs.__getitem__) if costs else 0
    ending = ""
    if len(costs) > 1 and max(costs) > min(costs):
        ending = (
            f" {designs[best][0]} costs least, {(max(costs) - min(costs)) / 100:,.2f} less than the dearest."
        )
    return f"Side {side} of {len(designs)} layouts. {'. '.join(lines)}.{ending}"
