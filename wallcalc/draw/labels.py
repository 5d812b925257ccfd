"""Labels of a picture: texts kept and used again, each where it covers no other and nothing that must be seen."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from matplotlib.axes import Axes
from matplotlib.collections import LineCollection, PolyCollection
from matplotlib.text import Text

from wallcalc.draw import style
from wallcalc.draw.stamped_text import StampedText
from wallcalc.draw.style import look
from wallcalc.draw.text_fit import text_width

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


@dataclass(frozen=True, slots=True)
class Place:
    """Where a label goes: its middle, how bad that is, and whether a line has to lead from it to what it names."""

    wish: Wish
    x: float
    y: float
    cost: float
    far: bool


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
        """Start anew."""
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
                made = StampedText(1.25, zorder=6)
                self.ax.add_artist(made)
                made.set_clip_path(None)
                self._texts.append(made)
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
        """Write labels beside what they name, each in a free place that is nearer to it than to anything else named.

        Which label is placed first decides what is left for the others: a few orders are tried, the best is taken.
        """
        middles = [((w.beside[0] + w.beside[2]) / 2, (w.beside[1] + w.beside[3]) / 2) for w in wishes]
        numbers = range(len(wishes))
        orders = [
            sorted(numbers, key=lambda n, k=k, up=up: up * middles[n][k]) for k in (1, 0) for up in (-1, 1)
        ]
        plans = [self._plan(wishes, order) for order in [list(numbers), *orders]]
        best = min(plans, key=lambda plan: sum(place.cost for place in plan))
        for place in best:
            wish = place.wish
            self.write(place.x, place.y, wish.text, size=wish.size, color=wish.color, box=True)
            if place.far:
                self._lines.append(
                    _leader((place.x, place.y), *self.extent(wish.text, wish.size), wish.beside)
                )

    def _plan(self, wishes: Sequence[Wish], order: Sequence[int]) -> list[Place]:
        """Return places for labels, those earlier in the order placed first."""
        taken, places = list(self._taken), []
        for number in order:
            wish = wishes[number]
            wide, tall = self.extent(wish.text, wish.size)
            others = [w.beside for n, w in enumerate(wishes) if n != number]
            best: Place | None = None
            for x, y, reach in _spots(wish.beside, wide, tall, self.scale):
                box = (x - wide / 2, y - tall / 2, x + wide / 2, y + tall / 2)
                covers = sum(_overlap(box, other) for other in taken) + 4 * _outside(box, self.within)
                off = _distance(box, wish.beside)
                near = any(_distance(box, other) <= off + self.scale for other in others)
                cost = 100 * covers / (wide * tall) + (1.5 if near else 0.0) + reach / 20
                if best is None or cost < best.cost - 1e-9:
                    best = Place(wish, x, y, cost, reach > 0 or near)
                if cost == 0:
                    break
            assert best is not None
            places.append(best)
            taken.append((best.x - wide / 2, best.y - tall / 2, best.x + wide / 2, best.y + tall / 2))
        return places

    def _covered(self, box: Box) -> float:
        return sum(_overlap(box, other) for other in self._taken)


def _overlap(a: Box, b: Box) -> float:
    return max(0.0, min(a[2], b[2]) - max(a[0], b[0])) * max(0.0, min(a[3], b[3]) - max(a[1], b[1]))


def _distance(a: Box, b: Box) -> float:
    """Return how far two boxes are apart, 0 where they meet."""
    across = max(a[0] - b[2], b[0] - a[2], 0.0)
    up = max(a[1] - b[3], b[1] - a[3], 0.0)
    return float((across**2 + up**2) ** 0.5)


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
