"""The elevation of one face: frame, boards and joints, fill, openings, running dimensions, marks."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import Any

from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.collections import LineCollection, PathCollection, PolyCollection

from wallcalc.draw import frame_marks, style
from wallcalc.draw.fitting_key import ROW, FittingKey, entries
from wallcalc.draw.fittings import Fittings
from wallcalc.draw.frame_marks import ADDED, added_for, carrying, joist_boxes, joist_lines
from wallcalc.draw.label_spot import calm_spot
from wallcalc.draw.labels import Labels
from wallcalc.draw.shapes import hatching, outline, together
from wallcalc.draw.style import look, spread, to_img
from wallcalc.records import UPRIGHT, Member
from wallcalc.units.lengths import MM

LABEL_STEP = 8.6
"""Least distance between neighbouring dimensions, points."""
JOIST_BAND = 8.0
"""Height kept for joists over the ceiling line, points."""
DOUBLED_ROLES = ("double stud", "trimmer")


class Elevation:
    """One face of a wall on one axes, kept and updated so that a change is shown quickly.

    Parameters
    ----------
    ax : matplotlib.axes.Axes
        Where to draw; its figure should be about 620 x 470 pixels or larger.
    format_length : callable, optional
        Turns mm into the number of a dimension; plain mm when left out, otherwise inches.
    """

    def __init__(self, ax: Axes, format_length: Callable[[float], str] | None = None) -> None:
        self.ax = ax
        self.format_length = format_length or _plain
        self.unit = "in" if format_length else "mm"
        with look():
            ax.set_axis_off()
            ax.set_aspect("equal", adjustable="box", anchor="C")
            self._fill = ax.add_collection(
                PathCollection(
                    [], facecolor=style.SLAB, edgecolor=style.SLAB_HATCH, hatch="//", linewidth=0.4
                ),
                autolim=False,
            )
            self._timber = ax.add_collection(
                PolyCollection([], edgecolor=style.TIMBER_EDGE, linewidth=0.7), autolim=False
            )
            self._boards = ax.add_collection(
                PolyCollection([], facecolor=style.BOARD, edgecolor=style.BOARD_EDGE, linewidth=0.6),
                autolim=False,
            )
            self._openings = ax.add_collection(
                LineCollection([], colors=style.SOFT, linewidths=0.8, linestyles=(0, (6, 3))), autolim=False
            )
            self._joints = {
                kind: ax.add_collection(
                    LineCollection([], colors=colour, linestyles=dash, linewidths=width, capstyle="butt"),
                    autolim=False,
                )
                for kind, (colour, dash, width) in style.JOINT_KINDS.items()
            }
            self._joists = ax.add_collection(
                LineCollection([], colors=style.TIMBER_EDGE, linewidths=0.7), autolim=False
            )
            self._lines = ax.add_collection(
                LineCollection([], colors=style.SOFT, linewidths=0.6), autolim=False
            )
        self._hatched = hatching(ax, style.HUNG, style.HUNG_HATCH)
        self._dotted = hatching(ax, style.PIPE_EDGE, style.SERVICE_HATCH)
        self._fittings = Fittings(ax, self.format_length, inches=format_length is not None)
        self._key = FittingKey(ax)
        self._labels = Labels(ax)
        self._write = self._labels.write
        self._ground: Any = None

    def scale_for(self, design: Any, side: str) -> float:
        """Return how many mm of a design's wall a point of the picture stands for."""
        self._rows = self._key.rows(entries(design, side), self._points(design.frame.length / 10)[0])
        self._above = JOIST_BAND if joist_boxes(design) else 0.0
        return self._scale(design.frame.length / 10, design.frame.height / 10)

    def update(self, design: Any, side: str, layer: int = 1, *, scale: float = 0.0) -> None:
        """Show a design's face."""
        length, height = design.frame.length / 10, design.frame.height / 10
        flip = _mirror(length) if side == "B" else _same
        joists = joist_boxes(design)
        scale = max(scale, self.scale_for(design, side))
        self._limits(length, height, scale)
        self._labels.begin(scale, (0.0, 0.0, length, height))
        taken, wishes = self._fittings.update(design, side, flip, scale)
        self._labels.keep_off(taken)
        members = design.frame.members
        self._draw_timber(design, members, flip)
        lines = self._measured_heights(getattr(design.frame, "profile", None), length, flip, scale)
        self._draw_boards(design, side, layer, flip, scale)
        self._fill.set_paths(together(outline(p.corners, flip) for p in design.slab_pieces))
        self._draw_openings(design.frame.clears, flip, scale)
        self._joists.set_segments(joist_lines(joists, flip, scale))
        lines += self._stud_dimensions(members, length, height, flip, side, scale)
        lines += self._height_dimensions(members, design.frame.clears, length, height, flip, scale)
        self._lines.set_segments(lines)
        self._key.update(
            self._rows, sum(self.ax.get_xlim()) / 2, -(self._foot(length) + 1.0) * scale, self._labels
        )
        self._labels.put(wishes)
        self._noggin_marks(members, flip, scale)
        self._labels.finish()

    def show(self, alt: str) -> str:
        """Return the picture as an HTML image; what never changes (the key) is drawn once and kept as pixels."""
        figure = self.ax.figure
        if self._ground is None:
            self.ax.set_visible(False)
            with look():
                figure.canvas.draw()
            self._ground = figure.canvas.copy_from_bbox(figure.bbox)
            self.ax.set_visible(True)
        figure.canvas.restore_region(self._ground)
        self.ax.apply_aspect()
        renderer = figure.canvas.get_renderer()
        shapes = [shape for shape in self.ax.collections if shape.get_paths()]
        for artist in sorted((*shapes, *self.ax.texts), key=Artist.get_zorder):
            artist.draw(renderer)
        return to_img(figure, alt, drawn=True)

    def _points(self, length: float) -> tuple[float, float, float]:
        """Return width and height of the axes and the room kept left of the wall, points."""
        box = self.ax.get_window_extent()
        inch = self.ax.figure.dpi
        letters = len(self.format_length(length - 1))
        return box.width / inch * 72, box.height / inch * 72, 24.0 + 4.0 * letters

    def _foot(self, length: float) -> float:
        """Return how far under the wall the dimensions reach, points; those in inches have more letters."""
        return 24.0 + 4.0 * len(self.format_length(length - 1))

    def _room(self, length: float) -> tuple[float, float, float, float]:
        """Return what is kept free left, right, below and above the wall, points."""
        left = self._points(length)[2]
        return left, 12.0, self._foot(length) + ROW * len(self._rows), 30.0 + self._above

    def _scale(self, length: float, height: float) -> float:
        wide, tall, _ = self._points(length)
        left, right, below, above = self._room(length)
        return max(length / (wide - left - right), height / (tall - below - above))

    def _limits(self, length: float, height: float, scale: float) -> None:
        """Set the view round the wall."""
        wide, tall, _ = self._points(length)
        left, right, below, above = self._room(length)
        spare_x = (wide - left - right) * scale - length
        self.ax.set_xlim(-left * scale - spare_x / 2, length + right * scale + spare_x / 2)
        spare_y = (tall - below - above) * scale - height
        self.ax.set_ylim(-below * scale - spare_y / 2, height + above * scale + spare_y / 2)

    def _draw_timber(self, design: Any, members: Sequence[Member], flip: Callable[[float], float]) -> None:
        added, carries = added_for(design), carrying(design)
        boxes, colours, hatched, dotted = [], [], [], []
        for m in members:
            box = outline(m.corners, flip)
            boxes.append(box)
            flat = m.role == "noggin" and m.depth < min(m.width, m.height)
            plain = (
                style.TIMBER_FLAT
                if flat
                else style.TIMBER_DOUBLE
                if m.role in DOUBLED_ROLES
                else style.TIMBER
            )
            colours.append(
                ADDED.get(added.get(m.mark, ""), style.PATTRESS if m.role == "pattress" else plain)
            )
            if m.role == "pattress" or m.mark in carries:
                hatched.append(box)
            elif added.get(m.mark) == "service":
                dotted.append(box)
        self._timber.set_verts(boxes, closed=True)
        self._timber.set_facecolor(colours)
        self._hatched.set_paths(together(hatched))
        self._dotted.set_paths(together(dotted))

    def _draw_boards(
        self, design: Any, side: str, layer: int, flip: Callable[[float], float], scale: float
    ) -> None:
        boards = [b for b in design.frame.boards if (b.side, b.layer) == (side, layer)]
        self._boards.set_verts([outline(b.outline, flip) for b in boards], closed=True)
        for board in boards:
            x, y, room = calm_spot(tuple((x / MM, y / MM) for x, y in board.outline))
            size = 8.5 if room / scale > 26 else 6.5
            x, y = self._clear_of_fittings(flip(x), y, board.mark, size, room)
            self._write(x, y, board.mark, size=size, bold=True, color="#1f4e79", box=True)
        parts: dict[str, list] = {kind: [] for kind in self._joints}
        for j in design.frame.joints:
            if (j.side, j.layer) == (side, layer):
                parts[j.kind].append([(flip(j.x1 / MM), j.y1 / MM), (flip(j.x2 / MM), j.y2 / MM)])
        for kind, segments in parts.items():
            self._joints[kind].set_segments(segments)

    def _clear_of_fittings(
        self, x: float, y: float, mark: str, size: float, room: float
    ) -> tuple[float, float]:
        """Return where a board's mark covers no fixing or hole: its calm spot, or a place near it."""
        wide, tall = self._labels.extent(mark, size, True)
        steps = (0.0, 0.2, -0.2, 0.4, -0.4, 0.6, -0.6, 0.8, -0.8)
        near = sorted((abs(i) + abs(j), i, j) for i in steps for j in steps)
        for _, i, j in near:
            at = (x + i * room, y + j * room)
            if self._labels.free(*at, wide, tall):
                return at
        return x, y

    def _draw_openings(self, clears: Iterable[Any], flip: Callable[[float], float], scale: float) -> None:
        lines = []
        for clear in clears:
            left, right = sorted((flip(clear.left / 10), flip(clear.right / 10)))
            bottom, top = clear.bottom / 10, clear.top / 10
            lines += [
                [(left, bottom), ((left + right) / 2, top)],
                [((left + right) / 2, top), (right, bottom)],
            ]
            size = (
                f"{clear.kind} opening\n{self.format_length(right - left)} wide\n"
                f"{self.format_length(top - bottom)} high"
            )
            room = (right - left) / scale
            self._write(
                (left + right) / 2,
                bottom + 0.40 * (top - bottom),
                size,
                size=7.5 if room > 62 else 6.0,
                color=style.SOFT,
                box=True,
                rotation=0 if room > 50 else 90,
            )
        self._openings.set_segments(lines)

    def _stud_dimensions(
        self,
        members: Sequence[Member],
        length: float,
        height: float,
        flip: Callable[[float], float],
        side: str,
        scale: float,
    ) -> list:
        """Write marks above and running dimensions below every stud; return their leader lines."""
        studs = [(flip(m.x / MM + m.width / MM / 2), m.mark) for m in members if m.role in UPRIGHT]
        studs.sort()
        limits = (LABEL_STEP * scale, -6 * scale, length + 6 * scale)
        lines = []
        for (x, mark), spot in zip(studs, spread([x for x, _ in studs], *limits), strict=True):
            low = height + self._above * scale
            lines.append([(x, low + 2 * scale), (spot, low + 6 * scale)])
            self._write(spot, low + 7 * scale, mark, size=6.8, va="bottom", rotation=90, color=style.SOFT)
        centres = sorted({round(x, 1) for x, _ in studs})
        for x, spot in zip(centres, spread(centres, *limits), strict=True):
            lines.append([(x, -2 * scale), (x, -5 * scale), (spot, -9 * scale)])
            self._write(spot, -10.5 * scale, self.format_length(x), size=6.8, va="top", rotation=90)
        end = "left" if side == "A" else "left, seen from room B"
        self._write(
            length / 2,
            -(self._foot(length) - 1.0) * scale,
            f"stud centres, {self.unit}, from the {end}; clear length {self.format_length(length)} {self.unit}",
            size=6.8,
            va="bottom",
            color=style.SOFT,
        )
        return lines

    def _height_dimensions(
        self,
        members: Sequence[Member],
        clears: Iterable[Any],
        length: float,
        height: float,
        flip: Callable[[float], float],
        scale: float,
    ) -> list:
        """Heights from the floor on the left: noggin rows by their centre, opening heads, ceiling."""
        del flip, length
        heights = {0.0, height}
        heights.update(round(m.y / MM + m.height / MM / 2, 1) for m in members if m.role == "noggin")
        heights.update(clear.top / 10 for clear in clears)
        wanted = sorted(heights)
        lines = []
        for y, spot in zip(wanted, spread(wanted, LABEL_STEP * scale, 0.0, height), strict=True):
            lines.append([(-3 * scale, y), (-6 * scale, y), (-11 * scale, spot)])
            self._write(-12.5 * scale, spot, self.format_length(y), size=6.8, ha="right")
        return lines

    def _measured_heights(
        self, profile: Any, length: float, flip: Callable[[float], float], scale: float
    ) -> list:
        """Write the height of an uneven ceiling and floor at each point measured, above the level line."""
        lines = []
        for x, y, off in frame_marks.measured_points(profile):
            at, text = flip(x), self.format_length(y)
            wide = self._labels.extent(text, 6.8)[0] / 2
            spot = min(max(at, wide), length - wide)
            lines.append([(at, y), (spot, y + off * scale / 2)])
            self._write(spot, y + off * scale, text, size=6.8, box=True)
        return lines

    def _noggin_marks(self, members: Sequence[Member], flip: Callable[[float], float], scale: float) -> None:
        for m in members:
            if m.role not in ("noggin", "pattress", "door head", "sill"):
                continue
            x, y, w, h = (v / MM for v in (m.x, m.y, m.width, m.height))
            wide = 3.4 * len(m.mark) + 4
            if w / scale > wide:
                up, middle = y + h + 1.8 * scale, flip(x + w / 2)
                if self._labels.free(middle, up + 4 * scale, wide * scale, 8 * scale):
                    self._write(middle, up, m.mark, size=6.0, color=style.SOFT, va="bottom", box=True)


def draw_elevation(
    ax: Axes, design: Any, side: str, layer: int = 1, format_length: Callable[[float], str] | None = None
) -> Elevation:
    """Draw one face of a design and return the elevation, whose ``update`` shows another."""
    elevation = Elevation(ax, format_length)
    elevation.update(design, side, layer)
    return elevation


def _plain(value: float) -> str:
    return f"{value:.1f}".rstrip("0").rstrip(".") if value % 1 else f"{value:.0f}"


def _same(x: float) -> float:
    return x


def _mirror(length: float) -> Callable[[float], float]:
    return lambda x: length - x
