"""Pictures of a design and of a study: pure functions of their tables, drawn without any window."""

from __future__ import annotations

from wallcalc.draw.charts import SweepChart, TradeChart
from wallcalc.draw.cutting import draw_bars, draw_sheets
from wallcalc.draw.elevation import Elevation, draw_elevation, elevation_alt
from wallcalc.draw.style import new_figure, to_img, to_png

__all__ = [
    "Elevation",
    "SweepChart",
    "TradeChart",
    "draw_bars",
    "draw_elevation",
    "draw_sheets",
    "elevation_alt",
    "new_figure",
    "to_img",
    "to_png",
]
