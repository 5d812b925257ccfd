"""Joints and corners of boards cut to a slope, and what backs them. All lengths are integers of 0.1 mm."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from itertools import pairwise

from wallcalc.geometry.profile import Profile
from wallcalc.geometry.rectangles import clip
from wallcalc.geometry.sloped import edges_at, share_area
from wallcalc.records import EDGES, Board, Joint, Member

Marked = tuple[Board, tuple[str, str, str, str]]
"""A board with the kinds of its ends: left, right, bottom, top."""


def meeting_edges(
    boards: Sequence[Marked], kind: Callable[[str, str], tuple[str, int]], *, upright: bool
) -> list[Joint]:
    """Return the upright, or the level, joints of one lining from the sides that boards have in common.

    Parameters
    ----------
    boards : sequence of (Board, kinds)
        The boards.
    kind : callable
        Gives a joint's kind and the timber it needs for the kinds of its two edges.
    upright : bool
        Which joints.
    """
    found = []
    for board, kinds in boards:
        at = board.right if upright else board.top
        for other, other_kinds in boards:
            if (other.x if upright else other.y) != at:
                continue
            for a, b in _shared(board, other, at, upright):
                name, need = kind(kinds[1], other_kinds[0]) if upright else kind(kinds[3], other_kinds[2])
                ends = (at, a, at, b) if upright else (a, at, b, at)
                found.append(Joint(board.side, board.layer, *ends, name, (), need))
    return sorted(found, key=lambda j: (j.x1, j.y1) if upright else (j.y1, j.x1))


def _shared(board: Board, other: Board, at: int, upright: bool) -> Iterator[tuple[int, int]]:
    for a, b in edges_at(board.outline, at, upright=upright):
        for c, d in edges_at(other.outline, at, upright=upright):
            if max(a, c) < min(b, d):
                yield max(a, c), min(b, d)


def corners_along(boards: Sequence[Board], profile: Profile) -> list[Joint]:
    """Return where a lining meets the walls at both ends and, piece by piece, the ceiling."""
    if not boards:
        return []
    side, layer, length = boards[0].side, boards[0].layer, profile.length
    low, high = profile.low, profile.high
    found = [Joint(side, layer, x, low.over(x), x, high.under(x), "corner") for x in (0, length)]
    found += [Joint(side, layer, *a, *b, "corner") for a, b in pairwise(high.points)]
    return found


def real_edges(board_outline: Sequence[tuple[int, int]], bound: set[str]) -> set[str]:
    """Return the bound edges that are there: a board cut to a point has no edge on that side."""
    xs, ys = [x for x, _ in board_outline], [y for _, y in board_outline]
    at = {"left": min(xs), "right": max(xs), "top": max(ys), "bottom": min(ys)}
    return {e for e in EDGES if e in bound and edges_at(board_outline, at[e], upright=e in ("left", "right"))}


def backed_on_slope(joint: Joint, members: Sequence[Member]) -> tuple[str, ...]:
    """Return the marks of the members behind a joint where pieces are cut to a slope.

    The band is as wide as the joint's need, centred on it; along a sloping corner the head plate that follows it
    counts.
    """
    need = max(joint.need, 2)
    if joint.x1 != joint.x2 and joint.y1 != joint.y2:
        return tuple(
            m.mark
            for m in members
            if m.role == "head plate" and joint.side in m.faces and m.x < joint.x2 and m.right > joint.x1
        )
    if joint.x1 == joint.x2:
        band = (joint.x1 - need // 2, joint.y1, joint.x1 + need // 2, joint.y2)
    else:
        band = (joint.x1, joint.y1 - need // 2, joint.x2, joint.y1 + need // 2)
    return tuple(
        m.mark
        for m in members
        if joint.side in m.faces
        and clip((m.x, m.y, m.right, m.top), band) is not None
        and (not m.outline or share_area(m.outline, band))
    )
