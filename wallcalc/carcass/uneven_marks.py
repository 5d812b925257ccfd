"""Setting-out marks that only an uneven wall has: the points measured, heights from the level line, tapered ends.

All lengths are integers of 0.1 mm.
"""

from __future__ import annotations

from collections.abc import Iterator

from wallcalc.geometry.profile import Line, Profile
from wallcalc.geometry.sloped import sides_at
from wallcalc.records import LEVEL, PLATES, Frame, Mark


def line_places(profile: Profile) -> Iterator[Mark]:
    """Yield where along the wall the floor's and the ceiling's points are."""
    for name, line in _lines(profile):
        for number, (x, _) in enumerate(line.points, start=1):
            yield Mark(f"{name} {number}", name, "x", "line", x, profile.length - x)


def _lines(profile: Profile) -> Iterator[tuple[str, Line]]:
    yield "ceiling", profile.ceiling
    if any(y for _, y in profile.floor.points):
        yield "floor", profile.floor


def uneven_heights(frame: Frame) -> Iterator[Mark]:
    """Yield heights over the level line, and what is left up to the ceiling over the same place.

    First the points measured and the openings, then level pieces by both ends, corners of pieces cut to a slope (an
    upright's four, under ``bottom left`` and so on), then level joints by their left ends.
    """
    profile = frame.profile
    assert not profile.is_level
    ceiling = profile.ceiling

    def mark(name: str, role: str, edge: str, x: int, y: int) -> Mark:
        return Mark(name, role, "y", edge, y, ceiling.under(x) - y)

    for name, line in _lines(profile):
        for number, (x, y) in enumerate(line.points, start=1):
            yield mark(f"{name} {number}", name, "line", x, y)
    for c in frame.clears:
        for edge, y in (("bottom", c.bottom), ("top", c.top)):
            yield mark(f"{c.kind} {c.index + 1}", "opening", edge, (c.left + c.right) // 2, y)
    for m in sorted((m for m in frame.members if m.role in LEVEL), key=lambda m: (m.y, m.x, m.mark)):
        for edge, y in (("bottom", m.y), ("top", m.top)):
            yield mark(m.mark, m.role, edge, (m.x + m.right) // 2, y)
    uprights = (m for m in frame.members if m.outline and m.role not in (*LEVEL, *PLATES))
    for m in sorted(uprights, key=lambda m: (m.x, m.y)):
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
