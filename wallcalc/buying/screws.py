"""Board screws, counted along the real edges and supports of every board.

A board is screwed along every upright member that it covers, from edge to edge of the board, and along
every level member between those lines. Boards that meet on one member are each screwed to it. All lengths
are integers of 0.1 mm.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise

from wallcalc.buying.screw_rows import (
    ScrewLine,
    Spacing,
    beside_openings,
    between_edges,
    infill,
    row_across,
)
from wallcalc.buying.uneven_screws import uneven_board_screws
from wallcalc.geometry.rectangles import Clear, spans
from wallcalc.records import FULL_HEIGHT, Board, Frame, Member
from wallcalc.trade.rules import Rules


def spacing_of(rules: Rules, centres: int, *, base_layer: bool = False) -> Spacing:
    """Return the spacing that the rules ask for.

    Parameters
    ----------
    rules : Rules
        ``screw.*`` and the edge distances of ``joint.*`` are read.
    centres : int
        Largest stud centres of the wall, 0.1 mm; some rules let screws stand further apart on closer studs.
    base_layer : bool
        Whether this is a layer that another one covers.

    Returns
    -------
    Spacing
        In 0.1 mm.
    """
    near = centres <= rules.tenths("screw.close_studs_to")
    most = rules.tenths("screw.spacing_close_studs" if near else "screw.spacing")
    if base_layer:
        most = rules.tenths("screw.spacing_base_layer")
    return Spacing(
        most=most,
        corner=most if base_layer else min(most, rules.tenths("screw.spacing_corner")),
        edge_bound=rules.tenths("joint.edge_bound"),
        edge_cut=rules.tenths("joint.edge_cut"),
        timber_edge=rules.tenths("joint.timber_edge"),
    )


def largest_centres(frame: Frame) -> int:
    """Return the largest distance between the middles of neighbouring studs, openings left out.

    Parameters
    ----------
    frame : Frame
        Members and openings.

    Returns
    -------
    int
        In 0.1 mm; 0 when there are fewer than two studs.
    """
    if not frame.profile.is_level:
        tall = [m for m in frame.members if m.role in FULL_HEIGHT]
    else:
        half = frame.height // 2
        tall = [m for m in frame.members if m.height > max(m.width, half)]
    studs = sorted({m.x + m.width // 2 for m in tall})
    return max(
        (
            b - a
            for a, b in pairwise(studs)
            if not any(c.kind == "door" and a < c.right and b > c.left for c in frame.clears)
        ),
        default=0,
    )


def screw_lines(frame: Frame, rules: Rules) -> tuple[ScrewLine, ...]:
    """Return the rows of screws of every board of a frame.

    Parameters
    ----------
    frame : Frame
        Members, boards and openings.
    rules : Rules
        The trade rules, see :func:`spacing_of`.

    Returns
    -------
    tuple of ScrewLine
        In the order of the boards; upright supports first, from the left, then level ones from the floor up.
    """
    centres = largest_centres(frame)
    outer: dict[str, int] = {}
    for board in frame.boards:
        outer[board.side] = max(outer.get(board.side, 1), board.layer)
    spacings = {base: spacing_of(rules, centres, base_layer=base) for base in (False, True)}
    out: list[ScrewLine] = []
    for board in frame.boards:
        spacing = spacings[board.layer < outer[board.side]]
        if frame.profile.is_level:
            out += board_screws(board, frame.members, frame.clears, spacing)
            continue
        supports = _supports(board, frame.members, spacing.edge_bound)
        out += uneven_board_screws(board, supports, frame.clears, spacing, frame.profile)
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


def _supports(board: Board, members: Sequence[Member], least: int) -> list[Member]:
    """Return the members on the board's side of which it covers enough to be screwed to, openings aside."""
    side, left, right, low, top = (
        board.side,
        board.x + least,
        board.right - least,
        board.y + least,
        board.top - least,
    )
    return [
        m
        for m in members
        if m.x <= right
        and m.x + m.width >= left
        and m.y <= top
        and m.y + m.height >= low
        and side in m.faces
        and m.width >= least <= m.height
    ]


def board_screws(
    board: Board, members: Sequence[Member], clears: Sequence[Clear], spacing: Spacing
) -> list[ScrewLine]:
    """Return the rows of screws of one board.

    Parameters
    ----------
    board : Board
        The board.
    members : sequence of Member
        Members; those that touch the board's side and that it covers are its supports.
    clears : sequence of Clear
        Openings: along their edges screws are closer.
    spacing : Spacing
        Distances, 0.1 mm.

    Returns
    -------
    list of ScrewLine
        Upright supports first, from the left, then level ones from the floor up.
    """
    supports = _supports(board, members, spacing.edge_bound)
    upright = sorted((m for m in supports if m.height > m.width), key=lambda m: (m.x, m.y))
    levels = sorted((m for m in supports if m.height <= m.width), key=lambda m: (m.y, m.x))
    out: list[ScrewLine] = []
    posts: list[tuple[int, int, int]] = []

    def add(member: Member, x1: int, y1: int, x2: int, y2: int, count: int) -> None:
        if count > 0:
            out.append(ScrewLine(board.mark, board.side, board.layer, member.mark, x1, y1, x2, y2, count))

    for member in upright:
        x = row_across(
            board.x, board.right, member.x, member.right, board.bound_edges, ("left", "right"), spacing
        )
        low, high = member.y, member.top
        for other in levels:
            if other.x <= x <= other.right:
                if other.top == member.y:
                    low = other.y
                elif other.y == member.top:
                    high = other.top
        for lo, hi in spans(board.outline, x, upright=True):
            first, last = max(lo, low), min(hi, high)
            y1, y2 = between_edges(first, last, lo, hi, board.bound_edges, ("bottom", "top"), spacing)
            if y1 > y2:
                continue
            posts.append((x, first, last))
            for a, b, count in beside_openings(y1, y2, member, clears, spacing):
                add(member, x, a, x, b, count)
    reach = max((m.width for m in upright), default=0)
    for member in levels:
        y = row_across(
            board.y, board.top, member.y, member.top, board.bound_edges, ("bottom", "top"), spacing
        )
        edge = any(
            (member.y == c.top or member.top == c.bottom) and member.x < c.right and member.right > c.left
            for c in clears
        )
        most = spacing.corner if edge else spacing.most
        for lo, hi in spans(board.outline, y, upright=False):
            x1, x2 = between_edges(
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
            held = sorted({x for x, low, high in posts if low <= y <= high})
            stops = [x for x in held if member.x - reach <= x <= member.right + reach]
            for a, b, count in infill(x1, x2, stops, spacing.edge_cut + spacing.timber_edge, most):
                add(member, a, y, b, y, count)
    return out
