"""Fixings of hung items: what each asks of the timber behind it, and when a piece of timber gives it that.

A screw keeps the rule's edge distance from the edges along the grain of its piece, and the end distance from the ends
of a noggin. Where an item gives a pad, the pad's whole square lies on timber as well: half the pad counts as edge
distance when that is more. All lengths are integers of 0.1 mm.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from wallcalc.framing.tapers import covers, solid_at
from wallcalc.geometry.rectangles import Clear
from wallcalc.given.parts import HungItem
from wallcalc.records import UPRIGHT, Member, Upright, for_item
from wallcalc.site.site import Site

STUD, NOGGIN, PATTRESS, ANY = "stud", "noggin", "pattress", "any"


@dataclass(frozen=True, slots=True)
class HungRules:
    """Rules for backing hung items; lengths in 0.1 mm, named after their keys in the rule file.

    ``edge`` is hung.edge_distance, ``end`` hung.end_distance, ``board`` the pattress product, ``board_thickness`` and
    ``board_least`` its thickness and least height, ``heavy`` the names of the items whose load asks for double studs,
    ``cleat_least`` is pattress.cleat_least.
    """

    edge: int
    end: int
    board: str
    board_thickness: int
    board_least: int
    heavy: tuple[str, ...] = ()
    cleat_least: int = 0


@dataclass(frozen=True, slots=True)
class Fixing:
    """One fixing point of an item.

    ``backing`` is the item's; ``grip`` the distance its screw keeps from edges along the grain, ``half`` half the pad,
    ``edge`` the greater of them, ``end`` the distance from the ends of a noggin, ``rim`` from those of a pattress.
    """

    item: str
    side: str
    x: int
    y: int
    backing: str
    grip: int
    edge: int
    half: int
    end: int
    rim: int
    heavy: bool = False

    def on(self, left: int, right: int) -> bool:
        """Return whether an upright with its edges at left and right holds the screw; the pad may reach over it."""
        return left + self.grip <= self.x <= right - self.grip

    def on_level(self, bottom: int, top: int) -> bool:
        """Return whether level timber from bottom to top holds it across."""
        return bottom + self.edge <= self.y <= top - self.edge

    def between(self, left: int, right: int, beside: int) -> str:
        """Return what may hold it in a bay: "noggin", "pattress" (too near an end for a noggin) or ""."""
        room = min(self.x - left, right - self.x)
        if self.half > room + beside:
            return ""
        return NOGGIN if room >= self.end else PATTRESS if room >= self.rim else ""

    def may(self, kind: str) -> bool:
        """Return whether the backing asked for allows a noggin or a pattress."""
        return self.backing in (ANY, kind)


def fixings_of(hung: Iterable[HungItem], rules: HungRules) -> tuple[Fixing, ...]:
    """Return every fixing of the hung items, left to right."""
    found = []
    for item in hung:
        half = (item.pad + 1) // 2
        for x, y in item.fixings:
            found.append(
                Fixing(
                    item.name,
                    item.side,
                    x,
                    y,
                    item.backing,
                    rules.edge,
                    max(rules.edge, half),
                    half,
                    rules.end,
                    rules.edge,
                    item.name in rules.heavy,
                )
            )
    return tuple(sorted(found, key=lambda f: (f.x, f.y, f.side, f.item)))


def on_level_timber(fixing: Fixing, site: Site) -> bool:
    """Return whether a fixing is on a plate, a door head or a sill."""
    profile, t, bearing = site.profile, site.thickness, site.bearing
    left, right = max(fixing.x - fixing.grip, 0), min(fixing.x + fixing.grip, site.length)
    sole, head = profile.sole.most(left, right), profile.head.least(left, right)
    at_door = any(c.kind == "door" and c.left < fixing.x < c.right for c in site.clears)
    if not at_door and fixing.on_level(profile.floor.most(left, right), profile.sole.least(left, right)):
        return True
    if fixing.on_level(profile.head.most(left, right), profile.under_packing.least(left, right)):
        return True
    for c in site.clears:
        if not c.left - bearing <= fixing.x <= c.right + bearing:
            continue
        if c.top < head and fixing.on_level(c.top, c.top + t):
            return True
        if c.kind == "hatch" and c.bottom > sole and fixing.on_level(c.bottom - t, c.bottom):
            return True
    return False


def upright_holds(fixing: Fixing, upright: Upright, clears: Sequence[Clear]) -> bool:
    """Return whether an upright holds a fixing: across its grain, and at its height."""
    return fixing.on(upright.x, upright.right) and stands_at(upright, fixing.y, clears)


def stands_at(upright: Upright, y: int, clears: Sequence[Clear]) -> bool:
    """Return whether an upright stands at a height: it may end at an opening's head or sill."""
    if upright.zone < 0:
        return True
    clear = clears[upright.zone]
    if upright.role == "trimmer":
        return y <= clear.top
    return y >= clear.top or y <= clear.bottom


def pad_corners(fixing: Fixing, uprights: Sequence[Upright]) -> list[Fixing]:
    """Return what the pad of a fixing in an upright asks for beside it, as fixings without a screw.

    At most one on each side, just beside the timber that stands there.
    """
    low = high = fixing.x
    for _ in uprights:
        low = min((u.x for u in uprights if u.x <= low <= u.right), default=low)
        high = max((u.right for u in uprights if u.x <= high <= u.right), default=high)
    found = [low - 1] if fixing.x - fixing.half < low else []
    found += [high + 1] if fixing.x + fixing.half > high else []
    return [replace(fixing, x=x, backing=ANY, grip=0, edge=fixing.half, half=0, end=0, rim=0) for x in found]


def piece_holds(fixing: Fixing, member: Member) -> bool:
    """Return whether one member holds a fixing: right side, edge distance, and end distance in a noggin."""
    if fixing.side not in member.faces:
        return False
    if member.role in UPRIGHT:
        return fixing.on(member.x, member.right) and covers(member, fixing.x, fixing.y)
    if not fixing.on_level(*solid_at(member, fixing.x, fixing.grip)):
        return False
    reach = {"noggin": fixing.end, "pattress": fixing.rim}.get(member.role, 0)
    return member.x + reach <= fixing.x <= member.right - reach


def served(members: Iterable[Member], fixings: Sequence[Fixing]) -> list[Member]:
    """Return the members with the items added, by name, to what each piece that holds a fixing serves."""
    found = []
    for member in members:
        names = tuple(dict.fromkeys(for_item(f.item) for f in fixings if piece_holds(f, member)))
        extra = tuple(n for n in names if n not in member.serves)
        found.append(replace(member, serves=(*member.serves, *extra)) if extra else member)
    return found
