"""The elevation of one face: frame, boards and joints, fill, openings, running dimensions, marks."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from functools import lru_cache
from typing import Any

from matplotlib.axes import Axes
from matplotlib.collections import LineCollection, PolyCollection
from matplotlib.lines import Line2D
from matplotlib.patches import Patch
from matplotlib.text import Text

from wallcalc.draw import style
from wallcalc.draw.style import look, spread

UPRIGHT_ROLES = ("end stud", "stud", "double stud", "jamb stud", "trimmer")
DOUBLED_ROLES = ("double stud", "trimmer", "pattress")

Points = list[tuple[float, float]]


class Elevation:
    """One face of a wall on one axes, kept and updated so that a change is shown quickly.

    Parameters
    ----------
    ax : matplotlib.axes.Axes
        Where to draw; its figure should be about 620 x 470 pixels or larger.
    format_length : callable, optional
        Turns mm into the text of a dimension; plain mm when left out.
    """

    def __init__(self, ax: Axes, format_length: Callable[[float], str] | None = None) -> None:
        self.ax = ax
        self.format_length = format_length or _plain
        with look():
            ax.set_axis_off()
            ax.set_aspect("equal", adjustable="box", anchor="C")
            self._fill = ax.add_collection(
                PolyCollection(
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
            self._lines = ax.add_collection(
                LineCollection([], colors=style.SOFT, linewidths=0.6), autolim=False
            )
        self._texts: list[Text] = []
        self._used = 0

    def update(self, design: Any, side: str, layer: int = 1) -> None:
        """Show a design's face.

        Parameters
        ----------
        design : Design
            Its ``members``, ``boards``, ``joints``, ``fill`` (tables, mm) and ``frame`` are read.
        side : str
            "A" or "B"; side B is mirrored, as seen from room B.
        layer : int
            The layer of board shown: 1 lies against the frame.
        """
        length, height = design.frame.length / 10, design.frame.height / 10
        flip = _mirror(length) if side == "B" else _same
        scale = self._limits(length, height)
        self._used = 0
        members = _rows(design.members, "mark", "role", "x", "y", "width", "height", "depth", "faces")
        self._draw_timber(members, flip)
        self._draw_boards(design, side, layer, flip, scale)
        slabs = _rows(design.fill, "x", "y", "width", "height")
        self._fill.set_verts([_box(flip, x, y, w, h) for x, y, w, h in slabs], closed=True)
        self._draw_openings(design.frame.clears, flip, scale)
        lines = self._stud_dimensions(members, length, height, flip, side, scale)
        lines += self._height_dimensions(members, design.frame.clears, length, height, flip, scale)
        self._lines.set_segments(lines)
        self._noggin_marks(members, flip, scale)
        for text in self._texts[self._used :]:
            text.set_visible(False)

    def _limits(self, length: float, height: float) -> float:
        """Set the view round the wall; return mm of wall for one point of the picture."""
        box = self.ax.get_window_extent()
        inch = self.ax.figure.dpi
        wide, tall = box.width / inch * 72, box.height / inch * 72
        left, right, below, above = 44.0, 12.0, 40.0, 26.0  # points kept free for dimensions and marks
        scale = max(length / (wide - left - right), height / (tall - below - above))
        spare_x = (wide - left - right) * scale - length
        self.ax.set_xlim(-left * scale - spare_x / 2, length + right * scale + spare_x / 2)
        spare_y = (tall - below - above) * scale - height
        self.ax.set_ylim(-below * scale - spare_y / 2, height + above * scale + spare_y / 2)
        return scale

    def _draw_timber(self, members: list[tuple], flip: Callable[[float], float]) -> None:
        boxes, colours = [], []
        for _, role, x, y, w, h, depth, _faces in members:
            boxes.append(_box(flip, x, y, w, h))
            flat = role == "noggin" and depth < min(w, h)
            doubled = role in DOUBLED_ROLES
            colours.append(style.TIMBER_FLAT if flat else style.TIMBER_DOUBLE if doubled else style.TIMBER)
        self._timber.set_verts(boxes, closed=True)
        self._timber.set_facecolor(colours)

    def _draw_boards(
        self, design: Any, side: str, layer: int, flip: Callable[[float], float], scale: float
    ) -> None:
        boards = design.boards
        boards = boards[(boards["side"] == side) & (boards["layer"] == layer)]
        outlines = [[(flip(x), y) for x, y in outline] for outline in boards["outline"]]
        self._boards.set_verts(outlines, closed=True)
        for mark, outline in zip(boards["mark"], boards["outline"], strict=True):
            x, y, room = _calm_spot(tuple(map(tuple, outline)))
            size = 8.5 if room / scale > 26 else 6.5
            self._write(flip(x), y, mark, size=size, bold=True, color="#1f4e79", box=True)
        joints = design.joints
        joints = joints[(joints["side"] == side) & (joints["layer"] == layer)]
        parts: dict[str, list] = {kind: [] for kind in self._joints}
        for x1, y1, x2, y2, kind in _rows(joints, "x1", "y1", "x2", "y2", "kind"):
            parts[kind].append([(flip(x1), y1), (flip(x2), y2)])
        for kind, segments in parts.items():
            self._joints[kind].set_segments(segments)

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
        members: list[tuple],
        length: float,
        height: float,
        flip: Callable[[float], float],
        side: str,
        scale: float,
    ) -> list:
        """Write marks above and running dimensions below every stud; return their leader lines."""
        shown = (*UPRIGHT_ROLES, "short stud")
        studs = [(flip(x + w / 2), mark) for mark, role, x, _, w, _, _, _ in members if role in shown]
        studs.sort()
        spots = spread([x for x, _ in studs], 8.6 * scale, -6 * scale, length + 6 * scale)
        lines = []
        for (x, mark), spot in zip(studs, spots, strict=True):
            lines += [
                [(x, -2 * scale), (x, -5 * scale), (spot, -9 * scale)],
                [(x, height + 2 * scale), (spot, height + 6 * scale)],
            ]
            self._write(spot, -10.5 * scale, self.format_length(x), size=6.8, va="top", rotation=90)
            self._write(spot, height + 7 * scale, mark, size=6.8, va="bottom", rotation=90, color=style.SOFT)
        end = "left" if side == "A" else "left, seen from room B"
        self._write(
            length / 2,
            -39 * scale,
            f"stud centres from the {end}; clear length {self.format_length(length)}",
            size=6.8,
            va="bottom",
            color=style.SOFT,
        )
        return lines

    def _height_dimensions(
        self,
        members: list[tuple],
        clears: Iterable[Any],
        length: float,
        height: float,
        flip: Callable[[float], float],
        scale: float,
    ) -> list:
        """Heights from the floor on the left: noggin rows by their centre, opening heads, ceiling."""
        del flip, length
        heights = {0.0, height}
        rows = sorted({round(y + h / 2, 1) for _, role, _, y, _, h, _, _ in members if role == "noggin"})
        heights.update(rows)
        heights.update(clear.top / 10 for clear in clears)
        wanted = sorted(heights)
        lines = []
        for y, spot in zip(wanted, spread(wanted, 8.6 * scale, 0.0, height), strict=True):
            lines.append([(-3 * scale, y), (-6 * scale, y), (-11 * scale, spot)])
            self._write(-12.5 * scale, spot, self.format_length(y), size=6.8, ha="right")
        return lines

    def _noggin_marks(self, members: list[tuple], flip: Callable[[float], float], scale: float) -> None:
        for mark, role, x, y, w, h, _, _ in members:
            if role not in ("noggin", "pattress", "door head", "sill"):
                continue
            if w / scale > 3.4 * len(mark) + 4:
                up = y + h + 1.8 * scale
                self._write(flip(x + w / 2), up, mark, size=6.0, color=style.SOFT, va="bottom", box=True)

    def _write(
        self, x: float, y: float, text: str, *, size: float, bold: bool = False, box: bool = False, **how: Any
    ) -> None:
        """Place a text, taking it from the pool of earlier ones."""
        settings = {"color": style.INK, "ha": "center", "va": "center", "rotation": 0}
        settings.update(how)
        if self._used == len(self._texts):
            with look():
                self._texts.append(self.ax.text(0, 0, "", clip_on=False, linespacing=1.25, zorder=6))
        item = self._texts[self._used]
        self._used += 1
        item.set_visible(True)
        item.set_position((x, y))
        item.set_text(text)
        item.set(fontproperties=style.sized(size, bold), **settings)
        item.set_bbox(
            {"facecolor": style.PAPER, "edgecolor": "none", "alpha": 0.82, "pad": 1.2} if box else None
        )


def draw_elevation(
    ax: Axes, design: Any, side: str, layer: int = 1, format_length: Callable[[float], str] | None = None
) -> Elevation:
    """Draw one face of a design and return the elevation, whose ``update`` shows another.

    Parameters
    ----------
    ax : matplotlib.axes.Axes
        An empty axes.
    design : Design
        What to draw.
    side : str
        "A" or "B" (mirrored, as seen from room B).
    layer : int
        Layer of board shown, 1 against the frame.
    format_length : callable, optional
        Turns mm into the text of a dimension.

    Returns
    -------
    Elevation
    """
    elevation = Elevation(ax, format_length)
    elevation.update(design, side, layer)
    return elevation


def elevation_key(figure: Any) -> None:
    """Put the key (what each line and colour is) at the figure's foot, once.

    Parameters
    ----------
    figure : matplotlib.figure.Figure
        The figure of an elevation.
    """
    names = {
        "bound-bound": "joint, bound edges",
        "bound-cut": "joint, bound and cut",
        "cut-cut": "joint, cut edges",
    }
    with look():
        handles: list[Any] = [
            Line2D([], [], color=c, linestyle=d, linewidth=w, label=names[kind])
            for kind, (c, d, w) in style.JOINT_KINDS.items()
            if kind in names
        ]
        handles += [
            Patch(facecolor=style.TIMBER, edgecolor=style.TIMBER_EDGE, label="timber"),
            Patch(facecolor=style.BOARD, edgecolor=style.BOARD_EDGE, label="board"),
            Patch(facecolor=style.SLAB, edgecolor=style.SLAB_HATCH, hatch="//", label="cavity fill"),
        ]
        figure.legend(
            handles=handles,
            loc="lower center",
            ncols=len(handles),
            bbox_to_anchor=(0.5, 0.0),
            columnspacing=1.3,
            handletextpad=0.5,
            handlelength=2.0,
            fontsize=7.0,
        )


def elevation_alt(design: Any, side: str, layer: int = 1) -> str:
    """Return the text that stands for the picture: what it shows and what follows from it.

    Parameters
    ----------
    design : Design
        What is drawn.
    side : str
        "A" or "B".
    layer : int
        Layer of board shown.

    Returns
    -------
    str
    """
    members, joints, boards = design.members, design.joints, design.boards
    studs = int(members["role"].isin(UPRIGHT_ROLES).sum())
    noggins = int((members["role"] == "noggin").sum())
    boards = boards[(boards["side"] == side) & (boards["layer"] == layer)]
    joints = joints[(joints["side"] == side) & (joints["layer"] == layer)]
    metres = joints.groupby("kind")["length"].sum() / 1000
    kinds = ", ".join(
        f"{metres[k]:.1f} m {k}" for k in ("bound-bound", "bound-cut", "cut-cut") if k in metres
    )
    fill = f"{len(design.fill)} bays filled" if len(design.fill) else "cavity empty"
    room = design.wall.room_a.name if side == "A" else design.wall.room_b.name
    return (
        f"Elevation of side {side}{f', seen from the {room}' if room else ''}: {studs} full-height studs, "
        f"{noggins} noggins, {len(boards)} boards in layer {layer}; board joints {kinds or 'none'}; {fill}."
    )


def _plain(value: float) -> str:
    return f"{value:.1f}".rstrip("0").rstrip(".") if value % 1 else f"{value:.0f}"


def _same(x: float) -> float:
    return x


def _mirror(length: float) -> Callable[[float], float]:
    return lambda x: length - x


def _rows(table: Any, *columns: str) -> list[tuple]:
    return list(zip(*(table[c].tolist() for c in columns), strict=True))


def _box(flip: Callable[[float], float], x: float, y: float, w: float, h: float) -> Points:
    a, b = flip(x), flip(x + w)
    return [(a, y), (b, y), (b, y + h), (a, y + h)]


@lru_cache(maxsize=2048)
def _calm_spot(outline: Sequence[tuple[float, float]]) -> tuple[float, float, float]:
    """Return a point well inside the outline and its clear distance to the edges (coarse grid search)."""
    xs, ys = [p[0] for p in outline], [p[1] for p in outline]
    x0, x1, y0, y1 = min(xs), max(xs), min(ys), max(ys)
    edges = list(zip(outline, [*outline[1:], outline[0]], strict=True))
    if len(outline) == 4:
        return (x0 + x1) / 2, y0 + 0.56 * (y1 - y0), min(x1 - x0, y1 - y0) / 2
    best = ((x0 + x1) / 2, (y0 + y1) / 2, -1.0)
    for i in range(1, 12):
        for j in range(1, 12):
            x, y = x0 + (x1 - x0) * i / 12, y0 + (y1 - y0) * j / 12
            if not _inside(x, y, edges):
                continue
            near = min(_distance(x, y, a, b) for a, b in edges)
            if near > best[2] + 1e-6:
                best = (x, y, near)
    return best


def _inside(x: float, y: float, edges: Sequence) -> bool:
    crossings = 0
    for (xa, ya), (xb, yb) in edges:
        if (ya > y) != (yb > y) and x < xa + (y - ya) / (yb - ya) * (xb - xa):
            crossings += 1
    return crossings % 2 == 1


def _distance(x: float, y: float, a: tuple[float, float], b: tuple[float, float]) -> float:
    dx, dy = b[0] - a[0], b[1] - a[1]
    long2 = dx * dx + dy * dy
    t = 0.0 if long2 == 0 else max(0.0, min(1.0, ((x - a[0]) * dx + (y - a[1]) * dy) / long2))
    return ((x - a[0] - t * dx) ** 2 + (y - a[1] - t * dy) ** 2) ** 0.5
