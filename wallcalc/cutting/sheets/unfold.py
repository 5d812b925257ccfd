"""From counts of cuts to drawn cuts, and the free rectangles round drawn cuts."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from wallcalc.cutting.sheets.flow import Programme
from wallcalc.cutting.sheets.greedy import Layout, Room, hole_rooms
from wallcalc.cutting.sheets.parts import Job, Stock


def unfold(programme: Programme, counts: NDArray[np.int64], job: Job, stocks: Sequence[Stock]) -> Layout:
    """Return the layout that counts of the programme's columns stand for.

    Parameters
    ----------
    programme : Programme
        What can be done.
    counts : int array
        How often each is done.
    job : Job
        The blanks.
    stocks : sequence of Stock
        The sheets the programme was built for.

    Returns
    -------
    Layout
        Blanks made beyond what is wanted are left out; a blank that the counts do not make is on sheet -1.
    """
    kinds = list(job.counts)
    waiting = {k: [i for i, own in enumerate(job.kinds) if own == k] for k in kinds}
    to_do: dict[int, list[list[int]]] = {}
    for j in np.flatnonzero(counts).tolist():
        to_do.setdefault(programme.columns[j].plate, []).append([j, int(counts[j])])
    order = list(programme.index)
    bought: list[int] = []
    spots: list[tuple[int, int, int, int]] = [(-1, 0, 0, -1)] * len(job.kinds)
    open_rooms: list[tuple[int, Room]] = []
    for j, many in to_do.pop(-1, []):
        column = programme.columns[j]
        s = j  # sheets come first, in the order of the stocks
        for _ in range(many):
            if column.first >= 0:
                room = (stocks[s].length, stocks[s].width, 1, 1, 0, 0, len(bought), -1)
                open_rooms.append((column.first, room))
                bought.append(s)
    while open_rooms:
        at, room = open_rooms.pop()
        actions = to_do.get(at)
        if not actions:
            continue
        j = actions[-1][0]
        actions[-1][1] -= 1
        if not actions[-1][1]:
            actions.pop()
        column = programme.columns[j]
        length, width, bound = order[at]
        _, real, low, high, x, y, sheet, parent = room
        if low + high > bound:
            low, high = (1, 0) if bound else (0, 0)
        if high and not low:
            y += real - width
        if column.blank >= 0:
            kind = kinds[column.blank]
            if not waiting[kind]:
                continue
            i = waiting[kind].pop()
            if width > kind.across and ((kind.need and not low) or (not kind.need and low and not high)):
                y += width - kind.across
            spots[i] = (sheet, x, y, parent)
            for r in hole_rooms(kind, x, y, stocks[bought[sheet]].width, sheet, i):
                plate = programme.plates.normal(r[0], r[1], r[2] + r[3])
                if plate is not None and plate in programme.index:
                    open_rooms.append((programme.index[plate], r))
            continue
        axis, place = column.cut
        if axis == 0:
            parts = [
                (place, width, low, high, x, y, sheet, parent),
                (length - place, width, low, high, x + place, y, sheet, parent),
            ]
        elif bound == 1 and high:
            parts = [
                (length, place, 0, 1, x, y + width - place, sheet, parent),
                (length, width - place, 0, 0, x, y, sheet, parent),
            ]
        else:
            parts = [
                (length, place, low, 0, x, y, sheet, parent),
                (length, width - place, 0, high, x, y + place, sheet, parent),
            ]
        for part, child in zip(parts, (column.first, column.second), strict=True):
            if child >= 0:
                open_rooms.append((child, part))
    return Layout(sum(stocks[s].price for s in bought), bought, spots, [])


def free_rooms(layout: Layout, job: Job, stocks: Sequence[Stock]) -> Layout:
    """Return the layout with its free rectangles found anew, the largest cut off first.

    Parameters
    ----------
    layout : Layout
        Where the blanks are; its sheets hold at least one each.
    job : Job
        The blanks.
    stocks : sequence of Stock
        The sheets.

    Returns
    -------
    Layout
    """
    on: list[list[tuple[int, int, int, int]]] = [[] for _ in layout.bought]
    for (sheet, x, y, parent), kind in zip(layout.spots, job.kinds, strict=True):
        if sheet >= 0 and parent < 0:
            on[sheet].append((x, y, x + kind.along, y + kind.across))
    rooms: list[Room] = []
    for at, s in enumerate(layout.bought):
        across = stocks[s].width
        for x0, y0, x1, y1 in _rests((0, 0, stocks[s].length, across), on[at]):
            rooms.append((x1 - x0, y1 - y0, int(y0 == 0), int(y1 == across), x0, y0, at, -1))
    return layout._replace(rooms=rooms)


Box = tuple[int, int, int, int]


def _rests(region: Box, boxes: Sequence[Box]) -> list[Box]:
    """Return what straight cuts leave of a region (left, low, right, high) round its boxes."""
    if not boxes:
        return [region]
    if len(boxes) == 1 and boxes[0] == region:
        return []
    best: tuple[int, int, int] | None = None
    for axis in (0, 1):
        for line in {b[axis] for b in boxes} | {b[axis + 2] for b in boxes}:
            if not region[axis] < line < region[axis + 2]:
                continue
            if any(b[axis] < line < b[axis + 2] for b in boxes):
                continue
            across = region[3 - axis] - region[1 - axis]
            free = 0
            if all(b[axis] >= line for b in boxes):
                free = (line - region[axis]) * across
            elif all(b[axis + 2] <= line for b in boxes):
                free = (region[axis + 2] - line) * across
            if best is None or (free, -axis, -line) > best:
                best = (free, -axis, -line)
    if best is None:
        return []
    axis, line = -best[1], -best[2]
    cut = list(region)
    cut[axis + 2] = line
    low = (cut[0], cut[1], cut[2], cut[3])
    cut = list(region)
    cut[axis] = line
    high = (cut[0], cut[1], cut[2], cut[3])
    return _rests(low, [b for b in boxes if b[axis] < line]) + _rests(
        high, [b for b in boxes if b[axis] >= line]
    )
