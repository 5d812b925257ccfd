"""The key to hung items, services and joists under an elevation: only what is there."""

from __future__ import annotations

from typing import Any

from matplotlib.axes import Axes
from matplotlib.collections import LineCollection, PolyCollection

from wallcalc.draw import style
from wallcalc.draw.fittings import box_corners, shape
from wallcalc.draw.frame_marks import added_for, carrying
from wallcalc.draw.labels import POINT, Labels
from wallcalc.draw.style import look
from wallcalc.draw.text_fit import text_width

SIZE = 6.6
"""Letters, points."""
ROW = 11.0
"""Height of a row, points."""
SWATCH, TALL, APART = 13.0, 6.5, 11.0
"""Width and height of what stands before a name, and the space between entries, points."""

NAMES = {
    "hung": "hung item, fixings",
    "hung timber": "timber that carries an item",
    "pattress": "pattress",
    "hole": "hole; dotted: kept clear",
    "pipe": "pipe in the wall",
    "service timber": "timber put by a service",
    "joist": "joist above",
    "joist noggin": "noggin between joists",
}


def entries(design: Any, side: str) -> tuple[str, ...]:
    """Return what of :data:`NAMES` an elevation shows."""
    wall, frame = design.wall, design.frame
    added = set(added_for(design).values())
    there = {
        "hung": any(item.side == side for item in wall.hung),
        "hung timber": bool(carrying(design)),
        "pattress": any(m.role == "pattress" for m in frame.members),
        "hole": bool(wall.services),
        "pipe": any(s.to is not None or s.goes in ("up", "down") for s in wall.services),
        "service timber": "service" in added,
        "joist": wall.joists_above.direction == "across" and bool(wall.joists_above.centres),
        "joist noggin": any(n.place == "above" for n in frame.joist_noggins),
    }
    return tuple(name for name in NAMES if there[name])


class FittingKey:
    """The key's artists on an elevation's axes, kept and updated.

    Parameters
    ----------
    ax : matplotlib.axes.Axes
        Where to draw.
    """

    def __init__(self, ax: Axes) -> None:
        self._boxes = {}
        for name, how in SWATCHES.items():
            with look(str(how["edgecolor"])):
                boxes = PolyCollection([], zorder=5.2, **how)
                self._boxes[name] = ax.add_collection(boxes, autolim=False)
        with look():
            self._lines = {
                name: ax.add_collection(LineCollection([], zorder=5.3, **how), autolim=False)
                for name, how in STROKES.items()
            }

    @staticmethod
    def rows(names: tuple[str, ...], wide: float) -> list[list[str]]:
        """Return the entries in rows."""
        done: list[list[str]] = []
        room = 0.0
        for name in names:
            need = _width(name)
            if not done or need > room:
                done.append([])
                room = wide
            done[-1].append(name)
            room -= need
        return done

    def update(self, rows: list[list[str]], middle: float, top: float, labels: Labels) -> None:
        """Show the key.

        Units: ``middle``, ``top`` mm.
        """
        scale = labels.scale
        boxes: dict[str, list] = {name: [] for name in self._boxes}
        lines: dict[str, list] = {name: [] for name in self._lines}
        for number, row in enumerate(rows):
            y = top - (number + 0.5) * ROW * scale
            x = middle - (sum(map(_width, row)) - APART) / 2 * scale
            for name in row:
                _swatch(name, x, y, scale, boxes, lines)
                labels.write(x + (SWATCH + 3) * scale, y, NAMES[name], size=SIZE, ha="left", color=style.INK)
                x += _width(name) * scale
        for name, found in boxes.items():
            self._boxes[name].set_verts(found, closed=True)
        for name, found in lines.items():
            self._lines[name].set_segments(found)


SWATCHES = {
    "hung timber": {
        "facecolor": style.HUNG_TIMBER,
        "edgecolor": style.HUNG,
        "hatch": style.HUNG_HATCH,
        "linewidth": 0.6,
    },
    "pattress": {
        "facecolor": style.PATTRESS,
        "edgecolor": style.HUNG,
        "hatch": style.HUNG_HATCH,
        "linewidth": 0.6,
    },
    "hole": {"facecolor": style.WHITE, "edgecolor": style.INK, "linewidth": 1.2},
    "pipe": {"facecolor": style.PIPE, "edgecolor": style.PIPE_EDGE, "linewidth": 0.7},
    "service timber": {
        "facecolor": style.SERVICE_TIMBER,
        "edgecolor": style.PIPE_EDGE,
        "hatch": style.SERVICE_HATCH,
        "linewidth": 0.6,
    },
}
STROKES = {
    "hung": {"colors": style.HUNG, "linewidths": 1.1, "linestyles": (0, (4, 2))},
    "cross": {"colors": style.HUNG, "linewidths": 1.3},
    "ring": {"colors": style.PIPE_EDGE, "linewidths": 0.8, "linestyles": (0, (1, 1.4))},
    "joist": {"colors": style.TIMBER_EDGE, "linewidths": 0.7},
}


def _width(name: str) -> float:
    return SWATCH + 3 + text_width(NAMES[name], SIZE) * POINT + APART


def _swatch(name: str, x: float, y: float, scale: float, boxes: dict, lines: dict) -> None:
    wide, tall = SWATCH * scale, TALL * scale
    frame = box_corners((x, y - tall / 2, x + wide, y + tall / 2))
    middle = x + wide / 2
    if name == "hung":
        arm = 2.2 * scale
        lines["hung"].append([*frame, frame[0]])
        lines["cross"] += [[(middle - arm, y), (middle + arm, y)], [(middle, y - arm), (middle, y + arm)]]
    elif name == "hole":
        boxes["hole"].append(shape(middle, y, tall * 0.6, tall * 0.6, True))
        ring = shape(middle, y, tall * 1.35, tall * 1.35, True)
        lines["ring"].append([*ring, ring[0]])
    elif name == "pipe":
        boxes["pipe"].append(box_corners((x, y - tall / 3, x + wide, y + tall / 3)))
    elif name.startswith("joist"):
        left, right = middle - tall / 2, middle + tall / 2
        low, high = y - tall / 2, y + tall / 2
        lines["joist"].append(
            [(left, low), (right, low), (right, high), (left, high), (left, low), (right, high)]
        )
        lines["joist"].append([(left, high), (right, low)])
    else:
        boxes[name].append(frame)
