"""What an elevation tells of the frame beyond its outlines: whom added timber serves, and the joists above."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from typing import Any

from wallcalc.draw import style
from wallcalc.framing.joists import joists_crossed
from wallcalc.records import FOR_SERVICES

ADDED = {"hung item": style.HUNG_TIMBER, "service": style.SERVICE_TIMBER}
"""Ground colour of timber by what it was put in, moved or doubled for."""
JOIST_TALL = 6.0
"""Height at which a joist's end is drawn, points."""


def added_for(design: Any) -> dict[str, str]:
    """Return what members are there for, by mark, where that is a hung item or a service and nothing else.

    "hung item" or "service".
    """
    found = {}
    for m in design.frame.members:
        if any(why.kind in FOR_SERVICES for why in m.serves):
            found[m.mark] = "service"
        elif m.serves and all(why.kind == "item" for why in m.serves):
            found[m.mark] = "hung item"
    return found


def carrying(design: Any) -> set[str]:
    """Return the marks of the members that carry a hung item, whatever else they are there for."""
    return {m.mark for m in design.frame.members if any(why.kind == "item" for why in m.serves)}


def added_words(design: Any) -> str:
    """Return what was put in or moved for hung items and services, in words; "" where nothing was."""
    added = added_for(design)
    counts: dict[str, Counter[str]] = {}
    for m in design.frame.members:
        if m.mark not in added:
            continue
        what = f"{m.role} put aside" if added[m.mark] == "service" else m.role
        if added[m.mark] == "service":
            whom = [
                next(s.name for s in design.wall.services if s.name in why.subject)
                for why in m.serves
                if why.kind in FOR_SERVICES
            ]
        else:
            whom = list(m.serves)
        counts.setdefault(", ".join(dict.fromkeys(whom)), Counter())[what] += 1
    return "; ".join(
        f"for {whom}: {', '.join(f'{n} {_plural(what, n)}' for what, n in found.items())}"
        for whom, found in counts.items()
    )


def _plural(what: str, number: int) -> str:
    """Return a role in the plural where there are several."""
    head, _, rest = what.partition(" put")
    end = "" if number == 1 else "es" if head.endswith("s") else "s"
    return f"{head}{end}{' put' + rest if rest else ''}"


def joist_boxes(design: Any) -> list[tuple[float, float, float]]:
    """Return left and right edge and foot of every joist end or noggin between joists seen over the head plate, mm.

    In the wall's own coordinates, from left to right; the foot is the ceiling there.
    """
    frame = design.frame
    profile = getattr(frame, "profile", None)
    half = design.rules.tenths("joist.thickness") / 20
    middles = joists_crossed(design.wall.joists_above, 0, frame.length)
    middles = [*middles, *(n.x for n in frame.joist_noggins if n.place == "above")]
    feet = [profile.ceiling.over(x) for x in middles]
    return [(x / 10 - half, x / 10 + half, y / 10) for x, y in zip(middles, feet, strict=True)]


def joist_lines(
    boxes: Sequence[tuple[float, float, float]], flip: Callable[[float], float], scale: float
) -> list[list[tuple[float, float]]]:
    """Return the lines of joist ends: a box with a cross, as cut timber is drawn.

    Units: ``flip`` mm.
    """
    lines = []
    for a, b, foot in boxes:
        low, high = foot + 1.0 * scale, foot + (1.0 + JOIST_TALL) * scale
        left, right = sorted((flip(a), flip(b)))
        lines.append([(left, low), (right, low), (right, high), (left, high), (left, low), (right, high)])
        lines.append([(left, high), (right, low)])
    return lines


def measured_points(profile: Any) -> list[tuple[float, float, float]]:
    """Return the points measured along an uneven ceiling and floor, and how far off the line a label stands.

    Mm of the wall, points of the picture.
    """
    lines = ((profile.ceiling, -9.0), (profile.floor, 9.0))
    uneven = [(line.points, off) for line, off in lines if len({y for _, y in line.points}) > 1]
    return [(x / 10, y / 10, off) for points, off in uneven for x, y in points]
