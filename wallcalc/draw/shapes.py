"""Outlines as matplotlib draws them: corners in mm of the picture, many under one hatch."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from itertools import pairwise

from matplotlib.axes import Axes
from matplotlib.collections import PathCollection
from matplotlib.path import Path

from wallcalc.draw.style import look
from wallcalc.units.lengths import MM

Points = list[tuple[float, float]]


def outline(corners: Iterable[tuple[int, int]], flip: Callable[[float], float]) -> Points:
    """Return corners in 0.1 mm as mm of the picture; ``flip`` turns x of the wall into x of the picture, mm."""
    return [(flip(x / MM), y / MM) for x, y in corners]


def together(outlines: Iterable[Points]) -> list[Path]:
    """Return outlines as two paths, so that a hatch is drawn once for all of them: those that lie square, and others.

    What lies square is put on whole pixels, and would not be beside a slope in the same path.
    """
    square, others = [], []
    for points in outlines:
        closed = [*points, points[0]]
        level = all(x0 == x1 or y0 == y1 for (x0, y0), (x1, y1) in pairwise(closed))
        (square if level else others).append(Path(closed, closed=True))
    return [Path.make_compound_path(*paths) for paths in (square, others) if paths]


def hatching(ax: Axes, colour: str, hatch: str) -> PathCollection:
    """Return what lies over timber to tell whom it serves, under boards and joints."""
    with look(colour):
        return ax.add_collection(
            PathCollection([], facecolor="none", edgecolor=colour, hatch=hatch, linewidth=0.0, zorder=1.05),
            autolim=False,
        )
