"""The picture of step 3: the stud and the board bent, to scale and exaggerated, and both over the centres."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from matplotlib.patches import Polygon

from wallcalc.draw import style
from wallcalc.draw.style import look, sized
from wallcalc.lesson.kept import Kept

SIZE = (900, 430)
EXAGGERATED = 20.0
"""How many times the bending is drawn in the second picture of each pair."""


class BendingPicture:
    """Kept artists that a change only moves.

    Parameters
    ----------
    usual : sequence of float
        Usual centres, mm, marked on the axis.
    """

    def __init__(self, usual: Sequence[float]) -> None:
        self.kept = Kept(*SIZE)
        self.figure, moves = self.kept.figure, self.kept.moves
        with look():
            self._studs = [
                self._piece((0.015 + 0.155 * k, 0.09, 0.14, 0.80), name, style.TIMBER, style.TIMBER_EDGE)
                for k, name in enumerate(("Stud, to scale", f"Bending {EXAGGERATED:g} times"))
            ]
            self._boards = [
                self._piece((0.345, 0.64 - 0.31 * k, 0.25, 0.25), name, style.BOARD, style.INK)
                for k, name in enumerate(("Board from above, to scale", f"Bending {EXAGGERATED:g} times"))
            ]
            self.chart = self.figure.add_axes((0.665, 0.13, 0.215, 0.76))
            self.chart.set_title("Most it gives, mm", fontproperties=sized(9.5, True))
            self.chart.set_xlabel("stud centres, mm", fontproperties=sized(9.0))
            self.chart.grid(True, axis="y")
            self.chart.set_xticks(list(usual), [f"{u:g}" for u in usual])
            self._lines = [
                self.chart.plot([], [], color=c, linestyle=s, linewidth=2)[0]
                for c, s in ((style.PLUM, "-"), (style.BLUE, (0, (5, 1.6))))
            ]
            self._dots = [
                self.chart.plot([], [], marker=m, color=c, markersize=8)[0]
                for c, m in ((style.PLUM, "s"), (style.BLUE, "o"))
            ]
            self._now = moves(self.chart.axvline(0, color=style.INK, linewidth=1.0))
            for dot in self._dots:
                moves(dot)
            self._names = [
                self.chart.text(
                    0, 0, "", fontproperties=sized(9.0, True), color=c, va="center", clip_on=False
                )
                for c in (style.PLUM, style.BLUE)
            ]
        self._most = 1.0
        self._end = 0.0

    def _piece(self, place: tuple[float, ...], name: str, face: Any, edge: Any) -> dict[str, Any]:
        ax = self.figure.add_axes(place)
        ax.set_axis_off()
        ax.set_title(name, fontproperties=sized(9.0, True))
        straight = ax.plot([], [], color=style.SOFT, linewidth=0.8, linestyle=(0, (4, 3)))[0]
        body = ax.add_patch(
            Polygon([(0, 0), (1, 0), (1, 1)], closed=True, facecolor=face, edgecolor=edge, linewidth=0.9)
        )
        rests = [ax.add_patch(Polygon([(0, 0), (1, 0), (1, 1)], closed=True, facecolor=style.TIMBER_FLAT,
                                      edgecolor=style.TIMBER_EDGE)) for _ in range(2)]  # fmt: skip
        push = ax.annotate(
            "", (0, 0), (1, 1), arrowprops={"arrowstyle": "-|>", "color": style.RED, "lw": 1.8}
        )
        word = ax.text(0, 0, "", fontproperties=sized(9.0, True))
        for artist in (straight, body, *rests, push, word):
            self.kept.moves(artist)
        return {"ax": ax, "straight": straight, "body": body, "rests": rests, "push": push, "word": word}

    def set_sweep(self, x: Sequence[float], stud: Sequence[float], board: Sequence[float]) -> None:
        """Draw the most that stud and board give over the centres."""
        self.kept.forget()
        self._most = 1.12 * max(max(stud), max(board))
        self._end = float(x[-1])
        self.chart.set_xlim(x[0], x[-1])
        self.chart.set_ylim(0, self._most)
        ends = style.spread(sorted((stud[-1], board[-1])), 0.07 * self._most, 0, self._most)
        order = np.argsort([stud[-1], board[-1]])
        for line, name, y, word in zip(
            self._lines, self._names, (stud, board), ("stud", "board"), strict=True
        ):
            line.set_data(x, y)
            name.set_text(word)
        for place, k in zip(ends, order, strict=True):
            self._names[k].set_position((self._end + 8, place))

    def show(self, stud: Any, board: Any, depth: float, thickness: float, centres: float, alt: str) -> str:
        """Return the picture for two bent pieces."""
        with look():
            for k, part in enumerate(self._studs):
                _stand(part, stud, depth, EXAGGERATED if k else 1.0)
            for k, part in enumerate(self._boards):
                _lay(part, board, thickness, EXAGGERATED if k else 1.0)
            for dot, bend in zip(self._dots, (stud, board), strict=True):
                dot.set_data([centres], [bend.most])
            self._now.set_xdata([centres, centres])
        return self.kept.show(alt)


def _stand(part: dict[str, Any], bend: Any, depth: float, times: float) -> None:
    """Show a stud seen from its edge, pushed to the right."""
    height = float(bend.at[-1])
    x = bend.by * times
    left, right = np.c_[x - depth / 2, bend.at], np.c_[x + depth / 2, bend.at]
    part["body"].set_xy(np.r_[left, right[::-1]])
    part["straight"].set_data([0, 0], [0, height])
    for rest, (low, high) in zip(part["rests"], ((-38, 0), (height, height + 38)), strict=True):
        rest.set_xy([(-depth / 2, low), (depth / 2, low), (depth / 2, high), (-depth / 2, high)])
    k = int(np.argmax(bend.by))
    at, by = float(bend.at[k]), float(x[k])
    part["push"].set_position((by - depth / 2 - 260, at))
    part["push"].xy = (by - depth / 2 - 8, at)
    part["word"].set_position((by + depth / 2 + 35, at))
    part["word"].set_text(f"{bend.most:.1f} mm")
    part["ax"].set_ylim(-60, height + 60)
    across = (height + 120) * _shape(part["ax"])
    part["ax"].set_xlim(-0.46 * across, 0.54 * across)


def _lay(part: dict[str, Any], bend: Any, thickness: float, times: float) -> None:
    """Show a strip of board seen from above between two studs, pushed down."""
    y = -bend.by * times
    top, low = np.c_[bend.at, y + thickness], np.c_[bend.at, y]
    part["body"].set_xy(np.r_[top, low[::-1]])
    wide = float(bend.at[-1])
    part["straight"].set_data([0, wide], [0, 0])
    for rest, x in zip(part["rests"], (0.0, wide), strict=True):
        rest.set_xy([(x - 19, -89), (x + 19, -89), (x + 19, 0), (x - 19, 0)])
    middle = float(y.min()) + thickness
    part["push"].set_position((wide / 2, middle + 85))
    part["push"].xy = (wide / 2, middle + 3)
    part["word"].set_position((wide / 2 + 16, middle + 50))
    part["word"].set_text(f"{bend.most:.1f} mm")
    part["ax"].set_xlim(-60, 670)
    up = 730 / _shape(part["ax"])
    part["ax"].set_ylim(-0.55 * up, 0.45 * up)


def _shape(ax: Any) -> float:
    """Return the width of an axes over its height, so that both directions get one scale."""
    place = ax.get_position()
    return place.width * SIZE[0] / (place.height * SIZE[1])


def bending_alt(stud: Any, board: Any, centres: float, load: str) -> str:
    """Return the text that stands for the picture."""
    return (
        f"A stud and a strip of board bent by a {load} at {centres:g} mm centres, to scale and "
        f"{EXAGGERATED:g} times exaggerated. The stud gives {stud.most:.1f} mm, the board {board.most:.1f} mm. "
        "Over the "
        "centres the stud's line is straight, the board's rises ever more steeply."
    )
