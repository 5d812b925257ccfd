"""Pictures of a design and of a study: pure functions of their tables, drawn without any window."""

from __future__ import annotations

from wallcalc.draw.charts import SweepChart, sweep_alt
from wallcalc.draw.cutting import cutting_figures, draw_bars, draw_sheets
from wallcalc.draw.elevation import Elevation, draw_elevation
from wallcalc.draw.elevation_key import elevation_alt, elevation_key
from wallcalc.draw.side_by_side import compare_layouts, layouts_alt
from wallcalc.draw.style import new_figure, to_img, to_png
from wallcalc.draw.trade_chart import TradeChart, trade_alt, unbeaten_key

__all__ = [
    "Elevation",
    "SweepChart",
    "TradeChart",
    "compare_layouts",
    "cutting_figures",
    "draw_bars",
    "draw_elevation",
    "draw_sheets",
    "elevation_alt",
    "elevation_key",
    "layouts_alt",
    "new_figure",
    "sweep_alt",
    "to_img",
    "to_png",
    "trade_alt",
    "unbeaten_key",
]
