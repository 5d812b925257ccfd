"""Whether hung items and services have a place: on the wall, out of openings, not on one another."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from wallcalc.errors import Problem
from wallcalc.given.wall import SIDES, HungItem, Opening, Service, Wall, from_box
from wallcalc.units.quantities import format_length

Point = tuple[int | None, int | None]


def height_at(heights: Sequence[tuple[int, int]], x: int) -> Fraction:
    """Return the floor-to-ceiling height at a distance from the left, straight between the points given.

    Parameters
    ----------
    heights : sequence of (int, int)
        Distance from the left and height, 0.1 mm, in order of distance.
    x : int
        Distance from the left, 0.1 mm.

    Returns
    -------
    fractions.Fraction
        The height, 0.1 mm; that of the nearest end outside the points.
    """
    if x <= heights[0][0]:
        return Fraction(heights[0][1])
    for (x1, h1), (x2, h2) in pairwise(heights):
        if x <= x2:
            return h1 + Fraction((h2 - h1) * (x - x1), x2 - x1)
    return Fraction(heights[-1][1])


def metres(tenths: int) -> str:
    """Return a length as people say it: m from 1 m up, mm below."""
    return format_length(tenths, "m" if tenths >= 10_000 else "mm")


@dataclass(frozen=True, slots=True)
class Outline:
    """Floor and ceiling of the wall as far as they could be read.

    Attributes
    ----------
    length : int or None
        Length of the wall, 0.1 mm.
    heights, levels : tuple of (int, int)
        Floor-to-ceiling heights and levels of the floor at distances from the left, 0.1 mm; empty where unknown
        (heights) or level (levels).
    """

    length: int | None
    heights: tuple[tuple[int, int], ...]
    levels: tuple[tuple[int, int], ...]

    def floor(self, x: int) -> Fraction:
        """Return the level of the floor, 0.1 mm."""
        return height_at(self.levels, x) if self.levels else Fraction(0)

    def ceiling(self, x: int) -> Fraction:
        """Return the level of the ceiling, 0.1 mm; only where heights are known."""
        return self.floor(x) + height_at(self.heights, x)

    def places(self, left: int, right: int) -> list[int]:
        """Return both ends of a stretch and the places between them where floor or ceiling may turn."""
        turns = {x for x, _ in (*self.heights, *self.levels) if left < x < right}
        return sorted({left, right, *turns})


def opening_width(opening: Opening) -> int | None:
    """Return the structural width, or the leaf's, which is less, when the width follows by rule."""
    return opening.width if opening.width is not None else opening.leaf


def opening_upright(opening: Opening) -> tuple[int, int] | None:
    """Return bottom and top of an opening given as built."""
    if opening.height is None or (opening.kind == "hatch" and opening.sill is None):
        return None
    bottom = opening.sill or 0
    return bottom, bottom + opening.height


def out_of_place(wall: Wall, outline: Outline, written: Mapping[str, str]) -> Iterator[Problem]:
    """Yield what is wrong with the places of hung items and services; what could not be read is passed over.

    Parameters
    ----------
    wall : Wall
        The wall, lengths in 0.1 mm.
    outline : Outline
        Its floor and ceiling.
    written : mapping of str to str
        Values as they were written, by field, for the messages.

    Yields
    ------
    Problem
    """
    for number, item in enumerate(wall.hung, 1):
        for field, (x, y) in _fixing_fields(item, f"hung[{number}]"):
            if x is not None and y is not None:
                half = (item.pad or 0) // 2
                yield from _place(
                    wall, outline, field, "fixing", (x - half, y - half, x + half, y + half), written
                )
    for number, service in enumerate(wall.services, 1):
        field = f"service[{number}]"
        if None not in service.at:
            x, y = service.at
            box = service.opening if service.diameter is not None else (x, y, x, y)
            yield from _place(wall, outline, f"{field}.at", "service", box, written)
        if service.to is not None and None not in service.to:
            x, y = service.to
            yield from _place(wall, outline, f"{field}.to", "service", (x, y, x, y), written)
            if service.to == service.at:
                found = written.get(f"{field}.to", _point(x, y))
                yield Problem(f"{field}.to", found, "another point than at, or no to for what does not run")
    yield from _on_one_another(wall, written)


def _fixing_fields(item: HungItem, field: str) -> Iterator[tuple[str, Point]]:
    """Yield the points of an item, each with the field that tells of it."""
    if item.line is None:
        for place, point in enumerate(item.fixings, 1):
            yield f"{field}.fixings[{place}]", point
        return
    yield from ((f"{field}.fixing_line[{place}]", point) for place, point in enumerate(item.line, 1))
    yield from ((f"{field}.fixing_line", point) for point in item.fixings[1:-1])


def _point(x: int, y: int) -> str:
    return f"[{metres(x)}, {metres(y)}]"


def _place(
    wall: Wall,
    outline: Outline,
    field: str,
    name: str,
    box: tuple[int, int, int, int],
    written: Mapping[str, str],
) -> Iterator[Problem]:
    """Ask that a point, or what a service fills around it, lies on the wall and in no opening."""
    left, bottom, right, top = box
    x, y = (left + right) // 2, (bottom + top) // 2
    found = written.get(field, _point(x, y))
    if field.endswith(".fixing_line"):
        found = f"a fixing at {_point(x, y)} of {found}"
    if wall.length is not None and x > wall.length:
        yield Problem(field, found, f"a point on the wall, no more than {metres(wall.length)} from the left")
        return
    if left < 0 or (wall.length is not None and right > wall.length):
        yield Problem(field, found, f"a place where all of it, {metres(right - left)} wide, is on the wall")
    yield from _between_floor_and_ceiling(outline, field, found, box)
    for number, opening in enumerate(wall.openings, 1):
        upright, width = opening_upright(opening), opening_width(opening)
        if width is None or opening.left is None:
            continue
        if upright is None and opening.leaf is not None:
            upright = (0, opening.leaf)  # its height follows by rule, but a leaf is no wider than high
        if upright is None:
            continue
        if _overlap((left, right), (opening.left, opening.left + width)) and _overlap((bottom, top), upright):
            yield Problem(
                field, found, f"a point clear of opening[{number}], for there is no wall to hold a {name}"
            )


def _overlap(inner: tuple[int, int], outer: tuple[int, int]) -> bool:
    return inner[0] < outer[1] and inner[1] > outer[0]


def _between_floor_and_ceiling(
    outline: Outline, field: str, found: str, box: tuple[int, int, int, int]
) -> Iterator[Problem]:
    left, bottom, right, top = box
    y, places = (bottom + top) // 2, outline.places(left, right)
    floor = max(outline.floor(x) for x in places)
    if y < floor:
        yield Problem(
            field, found, f"a point on the wall, no lower than the floor at {metres(-(-floor // 1))}"
        )
    elif bottom < floor:
        accepted = f"a place where all of it, {metres(top - bottom)} high, is above the floor"
        yield Problem(field, found, accepted)
    if not outline.heights:
        return
    ceiling = min(outline.ceiling(x) for x in places)
    if y > ceiling:
        yield Problem(field, found, f"a point on the wall, no higher than {metres(int(ceiling))} there")
    elif top > ceiling:
        accepted = f"a place where all of it, {metres(top - bottom)} high, is below the ceiling"
        yield Problem(field, found, accepted)


def _on_one_another(wall: Wall, written: Mapping[str, str]) -> Iterator[Problem]:
    """Ask that two services fill no part of a lining twice, and that no fixing lies on what one fills.

    A cable may begin in a box.
    """
    known = [
        (number, service)
        for number, service in enumerate(wall.services, 1)
        if None not in (*service.at, service.side, service.diameter)
    ]
    for place, (number, service) in enumerate(known):
        for _, earlier in known[:place]:
            shared = [s for s in SIDES if s in _sides(service) and s in _sides(earlier)]
            if from_box(service, earlier) or from_box(earlier, service):
                continue
            if shared and _shapes_overlap(_shape(service), _shape(earlier)):
                field = f"service[{number}].at"
                found = written.get(field, _point(*service.at))
                yield Problem(field, found, _clear_of(earlier, shared[0]))
    for number, item in enumerate(wall.hung, 1):
        if item.side is None or item.pad is None:
            continue
        for field, (x, y) in _fixing_fields(item, f"hung[{number}]"):
            for _, service in known if x is not None and y is not None else ():
                pad = (x, y, item.pad, item.pad, False)
                if item.side in _sides(service) and _shapes_overlap(pad, _shape(service)):
                    found = written.get(field, _point(x, y))
                    found += f" with its {metres(item.pad)} pad" if item.pad else ""
                    yield Problem(field, found, _clear_of(service, item.side))


def _clear_of(service: Service, side: str) -> str:
    left, bottom, right, top = service.opening
    return (
        f'a place clear of "{service.name}", which fills {metres(left)} to {metres(right)} from the left and '
        f"{metres(bottom)} to {metres(top)} up on side {side}"
    )


def _sides(service: Service) -> tuple[str, ...]:
    """Return the linings that a service comes through."""
    return SIDES if service.goes == "through" else (service.side,)


def _shape(service: Service) -> tuple[int, int, int, int, bool]:
    """Return the middle, width and height of what a service fills, and whether it is round."""
    width, height = service.size or (service.diameter, service.diameter)
    boxed = service.size is not None or service.kind == "socket"
    return (*service.at, width, height, not boxed)


def _shapes_overlap(one: tuple[int, int, int, int, bool], other: tuple[int, int, int, int, bool]) -> bool:
    """Return whether two rectangles or circles share more than an edge; lengths of 0 make points."""
    (x1, y1, w1, h1, round1), (x2, y2, w2, h2, round2) = one, other
    across, up = 2 * abs(x1 - x2), 2 * abs(y1 - y2)
    if round1 and round2:
        return across**2 + up**2 < (w1 + w2) ** 2
    if not round1 and not round2:
        return across < w1 + w2 and up < h1 + h2
    width, height, diameter = (w2, h2, w1) if round1 else (w1, h1, w2)
    return max(across - width, 0) ** 2 + max(up - height, 0) ** 2 < diameter**2
