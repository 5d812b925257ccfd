"""The picture of step 4: one bay with its pieces of slab, and how it is filled at every setting."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import Any

import numpy as np
from matplotlib.collections import PolyCollection

from wallcalc.draw import style
from wallcalc.draw.style import look, sized
from wallcalc.lesson.edges_picture import GREEN
from wallcalc.lesson.kept import Kept
from wallcalc.lesson.plan_strip import box
from wallcalc.units.lengths import MM

SIZE = (900, 400)
LOOKS = {
    "friction": (GREEN, "", "held by friction"),
    "cut": (style.ORANGE, "////", "cut to width"),
    "pieced": (style.RED, "xxx", "pieced"),
}


class SlabsPicture:
    """Kept artists that a change only moves.

    Parameters
    ----------
    stud : int
        Stud thickness, 0.1 mm.
    usual : sequence of float
        Usual centres, mm.
    low, high : float
        Range of centres, mm.
    """

    def __init__(self, stud: int, usual: Sequence[float], low: float, high: float) -> None:
        self.stud = stud / MM
        self.kept = Kept(*SIZE)
        self.figure, moves = self.kept.figure, self.kept.moves
        with look():
            self.bay = self.figure.add_axes((0.01, 0.03, 0.38, 0.87))
            self.bay.set_axis_off()
            self.bay.set_title("One bay, seen from the room", fontproperties=sized(9.5, True))
            self.bay.set_aspect("equal", adjustable="box", anchor="C")
            self._timber = self.bay.add_collection(
                PolyCollection([], facecolor=style.TIMBER, edgecolor=style.TIMBER_EDGE, linewidth=0.8),
                autolim=False,
            )
            self._whole, self._cut = (
                self.bay.add_collection(
                    PolyCollection([], facecolor=style.SLAB, edgecolor=edge, hatch=hatch, linewidth=1.4),
                    autolim=False,
                )
                for edge, hatch in ((GREEN, ""), (style.ORANGE, "//"))
            )
            self._words = [
                self.bay.text(0, 0, "", ha="center", va="center", fontproperties=sized(8.0, True),
                              bbox={"facecolor": style.PAPER, "edgecolor": "none", "pad": 1.0}) for _ in range(16)
            ]  # fmt: skip
            self.band = self.figure.add_axes((0.44, 0.30, 0.545, 0.36))
            self.band.set_title("How the bay is filled at every setting", fontproperties=sized(9.5, True))
            self.band.set_xlim(low - 4, high + 4)
            self.band.set_ylim(-0.6, 2.6)
            self.band.set_yticks(range(3), [word for *_, word in LOOKS.values()])
            self.band.set_xticks(list(usual), [f"{u:g}" for u in usual])
            self.band.set_xlabel("stud centres, mm", fontproperties=sized(9.0))
            self._now = moves(self.band.axvline(low, color=style.INK, linewidth=1.2))
            for artist in (self._timber, self._whole, self._cut, *self._words):
                moves(artist)
        self._bars: list[Any] = []

    def set_sweep(self, x: Sequence[float], hows: Sequence[str]) -> None:
        """Draw for every setting how the bay is filled."""
        self.kept.forget()
        for bar in self._bars:
            bar.remove()
        step = float(x[1] - x[0])
        with look():
            self._bars = []
            for k, (how, (colour, hatch, _)) in enumerate(LOOKS.items()):
                at = np.array([c for c, h in zip(x, hows, strict=True) if h == how])
                if len(at):
                    runs = [(c - step / 2, step) for c in at]
                    self._bars.append(self.band.broken_barh(runs, (k - 0.4, 0.8), facecolor=colour, hatch=hatch,
                                                            edgecolor="none"))  # fmt: skip

    def show(self, bay: Any, sold: Collection[tuple[int, int]], centres: int, alt: str) -> str:
        """Return the picture of a filled bay; ``sold`` are the slab sizes as bought (0.1 mm)."""
        stud, wide, tall = self.stud, bay.width / MM, bay.height / MM
        whole, cut, words = [], [], []
        x = y = 0.0
        for piece in bay.pieces:
            length, width = (side / MM for side in piece)
            across, up = (width, length) if width <= wide + 25 and _upright(bay) else (length, width)
            if y + min(up, tall) > tall + 30:
                x, y = x + min(across, wide), 0.0
            shown = box(stud + x, stud + y, min(across, wide - x), min(up, tall - y))
            bought = piece in sold or piece[::-1] in sold
            (whole if bought else cut).append(shown)
            words.append((stud + x + min(across, wide - x) / 2, stud + y + min(up, tall - y) / 2,
                          f"{across:g} x {up:g}\n{'as bought' if bought else 'cut'}"))  # fmt: skip
            y += up
        with look():
            self._timber.set_verts(
                [box(0, stud, stud, tall), box(stud + wide, stud, stud, tall),
                 box(0, 0, wide + 2 * stud, stud), box(0, stud + tall, wide + 2 * stud, stud)], closed=True
            )  # fmt: skip
            self._whole.set_verts(whole, closed=True)
            self._cut.set_verts(cut, closed=True)
            for k, text in enumerate(self._words):
                text.set_text(words[k][2] if k < len(words) else "")
                if k < len(words):
                    text.set_position(words[k][:2])
            self.bay.set_xlim(-40, 760)
            self.bay.set_ylim(-20, tall + 2 * stud + 20)
            self._now.set_xdata([centres / MM] * 2)
        return self.kept.show(alt)


def _upright(bay: Any) -> bool:
    """Whether the pieces stand with their length up the bay: their widths then fill it side by side."""
    return sum(length for length, _ in bay.pieces) >= bay.height


def slabs_alt(bay: Any, centres: int, how: str) -> str:
    """Return the text that stands for the picture."""
    return (
        f"A bay of {bay.width / MM:g} mm between studs at {centres / MM:g} mm centres, filled with "
        f"{len(bay.pieces)} pieces "
        f"of slab: {how}. A band shows at which centres a slab is held by friction, cut or pieced."
    )
