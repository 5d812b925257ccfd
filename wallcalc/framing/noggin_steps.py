"""Noggins that keep clear of services: stability noggins step up or down, those behind joints change their lie.

All lengths are integers of 0.1 mm.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from wallcalc.errors import OptionError, Refusal
from wallcalc.framing.noggin_rows import Noggin, Row
from wallcalc.geometry.rectangles import Rect, clip
from wallcalc.given.parts import Service
from wallcalc.records import STABILITY, added_beside, moved_for
from wallcalc.services.clearances import (
    Drop,
    Run,
    drops,
    level_free,
    merged,
    nearest_free,
    runs,
    spaces,
)
from wallcalc.site.site import Site
from wallcalc.units.lengths import MM

WHOLE = (-(10**9), 10**9)
"""Heights of a whole bay, 0.1 mm."""


@dataclass(frozen=True, slots=True)
class Room:
    """Heights of a bay, 0.1 mm: floor, upper side of the sole plate, underside of the head plate, ceiling.

    Under a slope those that hold all along the bay.
    """

    floor: int
    low: int
    high: int
    ceiling: int


@dataclass(frozen=True, slots=True)
class Ways:
    """What services keep free of noggins.

    ``closed`` no noggin may enter; ``along`` are pipes along the wall, which no noggin may meet lengthways;
    ``upright`` those that drop or rise through noggins, which are bored (``flat_room`` is what a noggin laid flat
    leaves of the depth behind it: a thicker pipe cannot pass there).
    """

    names: tuple[str, ...]
    closed: tuple[Rect, ...]
    along: tuple[Run, ...]
    upright: tuple[Drop, ...]
    flat_room: int

    def free(self, noggin: Noggin) -> bool:
        """Return whether a noggin meets nothing."""
        rect = noggin.x, noggin.y, noggin.x + noggin.width, noggin.y + noggin.height
        if not level_free(rect, self.closed, self.along):
            return False
        return not noggin.flat or not any(
            d.diameter > self.flat_room
            and noggin.x < d.x < rect[2]
            and d.bottom < rect[3]
            and noggin.y < d.top
            for d in self.upright
        )

    def blocks(self, left: int, right: int) -> list[tuple[int, int]]:
        """Return the heights between two places that no noggin may enter."""
        found = [(b, t) for a, b, c, t in self.closed if a < right and left < c]
        found += [(w[1], w[3]) for r in self.along if (w := r.rect_between(left, right)) is not None]
        return found

    def for_whom(self, rect: Rect) -> tuple[str, ...]:
        """Return the services that keep noggins out of a part of a bay, or all those in the bay where none is there."""
        met = [n for n, r in zip(self.names, self.closed, strict=True) if clip(r, rect) is not None]
        for run in self.along:
            way = run.rect_between(rect[0], rect[2])
            if way is not None and clip(way, rect) is not None:
                met.append(run.service)
        met += [
            d.service for d in self.upright if d.diameter > self.flat_room and clip(d.rect, rect) is not None
        ]
        if not met and rect[1:4:2] != WHOLE:
            return self.for_whom((rect[0], WHOLE[0], rect[2], WHOLE[1]))
        return tuple(dict.fromkeys(met))


def ways_of(
    services: Sequence[Service], height: int, thickness: int, depth: int, bore_most: int
) -> Ways | None:
    """Return what services keep free of noggins, or None without services.

    A pipe too thick to be bored for keeps noggins off all the way that it drops or rises.
    """
    if not services:
        return None
    upright = drops(services, height)
    thick = [d for d in upright if d.diameter > bore_most]
    around = spaces(services)
    return Ways(
        (*(s.service for s in around), *(d.service for d in thick)),
        (*(s.rect for s in around), *(d.rect for d in thick)),
        runs(services),
        tuple(d for d in upright if d.diameter <= bore_most),
        depth - thickness,
    )


def keep_off_services(
    noggins: Sequence[Noggin],
    rows: Sequence[Row],
    services: Sequence[Service],
    site: Site,
) -> list[Noggin]:
    """Return a frame's noggins clear of services, as :func:`step_noggins` does."""
    profile, clears, rules = site.profile, site.clears, site.rules
    height, thickness, depth = site.height, site.thickness, site.depth
    ways = ways_of(services, height, thickness, depth, rules.bore_most(depth))
    if ways is None:
        return list(noggins)

    def room(left: int, right: int) -> Room:
        floor, ceiling = profile.floor.least(left, right), profile.ceiling.most(left, right)
        return Room(floor, profile.sole.most(left, right), profile.head.least(left, right), ceiling)

    openings = [
        (c.left, c.bottom - thickness if c.bottom > 0 else 0, c.right, c.top + thickness) for c in clears
    ]
    spacing = rules.stability_spacing if rules.stability_rows else 0
    rows = sorted(rows, key=lambda r: r.y)
    return step_noggins(noggins, rows, ways, room, openings, thickness, spacing)


def step_noggins(
    noggins: Sequence[Noggin],
    rows: Sequence[Row],
    ways: Ways,
    room_of: Callable[[int, int], Room],
    openings: Sequence[Rect],
    thickness: int,
    spacing: int,
) -> list[Noggin]:
    """Return noggins clear of services.

    Stability noggins step to the nearest free height; where that leaves more than the spacing between rows in a bay,
    another is added on the other side of the service. Noggins behind joints are turned or doubled on edge.

    Raises OptionError: where a noggin that a joint needs cannot be clear of a service, or none can keep the
    spacing of the rows.
    """
    groups: dict[tuple[int, int], list[Noggin]] = {}
    for n in noggins:
        groups.setdefault((n.row, n.bay), []).append(n)
    clear = {key for key, group in groups.items() if all(map(ways.free, group))}
    if len(clear) == len(groups):
        return list(noggins)
    fixed = [n for key, g in groups.items() for n in g if rows[n.row - 1].for_joint and key in clear]
    done = list(fixed)
    refusals = []
    touched: set[tuple[int, int]] = set()
    for key, group in sorted(groups.items(), key=lambda kv: (not rows[kv[0][0] - 1].for_joint, kv[0])):
        row = rows[key[0] - 1]
        if key in clear:
            done += [n for n in group if n not in fixed]
            continue
        first = group[0]
        span = (first.x, first.x + first.width)
        room = _room(group, room_of(*span), openings)
        blocks = [*ways.blocks(*span), *((n.y, n.y + n.height) for n in done if n.x == first.x)]
        if row.for_joint:
            stack = _behind_joint(group, row, room, blocks, thickness)
            if stack is None:
                refusals.append(_no_room(row, group, ways))
            else:
                done += stack
            continue
        touched.add(span)
        bottom = nearest_free(first.y, thickness, *room, merged(blocks))
        if bottom is None or abs(bottom - first.y) > spacing:
            continue  # what the bay needs instead is seen below
        way = f"{abs(bottom - first.y) / MM:g} mm {'up' if bottom > first.y else 'down'}"
        there = (span[0], first.y, span[1], max(n.y + n.height for n in group))
        serves = (*first.serves, moved_for(way, ways.for_whom(there)))
        done.append(replace(first, y=bottom, height=thickness, outline=(), serves=serves))
    if refusals:
        raise OptionError(refusals)
    for span in sorted(touched):
        if spacing > 0 and not any(r[0] < span[1] and span[0] < r[2] for r in openings):
            done += _between_rows(done, noggins, span, ways, room_of(*span), thickness, spacing)
    return sorted(done, key=lambda n: (n.row, n.bay, n.part))


def _room(group: Sequence[Noggin], room: Room, openings: Sequence[Rect]) -> tuple[int, int]:
    """Lowest and highest edge that a noggin of a bay may have between level timber and openings."""
    first, last = group[0], group[-1]
    middle = (first.y + last.y + last.height) // 2
    beside = [r for r in openings if r[0] < first.x + first.width and first.x < r[2]]
    low = max((r[3] for r in beside if (r[1] + r[3]) // 2 < middle), default=room.low)
    high = min((r[1] for r in beside if (r[1] + r[3]) // 2 >= middle), default=room.high)
    return max(low, room.low), min(high, room.high)


def _behind_joint(
    group: Sequence[Noggin],
    row: Row,
    room: tuple[int, int],
    blocks: Sequence[tuple[int, int]],
    thickness: int,
) -> list[Noggin] | None:
    """Noggins on edge, one on the other, that cover what a joint needs and are clear of the blocks."""
    low, high = row.y - row.need // 2, row.y + (row.need + 1) // 2
    low, high = max(low, room[0]), min(high, room[1])
    first = group[0]
    for count in (1, 2, 3):
        tall = count * thickness
        if tall < high - low:
            continue
        start, end = max(room[0], high - tall), min(room[1], low + tall)
        bottom = nearest_free(row.y - tall // 2, tall, start, end, merged(blocks))
        if bottom is not None:
            parts = [chr(ord("a") + i) if count > 1 else "" for i in range(count)]
            return [
                replace(
                    first,
                    part=p,
                    y=bottom + i * thickness,
                    height=thickness,
                    flat=False,
                    faces="AB",
                    outline=(),
                )
                for i, p in enumerate(parts)
            ]
    return None


def _between_rows(
    done: Sequence[Noggin],
    before: Sequence[Noggin],
    span: tuple[int, int],
    ways: Ways,
    room: Room,
    thickness: int,
    spacing: int,
) -> list[Noggin]:
    """Noggins that a bay needs between rows that have stepped too far apart."""
    added: list[Noggin] = []
    like = next(n for n in before if n.x == span[0] and n.x + n.width == span[1])
    for _ in range(len(before) + 2):
        mine = [n for n in (*done, *added) if n.x == span[0] and n.x + n.width == span[1]]
        middles = [room.floor, *sorted(n.y + n.height // 2 for n in mine), room.ceiling]
        wide = next(((a, b) for a, b in pairwise(middles) if b - a > spacing + MM), None)
        if wide is None:
            return added
        blocks = merged([*ways.blocks(*span), *((n.y, n.y + n.height) for n in mine)])
        half = thickness // 2
        bottom = nearest_free(
            (wide[0] + wide[1]) // 2 - half,
            thickness,
            max(wide[0], room.low),
            min(wide[1], room.high),
            blocks,
        )
        if bottom is None or not wide[0] + thickness <= bottom + half <= wide[1] - thickness:
            break
        serves = (STABILITY, added_beside(ways.for_whom((span[0], wide[0], span[1], wide[1]))))
        part = chr(ord("x") - len(added))
        added.append(
            replace(
                like, part=part, y=bottom, height=thickness, flat=False, faces="AB", outline=(), serves=serves
            )
        )
    raise OptionError([_no_row(wide, span, ways, spacing)])


def _no_row(gap: tuple[int, int], span: tuple[int, int], ways: Ways, spacing: int) -> Refusal:
    low, high = gap
    names = " and ".join(ways.for_whom((span[0], low, span[1], high)))
    return Refusal(
        "frame.stability_spacing",
        f"bay from {span[0] / MM:g} to {span[1] / MM:g} mm, {low / MM:g} to {high / MM:g} mm up",
        f"the {names}, too thick to be bored for or in the way, leaves no place for a noggin at least every "
        f"{spacing / MM:g} mm",
        f"move the {names}, or use a deeper section",
    )


def _no_room(row: Row, group: Sequence[Noggin], ways: Ways) -> Refusal:
    span = (group[0].x, group[0].x + group[0].width)
    low, high = min(n.y for n in group), max(n.y + n.height for n in group)
    names = " and ".join(ways.for_whom((span[0], low, span[1], high)))
    return Refusal(
        "noggins clear of services",
        f"joint at {row.y / MM:g} mm, bay from {span[0] / MM:g} to {span[1] / MM:g} mm",
        f"the noggin that the joint needs would meet the {names}",
        f"move the joint (course_from) or the {names}",
    )
