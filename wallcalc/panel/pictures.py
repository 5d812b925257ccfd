"""The elevations of the panel: drawn on one figure a face, and remembered."""

from __future__ import annotations

from collections import OrderedDict
from typing import Any

from wallcalc.draw.elevation import Elevation
from wallcalc.draw.elevation_key import elevation_alt, elevation_key
from wallcalc.draw.style import new_figure
from wallcalc.output.cover import inches_text
from wallcalc.panel import page

PICTURE = (544, 424)
"""Width and height of an elevation in pixels: two stand side by side on a wide screen."""
LONG_PICTURE = (1096, 424)
"""The same for a long wall; where the window is narrower it scrolls."""
LONG_WALL = 1.9
"""A wall is long from this many times its height."""
MOST_KEPT = 64
"""Pictures remembered, about 60 kB each; the longest unused go first."""


class Pictures:
    """Pictures of both faces of walls, as HTML."""

    def __init__(self) -> None:
        self._drawings: dict[tuple, Elevation] = {}
        self._kept: OrderedDict[tuple, str] = OrderedDict()

    def key(self, raised: Any, side: str, layer: int) -> tuple:
        """Return everything that a picture depends on; parameters as for :meth:`image`."""
        shown = min(layer, getattr(raised.option, f"layers_{side.lower()}"))
        return (raised.wall, raised.option, raised.rules.digest, raised.prices.digest, side, shown)

    def image(self, raised: Any, side: str, layer: int) -> str:
        """Return the picture of a face as an HTML image, drawn when it is not remembered."""
        key = self.key(raised, side, layer)
        found = self._kept.get(key)
        if found is None:
            drawing = self._drawing(raised)
            drawing.update(raised, side, key[-1])
            found = self._kept[key] = drawing.show(elevation_alt(raised, side, key[-1]))
            while len(self._kept) > MOST_KEPT:
                self._kept.popitem(last=False)
        self._kept.move_to_end(key)
        return found

    def figure(self, raised: Any, side: str, layer: int, *, stale: bool = False) -> str:
        """Return the picture under its name; a stale one is of an option that is not the current one."""
        room = (raised.wall.room_a if side == "A" else raised.wall.room_b).name
        name = f"Side {side}{f', seen from the {room}' if room else ''}"
        return page.picture(name, self.image(raised, side, layer), scroll=_is_long(raised), stale=stale)

    def _drawing(self, raised: Any) -> Elevation:
        """Return what draws a wall: wider for a long one, in inches where the rules build in inches."""
        kind = (_is_long(raised), str(raised.rules.value("catalogue.sizes")) == "inch")
        if kind not in self._drawings:
            figure = new_figure(*(LONG_PICTURE if kind[0] else PICTURE))
            self._drawings[kind] = Elevation(
                figure.add_axes((0, 0.05, 1, 0.95)), inches_text if kind[1] else None
            )
            elevation_key(figure)
        return self._drawings[kind]


def _is_long(raised: Any) -> bool:
    return raised.wall.length > LONG_WALL * raised.wall.height
