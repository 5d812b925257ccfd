"""Whether services lie where a wall can take them: off plates, ends and openings, boards' edges, one another.

All lengths are integers of 0.1 mm.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

from wallcalc.errors import Refusal
from wallcalc.geometry.rectangles import Clear, Rect, clip
from wallcalc.given.parts import Service, from_box
from wallcalc.records import Upright
from wallcalc.services.clearances import drops, runs, spaces
from wallcalc.services.holes import pierces
from wallcalc.site.frame_rules import FrameRules
from wallcalc.site.site import Site
from wallcalc.units.lengths import MM

FALL = "service.waste_fall"
CLEAR = "services clear of timber"

ELSEWHERE = "give the service another place"
"""Said until a move is found that works."""

Obstacle = tuple[str, Rect]
"""What stands there, and where."""


@dataclass(frozen=True, slots=True)
class FixedParts:
    """The fixed parts of a frame: plates, openings and the uprights at them; where boards end."""

    site: Site
    posts: tuple[Upright, ...]

    @property
    def rules(self) -> FrameRules:
        """The rules in force."""
        return self.site.rules

    @property
    def clears(self) -> tuple[Clear, ...]:
        """Structural openings."""
        return self.site.clears

    def plates(self, left: int, right: int) -> list[Obstacle]:
        """Return the plates between two places, as far as they reach into the wall there."""
        profile, t = self.site.profile, self.site.thickness
        sole, head = profile.sole.most(left, right), profile.head.least(left, right)
        return [
            ("the sole plate", (left, min(0, sole - t), right, sole)),
            ("the head plate", (left, head, right, self.site.height)),
        ]

    def edges(self, left: int, right: int) -> tuple[int, int]:
        """Return the lower and upper edge of the boards between two places, 0.1 mm."""
        return self.site.profile.low.most(left, right), self.site.profile.high.least(left, right)

    def within(self, x: int, y: int) -> bool:
        """Return whether a point is on the wall."""
        profile = self.site.profile
        return 0 < x < self.site.length and profile.floor.over(x) < y < profile.ceiling.under(x)

    @property
    def openings(self) -> list[Obstacle]:
        """The openings themselves."""
        return [(f"the {c.kind}", (c.left, c.bottom, c.right, c.top)) for c in self.clears]

    @property
    def level(self) -> list[Obstacle]:
        """Level timber at the openings: heads and sills."""
        t, bearing = self.site.thickness, self.site.bearing
        found = []
        for c in self.clears:
            if c.top < self.plates(c.left, c.right)[1][1][1]:
                found.append(
                    (f"the {c.kind}'s head", (c.left - bearing, c.top, c.right + bearing, c.top + t))
                )
            if c.kind == "hatch" and c.bottom > t:
                found.append(("the hatch's sill", (c.left, c.bottom - t, c.right, c.bottom)))
        return found

    @property
    def uprights(self) -> list[Obstacle]:
        """End studs, jamb studs and trimmers."""
        return [
            (f"the {u.role}", (u.x, 0, u.right, self.clears[u.zone].top if u.zone >= 0 else self.site.height))
            for u in self.posts
        ]


def misplaced(services: Sequence[Service], parts: FixedParts) -> list[Refusal]:
    """Return what keeps services from lying where they are given, one refusal a fault, the nearest change left open."""
    found: list[Refusal] = []
    for s in services:
        found += list(_outside(s, parts)) or [
            *_in_timber(s, parts),
            *_at_edges(s, parts),
            *_drop_ways(s, parts),
            *_run_ways(s, parts),
            *_falls(s, parts.rules),
        ]
    return found + list(_together(services))


def place_of(service: Service) -> str:
    """Return where a service is, in words."""
    x, y = service.at
    return f"{service.name} at {x / MM:g} mm, {y / MM:g} mm up"


def _outside(s: Service, parts: FixedParts) -> Iterator[Refusal]:
    for x, y in (s.at, *([s.to] if s.to is not None else [])):
        if not parts.within(x, y):
            size = f"{parts.site.length / MM:g} x {parts.site.height / MM:g} mm"
            yield Refusal(
                CLEAR,
                place_of(s),
                f"({x / MM:g}, {y / MM:g}) mm is outside the wall, {size}",
                ELSEWHERE,
            )
            return


def _in_timber(s: Service, parts: FixedParts) -> Iterator[Refusal]:
    solid = [*parts.openings, *parts.level, *parts.uprights]
    for space in spaces([s]):
        for name, rect in (*solid, *parts.plates(space.rect[0], space.rect[2])):
            hit = clip(space.rect, rect)
            if hit is not None:
                what = "its place" if space.what == "opening" else "the end of its run"
                deep = min(hit[2] - hit[0], hit[3] - hit[1])
                yield Refusal(
                    CLEAR,
                    place_of(s),
                    f"{what}, with {s.clearance / MM:g} mm clearance, reaches {deep / MM:g} mm into {name}",
                    ELSEWHERE,
                )
                return


def _at_edges(s: Service, parts: FixedParts) -> Iterator[Refusal]:
    edge = parts.rules.hole_edge
    for side, p in pierces([s]):
        left, bottom, right, top = p.rect
        room = [
            (left, "the boards' end"),
            (parts.site.length - right, "the boards' end"),
            (bottom - parts.edges(left, right)[0], "the boards' lower edge"),
            (parts.edges(left, right)[1] - top, "the boards' upper edge"),
        ]
        for c in parts.clears:
            across = max(c.left - right, left - c.right, 0)
            up = max(c.bottom - top, bottom - c.top, 0)
            room.append((math.isqrt(across * across + up * up), f"the board's edge at the {c.kind}"))
        least, name = min(room)
        if least < edge:
            yield Refusal(
                "service.hole_edge",
                place_of(s),
                f"its hole on side {side} is {least / MM:g} mm from {name}; {edge / MM:g} mm are wanted",
                ELSEWHERE,
            )
            return


def _drop_ways(s: Service, parts: FixedParts) -> Iterator[Refusal]:
    for drop in drops([s], parts.site.height):
        for name, rect in (*parts.openings, *parts.level, *parts.uprights):
            if clip(drop.rect, rect) is not None:
                yield Refusal(CLEAR, place_of(s), f"its way {s.goes} meets {name}", ELSEWHERE)
                return


def _run_ways(s: Service, parts: FixedParts) -> Iterator[Refusal]:
    for run in runs([s]):
        ends = sorted((run.start[0], run.end[0]))
        for name, rect in (*parts.openings, *parts.level, *parts.plates(*ends)):
            way = run.rect_between(rect[0], rect[2])
            if way is not None and clip(way, rect) is not None:
                yield Refusal(
                    CLEAR, place_of(s), f"its run to {run.end[0] / MM:g} mm meets {name}", ELSEWHERE
                )
                return


def _falls(s: Service, rules: FrameRules) -> Iterator[Refusal]:
    short = fall_short(s, rules)
    if short > 0 and s.to is not None:
        along, falls = abs(s.to[0] - s.at[0]), s.at[1] - s.to[1]
        told = f"falls {falls / MM:g} mm" if falls >= 0 else f"rises {-falls / MM:g} mm"
        yield Refusal(
            FALL,
            place_of(s),
            f"{told} over {along / MM:g} mm; {rules.waste_fall:g} mm a metre are {(falls + short) / MM:g} mm",
            ELSEWHERE,
        )


def fall_short(s: Service, rules: FrameRules) -> int:
    """Return by how much the far end of a waste pipe has to lie lower for its fall, 0.1 mm (0: it falls enough)."""
    if s.kind != "waste" or s.to is None:
        return 0
    need = math.ceil(abs(s.to[0] - s.at[0]) * rules.waste_fall / 1000 - 1e-9)
    return max(0, need - (s.at[1] - s.to[1]))


def _together(services: Sequence[Service]) -> Iterator[Refusal]:
    placed = [(s, side, p) for s in services for side, p in pierces([s])]
    for (s, side, p), (other, beside, q) in combinations(placed, 2):
        if s is other or side != beside or from_box(s, other) or from_box(other, s):
            continue
        if clip(p.rect, q.rect) is not None:
            yield Refusal(
                "one place for one service",
                place_of(other),
                f"its hole meets that of the {s.name}",
                ELSEWHERE,
            )
