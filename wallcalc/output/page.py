"""Pages to print: A4 on its side, laid out in mm from the top left corner, written as PDF without pyplot."""

from __future__ import annotations

import io
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import matplotlib
from matplotlib.axes import Axes
from matplotlib.backends.backend_pdf import PdfPages
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Ellipse, Polygon, Rectangle
from matplotlib.text import Text

from wallcalc.draw import style
from wallcalc.draw.text_fit import POINT, shorten, text_width, wrap

WIDTH, HEIGHT = 297.0, 210.0
LEFT, RIGHT, TOP, BOTTOM = 14.0, 283.0, 27.0, 196.0
INCH = 25.4
BLACK, GREY, PALE = "#000000", "#555555", "#ececec"
BETWEEN = 6.0
"""Least distance between a page's title and its heading, mm."""
LINE = 1.32
"""Height of a line of text over the size of its letters."""
Point = tuple[float, float]
"""A place on the page, mm from the left and from the top."""
Box = tuple[float, float, float, float]
"""A rectangle on the page, mm: its upper left corner, width and height."""


@dataclass(frozen=True, slots=True)
class Scale:
    """Where a drawing to scale stands on the page: its upper left corner, mm, and mm of the page for each mm."""

    x: float
    y: float
    scale: float

    def point(self, x: float, y: float) -> Point:
        """Return the place on the page of a place in the drawing, mm."""
        return self.x + x * self.scale, self.y + y * self.scale

    def box(self, x: float, y: float, w: float, h: float) -> Box:
        """Return the rectangle on the page of one in the drawing, mm."""
        return *self.point(x, y), w * self.scale, h * self.scale


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a printed table: heading, width in mm, alignment ("left", "right" or "center")."""

    heading: str
    width: float
    align: str = "left"
    bold: bool = False

    @property
    def room(self) -> float:
        """Width for text, mm."""
        return self.width - (4 if self.align == "right" else 2)


class Paper:
    """Pages in the making: ``heading`` at the right of every page's head, ``foot`` at the foot of every page."""

    def __init__(self, heading: str, foot: str) -> None:
        self.heading, self.foot = heading, foot
        self.figures: list[Figure] = []
        self.titles: list[str] = []
        self.y = TOP
        self._axes: Axes | None = None

    @property
    def axes(self) -> Axes:
        """The current page, in mm with y downwards."""
        assert self._axes is not None
        return self._axes

    @property
    def room(self) -> float:
        """Height left on the page, mm."""
        return BOTTOM - self.y

    def page(self, title: str) -> None:
        """Start a page."""
        figure = Figure(figsize=(WIDTH / INCH, HEIGHT / INCH), facecolor="white")
        axes = figure.add_axes((0, 0, 1, 1))
        axes.set_xlim(0, WIDTH)
        axes.set_ylim(HEIGHT, 0)
        axes.set_axis_off()
        self.figures.append(figure)
        self.titles.append(title)
        self._axes = axes
        whole = RIGHT - LEFT
        shown = shorten(title, 0.8 * whole, 15, True)
        self.text((LEFT, 17), shown, 15, bold=True)
        left = min(0.5 * whole, whole - text_width(shown, 15, True) - BETWEEN)
        self.text((RIGHT, 17), shorten(self.heading, left, 9), 9, align="right").set_color(GREY)
        self.line(LEFT, 20, RIGHT, 20, 1.2)
        self.y = TOP

    def further(self) -> None:
        """Start a page that carries the last one on."""
        title = self.titles[-1]
        self.page(title if title.endswith("(continued)") else f"{title} (continued)")

    def need(self, height: float) -> bool:
        """Start a further page when less than ``height`` mm is left; return whether it did."""
        if self.room >= height:
            return False
        self.further()
        return True

    def text(
        self,
        at: Point,
        text: str,
        size: float = 8.0,
        *,
        bold: bool = False,
        align: str = "left",
        turn: float | None = None,
    ) -> Text:
        """Put one line of text at a point, mm, ``size`` in points: on it, or its middle there where it is turned."""
        return self.axes.text(
            *at,
            style.drawable(text),
            fontproperties=style.sized(size, bold),
            ha=align,
            va="baseline" if turn is None else "center",
            color=BLACK,
            rotation=turn or 0.0,
            rotation_mode="anchor",
            parse_math=False,
        )

    def line(
        self, x1: float, y1: float, x2: float, y2: float, width: float = 0.6, *, dash: str = "-"
    ) -> None:
        """Put a line, its width in points."""
        self.axes.add_line(Line2D([x1, x2], [y1, y2], linewidth=width, color=BLACK, linestyle=dash))

    def box(self, at: Box, *, fill: str = "none", width: float = 0.7, hatch: str = "") -> None:
        """Put a rectangle, mm; grey hatching when ``hatch`` is given."""
        (x, y, w, h), face = at, fill
        if hatch:
            self.axes.add_patch(
                Rectangle((x, y), w, h, facecolor=fill, edgecolor="#9a9a9a", linewidth=0, hatch=hatch)
            )
            face = "none"
        self.axes.add_patch(Rectangle((x, y), w, h, facecolor=face, edgecolor=BLACK, linewidth=width))

    def oval(self, at: Box, *, fill: str = "white", width: float = 0.7) -> None:
        """Put an ellipse into a rectangle, mm."""
        x, y, w, h = at
        self.axes.add_patch(
            Ellipse((x + w / 2, y + h / 2), w, h, facecolor=fill, edgecolor=BLACK, linewidth=width)
        )

    def polygon(self, corners: Sequence[tuple[float, float]], *, width: float = 0.9) -> None:
        """Put a white polygon, its corners in mm."""
        self.axes.add_patch(Polygon(corners, facecolor="white", edgecolor=BLACK, linewidth=width))

    def heading2(self, text: str) -> None:
        """Put a heading inside the page, where the head and the first row of a table still fit under it."""
        self.need(26)
        self.y += 3
        self.text((LEFT, self.y + 3.2), text, 10.5, bold=True)
        self.y += 6.5

    def paragraph(
        self,
        text: str,
        size: float = 8.5,
        *,
        x: float = LEFT,
        width: float = RIGHT - LEFT,
        bold: bool = False,
    ) -> None:
        """Put text in lines of ``width`` mm."""
        step = size * POINT * LINE
        for line in wrap(text, width, size, bold):
            self.need(step)
            self.text((x, self.y + step * 0.78), line, size, bold=bold)
            self.y += step
        self.y += step * 0.3

    def table(
        self,
        columns: Sequence[Column],
        rows: Sequence[Sequence[str]],
        *,
        size: float = 8.0,
        x: float = LEFT,
        strong: Callable[[Sequence[str]], bool] = lambda _: False,
    ) -> None:
        """Put a table; cells wrap, the heading comes again on every further page.

        Letters of ``size`` points, its left edge at ``x`` mm; ``strong`` tells which rows are set bold under a line.
        """
        step = size * POINT * LINE
        total = sum(c.width for c in columns)
        heads = [wrap(c.heading, c.room, size, True) for c in columns]

        def head() -> None:
            tall = step * max(len(h) for h in heads) + 1.4
            self.box((x, self.y, total, tall), fill=PALE, width=0)
            self._cells(columns, heads, x, size, bold=True)
            self.y += tall
            self.line(x, self.y, x + total, self.y, 0.8)

        self.need(step * 3 + 4)
        head()
        for row in rows:
            bold = strong(row)
            cells = [wrap(str(t), c.room, size, bold or c.bold) for t, c in zip(row, columns, strict=True)]
            tall = step * max(1, *(len(c) for c in cells)) + 1.2
            if self.need(tall + 0.5):
                head()
            if bold:
                self.line(x, self.y, x + total, self.y, 0.8)
            self._cells(columns, cells, x, size, bold=bold)
            self.y += tall
            self.axes.add_line(
                Line2D([x, x + total], [self.y, self.y], linewidth=0.3, color="#b5b5b5", linestyle="-")
            )
        self.y += 3

    def _cells(
        self, columns: Sequence[Column], cells: Sequence[Sequence[str]], x: float, size: float, *, bold: bool
    ) -> None:
        step = size * POINT * LINE
        for column, lines in zip(columns, cells, strict=True):
            at = {"left": x + 1, "right": x + column.width - 3, "center": x + column.width / 2}[column.align]
            for n, line in enumerate(lines):
                y = self.y + 0.6 + step * (n + 0.78)
                self.text((at, y), line, size, bold=bold or column.bold, align=column.align)
            x += column.width

    def picture(self, *, below: float = 0.0) -> Axes:
        """Return axes that fill what is left of the page but ``below`` mm at its foot."""
        tall = self.room - below
        frame = (LEFT / WIDTH, 1 - (self.y + tall) / HEIGHT, (RIGHT - LEFT) / WIDTH, tall / HEIGHT)
        return self.figures[-1].add_axes(frame)

    def contents(self, number: int, y: float) -> None:
        """Write what each page holds at height ``y`` mm of page ``number`` (from 0), in three columns.

        Nothing is written where there is no room for it.
        """
        titles = [(n, t) for n, t in enumerate(self.titles, start=1) if not t.endswith("(continued)")]
        step, across = 4.6, 3
        deep = -(-len(titles) // across)
        if y + step * (deep + 1) > BOTTOM:
            return
        self._axes = self.figures[number].axes[0]
        self.text((LEFT, y + 3.2), "Sheets in this set", 10.5, bold=True)
        wide = (RIGHT - LEFT) / across
        for k, (page, title) in enumerate(titles):
            x, at = LEFT + (k // deep) * wide, y + 9 + (k % deep) * step
            self.text((x + 5, at), str(page), 8.5, align="right")
            self.text((x + 8, at), shorten(title, wide - 12, 8.5), 8.5)

    def to_pdf(self, title: str) -> bytes:
        """Return the pages as PDF; the same pages give the same bytes."""
        out = io.BytesIO()
        about = {"Title": title, "Creator": "wallcalc", "Producer": "wallcalc", "CreationDate": None}
        settings = {"pdf.fonttype": 42, "hatch.linewidth": 0.5}
        with matplotlib.rc_context(settings), PdfPages(out, metadata=about) as pdf:
            for number, figure in enumerate(self.figures, start=1):
                self._axes = figure.axes[0]
                self.line(LEFT, 199.5, RIGHT, 199.5, 0.5)
                self.text((LEFT, 203.5), self.foot, 7).set_color(GREY)
                page = f"page {number} of {len(self.figures)}"
                self.text((RIGHT, 203.5), page, 7, align="right").set_color(GREY)
                pdf.savefig(figure)
        return out.getvalue()


def row_height(columns: Sequence[Column], row: Sequence[str], size: float) -> float:
    """Return the height that a table's row takes, mm; ``size`` of the letters in points."""
    lines = (len(wrap(str(t), c.room, size, c.bold)) for t, c in zip(row, columns, strict=True))
    return size * POINT * LINE * max(1, *lines) + 1.2
