"""Structural openings: from a door leaf by rule, or as built."""

from __future__ import annotations

import itertools
from dataclasses import replace

from wallcalc.errors import Problem, WallError
from wallcalc.geometry.profile import Line
from wallcalc.geometry.rectangles import Clear
from wallcalc.given.parts import Opening
from wallcalc.given.wall import Wall
from wallcalc.site.lines import floor_and_ceiling
from wallcalc.trade.rules import Rules
from wallcalc.units.lengths import MM


def structural_openings(wall: Wall, rules: Rules) -> tuple[Clear, ...]:
    """Return the clear rectangles to leave in the frame, left to right.

    A door given by its leaf gets width = leaf + 2 x (gap + lining + packing) and height above finished floor =
    clearance under the leaf + leaf height + gap + lining + packing at the head (values and sources in the rule
    file). A door's opening starts at the floor the wall stands on; where that is uneven it reaches down to its lowest
    place within the opening and its height is measured from the highest, so that the leaf clears it.

    Raises WallError: naming every opening that does not fit in the wall.
    """
    problems: list[Problem] = []
    clears = []
    lines = floor_and_ceiling(wall)
    for number, opening in enumerate(wall.openings, start=1):
        clear = _clear(number - 1, opening, wall, rules)
        if clear.kind == "door":
            clear = _on_the_floor(lines, clear)
        where = f"opening[{number}]"
        if clear.left < 0 or clear.right > wall.length:
            problems.append(_too_wide(where, opening, clear, wall.length))
        most = _ceiling(lines, clear)
        if clear.top > most:
            problems.append(
                Problem(
                    f"{where}.height",
                    f"top of the structural opening at {clear.top / MM:g} mm",
                    f"no more than the wall's height {'of' if lines[1].flat is not None else 'there,'} {most / MM:g} mm"
                    + (
                        "; for a lower door give width and height as built in place of leaf"
                        if opening.leaf
                        else ""
                    ),
                )
            )
        clears.append(clear)
    clears.sort(key=lambda c: c.left)
    for first, second in itertools.pairwise(clears):
        if second.left < first.right:
            problems.append(
                Problem(
                    f"opening[{second.index + 1}].left",
                    f"{second.left / MM:g} mm",
                    f"at least {first.right / MM:g} mm, where opening[{first.index + 1}] ends",
                )
            )
    if problems:
        raise WallError(problems, wall.name)
    return tuple(clears)


def _too_wide(where: str, opening: Opening, clear: Clear, length: int) -> Problem:
    """Return what to do about an opening that reaches out of the wall."""
    width = clear.right - clear.left
    if width >= length:
        found = f"a structural opening {width / MM:g} mm wide in a wall {length / MM:g} mm long"
        room = ""
        if opening.leaf is not None:
            beside = (width - opening.leaf) / MM
            room = f" (the leaf, and {beside:g} mm for the lining and room to pack it)"
        key = "leaf" if opening.leaf is not None else "width"
        return Problem(
            f"{where}.{key}", found + room, "a narrower door, or a longer wall: check the unit of both"
        )
    return Problem(
        f"{where}.left",
        f"a structural opening from {clear.left / MM:g} to {clear.right / MM:g} mm",
        f"a left edge of no more than {(length - width) / MM:g} mm, for it is {width / MM:g} mm wide and the wall ends "
        f"at {length / MM:g} mm",
    )


def _inside(clear: Clear, end: int) -> tuple[int, int]:
    """Left and right of an opening, within the wall."""
    left = min(max(clear.left, 0), end - 1)
    return left, min(max(clear.right, left + 1), end)


def _ceiling(lines: tuple[Line, Line], clear: Clear) -> int:
    """Lowest height of the ceiling over an opening, 0.1 mm."""
    return lines[1].least(*_inside(clear, lines[1].points[-1][0]))


def _on_the_floor(lines: tuple[Line, Line], clear: Clear) -> Clear:
    """Return a door's opening put on an uneven floor."""
    floor = lines[0]
    at = _inside(clear, floor.points[-1][0])
    return replace(clear, bottom=floor.least(*at), top=clear.top + floor.most(*at))


def _clear(index: int, opening: Opening, wall: Wall, rules: Rules) -> Clear:
    t = rules.tenths
    surround = t("door.gap") + t("door.lining")
    width = opening.width
    if width is None:
        width = (opening.leaf or 0) + 2 * (surround + t("door.packing"))
    floor = 0 if opening.kind == "door" else (opening.sill or 0)
    height = opening.height
    if height is None:
        height = (
            wall.floor_build_up
            + t("door.under_leaf")
            + t("door.leaf_height")
            + surround
            + t("door.head_packing")
        )
    bottom = 0 if opening.kind == "door" else floor
    return Clear(index, opening.kind, opening.left, opening.left + width, bottom, floor + height)
