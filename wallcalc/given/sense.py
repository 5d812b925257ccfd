"""Whether the parts of a wall agree with one another: nothing outside it, nothing in one another's way."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise

from wallcalc.errors import Problem
from wallcalc.given.places import (
    Outline,
    height_at,
    metres,
    opening_upright,
    opening_width,
    out_of_place,
)
from wallcalc.given.wall import Wall

__all__ = ["disagreements", "height_at"]


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
    wall: Wall, key: str, points: Sequence[tuple[int | None, int | None]], written: Mapping[str, str]
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


def _tile_problems(wall: Wall, outline: Outline, written: Mapping[str, str]) -> Iterator[Problem]:
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


def _opening_problems(wall: Wall, outline: Outline, written: Mapping[str, str]) -> Iterator[Problem]:
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


def _overlaps(wall: Wall, written: Mapping[str, str]) -> Iterator[Problem]:
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


def _joist_problems(wall: Wall, written: Mapping[str, str]) -> Iterator[Problem]:
    """Ask that no joist fits in before the first one."""
    for place, joists in (("above", wall.joists_above), ("below", wall.joists_below)):
        first, centres = joists.first, joists.centres
        if first is not None and centres is not None and first > centres:
            field = f"joists.{place}.first"
            accepted = f"the first joist from the left, no farther than the centres, {metres(centres)}"
            yield Problem(field, written.get(field, metres(first)), accepted)


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
