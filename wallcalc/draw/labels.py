"""Labels of a picture: texts kept and used again, each where it covers no other and nothing that must be seen."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from matplotlib.axes import Axes
from matplotlib.collections import LineCollection, PolyCollection
from matplotlib.text import Text

from wallcalc.draw import style
from wallcalc.draw.style import look
from wallcalc.print_text import text_width

POINT = 72 / 25.4
"""Points in a mm of paper."""
GAP = 2.6
"""Distance between a label and what it names, points."""
REACHES = (0.0, 7.0, 15.0, 25.0, 38.0, 55.0)
"""How far a label is moved off its first places, points; farther than nothing it gets a leader line."""

Box = tuple[float, float, float, float]
"""Left, bottom, right, top in mm of the picture."""


@dataclass(frozen=True, slots=True)
class Wish:
    """A label wanted beside something: its text and the box of what it names."""

    text: str
    beside: Box
    size: float = 6.6
    color: str = style.INK


class Labels:
    """The texts of one axes. Lengths are mm of the wall; ``scale`` tells how many make a point of the picture.

    Parameters
    ----------
    ax : matplotlib.axes.Axes
        Where to write.
    """

    def __init__(self, ax: Axes) -> None:
        self.ax = ax
        with look():
            self._grounds = ax.add_collection(
                PolyCollection([], facecolor=style.PAPER, edgecolor="none", alpha=0.82, zorder=5),
                autolim=False,
            )
            self._leaders = ax.add_collection(
                LineCollection([], colors=style.SOFT, linewidths=0.6, zorder=5.5), autolim=False
            )
        self._texts: list[Text] = []
        self.begin(1.0, (0.0, 0.0, 0.0, 0.0))

    def begin(self, scale: float, within: Box) -> None:
        """Start anew.

        Parameters
        ----------
        scale : float
            Mm of the wall for one point of the picture.
        within : tuple of float
            The box that labels beside something stay in.
        """
        self.scale, self.within = scale, within
        self._used = 0
        self._behind: list[Box] = []
        self._taken: list[Box] = []
        self._lines: list[list[tuple[float, float]]] = []

    def finish(self) -> None:
        """Show what was written and hide texts that are left over from earlier."""
        self._grounds.set_verts(
            [[(a, b), (c, b), (c, d), (a, d)] for a, b, c, d in self._behind], closed=True
        )
        self._leaders.set_segments(self._lines)
        for text in self._texts[self._used :]:
            text.set_visible(False)

    def keep_off(self, boxes: Iterable[Box]) -> None:
        """Note what no label should cover."""
        self._taken += boxes

    def free(self, x: float, y: float, wide: float, tall: float) -> bool:
        """Return whether nothing stands yet in a box round a point."""
        return self._covered((x - wide / 2, y - tall / 2, x + wide / 2, y + tall / 2)) == 0

    def write(
        self, x: float, y: float, text: str, *, size: float, bold: bool = False, box: bool = False, **how: Any
    ) -> None:
        """Place a text, taking it from the pool of earlier ones; ``box`` puts a ground behind it."""
        settings = {"color": style.INK, "ha": "center", "va": "center", "rotation": 0}
        settings.update(how)
        if self._used == len(self._texts):
            with look():
                self._texts.append(self.ax.text(0, 0, "", clip_on=False, linespacing=1.25, zorder=6))
        item = self._texts[self._used]
        self._used += 1
        item.set_visible(True)
        item.set_position((x, y))
        item.set_text(text)
        item.set(fontproperties=style.sized(size, bold), **settings)
        if box:
            wide, tall = self.extent(text, size, bold)
            if settings["rotation"]:
                wide, tall = tall, wide
            low = y - 0.5 * self.scale if settings["va"] == "bottom" else y - tall / 2
            ground = (x - wide / 2, low, x + wide / 2, low + tall)
            self._behind.append(ground)
            self._taken.append(ground)

    def extent(self, text: str, size: float, bold: bool = False) -> tuple[float, float]:
        """Return about how wide and high a text is, mm."""
        lines = text.split("\n")
        wide = (max(text_width(line, size, bold) for line in lines) * POINT + 3.0) * self.scale
        return wide, (1.25 * size * len(lines) + 1.0) * self.scale

    def put(self, wishes: Sequence[Wish]) -> None:
        """Write labels beside what they name: the first free place, or else the one that covers least."""
        for wish in wishes:
            wide, tall = self.extent(wish.text, wish.size)
            best: tuple[float, float, float, float] | None = None
            for x, y, reach in _spots(wish.beside, wide, tall, self.scale):
                box = (x - wide / 2, y - tall / 2, x + wide / 2, y + tall / 2)
                covers = self._covered(box) + 4 * _outside(box, self.within)
                if best is None or covers < best[0] - 1e-6:
                    best = (covers, x, y, reach)
                if covers == 0:
                    break
            assert best is not None
            _, x, y, reach = best
            self.write(x, y, wish.text, size=wish.size, color=wish.color, box=True)
            if reach:
                self._lines.append(_leader((x, y), wide, tall, wish.beside))

    def _covered(self, box: Box) -> float:
        return sum(_overlap(box, other) for other in self._taken)


def _overlap(a: Box, b: Box) -> float:
    return max(0.0, min(a[2], b[2]) - max(a[0], b[0])) * max(0.0, min(a[3], b[3]) - max(a[1], b[1]))


def _outside(box: Box, within: Box) -> float:
    return (box[2] - box[0]) * (box[3] - box[1]) - _overlap(box, within)


def _spots(beside: Box, wide: float, tall: float, scale: float) -> Iterator[tuple[float, float, float]]:
    """Yield middles of places for a label round a box, nearest first, with how far off they are (points)."""
    left, bottom, right, top = beside
    middle, level = (left + right) / 2, (bottom + top) / 2
    for reach in REACHES:
        off = (GAP + reach) * scale
        over, under = top + off + tall / 2, bottom - off - tall / 2
        after, before = right + off + wide / 2, left - off - wide / 2
        yield from (
            (x, y, reach) for x, y in ((middle, over), (after, level), (before, level), (middle, under))
        )
        inner = [left + wide / 2, right - wide / 2]
        yield from ((x, y, reach) for y in (over, under) for x in (*inner, after, before))


def _leader(at: tuple[float, float], wide: float, tall: float, beside: Box) -> list[tuple[float, float]]:
    """Return the line from a label's edge to the nearest point of what it names."""
    (x, y), (left, bottom, right, top) = at, beside
    to = (min(max(x, left), right), min(max(y, bottom), top))
    start = (min(max(to[0], x - wide / 2), x + wide / 2), min(max(to[1], y - tall / 2), y + tall / 2))
    return [start, to]
