"""The look of every picture: colours, hatches, letters, and the way a figure becomes an HTML image.

Series colours keep the hues of matplotlib's ``petroff6`` sequence, which stay apart under the three colour-vision
deficiencies, but are dark enough for lines: three times the ground's luminance or more (WCAG 2.2, 1.4.11). A line
style, a hatch or a marker always says the same thing as the colour does.
"""

from __future__ import annotations

import base64
import html
import struct
import unicodedata
import zlib
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from functools import cache
from pathlib import Path

import matplotlib
import numpy as np
from matplotlib import font_manager
from matplotlib.backends.backend_agg import FigureCanvasAgg, RendererAgg
from matplotlib.figure import Figure
from PIL import Image

from wallcalc.draw.turns import TURN

DPI = 100
"""Dots per inch of the pictures on screen."""

BLUE, ORANGE, RED, PLUM, GREY, VIOLET = "#4785f4", "#d27700", "#d01a2e", "#964a8b", "#8e8e97", "#7a21dd"

INK = "#22303a"
"""Letters and outlines."""
SOFT = "#64727c"
"""Secondary letters and dimension lines."""
FAINT = "#d9dcd8"
"""Grid lines."""
PAPER = "#fbfaf6"
"""Ground of every picture."""
WHITE = "#ffffff"

TIMBER = "#e9cfa2"
TIMBER_FLAT = "#d3ab6b"
TIMBER_DOUBLE = "#dfbd84"
TIMBER_EDGE = "#7b5b2e"
HUNG = "#7a2f77"
"""Hung items, their fixings and the timber put in for them."""
HUNG_TIMBER = "#d8c3d6"
HUNG_HATCH = "\\\\\\\\\\"
SERVICE_TIMBER = "#b9c7c4"
"""Timber moved or added for a service."""
SERVICE_HATCH = "....."
PATTRESS = "#b98f4e"
PIPE = (0.36, 0.40, 0.43, 0.38)
PIPE_EDGE = "#3c474d"
BOARD = (0.42, 0.55, 0.66, 0.16)
BOARD_EDGE = (0.24, 0.36, 0.46, 0.55)
SLAB = "#f3eff8"
SLAB_HATCH = "#cbbfe0"

JOINT_KINDS = {
    "bound-bound": ("#2a63cc", "-", 2.2),
    "bound-cut": ("#a65800", (0, (5, 1.6)), 2.4),
    "cut-cut": ("#96102a", (0, (1.4, 1.2)), 2.6),
    "corner": (SOFT, "-", 0.8),
}
"""Colour, dash pattern and width in points for each kind of joint: dark, for they lie over timber behind the board."""

SERIES = {
    "vertical": {"name": "upright", "color": BLUE, "marker": "o", "linestyle": "-"},
    "horizontal": {"name": "on their side", "color": ORANGE, "marker": "s", "linestyle": (0, (4, 1.4))},
}
"""How the two board orientations are drawn and named."""

CUT_COLOURS = ("#c9dcf6", "#f8dcb4", "#e7cfe4", "#d6e6d2", "#f4c9c6", "#dcd2f2")
CUT_HATCHES = ("", "///", "...", "\\\\\\", "xx", "--")


FILES = tuple(
    str(Path(matplotlib.get_data_path(), "fonts", "ttf", name))
    for name in ("DejaVuSans.ttf", "DejaVuSans-Bold.ttf")
)
"""The letters of every picture and printed sheet, plain and bold: files that matplotlib brings along, so that what
is drawn does not depend on the machine's fonts."""
FAMILY = "wallcalc"
"""The name under which matplotlib finds them for texts that tell no file, such as the numbers of an axis."""
ENTRIES = [
    font_manager.FontEntry(fname=file, name=FAMILY, weight=weight)
    for file, weight in zip(FILES, (400, 700), strict=True)
]
NO_LETTER = "\u25a1"
"""Stands for a character that those files lack: an empty box."""


@cache
def sized(size: float, bold: bool = False) -> font_manager.FontProperties:
    """Return the letters at a size in points; artists take a copy."""
    return font_manager.FontProperties(family="sans-serif", fname=FILES[bold], size=size)


@cache
def _known() -> frozenset[str]:
    """Return the characters that both files have and that leave something on the paper, or at least a gap."""
    plain, bold = (font_manager.get_font(file).get_charmap() for file in FILES)
    return frozenset(c for c in map(chr, plain.keys() & bold.keys()) if unicodedata.category(c) != "Cf")


def drawable(text: str) -> str:
    """Return a text with an empty box for each character that our letters lack, and a blank for each other space.

    Lines stay lines. Signs that are never seen, such as a mark of the direction of writing, are left out. A text of
    ours is drawable as it stands; a name from a person or a file may hold any script.
    """
    known = _known()
    if known.issuperset(text):
        return text
    return "".join(c if c in known or c == "\n" else _instead(c) for c in text)


def _instead(c: str) -> str:
    if unicodedata.category(c) == "Cf":
        return ""
    return " " if c.isspace() else NO_LETTER


class Renderer(RendererAgg):
    """Draws and measures every text as :func:`drawable` has it."""

    def draw_text(self, gc, x, y, s, prop, angle, ismath=False, mtext=None):  # type: ignore[no-untyped-def]
        """Draw a line of text."""
        super().draw_text(gc, x, y, drawable(s), prop, angle, ismath, mtext)

    def get_text_width_height_descent(self, s, prop, ismath):  # type: ignore[no-untyped-def]
        """Return the size of a line of text and how far it reaches under its baseline, pixels."""
        return super().get_text_width_height_descent(drawable(s), prop, ismath)


class Canvas(FigureCanvasAgg):
    """The canvas of every picture on screen."""

    _made_for: tuple[float, ...] = ()

    def get_renderer(self) -> Renderer:
        """Return the renderer, a new one when the figure has another size."""
        wanted = (*self.get_width_height(physical=True), self.figure.dpi)
        if self._made_for != wanted:
            self.renderer, self._made_for = Renderer(*wanted), wanted
        return self.renderer


@cache
def _settings() -> dict[str, object]:
    return {
        "font.family": [FAMILY],
        "font.size": 8.0,
        "text.color": INK,
        "text.parse_math": False,
        "axes.edgecolor": SOFT,
        "axes.facecolor": PAPER,
        "axes.labelcolor": INK,
        "axes.labelsize": 8.0,
        "axes.linewidth": 0.7,
        "axes.spines.top": False,
        "axes.spines.right": False,
        "axes.titlesize": 9.0,
        "axes.titlelocation": "left",
        "axes.titleweight": "bold",
        "axes.axisbelow": True,
        "figure.facecolor": PAPER,
        "figure.dpi": DPI,
        "grid.color": FAINT,
        "grid.linewidth": 0.7,
        "hatch.linewidth": 0.6,
        "hatch.color": SLAB_HATCH,
        "legend.frameon": False,
        "legend.fontsize": 7.5,
        "lines.linewidth": 1.5,
        "xtick.color": SOFT,
        "ytick.color": SOFT,
        "xtick.labelcolor": INK,
        "ytick.labelcolor": INK,
        "xtick.labelsize": 7.5,
        "ytick.labelsize": 7.5,
        "xtick.major.size": 3.0,
        "ytick.major.size": 0.0,
        "path.simplify": True,
    }


@contextmanager
def look(hatch: str = SLAB_HATCH) -> Iterator[None]:
    """Make artists that are created inside the ``with`` block carry the project's look."""
    with TURN, matplotlib.rc_context({**_settings(), "hatch.color": hatch}):
        listed = font_manager.fontManager.ttflist
        if listed[-len(ENTRIES) :] != ENTRIES:  # the first time, and when matplotlib made its list anew
            listed += ENTRIES
        yield


def new_figure(width: int, height: int) -> Figure:
    """Return an empty figure on its own canvas, without pyplot."""
    with look():
        figure = Figure(figsize=(width / DPI, height / DPI), dpi=DPI)
        Canvas(figure)
    return figure


def to_png(figure: Figure, *, drawn: bool = False) -> bytes:
    """Return the figure as PNG."""
    canvas = figure.canvas
    if not isinstance(canvas, Canvas):
        canvas = Canvas(figure)
    if not drawn:
        with look():
            canvas.draw()
    width, height = canvas.get_width_height()
    picture = Image.frombuffer("RGBA", (width, height), canvas.buffer_rgba(), "raw", "RGBA", 0, 1).convert(
        "RGB"
    )
    return _png(np.asarray(picture))


def _png(pixels: np.ndarray) -> bytes:
    """Return pixels (rows, columns, red green blue) as PNG.

    Rows are packed as they are: of plain shapes and letters that makes a smaller file than the filters which a
    writer for photographs tries row by row, in half the time.
    """
    height, width, _ = pixels.shape
    rows = np.zeros((height, 1 + 3 * width), np.uint8)
    rows[:, 1:] = pixels.reshape(height, 3 * width)
    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    parts = ((b"IHDR", head), (b"IDAT", zlib.compress(rows, 1)), (b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))
        for name, data in parts
    )


def to_img(figure: Figure, alt: str, *, drawn: bool = False, scale: float = 1.0) -> str:
    """Return the figure as an HTML ``<img>`` with a data URI, a fixed size and a text in its place."""
    width, height = figure.canvas.get_width_height()
    data = base64.b64encode(to_png(figure, drawn=drawn)).decode("ascii")
    return (
        f'<img class="wallcalc-picture" width="{width / scale:.0f}" height="{height / scale:.0f}" '
        f'alt="{html.escape(alt, quote=True)}" src="data:image/png;base64,{data}"/>'
    )


def spread(wanted: Sequence[float], least: float, low: float, high: float) -> list[float]:
    """Return positions near the wanted ones, in the same order, at least a distance apart and within limits."""
    if not wanted:
        return []
    if len(wanted) > 1:
        least = min(least, (high - low) / (len(wanted) - 1))
    # Merge neighbours that crowd each other into blocks, each centred on the mean of what it holds.
    blocks: list[list[float]] = []  # [sum of (wanted - offset inside the block), count]
    for value in wanted:
        blocks.append([value, 1])
        while len(blocks) > 1 and _start(blocks[-2]) + blocks[-2][1] * least > _start(blocks[-1]):
            total, count = blocks.pop()
            blocks[-1][0] += total - count * blocks[-1][1] * least
            blocks[-1][1] += count
    placed: list[float] = []
    for block in blocks:
        start = _start(block)
        placed += [start + k * least for k in range(int(block[1]))]
    floor = low
    for k, value in enumerate(placed):
        placed[k] = max(value, floor)
        floor = placed[k] + least
    roof = high
    for k in range(len(placed) - 1, -1, -1):
        placed[k] = min(placed[k], roof)
        roof = placed[k] - least
    return placed


def _start(block: list[float]) -> float:
    return block[0] / block[1]
