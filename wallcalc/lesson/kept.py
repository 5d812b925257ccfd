"""A figure whose unmoving parts are kept as pixels, so that a change redraws only what moved."""

from __future__ import annotations

from typing import Any, TypeVar

from matplotlib.figure import Figure

from wallcalc.draw.style import look, new_figure, to_img

Artist = TypeVar("Artist")


class Kept:
    """A figure, and which of its artists move.

    Parameters
    ----------
    width, height : int
        Size in pixels.
    """

    def __init__(self, width: int, height: int) -> None:
        self.figure: Figure = new_figure(width, height)
        self._moving: list[Any] = []
        self._ground: Any = None

    def moves(self, artist: Artist) -> Artist:
        """Take an artist as one that moves, and return it."""
        artist.set_animated(True)  # type: ignore[attr-defined]
        self._moving.append(artist)
        return artist

    def forget(self) -> None:
        """Draw everything anew next time: something changed that does not move, such as an axis."""
        self._ground = None

    def show(self, alt: str) -> str:
        """Return the figure as an HTML image."""
        canvas = self.figure.canvas
        with look():
            if self._ground is None:
                canvas.draw()
                self._ground = canvas.copy_from_bbox(self.figure.bbox)  # type: ignore[attr-defined]
            canvas.restore_region(self._ground)  # type: ignore[attr-defined]
            for artist in self._moving:
                artist.axes.draw_artist(artist)
        return to_img(self.figure, alt, drawn=True)
