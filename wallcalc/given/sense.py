"""Whether the parts of a wall agree with one another: nothing outside it, nothing in one another's way."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from wallcalc.errors import Problem
from wallcalc.given.parts import SIDES, GivenWall, HungItem, Opening, Service, from_box
from wallcalc.units.quantities import format_length

Point = tuple[int | None, int | None]


def height_at(heights: Sequence[tuple[int, int]], x: int) -> Fraction:
    """Return the floor-to-ceiling height at a distance from the left, straight between the points given.

    The height, 0.1 mm; that of the nearest end outside the points. Units: ``heights``, ``x`` 0.1 mm.
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


def disagreements(wall: GivenWall, written: Mapping[str, str]) -> list[Problem]:
    """Return every problem between the parts of a wall; parts that could not be read (None) are passed over.

    Units: ``wall`` 0.1 mm.
    """
    problems = _along_the_wall(wall, "height", wall.heights, written)
    heights = wall.heights if not problems and _all_read(wall.heights) else ()
    uneven = _along_the_wall(wall, "floor_levels", wall.floor_levels, written)
    levels = wall.floor_levels if not uneven and _all_read(wall.floor_levels) else ()
    outline = Outline(wall.length, heights, levels)
    problems += uneven
    problems += _tile_problems(wall, outline, written)
    problems += _opening_problems(wall, outline, written)
    problems += _overlaps(wall, written)
    problems += out_of_place(wall, outline, written)
    problems += _joist_problems(wall, written)
    problems += _twin_names(wall, written)
    return problems


def _all_read(points: Sequence[tuple[int | None, int | None]]) -> bool:
    return all(value is not None for point in points for value in point)


def _along_the_wall(
    wall: GivenWall, key: str, points: Sequence[tuple[int | None, int | None]], written: Mapping[str, str]
) -> list[Problem]:
    """Ask that a list of places starts at 0, goes on to the right, and ends at the wall's length."""
    if len(points) < 2:
        return []
    name = "height" if key == "height" else "level"
    problems = []
    first, last, end = points[0][0], points[-1][0], len(points)
    if first is not None and first != 0:
        found = written.get(f"{key}[1]", metres(first))
        problems.append(Problem(f"{key}[1]", found, f"a first {name} at distance 0 from the left"))
    for number, ((x1, _), (x2, _)) in enumerate(pairwise(points), 2):
        if x1 is not None and x2 is not None and x2 <= x1:
            found = written.get(f"{key}[{number}]", metres(x2))
            accepted = f"a distance of more than the one before it, {metres(x1)}"
            problems.append(Problem(f"{key}[{number}]", found, accepted))
    if last is not None and wall.length is not None and last != wall.length:
        found = written.get(f"{key}[{end}]", metres(last))
        accepted = f"a last {name} at the wall's length, {metres(wall.length)} from the left"
        problems.append(Problem(f"{key}[{end}]", found, accepted))
    return problems


def _tile_problems(wall: GivenWall, outline: Outline, written: Mapping[str, str]) -> Iterator[Problem]:
    if not outline.heights:
        return
    most = max(h for _, h in outline.heights)
    for side, room in (("A", wall.room_a), ("B", wall.room_b)):
        if room.tiled_to is not None and room.tiled_to > most:
            field = f"room.{side}.tiled_to"
            yield Problem(
                field,
                written.get(field, metres(room.tiled_to)),
                f"no more than the wall's height, {metres(most)}",
            )


def _opening_problems(wall: GivenWall, outline: Outline, written: Mapping[str, str]) -> Iterator[Problem]:
    for number, opening in enumerate(wall.openings, 1):
        field = f"opening[{number}]"
        width = opening_width(opening)
        key = f"{field}.{'width' if opening.width is not None else 'leaf'}"
        inside = None not in (wall.length, opening.left, width)
        if None not in (wall.length, width) and width >= wall.length:
            yield Problem(
                key,
                written.get(key, metres(width)),
                f"less than the wall's length, {metres(wall.length)}; check the unit of both",
            )
            inside = False
        elif inside and opening.left + width > wall.length:
            accepted = f"no more than {metres(wall.length - width)}, so that its {metres(width)} end within the wall's "
            accepted += f"{metres(wall.length)}"
            if opening.width is None:
                accepted += ", and less by what the lining beside the leaf takes"
            found = written.get(f"{field}.left", metres(opening.left))
            yield Problem(f"{field}.left", found, accepted)
            inside = False
        if not inside or not outline.heights or opening.height is None:
            continue
        places = outline.places(opening.left, opening.left + width)
        if opening.kind == "hatch":
            least = int(min(outline.ceiling(x) for x in places))
        else:  # it stands on the floor
            least = int(min(outline.ceiling(x) for x in places) - min(outline.floor(x) for x in places))
        top = opening.height + (opening.sill or 0)
        if top > least:
            found = written.get(f"{field}.height", metres(opening.height))
            accepted = f"a top no higher than the wall there, {metres(least)}"
            if opening.sill:
                accepted += f" (sill {metres(opening.sill)}, top {metres(top)})"
            yield Problem(f"{field}.height", found, accepted)


def _overlaps(wall: GivenWall, written: Mapping[str, str]) -> Iterator[Problem]:
    """Ask that two openings share no width, unless both are as built and one is wholly above."""
    known = [
        (number, o.left, o.left + opening_width(o), opening_upright(o))
        for number, o in enumerate(wall.openings, 1)
        if o.left is not None
        and opening_width(o) is not None
        and opening_width(o) < (wall.length or opening_width(o) + 1)
    ]
    for place, (number, left, right, upright) in enumerate(known):
        for earlier, other_left, other_right, other_upright in known[:place]:
            if left >= other_right or other_left >= right:
                continue
            if (
                upright
                and other_upright
                and (upright[0] >= other_upright[1] or other_upright[0] >= upright[1])
            ):
                continue
            field = f"opening[{number}].left"
            accepted = f"a place clear of opening[{earlier}], which fills {metres(other_left)} to {metres(other_right)}"
            yield Problem(field, written.get(field, metres(left)), accepted)


def _joist_problems(wall: GivenWall, written: Mapping[str, str]) -> Iterator[Problem]:
    """Ask that no joist fits in before the first one."""
    for place, joists in (("above", wall.joists_above), ("below", wall.joists_below)):
        first, centres = joists.first, joists.centres
        if first is not None and centres is not None and first > centres:
            field = f"joists.{place}.first"
            accepted = f"the first joist from the left, no farther than the centres, {metres(centres)}"
            yield Problem(field, written.get(field, metres(first)), accepted)


def _twin_names(wall: GivenWall, written: Mapping[str, str]) -> Iterator[Problem]:
    """Ask for different names, by which hung items and services are told apart."""
    seen: dict[str, str] = {}
    named = [(f"hung[{i}].name", item.name) for i, item in enumerate(wall.hung, 1)]
    named += [(f"service[{i}].name", service.name) for i, service in enumerate(wall.services, 1)]
    for field, name in named:
        if name is None:
            continue
        plain = " ".join(unicodedata.normalize("NFC", name).casefold().split())
        if plain in seen:
            yield Problem(
                field, written.get(field, f'"{name}"'), f"a name of its own; {seen[plain]} has this one"
            )
        else:
            seen[plain] = field


def out_of_place(wall: GivenWall, outline: Outline, written: Mapping[str, str]) -> Iterator[Problem]:
    """Yield what is wrong with the places of hung items and services; what could not be read is passed over.

    Units: ``wall`` 0.1 mm.
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
    wall: GivenWall,
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


def _on_one_another(wall: GivenWall, written: Mapping[str, str]) -> Iterator[Problem]:
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
