"""Whether the parts of a wall agree with one another: nothing outside it, nothing in one another's way."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from itertools import pairwise

from wallcalc.errors import Problem
from wallcalc.given import Opening, Wall
from wallcalc.quantities import format_length


def disagreements(wall: Wall, written: Mapping[str, str]) -> list[Problem]:
    """Return every problem between the parts of a wall; parts that could not be read (None) are passed over.

    Parameters
    ----------
    wall : Wall
        The wall, lengths in 0.1 mm.
    written : mapping of str to str
        Values as they were written, by field, for the messages.

    Returns
    -------
    list of Problem
    """
    problems = list(_height_problems(wall, written))
    heights = wall.heights if not problems and all(h is not None for p in wall.heights for h in p) else ()
    problems += _tile_problems(wall, heights, written)
    problems += _opening_problems(wall, heights, written)
    problems += _overlaps(wall, written)
    for field, name, point in _points(wall):
        problems += _point_problems(wall, heights, field, name, point, written)
    problems += _twin_names(wall, written)
    return problems


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


def _m(tenths: int) -> str:
    return format_length(tenths, "m" if tenths >= 10_000 else "mm")


def _height_problems(wall: Wall, written: Mapping[str, str]) -> Iterator[Problem]:
    """Ask that a list of heights starts at 0, goes on to the right, and ends at the wall's length."""
    heights = wall.heights
    if len(heights) < 2:
        return
    first, last, end = heights[0][0], heights[-1][0], len(heights)
    if first is not None and first != 0:
        yield Problem(
            "height[1]", written.get("height[1]", _m(first)), "a first height at distance 0 from the left"
        )
    for number, ((x1, _), (x2, _)) in enumerate(pairwise(heights), 2):
        if x1 is not None and x2 is not None and x2 <= x1:
            found = written.get(f"height[{number}]", _m(x2))
            yield Problem(f"height[{number}]", found, f"a distance of more than the one before it, {_m(x1)}")
    if last is not None and wall.length is not None and last != wall.length:
        found = written.get(f"height[{end}]", _m(last))
        yield Problem(
            f"height[{end}]", found, f"a last height at the wall's length, {_m(wall.length)} from the left"
        )


def _tile_problems(wall: Wall, heights: Sequence, written: Mapping[str, str]) -> Iterator[Problem]:
    if not heights:
        return
    most = max(h for _, h in heights)
    for side, room in (("A", wall.room_a), ("B", wall.room_b)):
        if room.tiled_to is not None and room.tiled_to > most:
            field = f"room.{side}.tiled_to"
            yield Problem(
                field, written.get(field, _m(room.tiled_to)), f"no more than the wall's height, {_m(most)}"
            )


def _width(opening: Opening) -> int | None:
    """Return the structural width, or the leaf's, which is less, when the width follows by rule."""
    return opening.width if opening.width is not None else opening.leaf


def _opening_problems(wall: Wall, heights: Sequence, written: Mapping[str, str]) -> Iterator[Problem]:
    for number, opening in enumerate(wall.openings, 1):
        field = f"opening[{number}]"
        width = _width(opening)
        key = f"{field}.{'width' if opening.width is not None else 'leaf'}"
        inside = None not in (wall.length, opening.left, width)
        if None not in (wall.length, width) and width >= wall.length:
            yield Problem(key, written.get(key, _m(width)), f"less than the wall's length, {_m(wall.length)}")
            inside = False
        elif inside and opening.left + width > wall.length:
            accepted = (
                f"no more than {_m(wall.length - width)}, so that its {_m(width)} end within the wall's "
            )
            accepted += f"{_m(wall.length)}"
            if opening.width is None:
                accepted += ", and less by what the lining beside the leaf takes"
            found = written.get(f"{field}.left", _m(opening.left))
            yield Problem(f"{field}.left", found, accepted)
            inside = False
        if not inside or not heights or opening.height is None:
            continue
        left, right = opening.left, opening.left + width
        edges = [left, right, *(x for x, _ in heights if left < x < right)]
        least = int(min(height_at(heights, x) for x in edges))
        top = opening.height + (opening.sill or 0)
        if top > least:
            found = written.get(f"{field}.height", _m(opening.height))
            accepted = f"a top no higher than the wall there, {_m(least)}"
            if opening.sill:
                accepted += f" (sill {_m(opening.sill)}, top {_m(top)})"
            yield Problem(f"{field}.height", found, accepted)


def _overlaps(wall: Wall, written: Mapping[str, str]) -> Iterator[Problem]:
    """Ask that two openings share no width, unless both are as built and one is wholly above."""
    known = [
        (number, o.left, o.left + _width(o), _upright(o))
        for number, o in enumerate(wall.openings, 1)
        if o.left is not None and _width(o) is not None and _width(o) < (wall.length or _width(o) + 1)
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
            accepted = (
                f"a place clear of opening[{earlier}], which fills {_m(other_left)} to {_m(other_right)}"
            )
            yield Problem(field, written.get(field, _m(left)), accepted)


def _upright(opening: Opening) -> tuple[int, int] | None:
    """Return bottom and top of an opening given as built."""
    if opening.height is None or (opening.kind == "hatch" and opening.sill is None):
        return None
    bottom = opening.sill or 0
    return bottom, bottom + opening.height


def _points(wall: Wall) -> Iterator[tuple[str, str, tuple[int | None, int | None]]]:
    for number, item in enumerate(wall.hung, 1):
        for place, point in enumerate(item.fixings, 1):
            yield f"hung[{number}].fixings[{place}]", "fixing", point
    for number, service in enumerate(wall.services, 1):
        yield f"service[{number}].at", "service", service.at


def _point_problems(
    wall: Wall,
    heights: Sequence,
    field: str,
    name: str,
    point: tuple[int | None, int | None],
    written: Mapping[str, str],
) -> Iterator[Problem]:
    x, y = point
    if x is None or y is None:
        return
    found = written.get(field, f"[{_m(x)}, {_m(y)}]")
    if wall.length is not None and x > wall.length:
        yield Problem(field, found, f"a point on the wall, no more than {_m(wall.length)} from the left")
        return
    if heights and y > height_at(heights, x):
        yield Problem(
            field, found, f"a point on the wall, no higher than {_m(int(height_at(heights, x)))} there"
        )
    for number, opening in enumerate(wall.openings, 1):
        upright, width = _upright(opening), _width(opening)
        if upright is None or width is None or opening.left is None:
            continue
        if opening.left < x < opening.left + width and upright[0] < y < upright[1]:
            yield Problem(
                field, found, f"a point clear of opening[{number}], for there is no wall to hold a {name}"
            )


def _twin_names(wall: Wall, written: Mapping[str, str]) -> Iterator[Problem]:
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
