"""Whether services lie where a wall can take them: off plates, ends and openings, boards' edges, one another.

All lengths are integers of 0.1 mm.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

from wallcalc.errors import Refusal
from wallcalc.geometry.profile import Profile
from wallcalc.geometry.rectangles import Clear, Rect, clip
from wallcalc.given.parts import Service, from_box
from wallcalc.given.wall import Wall
from wallcalc.records import Upright
from wallcalc.services.clearances import drops, runs, spaces
from wallcalc.services.holes import pierces
from wallcalc.site.frame_rules import FrameRules
from wallcalc.site.lines import profile_of
from wallcalc.units.lengths import MM

FALL = "service.waste_fall"
CLEAR = "services clear of timber"

ELSEWHERE = "give the service another place"
"""Said until a move is found that works."""

Obstacle = tuple[str, Rect]
"""What stands there, and where."""


@dataclass(frozen=True, slots=True)
class Site:
    """The fixed parts of a frame: its size, plates, openings and the uprights at them; where the boards end.

    ``head`` is the underside of the head plate, ``low`` and ``high`` the lower and upper edge of the boards, 0.1 mm;
    of an uneven wall they are in ``profile`` and ``height`` is the highest.
    """

    length: int
    height: int
    head: int
    thickness: int
    low: int
    high: int
    clears: tuple[Clear, ...]
    posts: tuple[Upright, ...]
    rules: FrameRules
    profile: Profile | None = None

    def plates(self, left: int, right: int) -> list[Obstacle]:
        """Return the plates between two places, as far as they reach into the wall there."""
        sole, head = self.thickness, self.head
        if self.profile is not None:
            sole, head = self.profile.sole.most(left, right), self.profile.head.least(left, right)
        return [
            ("the sole plate", (left, min(0, sole - self.thickness), right, sole)),
            ("the head plate", (left, head, right, self.height)),
        ]

    def edges(self, left: int, right: int) -> tuple[int, int]:
        """Return the lower and upper edge of the boards between two places, 0.1 mm."""
        if self.profile is None:
            return self.low, self.high
        return self.profile.low.most(left, right), self.profile.high.least(left, right)

    def within(self, x: int, y: int) -> bool:
        """Return whether a point is on the wall."""
        low, high = 0, self.height
        if self.profile is not None and 0 < x < self.length:
            low, high = self.profile.floor.over(x), self.profile.ceiling.under(x)
        return 0 < x < self.length and low < y < high

    @property
    def openings(self) -> list[Obstacle]:
        """The openings themselves."""
        return [(f"the {c.kind}", (c.left, c.bottom, c.right, c.top)) for c in self.clears]

    @property
    def level(self) -> list[Obstacle]:
        """Level timber at the openings: heads and sills."""
        t = self.thickness
        bearing = t if self.rules.jamb == "king and trimmer" else 0
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
            (f"the {u.role}", (u.x, 0, u.right, self.clears[u.zone].top if u.zone >= 0 else self.height))
            for u in self.posts
        ]


def site_of(
    wall: Wall, clears: Sequence[Clear], posts: Sequence[Upright], rules: FrameRules, thickness: int
) -> Site:
    """Return the fixed parts of a wall's frame.

    Parameters
    ----------
    wall : Wall
        The given wall.
    clears : sequence of Clear
        Structural openings.
    posts : sequence of Upright
        End studs and what stands at the openings.
    rules : FrameRules
        The rules in force.
    thickness : int
        Of the timber, 0.1 mm.
    """
    profile = profile_of(wall, thickness, rules)
    height = wall.height if profile is None else profile.highest
    head = height - rules.head_packing - thickness
    low, high = wall.floor_build_up + rules.floor_gap, height - rules.ceiling_gap
    return Site(wall.length, height, head, thickness, low, high, tuple(clears), tuple(posts), rules, profile)


def misplaced(services: Sequence[Service], site: Site) -> list[Refusal]:
    """Return what keeps services from lying where they are given, one refusal a fault, the nearest change left open.

    Parameters
    ----------
    services : sequence of Service
        What the wall file gives.
    site : Site
        The fixed parts of the frame.
    """
    found: list[Refusal] = []
    for s in services:
        found += list(_outside(s, site)) or [
            *_in_timber(s, site),
            *_at_edges(s, site),
            *_drop_ways(s, site),
            *_run_ways(s, site),
            *_falls(s, site.rules),
        ]
    return found + list(_together(services))


def place_of(service: Service) -> str:
    """Return where a service is, in words."""
    x, y = service.at
    return f"{service.name} at {x / MM:g} mm, {y / MM:g} mm up"


def _outside(s: Service, site: Site) -> Iterator[Refusal]:
    for x, y in (s.at, *([s.to] if s.to is not None else [])):
        if not site.within(x, y):
            size = f"{site.length / MM:g} x {site.height / MM:g} mm"
            yield Refusal(
                CLEAR,
                place_of(s),
                f"({x / MM:g}, {y / MM:g}) mm is outside the wall, {size}",
                ELSEWHERE,
            )
            return


def _in_timber(s: Service, site: Site) -> Iterator[Refusal]:
    solid = [*site.openings, *site.level, *site.uprights]
    for space in spaces([s]):
        for name, rect in (*solid, *site.plates(space.rect[0], space.rect[2])):
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


def _at_edges(s: Service, site: Site) -> Iterator[Refusal]:
    edge = site.rules.hole_edge
    for side, p in pierces([s]):
        left, bottom, right, top = p.rect
        room = [
            (left, "the boards' end"),
            (site.length - right, "the boards' end"),
            (bottom - site.edges(left, right)[0], "the boards' lower edge"),
            (site.edges(left, right)[1] - top, "the boards' upper edge"),
        ]
        for c in site.clears:
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


def _drop_ways(s: Service, site: Site) -> Iterator[Refusal]:
    for drop in drops([s], site.height):
        for name, rect in (*site.openings, *site.level, *site.uprights):
            if clip(drop.rect, rect) is not None:
                yield Refusal(CLEAR, place_of(s), f"its way {s.goes} meets {name}", ELSEWHERE)
                return


def _run_ways(s: Service, site: Site) -> Iterator[Refusal]:
    for run in runs([s]):
        ends = sorted((run.start[0], run.end[0]))
        for name, rect in (*site.openings, *site.level, *site.plates(*ends)):
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
