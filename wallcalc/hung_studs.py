"""Studs for hung items, shifted or added before the boarding.

A fixing near the edge of a stud is held by nothing: the stud is too narrow there and no noggin reaches under it. So
the studs of a run between fixed uprights are laid anew where a fixing asks for it, found exactly over the places
listed in :func:`_candidates`: a stud added counts twice as much as one moved off the module, then least moved. All
lengths are integers of 0.1 mm.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from wallcalc.errors import OptionError, Refusal
from wallcalc.given import MM
from wallcalc.hung_fixings import NOGGIN, PATTRESS, STUD, Fixing, upright_holds
from wallcalc.records import Clear
from wallcalc.services import Interval, free
from wallcalc.stud_lines import Span, Upright, spans

UNREACHED = "no stud can stand under it and no noggin or pattress reaches it"
BACKING = "backing of hung items"
"""Rule named where a fixing cannot be held."""
MODULE_ROLES = ("stud", "short stud")
Rank = tuple[int, int, int, int]
"""Fixings not backed as they best are (a pattress, a stud where a noggin was asked for), studs and those moved off the
module, the latter, total distance off it."""


@dataclass(frozen=True, slots=True)
class StudPlan:
    """The rules studs are laid by: thickness, largest centres, least clear bay, closed intervals by zone, 0.1 mm."""

    thickness: int
    centres: int
    least_bay: int
    closed: Mapping[int, Sequence[Interval]]


def lay_studs(
    uprights: Sequence[Upright],
    clears: Sequence[Clear],
    fixings: Sequence[Fixing],
    plan: StudPlan,
    keep_module: bool = False,
) -> list[Upright]:
    """Return the uprights with studs shifted and added so that every fixing can be held.

    Parameters
    ----------
    uprights : sequence of Upright
        Fixed and module studs.
    clears : sequence of Clear
        Structural openings.
    fixings : sequence of Fixing
        Those that are not on level timber.
    plan : StudPlan
        The rules.
    keep_module : bool
        Whether studs stay on the module before fewest studs count: a stud is then added, not shifted, where there is
        room for it.

    Returns
    -------
    list of Upright
        Left to right.

    Raises
    ------
    OptionError
        Naming every fixing that no stud can be put under and no noggin or pattress can reach.
    """
    posts = [u for u in uprights if u.role not in MODULE_ROLES]
    result = list(uprights)
    lost: list[Fixing] = []
    for span in spans(posts, clears):
        here = [f for f in fixings if _in_span(f, span, clears) and not held(f, posts, clears)]
        own = [u for u in uprights if u.role in MODULE_ROLES and _belongs(u, span)]
        if not here or not _wanting(here, [u.line for u in own], span, plan):
            continue
        lines = _best(here, [u.line for u in own], span, plan, keep_module)
        if lines is None:
            lost += _alone(here, own, span, plan) or here
            continue
        result = [u for u in result if u not in own]
        result += _uprights(lines, own, here, span, plan.thickness)
    runs = spans(posts, clears)
    lost += [
        f for f in fixings if not any(_in_span(f, s, clears) for s in runs) and not held(f, posts, clears)
    ]
    if lost:
        raise OptionError([no_timber(f, UNREACHED) for f in lost])
    return sorted(result, key=lambda u: (u.x, u.zone))


def no_timber(fixing: Fixing, why: str) -> Refusal:
    """Return the refusal of a fixing that no timber can be put behind; the nearest change is filled in later."""
    return Refusal(
        BACKING,
        f"{fixing.item!r}, fixing at {fixing.x / MM:g}, {fixing.y / MM:g} mm on side {fixing.side}",
        why,
        "move the item, or ask for another backing",
    )


def _in_span(f: Fixing, span: Span, clears: Sequence[Clear]) -> bool:
    if not span.left < f.x < span.right:
        return False
    inside = next((z for z, c in enumerate(clears) if c.left <= f.x <= c.right), -1)
    if span.zone >= 0:
        clear = clears[span.zone]
        return f.y >= clear.top or f.y <= clear.bottom
    return inside < 0


def _belongs(u: Upright, span: Span) -> bool:
    return u.zone == span.zone and span.left <= u.x and u.right <= span.right


def held(f: Fixing, uprights: Iterable[Upright], clears: Sequence[Clear]) -> bool:
    """Return whether any upright holds a fixing."""
    return any(upright_holds(f, u, clears) for u in uprights)


def _state(f: Fixing, left: int, right: int, plan: StudPlan) -> int:
    """How a fixing fares between the faces of two uprights: 0 held by a noggin, 1 by a pattress only, 2 by nothing."""
    kind = f.between(left, right, plan.thickness)
    if f.backing == STUD or not kind:
        return 2
    if kind == NOGGIN or f.backing == PATTRESS:
        return 0
    return 1 if f.may(PATTRESS) else 2


def _wanting(here: Sequence[Fixing], lines: Sequence[int], span: Span, plan: StudPlan) -> bool:
    """Whether any fixing has neither a stud under it nor room for what else may hold it as well as may be."""
    half = plan.thickness // 2
    edges = [
        span.left,
        *(v for x in sorted(lines) for v in (x - half, x - half + plan.thickness)),
        span.right,
    ]
    for f in here:
        if any(f.on(x - half, x - half + plan.thickness) for x in lines):
            continue
        if any(x - half < f.x < x - half + plan.thickness for x in lines):
            return True
        left = max((b for b in edges[0::2] if b <= f.x), default=None)
        right = min((a for a in edges[1::2] if a >= f.x), default=None)
        if left is None or right is None or right < left or _state(f, left, right, plan):
            return True
    return False


def _candidates(here: Sequence[Fixing], lines: Sequence[int], span: Span, plan: StudPlan) -> list[int]:
    """Return the middles where a stud may come to stand: on the module, under fixings, off them, beside those."""
    t, half = plan.thickness, plan.thickness // 2
    wanted = set(lines)
    for f in here:
        slack = max(half - f.grip, 0)
        wanted |= {f.x, f.x - slack, f.x + slack}
        for away in (half + f.end, half + f.rim):
            wanted |= {f.x - away, f.x + away}
    wanted |= {
        span.left + half,
        span.left + plan.least_bay + half,
        span.right - half,
        span.right - plan.least_bay - half,
    }
    for x in tuple(wanted):
        wanted |= {
            x - t,
            x + t,
            x - t - plan.least_bay,
            x + t + plan.least_bay,
            x - plan.centres,
            x + plan.centres,
        }
    for a, b in plan.closed.get(span.zone, ()):
        wanted |= {a - half, b + half}
    return sorted(
        x
        for x in wanted
        if span.left <= x - half
        and x - half + t <= span.right
        and free(x - half, x - half + t, span.zone, plan.closed)
    )


def _best(
    here: Sequence[Fixing], lines: Sequence[int], span: Span, plan: StudPlan, keep_module: bool
) -> list[int] | None:
    """Return the best stud middles of a run, or None where none hold every fixing."""
    t, half, least = plan.thickness, plan.thickness // 2, plan.least_bay
    low, high = span.left - half, span.right + (t - half)  # middles of the uprights at both sides
    module = set(lines)
    here = sorted(here, key=lambda f: f.x)
    at = [f.x for f in here]
    places = [low, *_candidates(here, lines, span, plan), high]
    steps = [_step(q, module, at, keep_module) for q in places[:-1]] + [(0, 0, 0)]
    best: list[tuple[Rank, int] | None] = [None] * len(places)
    best[0] = ((0, 0, 0, 0), -1)
    for j in range(1, len(places)):
        q, (studs, kept, off) = places[j], steps[j]
        last = j == len(places) - 1
        for i in range(j - 1, -1, -1):
            before, p = best[i], places[i]
            gap = q - p - t
            if q - p > plan.centres:
                break
            if before is None or not (gap >= least or gap == 0 or (i == 0 and last)):
                continue
            beyond = span.beyond * ((i == 0) + last)
            if q - p + beyond > plan.centres or (gap == 0 and beyond):
                continue
            done = before[0]
            rank = done[0], done[1] + studs, done[2] + kept, done[3] + off
            if best[j] is not None and rank >= best[j][0]:  # type: ignore[index]
                continue
            between = here[bisect_left(at, p) : bisect_left(at, q)]
            short = _short(between, p, q, i == 0, last, module, plan)
            rank = rank[0] + short, *rank[1:]
            if short >= 0 and (best[j] is None or rank < best[j][0]):  # type: ignore[index]
                best[j] = (rank, i)
    if best[-1] is None:
        return None
    chain = []
    number = best[-1][1]
    while number > 0:
        chain.append(places[number])
        number = best[number][1]  # type: ignore[index]
    return chain[::-1]


def _step(q: int, module: set[int], fixings: Sequence[int], keep_module: bool) -> tuple[int, int, int]:
    """Return what a stud adds to the rank; under a fixing it had better be with its middle."""
    kept = q in module
    off = 0 if kept else min((abs(q - m) for m in module), default=0)
    off += 0 if kept else min((2 * abs(q - x) for x in fixings), default=0)
    return (-kept, 1, off) if keep_module else (2 - kept, -kept, off)


def _short(
    between: Sequence[Fixing], p: int, q: int, first: bool, last: bool, module: set[int], plan: StudPlan
) -> int:
    """How many fixings between neighbouring studs are not backed as they best are; -1 where one is not at all."""
    t, half = plan.thickness, plan.thickness // 2
    count = 0
    for f in between:
        under = next(
            (x for x, post in ((p, first), (q, last)) if not post and f.on(x - half, x - half + t)), None
        )
        if under is not None:
            count += f.backing in (NOGGIN, PATTRESS) and under not in module
            continue
        state = _state(f, p - half + t, q - half, plan)
        if state == 2:
            return -1
        count += state
    return count


def _alone(here: Sequence[Fixing], own: Sequence[Upright], span: Span, plan: StudPlan) -> list[Fixing]:
    """Return the fixings that cannot be held even when they are alone."""
    lines = [u.line for u in own]
    return [f for f in here if _best([f], lines, span, plan, False) is None]


def _uprights(
    lines: Sequence[int], own: Sequence[Upright], here: Sequence[Fixing], span: Span, thickness: int
) -> list[Upright]:
    """Return the studs on the lines; those of the module that stay keep what they serve."""
    half = thickness // 2
    old = {u.line: u for u in own}
    role = "stud" if span.zone < 0 else "short stud"
    found = []
    for x in lines:
        if x in old:
            found.append(old[x])
            continue
        left = x - half
        names = tuple(dict.fromkeys(f.item for f in here if f.on(left, left + thickness)))
        moved = () if names else ("module",)
        found.append(Upright(left, left + thickness, role, span.zone, (*names, *moved)))
    return found
