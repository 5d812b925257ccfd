"""Studs for hung items, shifted or added before the boarding.

A fixing near the edge of a stud is held by nothing: the stud is too narrow there and no noggin reaches under it. So
the studs of a run between fixed uprights are laid anew where a fixing asks for it, found exactly over the places
listed in :func:`_candidates`: a stud added counts twice as much as one moved off the module, then least moved. All
lengths are integers of 0.1 mm.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from math import inf

from wallcalc.errors import OptionError, Refusal, Subject
from wallcalc.framing.stud_lines import Span, spans
from wallcalc.geometry.rectangles import Clear
from wallcalc.hanging.fixings import NOGGIN, PATTRESS, STUD, Fixing, upright_holds
from wallcalc.records import MODULE, Upright, for_item
from wallcalc.services.clearances import Interval, free
from wallcalc.units.lengths import MM

UNREACHED = "no stud can stand under it and no noggin or pattress reaches it"
BACKING = "backing of hung items"
"""Rule named where a fixing cannot be held."""
MODULE_ROLES = ("stud", "short stud")
NONE, SHORT, STUDS, MOVED = 1 << 100, 1 << 80, 1 << 60, 1 << 40
"""A way to lay studs has one number for a rank, the least is best; in it count, one before the other: fixings not
backed as they best are (a pattress, a stud where a noggin was asked for), studs and those moved off the module, the
latter, total distance off it. None: a way that leaves a fixing without timber."""
HELD = 4
"""How a fixing fares that a stud holds; less than that, as :func:`_state`."""


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

    Left to right. Raises OptionError: naming every fixing that no stud can be put under and no noggin or
    pattress can reach.
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
        raise OptionError([replace(no_timber(f, UNREACHED), before_boards=True) for f in lost])
    return sorted(result, key=lambda u: (u.x, u.zone))


def no_timber(fixing: Fixing, why: str) -> Refusal:
    """Return the refusal of a fixing that no timber can be put behind; the nearest change is filled in later."""
    return Refusal(
        BACKING,
        f"{fixing.item!r}, fixing at {fixing.x / MM:g}, {fixing.y / MM:g} mm on side {fixing.side}",
        why,
        "move the item, or ask for another backing",
        Subject("hung item", fixing.item),
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
    room = min(f.x - left, right - f.x)
    least, enough = _rooms(f, plan)
    return (room < least) + (room < enough)


def _rooms(f: Fixing, plan: StudPlan) -> tuple[float, float]:
    """Return how far from the nearer upright a fixing has to be to be held between them, and to be held as asked."""
    if f.backing == STUD:
        return inf, inf
    pad = f.half - plan.thickness  # what of the pad the upright does not carry
    least = max(pad, f.end if f.backing == NOGGIN else min(f.end, f.rim))
    return least, least if f.backing == PATTRESS else max(least, f.end)


@dataclass(frozen=True, slots=True)
class _Want:
    """What a fixing asks of the studs beside it.

    ``low`` and ``high``: how far from a stud's middle it may be for that to hold it; ``level``: whether it asks for
    timber between the studs; ``least`` and ``enough`` as :func:`_rooms`.
    """

    x: int
    low: int
    high: int
    level: bool
    least: float
    enough: float

    def beside(self, off: int, room: int, module: bool | None) -> int:
        """Return how an upright leaves it, so far off its middle, with so much room to its face.

        As :func:`_state`; HELD where it is held as asked by the upright, HELD + 1 where that is not what was asked.
        ``module`` is whether the upright stands on the module, None for one that is not moved.
        """
        if module is not None and self.low <= off <= self.high:
            return HELD + (self.level and not module)
        return (room < self.least) + (room < self.enough)


def _want(f: Fixing, plan: StudPlan) -> _Want:
    half = plan.thickness // 2
    high = plan.thickness - half - f.grip
    return _Want(f.x, f.grip - half, high, f.backing in (NOGGIN, PATTRESS), *_rooms(f, plan))


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
    t, half = plan.thickness, plan.thickness // 2
    low, high = span.left - half, span.right + (t - half)  # middles of the uprights at both sides
    module = set(lines)
    here = sorted(here, key=lambda f: f.x)
    at = [f.x for f in here]
    places = [low, *_candidates(here, lines, span, plan), high]
    last = len(places) - 1
    passed = [bisect_left(at, p) for p in places]  # fixings to the left of each
    wants = [_want(f, plan) for f in here]
    posts = (0, last)
    right_of, left_of = [], []
    for i, p in enumerate(places):
        stud = None if i in posts else p in module
        room = half - t - p
        right_of.append(tuple(w.beside(w.x - p, w.x + room, stud) for w in wants[passed[i] :]))
        left_of.append(tuple(w.beside(w.x - p, p - half - w.x, stud) for w in wants[: passed[i]]))
    shorts: dict[tuple, int] = {}
    best = [0] + [NONE] * last
    back = [-1] * (last + 1)
    start = 0
    for j in range(1, last + 1):
        q = places[j]
        step = 0 if j == last else _step(q, module, at, keep_module)
        while q - places[start] > plan.centres:
            start += 1
        end = bisect_right(places, q - t - plan.least_bay, start, j)
        near = [*range(start, end), *(i for i in range(end, j) if places[i] == q - t or (i, j) == posts)]
        for i in near:
            rank = best[i] + step
            if best[i] == NONE or rank > best[j]:
                continue
            beyond = span.beyond * ((i == 0) + (j == last))
            if beyond and (q - places[i] + beyond > plan.centres or q - places[i] == t):
                continue
            if passed[i] < passed[j]:
                key = passed[i], right_of[i], left_of[j]
                if key not in shorts:
                    shorts[key] = _short(right_of[i], left_of[j][passed[i] :])
                rank += shorts[key]
            if rank <= best[j]:
                best[j], back[j] = rank, i
    if best[-1] == NONE:
        return None
    chain = []
    number = back[-1]
    while number > 0:
        chain.append(places[number])
        number = back[number]
    return chain[::-1]


def _step(q: int, module: set[int], fixings: Sequence[int], keep_module: bool) -> int:
    """Return what a stud adds to the rank; under a fixing it had better be with its middle."""
    kept = q in module
    off = 0 if kept else min((abs(q - m) for m in module), default=0)
    off += 0 if kept else min((2 * abs(q - x) for x in fixings), default=0)
    return MOVED - kept * STUDS + off if keep_module else (2 - kept) * STUDS - kept * MOVED + off


def _short(left: Sequence[int], right: Sequence[int]) -> int:
    """Return what fixings between two uprights add to the rank, by how each of the two leaves them."""
    short = 0
    for one, other in zip(left, right, strict=False):
        way = one if one >= HELD else other if other >= HELD else max(one, other)
        if way == 2:
            return NONE
        short += way % HELD
    return short * SHORT


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
        names = tuple(dict.fromkeys(for_item(f.item) for f in here if f.on(left, left + thickness)))
        moved = () if names else (MODULE,)
        found.append(Upright(left, left + thickness, role, span.zone, (*names, *moved)))
    return found
