"""A strip of wall seen from above: studs and the boards of one side, as two collections that move."""

from __future__ import annotations

from collections.abc import Iterable

from matplotlib.collections import PolyCollection

from wallcalc.draw import style
from wallcalc.draw.style import look, sized
from wallcalc.lesson.kept import Kept


class PlanStrip:
    """Studs and boards from above on an axes of their own.

    Parameters
    ----------
    kept : Kept
        The figure.
    place : tuple of float
        Left, bottom, width and height of the axes, shares of the figure.
    title : str
        Written above.
    stud : float
        Stud thickness, mm.
    """

    def __init__(self, kept: Kept, place: tuple[float, float, float, float], title: str, stud: float) -> None:
        self.stud = stud
        with look():
            self.ax = kept.figure.add_axes(place)
            self.ax.set_axis_off()
            self.ax.set_title(title, fontproperties=sized(9.5, True))
            self._studs, self._boards = (
                kept.moves(self.ax.add_collection(PolyCollection([], **looks), autolim=False))
                for looks in (
                    {"facecolor": style.TIMBER, "edgecolor": style.TIMBER_EDGE, "linewidth": 0.7},
                    {"facecolor": style.BOARD, "edgecolor": style.INK, "linewidth": 0.9},
                )
            )

    def set(
        self, lefts: Iterable[float], deep: float, width: float, number: int, at: tuple[float, float, float]
    ) -> None:
        """Place studs and boards.

        Units: ``lefts``, ``deep``, ``width``, ``number``, ``at`` mm.
        """
        low, thick, gap = at
        self._studs.set_verts([box(x, 0, self.stud, deep) for x in lefts], closed=True)
        self._boards.set_verts(
            [box(k * width + gap / 2, low, width - gap, thick) for k in range(number)], closed=True
        )


def box(x: float, y: float, w: float, h: float) -> list[tuple[float, float]]:
    """Return the corners of a rectangle."""
    return [(x, y), (x + w, y), (x + w, y + h), (x, y + h)]
