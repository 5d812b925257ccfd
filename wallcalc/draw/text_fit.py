"""Widths of printed text, and text broken or shortened to a width."""

from __future__ import annotations

from functools import lru_cache

from matplotlib.font_manager import FontProperties
from matplotlib.textpath import text_to_path

from wallcalc.draw import style

POINT = 25.4 / 72
"""Millimetres in a point."""


@lru_cache(maxsize=20_000)
def text_width(text: str, size: float, bold: bool = False) -> float:
    """Return the width of one line of text, mm.

    In mm.
    """
    font: FontProperties = style.sized(100.0, bold)
    width, _, _ = text_to_path.get_text_width_height_descent(style.drawable(text), font, ismath=False)
    return width * size / 100.0 * POINT


def wrap(text: str, width: float, size: float, bold: bool = False) -> list[str]:
    """Return text broken into lines no wider than ``width`` mm; words longer than a line are cut.

    One line at least.
    """
    lines: list[str] = []
    line = ""
    for word in text.split():
        while text_width(word, size, bold) > width and len(word) > 1:
            fits = next(
                n for n in range(len(word) - 1, 0, -1) if n == 1 or text_width(word[:n], size, bold) <= width
            )
            if line:
                lines.append(line)
                line = ""
            lines.append(word[:fits])
            word = word[fits:]
        joined = f"{line} {word}" if line else word
        if line and text_width(joined, size, bold) > width:
            lines.append(line)
            line = word
        else:
            line = joined
    return [*lines, line] if line or not lines else lines


def shorten(text: str, width: float, size: float, bold: bool = False) -> str:
    """Return text cut to ``width`` mm, with dots where it was cut."""
    if text_width(text, size, bold) <= width:
        return text
    while text and text_width(text + "...", size, bold) > width:
        text = text[:-1]
    return text + "..."


def vouched(source: object, status: object) -> str:
    """Return a source with how well it is vouched for, said once where the source's own words end with it."""
    said = f"{source}" == f"{status}" or f"{source}".endswith((f"; {status}", f": {status}"))
    return f"{source}" if said else f"{source} ({status})"
