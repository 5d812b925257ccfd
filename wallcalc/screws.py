"""Board screws, counted along the real edges and supports of every board.

A board is screwed along every upright member that it covers, from edge to edge of the board, and along every
level member between those lines. Boards that meet on one member are each screwed to it. All lengths are integers
of 0.1 mm.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from wallcalc.records import Board, Frame, Member

if TYPE_CHECKING:
    from wallcalc.rule_book import Rules


@dataclass(frozen=True, slots=True)
class Spacing:
    """How boards are screwed, 0.1 mm.

    Attributes
    ----------
    most : int
        Largest distance between neighbouring screws along a support.
    edge_bound, edge_cut : int
        Least distance from a bound and from a cut edge of the board.
    timber_edge : int
        Least distance from the edge of the timber.
    """

    most: int
    edge_bound: int
    edge_cut: int
    timber_edge: int


@dataclass(frozen=True, slots=True)
class ScrewLine:
    """A row of screws of one board along one support.

    ``board`` and ``member`` are marks, the ends are the first and last screw, ``count`` the number of screws set
    at equal distances.
    """

    board: str
    side: str
    layer: int
    member: str
    x1: int
    y1: int
    x2: int
    y2: int
    count: int

    def points(self) -> tuple[tuple[float, float], ...]:
        """Return where each screw goes, (x, y) in 0.1 mm."""
        if self.count == 1:
            return (((self.x1 + self.x2) / 2, (self.y1 + self.y2) / 2),)
        step = self.count - 1
        return tuple(
            (self.x1 + (self.x2 - self.x1) * i / step, self.y1 + (self.y2 - self.y1) * i / step)
            for i in range(self.count)
        )


def screws_along(length: int, most: int) -> int:
    """Return the number of screws on a line with one at each end and none further apart than ``most``.

    Parameters
    ----------
    length : int
        Distance between the first and the last screw, 0.1 mm.
    most : int
        Largest distance between neighbours, 0.1 mm.

    Returns
    -------
    int
        1 on a line without length.
    """
    return 1 if length <= 0 else -(-length // most) + 1


def screw_lines(frame: Frame, spacing: Spacing) -> tuple[ScrewLine, ...]:
    """Return the rows of screws of every board.

    Parameters
    ----------
    frame : Frame
        Members and boards.
    spacing : Spacing
        Distances, 0.1 mm.

    Returns
    -------
    tuple of ScrewLine
        In the order of the boards; upright supports first, from the left, then level ones from the floor up.
    """
    out: list[ScrewLine] = []
    for board in frame.boards:
        supports = [
            m for m in frame.members if board.side in m.faces and _covers(board, m, spacing.edge_bound)
        ]
        out += _board_lines(board, supports, spacing)
    return tuple(out)


def count_screws(lines: Iterable[ScrewLine]) -> dict[tuple[str, int], int]:
    """Return the number of screws by (side, layer).

    Parameters
    ----------
    lines : iterable of ScrewLine
        The rows of screws.

    Returns
    -------
    dict
        Keys (side, layer), in order.
    """
    total: dict[tuple[str, int], int] = {}
    for line in lines:
        key = (line.side, line.layer)
        total[key] = total.get(key, 0) + line.count
    return dict(sorted(total.items()))


def screw_length(thicknesses: Sequence[int], penetration: int) -> int:
    """Return the least length of a screw: the layers it goes through and its penetration into the timber.

    Parameters
    ----------
    thicknesses : sequence of int
        Thickness of each layer from the timber out to the one that is fixed, 0.1 mm.
    penetration : int
        Least penetration into the timber, 0.1 mm.

    Returns
    -------
    int
        In 0.1 mm.
    """
    return sum(thicknesses) + penetration


def _covers(board: Board, member: Member, least: int) -> bool:
    """Return whether the board covers enough of the member to be screwed to it, openings not yet considered."""
    wide = min(board.right, member.right) - max(board.x, member.x)
    high = min(board.top, member.top) - max(board.y, member.y)
    return wide >= least and high >= least


def _board_lines(board: Board, supports: Sequence[Member], spacing: Spacing) -> list[ScrewLine]:
    upright = sorted((m for m in supports if m.height > m.width), key=lambda m: (m.x, m.y))
    levels = sorted((m for m in supports if m.height <= m.width), key=lambda m: (m.y, m.x))
    out: list[ScrewLine] = []
    posts: list[tuple[int, int, int]] = []
    for member in upright:
        x = _line(board.x, board.right, member.x, member.right, board.bound_edges, ("left", "right"), spacing)
        low, high = member.y, member.top
        for other in levels:
            if other.x <= x <= other.right:
                if other.top == member.y:
                    low = other.y
                elif other.y == member.top:
                    high = other.top
        for lo, hi in spans(board.outline, x, upright=True):
            y1, y2 = _between(
                max(lo, low), min(hi, high), lo, hi, board.bound_edges, ("bottom", "top"), spacing
            )
            if y1 <= y2:
                count = screws_along(y2 - y1, spacing.most)
                out.append(ScrewLine(board.mark, board.side, board.layer, member.mark, x, y1, x, y2, count))
                posts.append((x, max(lo, low), min(hi, high)))
    for member in levels:
        y = _line(board.y, board.top, member.y, member.top, board.bound_edges, ("bottom", "top"), spacing)
        for lo, hi in spans(board.outline, y, upright=False):
            x1, x2 = _between(
                max(lo, member.x),
                min(hi, member.right),
                lo,
                hi,
                board.bound_edges,
                ("left", "right"),
                spacing,
            )
            if x1 > x2:
                continue
            held = sorted(
                {x for x, low, high in posts if low - spacing.edge_cut <= y <= high + spacing.edge_cut}
            )
            out += _infill(board, member, x1, x2, y, held, spacing)
    return out


def _infill(
    board: Board, member: Member, x1: int, x2: int, y: int, held: Sequence[int], spacing: Spacing
) -> list[ScrewLine]:
    """Return the screws of a level support between the upright rows that already hold the board at it."""
    slack = spacing.edge_cut + spacing.timber_edge
    stops = [x for x in held if x1 - slack - spacing.timber_edge <= x <= x2 + slack + spacing.timber_edge]
    out: list[ScrewLine] = []

    def row(a: int, b: int, count: int) -> None:
        if count > 0:
            out.append(ScrewLine(board.mark, board.side, board.layer, member.mark, a, y, b, y, count))

    if not stops:
        row(x1, x2, screws_along(x2 - x1, spacing.most))
        return out
    for a, b in zip([None, *stops], [*stops, None], strict=True):
        if a is None:
            gap = b - x1
            number = -(-gap // spacing.most) if gap > slack else 0
            row(x1, b - gap // number if number else x1, number)
        elif b is None:
            gap = x2 - a
            number = -(-gap // spacing.most) if gap > slack else 0
            row(a + gap // number if number else x2, x2, number)
        else:
            number = -(-(b - a) // spacing.most) - 1
            if number > 0:
                step = (b - a) / (number + 1)
                row(round(a + step), round(b - step), number)
    return out


def spans(outline: Sequence[tuple[int, int]], at: int, *, upright: bool) -> tuple[tuple[int, int], ...]:
    """Return where a line across a right-angled outline lies inside it.

    Parameters
    ----------
    outline : sequence of (int, int)
        Corners in order, sides along the axes, 0.1 mm.
    at : int
        x of an upright line, or y of a level one, 0.1 mm.
    upright : bool
        Which way the line runs.

    Returns
    -------
    tuple of (int, int)
        Lower and upper ends, ascending. On an edge itself, the inside to the right of (above) it counts.
    """
    i, j = (0, 1) if upright else (1, 0)
    crossings = []
    previous = outline[-1]
    for point in outline:
        if previous[j] == point[j] and min(previous[i], point[i]) <= at < max(previous[i], point[i]):
            crossings.append(point[j])
        previous = point
    crossings.sort()
    return tuple(zip(crossings[::2], crossings[1::2], strict=True))


def _line(
    board_low: int,
    board_high: int,
    low: int,
    high: int,
    bound: Sequence[str],
    names: tuple[str, str],
    spacing: Spacing,
) -> int:
    """Return where the row runs across a member: its middle, or in from the board's edge that lies on it."""
    first, last = max(board_low, low), min(board_high, high)
    if first == board_low and board_low > low:
        edge = board_low + (spacing.edge_bound if names[0] in bound else spacing.edge_cut)
        return min(edge, last - min(spacing.timber_edge, (last - first) // 2))
    if last == board_high and board_high < high:
        edge = board_high - (spacing.edge_bound if names[1] in bound else spacing.edge_cut)
        return max(edge, first + min(spacing.timber_edge, (last - first) // 2))
    return (first + last) // 2


def _between(
    low: int,
    high: int,
    board_low: int,
    board_high: int,
    bound: Sequence[str],
    names: tuple[str, str],
    spacing: Spacing,
) -> tuple[int, int]:
    """Return the first and last screw of a row: in from the edge of the board, or of the timber."""
    ends = []
    for name, at, edge in ((names[0], low, board_low), (names[1], high, board_high)):
        if at == edge:
            ends.append(spacing.edge_bound if name in bound else spacing.edge_cut)
        else:
            ends.append(spacing.timber_edge)
    first, last = low + ends[0], high - ends[1]
    if first > last and high > low:
        first = last = (low + high) // 2
    return first, last


def spacing_of(rules: Rules, centres: int, *, layer: int = 1, layers: int = 1) -> Spacing:
    """Return the spacing that the rules ask for.

    Parameters
    ----------
    rules : Rules
        The trade rules.
    centres : int
        Largest stud centres of the wall, 0.1 mm; some rules let screws stand further apart on closer studs.
    layer, layers : int
        The layer that is fixed and the number of layers on that side.

    Returns
    -------
    Spacing
        In 0.1 mm.
    """
    raise NotImplementedError
