"""The backing list: which piece of timber carries each fixing of what hangs on the wall.

All lengths are integers of 0.1 mm.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from wallcalc.geometry.rectangles import spans
from wallcalc.given.parts import HungItem
from wallcalc.records import PLATES, Member


@dataclass(frozen=True, slots=True)
class Held:
    """One fixing of a hung item and what carries it.

    Attributes
    ----------
    item, side : str
        The item's name and the lining it hangs on.
    number : int
        Which of its fixings, from 1.
    x, y : int
        Where it is, 0.1 mm.
    member, role : str
        Mark and role of the piece behind it; "" where there is none.
    from_edge : int
        How far the screw is from the nearest edge of that piece along its grain, 0.1 mm.
    """

    item: str
    side: str
    number: int
    x: int
    y: int
    member: str = ""
    role: str = ""
    from_edge: int = 0


def fixings_held(hung: Iterable[HungItem], members: Sequence[Member]) -> tuple[Held, ...]:
    """Return every fixing with the piece behind it, the one in which it is farthest from an edge.

    In the items' order.
    """
    found = []
    for item in hung:
        behind = [m for m in members if item.side in m.faces]
        for number, (x, y) in enumerate(item.fixings, 1):
            edges = [(edge, m.mark, m.role) for m in behind if (edge := _from_edge(m, x, y)) is not None]
            if not edges:
                found.append(Held(item.name, item.side, number, x, y))
            else:
                edge, mark, role = max(edges)
                found.append(Held(item.name, item.side, number, x, y, mark, role, edge))
    return tuple(found)


def _from_edge(member: Member, x: int, y: int) -> int | None:
    """Return the distance of a point from a piece's nearest edge, None outside it.

    That is the nearest edge along the grain, or of all edges of a pattress; where a piece is cut to a slope, as far as
    the edge is straight above, below or beside the point.
    """
    if not (member.x <= x <= member.right and member.y <= y <= member.top):
        return None
    across, up = (member.x, member.right), (member.y, member.top)
    if member.outline:
        over = [s for s in spans(member.outline, x, upright=True) if s[0] <= y <= s[1]]
        beside = [s for s in spans(member.outline, y, upright=False) if s[0] <= x <= s[1]]
        if not over or not beside:
            return None
        across, up = beside[0], over[0]
    aside = min(x - across[0], across[1] - x)
    off = min(y - up[0], up[1] - y)
    if member.role == "pattress":
        return min(aside, off)
    return aside if member.height > member.width and member.role not in PLATES else off
