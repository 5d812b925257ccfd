"""Setting-out marks: running dimensions along the plates, heights of noggins, joint lines and openings.

All lengths are integers of 0.1 mm.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import chain

from wallcalc.framing.joists import joists_crossed
from wallcalc.geometry.profile import Line, Profile
from wallcalc.geometry.sloped import sides_at
from wallcalc.given.parts import HungItem, Joists
from wallcalc.records import LEVEL, UPRIGHT, Frame, Mark, Member, Pierce


def setting_out(
    frame: Frame,
    above: Joists | None = None,
    below: Joists | None = None,
    hung: Sequence[HungItem] = (),
) -> tuple[Mark, ...]:
    """Return the setting-out marks of a frame.

    Running dimensions are all from one end, so that errors do not add up; both ends are given so that the
    tape can hook on either. Heights are from the floor and from the ceiling; those of an uneven wall are from
    the level line and from the ceiling over the place, and the points measured and the corners of tapered studs have
    marks too.

    First along the wall: openings, plates, joists and noggins between joists, then left edge, centre and right
    edge of every upright member, then upright joints, services, holes, fixings; then heights: door heads,
    noggins and pattresses (bottom and top), level joints, services, holes and fixings.
    """
    fixings = list(_fixings(hung))
    across = (Mark(name, "fixing", "x", "centre", x, frame.length - x) for name, x, _ in fixings)
    ceiling = frame.profile.ceiling
    up = (Mark(name, "fixing", "y", "centre", y, ceiling.under(x) - y) for name, x, y in fixings)
    return tuple(chain(_along(frame, above, below), across, _heights(frame), up))


def _fixings(hung: Sequence[HungItem]) -> Iterable[tuple[str, int, int]]:
    """Yield the name and the place of every fixing."""
    for item in hung:
        for number, (x, y) in enumerate(item.fixings, 1):
            yield f"{item.name} {number}, side {item.side}", x, y


def stud_marks(frame: Frame) -> tuple[Mark, ...]:
    """Return the marks for the plates only: edges and centres of every upright member, from left to right."""
    uprights = sorted((m for m in frame.members if m.role in UPRIGHT), key=lambda m: (m.x, m.y, m.mark))
    return tuple(chain.from_iterable(_three(m, frame.length) for m in uprights))


def _three(member: Member, length: int) -> Iterable[Mark]:
    centre = member.x + member.width // 2
    for edge, at in (("left", member.x), ("centre", centre), ("right", member.right)):
        yield Mark(member.mark, member.role, "x", edge, at, length - at)


def joist_marks(frame: Frame, above: Joists | None = None, below: Joists | None = None) -> Iterable[Mark]:
    """Return the marks of the joists that the plates cross, and of the noggins between joists along the wall.

    The middle of each.
    """
    length = frame.length
    for place, joists in (("above", above), ("below", below)):
        for n, x in enumerate(joists_crossed(joists, 0, length) if joists is not None else (), 1):
            yield Mark(f"joist {place} {n}", "joist", "x", "centre", x, length - x)
    for noggin in frame.joist_noggins:
        yield Mark(noggin.mark, "joist noggin", "x", "centre", noggin.x, length - noggin.x)


def _along(frame: Frame, above: Joists | None, below: Joists | None) -> Iterable[Mark]:
    length = frame.length
    for clear in frame.clears:
        name = f"{clear.kind} {clear.index + 1}"
        for edge, at in (("left", clear.left), ("right", clear.right)):
            yield Mark(name, "opening", "x", edge, at, length - at)
    plates = sorted(
        (m for m in frame.members if m.role in ("sole plate", "head plate")), key=lambda m: (m.y, m.x)
    )
    for plate in plates:
        for edge, at in (("left", plate.x), ("right", plate.right)):
            yield Mark(plate.mark, plate.role, "x", edge, at, length - at)
    yield from joist_marks(frame, above, below)
    for name, line in _uneven_lines(frame.profile):
        for number, (x, _) in enumerate(line.points, start=1):
            yield Mark(f"{name} {number}", name, "x", "line", x, length - x)
    yield from stud_marks(frame)
    seen = set()
    for joint in sorted(frame.joints, key=lambda j: (j.x1, j.side, j.layer, j.y1)):
        key = (joint.side, joint.layer, joint.x1)
        if joint.kind == "corner" or joint.x1 != joint.x2 or key in seen:
            continue
        seen.add(key)
        yield Mark(f"joint {joint.side}{joint.layer}", "joint", "x", "line", joint.x1, length - joint.x1)
    for name, hole in _services(frame):
        left, _, right, _ = hole.rect
        edges = (
            (("centre", hole.x),) if hole.round else (("left", left), ("centre", hole.x), ("right", right))
        )
        for edge, at in edges:
            yield Mark(name, "service", "x", edge, at, length - at)
    for bore in frame.holes:
        if bore.axis == "y":
            yield Mark(f"{bore.service} in {bore.member}", "hole", "x", "centre", bore.x, length - bore.x)


def _services(frame: Frame) -> list[tuple[str, Pierce]]:
    """Holes for services in the linings, each once though several layers have it, left to right."""
    found = {(f"{p.service}, side {b.side}", p): None for b in frame.boards for p in b.pierced}
    return sorted(found, key=lambda f: (f[1].x, f[1].y, f[0]))


def _heights(frame: Frame) -> Iterable[Mark]:
    """Heights over the level line, and what is left up to the ceiling over the same place.

    Of pieces cut to a slope the corners have marks (an upright's four, under ``bottom left`` and so on); level pieces
    are marked in the middle of their length, level joints at their left ends.
    """
    ceiling = frame.profile.ceiling

    def mark(name: str, role: str, edge: str, x: int, y: int) -> Mark:
        return Mark(name, role, "y", edge, y, ceiling.under(x) - y)

    for name, line in _uneven_lines(frame.profile):
        for number, (x, y) in enumerate(line.points, start=1):
            yield mark(f"{name} {number}", name, "line", x, y)
    for c in frame.clears:
        for edge, y in (("bottom", c.bottom), ("top", c.top)):
            yield mark(f"{c.kind} {c.index + 1}", "opening", edge, (c.left + c.right) // 2, y)
    for m in sorted((m for m in frame.members if m.role in LEVEL), key=lambda m: (m.y, m.x, m.mark)):
        for edge, y in (("bottom", m.y), ("top", m.top)):
            yield mark(m.mark, m.role, edge, (m.x + m.right) // 2, y)
    tapered = (m for m in frame.members if m.outline and m.role in UPRIGHT)
    for m in sorted(tapered, key=lambda m: (m.x, m.y)):
        for hand, x in (("left", m.x), ("right", m.right)):
            sides = sides_at(m.outline, x)
            if sides is not None:
                yield mark(m.mark, m.role, f"bottom {hand}", x, sides[0])
                yield mark(m.mark, m.role, f"top {hand}", x, sides[1])
    seen = set()
    for joint in sorted(frame.joints, key=lambda j: (j.y1, j.side, j.layer, j.x1)):
        key = (joint.side, joint.layer, joint.y1)
        if joint.kind == "corner" or joint.y1 != joint.y2 or key in seen:
            continue
        seen.add(key)
        yield mark(f"joint {joint.side}{joint.layer}", "joint", "line", joint.x1, joint.y1)
    for name, hole in sorted(_services(frame), key=lambda f: (f[1].y, f[1].x, f[0])):
        _, low, _, top = hole.rect
        edges = (("centre", hole.y),) if hole.round else (("bottom", low), ("centre", hole.y), ("top", top))
        for edge, at in edges:
            yield mark(name, "service", edge, hole.x, at)
    for bore in frame.holes:
        if bore.axis == "x":
            yield mark(f"{bore.service} in {bore.member}", "hole", "centre", bore.x, bore.y)


def _uneven_lines(profile: Profile) -> Iterable[tuple[str, Line]]:
    """Ceiling and floor, as far as they were measured at several places and are not level."""
    for name, line in (("ceiling", profile.ceiling), ("floor", profile.floor)):
        if line.flat is None:
            yield name, line
