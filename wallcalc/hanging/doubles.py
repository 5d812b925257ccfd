"""Timber added after studs are laid leaves fixings of hung items what holds them: joint studs, double studs.

All lengths are integers of 0.1 mm.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from wallcalc.framing.joint_lines import JointLine
from wallcalc.geometry.rectangles import Clear
from wallcalc.hanging.fixings import Fixing
from wallcalc.hanging.studs import StudPlan, held
from wallcalc.records import Upright, for_item
from wallcalc.services.clearances import free
from wallcalc.units.lengths import MM


def keep_lines(
    lines: Iterable[JointLine],
    fixings: Sequence[Fixing],
    uprights: Sequence[Upright],
    clears: Sequence[Clear],
    thickness: int,
) -> tuple[JointLine, ...]:
    """Return the joint lines whose studs leave every fixing what holds it.

    A stud or a pair put under a joint may not come nearer to a fixing than a noggin there needs, nor take the stud a
    fixing is on out of its middle.
    """
    by_zone: dict[int, list[tuple[Fixing, int]]] = {}
    for f, zone, reach in reaches(fixings, uprights, clears):
        by_zone.setdefault(zone, []).append((f, reach))
    half = thickness // 2
    found = []
    for line in lines:
        near = by_zone.get(line.zone, ())
        single, pair = line.single, line.pair
        left = line.x - half
        if single and not all(_leaves(f, reach, ((left, left + thickness),)) for f, reach in near):
            single = None
        both = ((line.x - thickness, line.x), (line.x, line.x + thickness))
        if pair is not None and not all(_leaves(f, reach, both) for f, reach in near):
            pair = None
        if single is not None or pair is not None:
            found.append(
                line
                if (single, pair) == (line.single, line.pair)
                else replace(line, single=single, pair=pair)
            )
    return tuple(found)


def reaches(
    fixings: Sequence[Fixing], uprights: Sequence[Upright], clears: Sequence[Clear]
) -> list[tuple[Fixing, int, int]]:
    """Return every fixing with its zone and how far new uprights have to stay from it (-1: an upright holds it)."""
    return [
        (
            f,
            next((z for z, c in enumerate(clears) if c.left < f.x < c.right), -1),
            _reach(f, uprights, clears),
        )
        for f in fixings
    ]


def _reach(f: Fixing, uprights: Sequence[Upright], clears: Sequence[Clear]) -> int:
    """How far from an upright a fixing has to stay: as for a noggin, or for a pattress where it is nearer already."""
    if held(f, uprights, clears):
        return -1
    room = min((min(abs(f.x - u.x), abs(f.x - u.right)) for u in uprights), default=f.end)
    return f.end if room >= f.end else f.rim


def _leaves(f: Fixing, reach: int, studs: Sequence[tuple[int, int]]) -> bool:
    """Whether new studs leave a fixing held: on one of them, or as far off as it needs."""
    if any(f.on(a, b) for a, b in studs):
        return True
    low, high = studs[0][0], studs[-1][1]
    if reach < 0:
        return not low < f.x < high
    return f.x <= low - reach or f.x >= high + reach


def double_studs(
    uprights: Sequence[Upright],
    clears: Sequence[Clear],
    fixings: Sequence[Fixing],
    plan: StudPlan,
) -> tuple[list[Upright], tuple[str, ...]]:
    """Return the uprights with those doubled that carry heavy items, and what could not be doubled.

    Both sides of every bay with a fixing of a heavy item, and a stud with such a fixing on it, get a second stud tight
    beside the first: on the side away from the bay, else within the bay. A stud at a wall's end is held by that wall
    and stays single; one that stands double already stays so.
    """
    made, notes = _doubled(uprights, clears, fixings, plan)
    return sorted([*uprights, *(new for _, new in made)], key=lambda u: (u.x, u.zone)), notes


def least_doubles(
    uprights: Sequence[Upright], clears: Sequence[Clear], fixings: Sequence[Fixing], plan: StudPlan
) -> int:
    """Return how many full-height uprights come on top at the least for heavy items, whatever boards add.

    An upright that is doubled here is doubled after boards have added theirs as well, unless one of theirs stands
    within reach: from where the double would stand, and the least bay beyond it, to the fixing. Either way there is one
    more. Reaches that no upright can be in at once count one each.
    """
    made, _ = _doubled(uprights, clears, fixings, plan)
    full = [u for u in uprights if u.zone < 0]
    beyond = plan.thickness + plan.least_bay
    reach = []
    for u, _ in made:
        x = min(
            (f.x for f in _heavy(fixings, clears) if u in _carriers(f, full)), key=lambda x: abs(x - u.line)
        )
        reach.append((max(u.right + beyond, x), min(u.x - beyond, x)))
    count, end = 0, None
    for right, left in sorted(reach):
        if end is None or left >= end + 2 * plan.thickness:  # a pair under a joint is two thicknesses wide
            count, end = count + 1, right
    return count


def _heavy(fixings: Sequence[Fixing], clears: Sequence[Clear]) -> list[Fixing]:
    """Return the fixings that ask for double studs: over an opening its jambs carry them, by the head."""
    return [f for f in fixings if f.heavy and not any(c.left < f.x < c.right for c in clears)]


def _carriers(f: Fixing, full: Sequence[Upright]) -> dict[Upright, int]:
    """Uprights that a fixing asks to double, and on which side first: the one it is on, else those of its bay."""
    under = next((u for u in full if u.x < f.x < u.right), None)
    left = max((u for u in full if u.right <= f.x), key=lambda u: u.x, default=None)
    right = min((u for u in full if u.x >= f.x), key=lambda u: u.x, default=None)
    found = ((under, 1),) if under is not None else ((left, -1), (right, 1))
    return {u: away for u, away in found if u is not None and u.role != "end stud"}


def _doubled(
    uprights: Sequence[Upright], clears: Sequence[Clear], fixings: Sequence[Fixing], plan: StudPlan
) -> tuple[list[tuple[Upright, Upright]], tuple[str, ...]]:
    """Uprights that are doubled with their doubles, and notes."""
    notes: list[str] = []
    wanted: dict[Upright, tuple[int, list[str]]] = {}
    full = [u for u in uprights if u.zone < 0]
    for f in _heavy(fixings, clears):
        for u, away in _carriers(f, full).items():
            names = wanted.setdefault(u, (away, []))[1]
            if f.item not in names:
                names.append(f.item)
    result = list(uprights)
    made = []
    for u, (away, names) in sorted(wanted.items(), key=lambda w: w[0].x):
        if any(v.zone < 0 and (v.right == u.x or v.x == u.right) for v in result):
            continue
        for side in (away, -away):
            x = u.right if side > 0 else u.x - plan.thickness
            new = Upright(x, x + plan.thickness, "double stud", -1, tuple(for_item(name) for name in names))
            if _room_for(new, u, result, clears, fixings, plan):
                result.append(new)
                made.append((u, new))
                break
        else:
            notes.append(f"no room to double the stud at {u.line / MM:g} mm for the {', '.join(names)}")
    return made, tuple(notes)


def _room_for(
    new: Upright,
    beside: Upright,
    uprights: Sequence[Upright],
    clears: Sequence[Clear],
    fixings: Sequence[Fixing],
    plan: StudPlan,
) -> bool:
    if not free(new.x, new.right, -1, plan.closed):
        return False
    solid = [(u.x, u.right) for u in uprights if u is not beside]
    solid += [(c.left, c.right) for c in clears]
    if any(a < new.right and new.x < b for a, b in solid):
        return False
    if new.x >= beside.right:
        gap = min((a - new.right for a, _ in solid if a >= new.right), default=0)
    else:
        gap = min((new.x - b for _, b in solid if b <= new.x), default=0)
    if 0 < gap < plan.least_bay:
        return False
    return all(
        _leaves(f, _reach(f, uprights, clears), ((new.x, new.right),))
        for f in fixings
        if not any(c.left < f.x < c.right for c in clears)
    )
