"""Holes for services: in the boards they come through, and in the timber that pipes in the wall cross.

All lengths are integers of 0.1 mm.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from wallcalc.geometry.rectangles import Rect, clip
from wallcalc.given.parts import Service, from_box, is_box
from wallcalc.records import FOR_SERVICES, UPRIGHT, Board, Hole, Member, Pierce
from wallcalc.services.clearances import drops, runs
from wallcalc.units.lengths import MM

OTHER = {"A": "B", "B": "A"}
LEVEL = ("sole plate", "head plate", "noggin")
"""What pipes that drop or rise bore; heads and sills are never in their way."""


def pierces(services: Sequence[Service]) -> tuple[tuple[str, Pierce], ...]:
    """Return the holes in the linings, each with its side.

    A service comes through its own side; one that goes "through" comes out on the other side as well, where its run
    ends if it has one. A cable that begins in a box comes through the hole of the box.
    """
    found = []
    for s in services:
        box = is_box(s)
        width, height = s.size or (s.diameter, s.diameter)
        if not any(from_box(s, other) for other in services):
            found.append((s.side, Pierce(s.name, *s.at, width, height, not box)))
        if s.goes == "through":
            if s.to is not None:
                found.append((OTHER[s.side], Pierce(s.name, *s.to, s.diameter, s.diameter, True)))
            else:
                found.append((OTHER[s.side], Pierce(s.name, *s.at, width, height, not box)))
    return tuple(found)


def holes_in(side: str, services: Sequence[Service]) -> tuple[Rect, ...]:
    """Return the bounding rectangles of the holes in one side's boards."""
    return tuple(p.rect for at, p in pierces(services) if at == side)


def pierced(boards: Sequence[Board], services: Sequence[Service]) -> tuple[Board, ...]:
    """Return boards with the holes for services, in every layer of the side that a service comes through.

    A hole belongs to the board that its middle lies in; joints keep off holes, so that it lies in that board alone.
    Boards alike but for their holes are no longer in one cut group.
    """
    holes = pierces(services)
    if not holes:
        return tuple(boards)
    found = []
    for board in boards:
        mine = tuple(
            p
            for side, p in holes
            if side == board.side and clip(p.rect, (board.x, board.y, board.right, board.top)) is not None
        )
        found.append(replace(board, pierced=mine, cut_group=board.mark) if mine else board)
    first: dict[str, str] = {}
    for board in found:  # groups are named after their first board, which may have left
        if not board.pierced:
            first.setdefault(board.cut_group, board.mark)
    return tuple(
        b if b.pierced or first[b.cut_group] == b.cut_group else replace(b, cut_group=first[b.cut_group])
        for b in found
    )


def bored(members: Sequence[Member], services: Sequence[Service], height: int) -> tuple[Hole, ...]:
    """Return the holes that pipes in the wall take through timber, by service and then along the pipe.

    Pipes along the wall bore every upright that they cross; those that drop or rise bore the noggins and plates in
    their way, but pass behind a noggin laid flat or a pattress.
    """
    found = []
    uprights = [m for m in members if m.role in UPRIGHT]
    level = [m for m in members if m.role in LEVEL and not m.flat]
    for run in runs(services):
        low, high = sorted((run.start[0], run.end[0]))
        for m in uprights:
            x = m.x + m.width // 2
            y = run.height_at(x)
            if m.x < high and low < m.right and m.y < y < m.top:
                found.append(Hole(m.mark, run.service, x, y, run.diameter, "x"))
    for drop in drops(services, height):
        for m in level:
            if m.x < drop.x < m.right:
                bottom, top = span_at(m, drop.x)
                if bottom < drop.top and drop.bottom < top:
                    y = (bottom + top) // 2
                    found.append(Hole(m.mark, drop.service, drop.x, y, drop.diameter, "y"))
    order = {s.name: i for i, s in enumerate(services)}
    return tuple(sorted(found, key=lambda h: (order[h.service], h.axis, h.x, h.y)))


def span_at(member: Member, x: int) -> tuple[int, int]:
    """Return the lower and upper edge of a member at a distance from the left, 0.1 mm.

    Of a piece cut to a slope those of its outline, to the nearest 0.1 mm.
    """
    if not member.outline:
        return member.y, member.top
    points = member.corners
    crossed = []
    for (x1, y1), (x2, y2) in zip(points, (*points[1:], points[0]), strict=True):
        if min(x1, x2) <= x <= max(x1, x2) and x1 != x2:
            crossed.append(round(y1 + (y2 - y1) * (x - x1) / (x2 - x1)))
    return min(crossed), max(crossed)


def service_notes(members: Sequence[Member]) -> tuple[str, ...]:
    """Say which studs and noggins were moved or added for services."""
    notes = []
    for m in members:
        for why in m.serves:
            if why.kind in FOR_SERVICES:
                at = f"{(m.x + m.width // 2) / MM:g} mm" if m.height > m.width else f"{m.y / MM:g} mm up"
                notes.append(f"{m.role} {m.mark} at {at} {why}")
    return tuple(notes)
