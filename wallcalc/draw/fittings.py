"""What hangs on a face and what comes through it: fixings, outlines, holes, clearances, pipes inside the wall."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from typing import Any

from matplotlib.axes import Axes
from matplotlib.collections import LineCollection, PolyCollection

from wallcalc.draw import style
from wallcalc.draw.labels import Box, Wish
from wallcalc.draw.style import look
from wallcalc.given.parts import SIDES, HungItem, Service, is_box
from wallcalc.services.clearances import drops, runs
from wallcalc.units.quantities import format_mass

Flip = Callable[[float], float]
Points = list[tuple[float, float]]
CORNERS = 28
"""Corners of what stands for a circle."""
ARM = 2.6
"""Half the arm of a fixing's cross, points."""
LEAST = 3.0
"""Size at which a hole is still seen, points."""
AROUND = 5.0
"""How far an item's outline keeps off its fixings, points."""


class Fittings:
    """Hung items and services of one face on an axes, kept and updated.

    Parameters
    ----------
    ax : matplotlib.axes.Axes
        Where to draw.
    show : callable
        Turns mm into the text of a length.
    inches : bool
        Whether those are inches; masses are then in lb.
    """

    def __init__(self, ax: Axes, show: Callable[[float], str], *, inches: bool = False) -> None:
        self.show, self.inches = show, inches
        with look():
            self._pipes = ax.add_collection(
                PolyCollection(
                    [], facecolor=style.PIPE, edgecolor=style.PIPE_EDGE, linewidth=0.7, zorder=3.0
                ),
                autolim=False,
            )
            self._bored = ax.add_collection(
                PolyCollection([], facecolor=style.PIPE_EDGE, edgecolor="none", zorder=3.1), autolim=False
            )
            self._rings = ax.add_collection(
                LineCollection(
                    [], colors=style.PIPE_EDGE, linewidths=0.8, linestyles=(0, (1, 1.4)), zorder=3.2
                ),
                autolim=False,
            )
            self._holes = ax.add_collection(
                PolyCollection([], facecolor=style.WHITE, edgecolor=style.INK, linewidth=1.2, zorder=3.4),
                autolim=False,
            )
            self._pads = ax.add_collection(
                PolyCollection([], facecolor=style.WHITE, edgecolor=style.HUNG, linewidth=0.8, zorder=3.4),
                autolim=False,
            )
            self._outlines = ax.add_collection(
                LineCollection([], colors=style.HUNG, linewidths=1.1, linestyles=(0, (4, 2)), zorder=3.5),
                autolim=False,
            )
            self._crosses = ax.add_collection(
                LineCollection([], colors=style.HUNG, linewidths=1.3, zorder=3.6), autolim=False
            )

    def update(self, design: Any, side: str, flip: Flip, scale: float) -> tuple[list[Box], list[Wish]]:
        """Show the fittings of one side.

        What labels should not cover. Labels wanted. Units: ``flip`` mm.
        """
        wall = design.wall
        items = [item for item in wall.hung if item.side == side]
        taken, wishes = self._show_items(items, flip, scale)
        return self._show_services(design, wall.services, side, flip, scale, taken, wishes)

    def _show_items(
        self, items: Iterable[HungItem], flip: Flip, scale: float
    ) -> tuple[list[Box], list[Wish]]:
        outlines, crosses, pads = [], [], []
        taken: list[Box] = []
        wishes: list[Wish] = []
        for item in items:
            points = [(flip(x / 10), y / 10) for x, y in item.fixings]
            half = max(item.pad / 20, ARM * scale)
            for x, y in points:
                crosses += [[(x - half, y), (x + half, y)], [(x, y - half), (x, y + half)]]
                taken.append((x - half, y - half, x + half, y + half))
                if item.pad:
                    pads.append(
                        box_corners(
                            (x - item.pad / 20, y - item.pad / 20, x + item.pad / 20, y + item.pad / 20)
                        )
                    )
            xs, ys = [x for x, _ in points], [y for _, y in points]
            around = half + AROUND * scale
            box = (min(xs) - around, min(ys) - around, max(xs) + around, max(ys) + around)
            outlines.append([*box_corners(box), (box[0], box[1])])
            taken += _edges(box, scale)
            wishes.append(
                Wish(
                    f"{item.name}, {format_mass(item.mass + item.extra, self.inches)}", box, color=style.HUNG
                )
            )
        self._outlines.set_segments(outlines)
        self._crosses.set_segments(crosses)
        self._pads.set_verts(pads, closed=True)
        return taken, wishes

    def _show_services(
        self,
        design: Any,
        services: Sequence[Service],
        side: str,
        flip: Flip,
        scale: float,
        taken: list[Box],
        wishes: list[Wish],
    ) -> tuple[list[Box], list[Wish]]:
        holes, rings = [], []
        for s in services:
            x, y = flip(s.at[0] / 10), s.at[1] / 10
            width, height = (max(v / 10, LEAST * scale) for v in (s.size or (s.diameter, s.diameter)))
            more = 2 * s.clearance / 10
            ring = shape(x, y, width + more, height + more, not is_box(s))
            out = s.side == side or (s.goes == "through" and s.to is None)
            if s.clearance or not out:
                rings.append([*ring, ring[0]])
            half = ((width + more) / 2, (height + more) / 2)
            box = (x - half[0], y - half[1], x + half[0], y + half[1])
            taken.append(box)
            if out:
                holes.append(shape(x, y, width, height, not is_box(s)))
                wishes.append(Wish(self._says(s), box))
            if s.to is not None:
                self._end(s, side, flip, holes, taken)
        pipes = [_pipe(flip, r.start, r.end, r.diameter) for r in runs(services)]
        for d in drops(services, design.frame.height):
            left, right = sorted((flip((d.x - d.diameter / 2) / 10), flip((d.x + d.diameter / 2) / 10)))
            pipes.append(box_corners((left, d.bottom / 10, right, d.top / 10)))
        taken += [_box(p) for p in pipes if _level(p)]
        self._pipes.set_verts(pipes, closed=True)
        self._holes.set_verts(holes, closed=True)
        self._rings.set_segments(rings)
        self._bored.set_verts(_bored(design, flip), closed=True)
        return taken, wishes

    def _says(self, s: Service) -> str:
        """Return what to write beside a service: name, size, fall, way."""
        words = [s.name, " x ".join(self.show(v / 10) for v in s.size or (s.diameter,))]
        if s.to is not None and s.kind == "waste" and s.to[1] != s.at[1] and s.to[0] != s.at[0]:
            words.append(f"fall 1 in {abs(s.to[0] - s.at[0]) / abs(s.to[1] - s.at[1]):.0f}")
        if s.goes == "through":
            words.append("through")
        return ", ".join(words)

    @staticmethod
    def _end(s: Service, side: str, flip: Flip, holes: list[Points], taken: list[Box]) -> None:
        """Show where a run comes out on the other side."""
        assert s.to is not None
        if s.goes != "through" or side not in SIDES or s.side == side:
            return
        x, y, d = flip(s.to[0] / 10), s.to[1] / 10, s.diameter / 10
        holes.append(shape(x, y, d, d, True))
        taken.append((x - d / 2, y - d / 2, x + d / 2, y + d / 2))


def _bored(design: Any, flip: Flip) -> list[Points]:
    """Return the holes that pipes take through timber."""
    members = {m.mark: m for m in design.frame.members}
    found = []
    for hole in getattr(design.frame, "holes", ()):
        m = members[hole.member]
        half = hole.diameter / 2
        if hole.axis == "x":
            box = (m.x, hole.y - half, m.right, hole.y + half)
        else:
            box = (hole.x - half, m.y, hole.x + half, m.top)
        left, right = sorted((flip(box[0] / 10), flip(box[2] / 10)))
        found.append(box_corners((left, box[1] / 10, right, box[3] / 10)))
    return found


def _pipe(flip: Flip, start: tuple[int, int], end: tuple[int, int], diameter: int) -> Points:
    (x0, y0), (x1, y1) = sorted(((flip(x / 10), y / 10) for x, y in (start, end)))
    half = diameter / 20
    return [(x0, y0 - half), (x1, y1 - half), (x1, y1 + half), (x0, y0 + half)]


def _level(points: Points) -> bool:
    left, bottom, right, top = _box(points)
    return right - left > top - bottom


def _box(points: Points) -> Box:
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return min(xs), min(ys), max(xs), max(ys)


def box_corners(box: Box) -> Points:
    """Return the corners of a box, anticlockwise."""
    left, bottom, right, top = box
    return [(left, bottom), (right, bottom), (right, top), (left, top)]


def _edges(box: Box, scale: float) -> list[Box]:
    """Return the four edges of a box as thin boxes, so that labels keep off the line but may stand inside."""
    left, bottom, right, top = box
    thin = 0.8 * scale
    return [
        (left, bottom, right, bottom + thin),
        (left, top - thin, right, top),
        (left, bottom, left + thin, top),
        (right - thin, bottom, right, top),
    ]


def shape(x: float, y: float, width: float, height: float, round_: bool) -> Points:
    """Return an ellipse or a rectangle round a point."""
    if not round_:
        return box_corners((x - width / 2, y - height / 2, x + width / 2, y + height / 2))
    turns = (2 * math.pi * i / CORNERS for i in range(CORNERS))
    return [(x + width / 2 * math.cos(t), y + height / 2 * math.sin(t)) for t in turns]
