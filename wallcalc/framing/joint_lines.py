"""Lines on which a vertical board joint may fall, and what timber each would take.

A joint needs a stud centred on it, or, where the edges that meet ask for more than one stud's width, a pair of
studs that straddle it. Lines are the studs that stand already and the places where a sheet's edge would come to
lie if a stud were put under it. All lengths are integers of 0.1 mm.
"""

from __future__ import annotations

import itertools
from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from wallcalc.framing.stud_lines import spans
from wallcalc.geometry.rectangles import Clear
from wallcalc.records import Upright
from wallcalc.services.clearances import OPEN, Closed
from wallcalc.site.site import Site


@dataclass(frozen=True, slots=True)
class JointLine:
    """A place for vertical joints.

    ``standing`` tells whether a stud is centred there already; ``single`` and ``pair`` are the lengths of timber
    that one stud or a straddling pair would add (None: there is no room for it). ``caution`` is True where
    the line is closer to a jamb line than the rule advises.
    """

    x: int
    zone: int
    standing: bool
    single: int | None
    pair: int | None
    caution: bool


def zone_of(x: int, clears: Sequence[Clear]) -> int:
    """Return the index of the opening a line stands over, or -1."""
    for zone, clear in enumerate(clears):
        if clear.left < x < clear.right:
            return zone
    return -1


def upright_length(zone: int, clears: Sequence[Clear], height: int, packing: int, thickness: int) -> int:
    """Return how much timber one stud takes on a line, 0.1 mm: full height, or over and under an opening."""
    top = height - thickness - packing
    if zone < 0:
        return top - thickness
    clear = clears[zone]
    over = max(0, top - clear.top - thickness)
    under = max(0, clear.bottom - 2 * thickness) if clear.bottom > 0 else 0
    return over + under


def joint_lines(
    site: Site,
    uprights: Sequence[Upright],
    reaches: Iterable[int],
    between: bool,
    closed: Closed = OPEN,
) -> tuple[JointLine, ...]:
    """Return the lines on which vertical joints may fall, left to right."""
    profile, clears, rules = site.profile, site.clears, site.rules
    length, thickness = site.length, site.thickness
    standing = {u.line for u in uprights if u.role in ("stud", "short stud")}
    jambs = [x for c in clears for x in (c.left, c.right)]
    steps = sorted(set(reaches))
    wanted = set(standing)
    for start in {0, length, *jambs}:
        for step in (s for whole in steps for s in (whole, whole // 2)):
            wanted.update(range(start + step, length, step))
            wanted.update(range(start - step, 0, -step))
    for x in standing:
        for step in steps:
            wanted.update((x + step, x - step))
    for clear in clears:
        keep = rules.jamb_caution
        wanted.add((clear.left + clear.right) // 2)
        wanted.update((clear.left - keep, clear.left + keep, clear.right - keep, clear.right + keep))
    if between:
        keep, pitch = rules.jamb_fail, thickness + rules.least_bay
        for clear in clears:
            low, high = clear.left + keep, clear.right - keep
            wanted.update((clear.left - keep, clear.right + keep))
            wanted.update(range(low, high + 1, pitch))
            wanted.update(range(high, low - 1, -pitch))
        wanted.update(x + side for x in standing for side in (-thickness, thickness))
        ordered = sorted(standing | {0, length})
        for a, b in itertools.pairwise(ordered):
            wanted.update(((a + b) // 2, a + (b - a) // 3, b - (b - a) // 3))
    half = thickness // 2
    for intervals in closed.intervals.values():
        for a, b in intervals:
            wanted.update((a - half, a - thickness, b + half, b + thickness))
    blocks = _blocks(clears, uprights)
    found = []
    for x in sorted(wanted):
        if not thickness < x < length - thickness:
            continue
        near = min((abs(x - j) for j in jambs), default=length)
        if near < rules.jamb_fail:
            continue
        zone = zone_of(x, clears)
        height = profile.ceiling.under(x)
        if zone >= 0 and x not in standing and clears[zone].top + thickness >= height:
            continue
        stands = x in standing
        taken = profile.upright(x, clears[zone] if zone >= 0 else None, thickness)
        lefts, rights = blocks[zone if zone >= 0 else -1]
        room = _room(x, lefts, rights, thickness, stands)
        alone = closed.free(x - half, x - half + thickness, zone)
        both = closed.free(x - thickness, x + thickness, zone)
        single = 0 if stands else (taken if alone and _fits(room, half, rules.least_bay) else None)
        pair = (taken if stands else 2 * taken) if both and _fits(room, thickness, rules.least_bay) else None
        if single is None and pair is None:
            continue
        found.append(JointLine(x, zone, stands, single, pair, near < rules.jamb_caution))
    return tuple(found)


def _blocks(clears: Sequence[Clear], uprights: Sequence[Upright]) -> dict[int, tuple[list[int], list[int]]]:
    """Left and right edges of what stands in each zone, sorted, clear runs' ends included."""
    blocks: dict[int, list[tuple[int, int]]] = {zone: [] for zone in range(-1, len(clears))}
    fixed = [u for u in uprights if u.role not in ("stud", "short stud")]
    for span in spans(fixed, clears):
        blocks[span.zone] += [(span.left, span.left), (span.right, span.right)]
    for u in uprights:
        if u.role in ("stud", "short stud"):
            blocks[u.zone].append((u.x, u.right))
    return {z: (sorted(a for a, _ in b), sorted(c for _, c in b)) for z, b in blocks.items()}


def _room(x: int, lefts: list[int], rights: list[int], thickness: int, stands: bool) -> tuple[int, int]:
    """Clear distance from a line to the timber at its left and right."""
    edge = thickness // 2 if stands else 0
    i = bisect_right(rights, x - edge)
    j = bisect_left(lefts, x + edge)
    if not stands:
        for left, right in zip(lefts, rights, strict=True):
            if left < x < right:
                return -1, -1
    return x - rights[i - 1], lefts[j] - x


def _fits(room: tuple[int, int], half: int, least_bay: int) -> bool:
    return all(gap == half or gap - half >= least_bay for gap in room)
