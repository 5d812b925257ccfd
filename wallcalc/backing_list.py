"""The backing list: which piece of timber carries each fixing of what hangs on the wall.

All lengths are integers of 0.1 mm.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from wallcalc.given import HungItem
from wallcalc.records import Member


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

    Parameters
    ----------
    hung : iterable of HungItem
        The items.
    members : sequence of Member
        The frame's timber and pattresses.

    Returns
    -------
    tuple of Held
        In the items' order.
    """
    found = []
    for item in hung:
        behind = [m for m in members if item.side in m.faces]
        for number, (x, y) in enumerate(item.fixings, 1):
            under = [m for m in behind if m.x <= x <= m.right and m.y <= y <= m.top]
            best = max(under, key=lambda m: (_from_edge(m, x, y), m.mark), default=None)
            if best is None:
                found.append(Held(item.name, item.side, number, x, y))
            else:
                edge = _from_edge(best, x, y)
                found.append(Held(item.name, item.side, number, x, y, best.mark, best.role, edge))
    return tuple(found)


def _from_edge(member: Member, x: int, y: int) -> int:
    """Return the distance from a piece's nearest edge: those along the grain, or all four of a pattress."""
    across = min(x - member.x, member.right - x)
    up = min(y - member.y, member.top - y)
    if member.role == "pattress":
        return min(across, up)
    return across if member.height > member.width else up
