"""Text that is drawn once and then stamped: a label costs a copy of its pixels instead of a layout of its letters."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from matplotlib.backends.backend_agg import RendererAgg
from matplotlib.text import Text
from matplotlib.transforms import IdentityTransform

from wallcalc.draw.style import Renderer, drawable

MOST_STAMPS = 6000
"""Stamps kept; the oldest go first."""
MARGIN = 2
"""Pixels kept free round the letters of a stamp."""

_stamps: dict[tuple, tuple[np.ndarray, int, int]] = {}


class StampedText(Text):
    """A text whose pixels are remembered by its letters, size, turn and colour; on other canvases a plain text.

    It is never clipped. ``spacing`` is the distance of its lines as a multiple of the letters' size.
    """

    def __init__(self, spacing: float, **settings: Any) -> None:
        super().__init__(linespacing=spacing, clip_on=False, parse_math=False, **settings)
        self.spacing = spacing

    def set_text(self, s: Any) -> None:
        """Set the text, with an empty box for what our letters lack: on paper no renderer of ours puts it."""
        super().set_text(drawable(str(s)))

    def draw(self, renderer: Any) -> None:
        """Draw the text on a renderer."""
        if not isinstance(renderer, RendererAgg):
            super().draw(renderer)
        elif self.get_visible() and self.get_text():
            pixels, left, below = self._stamp(renderer)
            x, y = self.get_transform().transform(self.get_unitless_position())
            gc = renderer.new_gc()
            renderer.draw_image(gc, round(x) - left, round(y) - below, pixels)
            gc.restore()
            self.stale = False

    def _stamp(self, renderer: RendererAgg) -> tuple[np.ndarray, int, int]:
        """Return the text's pixels, and where in them the point lies that it is placed by."""
        font = self.get_fontproperties()
        look = (self.get_rotation(), self.get_color(), self.get_ha(), self.get_va(), self.spacing)
        key = (self.get_text(), font.get_file(), font.get_size(), *look, renderer.dpi)
        found = _stamps.get(key)
        if found is None:
            found = _stamps[key] = self._pixels(renderer)
            while len(_stamps) > MOST_STAMPS:
                del _stamps[next(iter(_stamps))]
        return found

    def _pixels(self, renderer: RendererAgg) -> tuple[np.ndarray, int, int]:
        """Draw the text alone, on a canvas of its own."""
        alone = Text(
            0,
            0,
            self.get_text(),
            color=self.get_color(),
            ha=self.get_ha(),
            va=self.get_va(),
            rotation=self.get_rotation(),
            linespacing=self.spacing,
            fontproperties=self.get_fontproperties(),
            parse_math=False,
            transform=IdentityTransform(),
        )
        alone.set_figure(self.get_figure(root=True))
        box = alone.get_window_extent(renderer)
        left, below = MARGIN - math.floor(box.x0), MARGIN - math.floor(box.y0)
        width, height = left + math.ceil(box.x1) + MARGIN, below + math.ceil(box.y1) + MARGIN
        small = Renderer(width, height, renderer.dpi)
        alone.set_position((left, below))
        alone.draw(small)
        return np.array(small.buffer_rgba())[::-1].copy(), left, below
