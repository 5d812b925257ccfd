"""Where uprights stand before any board is thought of: end studs, jambs, and studs on the module.

All lengths are integers of 0.1 mm. Studs do not move after this; boards may only ask for more timber.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from wallcalc.errors import OptionError, Refusal
from wallcalc.framing.stud_shift import Stretch, clear_of
from wallcalc.geometry.rectangles import Clear
from wallcalc.records import MODULE, OPENING, Purpose, Upright, added_beside, moved_for
from wallcalc.services.clearances import OPEN, Closed
from wallcalc.units.lengths import MM


@dataclass(frozen=True, slots=True)
class Span:
    """A clear run between two fixed uprights in which module studs may stand.

    Where trimmers bound the run below an opening and king studs above it, ``beyond`` is the trimmers' thickness: the
    distance from the run's ends to the king studs.
    """

    left: int
    right: int
    zone: int
    beyond: int = 0


def jamb_width(thickness: int, jamb: str) -> int:
    """Return the width of the timber at each side of an opening, 0.1 mm.

    One stud ("single") or a king stud with a trimmer ("king and trimmer").
    """
    return 2 * thickness if jamb == "king and trimmer" else thickness


def fixed_uprights(length: int, clears: Sequence[Clear], thickness: int, jamb: str) -> list[Upright]:
    """Return end studs and the studs at openings, left to right.

    Raises OptionError: when an opening leaves no room for the timber at its sides; names the least move that
    makes room.
    """
    wide = jamb_width(thickness, jamb)
    refusals = []
    ends = [Upright(0, thickness, "end stud"), Upright(length - thickness, length, "end stud")]
    posts: list[Upright] = []
    edges = [(0, thickness), *((c.left, c.right) for c in clears), (length - thickness, length)]
    for zone, clear in enumerate(clears):
        before = thickness if zone == 0 else edges[zone][1]
        after = length - thickness if zone == len(clears) - 1 else edges[zone + 2][0]
        room = clear.left - before
        shares = _shares_left(zone, room, thickness, wide)
        if not shares:
            least = wide if zone == 0 else 2 * wide
            if room < least:
                refusals.append(_no_room(clear, "left", room, least, zone == 0))
            else:
                posts += _jamb(clear.left - wide, clear.left, thickness, "left", zone)
        room = after - clear.right
        if zone == len(clears) - 1:
            if room == 0 and wide == thickness:
                continue
            if room < wide:
                refusals.append(_no_room(clear, "right", room, wide, True))
                continue
        elif room < 2 * wide and not (room == wide == thickness):
            continue  # the next opening tells
        posts += _jamb(clear.right, clear.right + wide, thickness, "right", zone)
    if refusals:
        raise OptionError(refusals)
    return sorted([*ends, *posts], key=lambda u: u.x)


def _shares_left(zone: int, room: int, thickness: int, wide: int) -> bool:
    """Whether the upright already standing at the left edge serves as this opening's jamb."""
    if wide != thickness:
        return False
    return room == 0 if zone == 0 else room == thickness


def _jamb(left: int, right: int, thickness: int, hand: str, zone: int) -> list[Upright]:
    if right - left == thickness:
        return [Upright(left, right, "jamb stud", serves=(OPENING,))]
    middle = left + thickness
    king = (left, middle) if hand == "left" else (middle, right)
    trimmer = (middle, right) if hand == "left" else (left, middle)
    return [
        Upright(*king, "jamb stud", serves=(OPENING,)),
        Upright(*trimmer, "trimmer", zone, serves=(OPENING,)),
    ]


def _no_room(clear: Clear, hand: str, room: int, least: int, at_end: bool) -> Refusal:
    beside = "the end stud" if at_end else "the next opening"
    short = least - room
    return Refusal(
        "timber at the sides of an opening",
        f"{hand} side of the {clear.kind} at {clear.left / MM:g} mm",
        f"{room / MM:g} mm between the opening and {beside}",
        f"move the opening {short / MM:g} mm away from {beside} (at least {least / MM:g} mm)",
    )


def module_lines(length: int, centres: int, set_out_from: str) -> list[int]:
    """Return the stud middles on the module, left to right, strictly inside the wall.

    From an end's face a stud's middle stands at every multiple of the centres; from the middle one stud is
    centred on half the length and the others are set out both ways from it.
    """
    if set_out_from == "left":
        return list(range(centres, length, centres))
    if set_out_from == "right":
        return sorted(length - x for x in range(centres, length, centres))
    half = length // 2
    return sorted({*range(half, length, centres), *range(half, 0, -centres)})


def module_studs(
    lines: Iterable[int],
    posts: Sequence[Upright],
    clears: Sequence[Clear],
    thickness: int,
    centres: int,
    least_bay: int,
    closed: Closed = OPEN,
) -> list[Upright]:
    """Return the studs on the module between the fixed uprights, with the rule for the last bay and at jambs.

    A stud that would overlap a fixed upright or leave a clear bay narrower than the least bay beside it is
    dropped when the distance between its neighbours' middles is within the centres; else it moves tight against
    the fixed upright; where that would stretch the next bay beyond the centres, it stands off by the least bay
    instead. Studs within the width of an opening become short studs under the same rule. A stud in the way of a
    service moves the least that keeps the centres; where no move does, studs are added beside the service.

    Raises OptionError: when no studs clear of the services keep the centres and the least bay.
    """
    lines = sorted(lines)
    studs = []
    for span in spans(posts, clears):
        reach = span.beyond + thickness // 2
        inside = [x for x in lines if span.left - reach < x < span.right + reach]
        role = "stud" if span.zone < 0 else "short stud"
        settled = _settle(inside, span, thickness, centres, least_bay)
        for x, serves in _kept_clear(settled, span, thickness, centres, least_bay, closed):
            left = x - thickness // 2
            studs.append(Upright(left, left + thickness, role, span.zone, serves))
    return studs


def _kept_clear(
    settled: list[int], span: Span, thickness: int, centres: int, least_bay: int, closed: Closed
) -> list[tuple[int, tuple[Purpose, ...]]]:
    """Middles of a run's studs moved off what services close, and why each stands where it does."""
    half = thickness // 2
    intervals = closed.intervals.get(span.zone, ())
    if all(closed.free(x - half, x - half + thickness, span.zone) for x in settled):
        return [(x, (MODULE,)) for x in settled]
    low, high = span.left - half, span.right + half
    stretch = Stretch(low, high, low - span.beyond, high + span.beyond)
    found = clear_of(settled, stretch, thickness, centres, least_bay, intervals)
    if found is None:
        names = ", ".join(closed.names(span.left, span.right, span.zone))
        raise OptionError([_no_stud(span, names, centres, least_bay)])
    missing = [x for x in settled if x not in found]
    fresh = [x for x in found if x not in settled]
    moved: dict[int, int] = {}
    for old in missing:
        left_over = [x for x in fresh if x not in moved]
        if left_over:
            moved[min(left_over, key=lambda x: (abs(x - old), x))] = old
    told = []
    for x in found:
        if x in settled:
            told.append((x, (MODULE,)))
            continue
        old = moved.get(x)
        near = _between(found, x, span) if old is None else (old - half, old - half + thickness)
        whom = closed.names(*near, span.zone) or closed.names(span.left, span.right, span.zone)
        if old is None:
            told.append((x, (added_beside(whom),)))
        else:
            way = "left" if x < old else "right"
            told.append((x, (MODULE, moved_for(f"{abs(x - old) / MM:g} mm {way}", whom))))
    return told


def _between(found: Sequence[int], x: int, span: Span) -> tuple[int, int]:
    """Stretch from the stud before to the stud after one."""
    i = found.index(x)
    return (found[i - 1] if i else span.left, found[i + 1] if i + 1 < len(found) else span.right)


def _no_stud(span: Span, names: str, centres: int, least_bay: int) -> Refusal:
    return Refusal(
        "studs clear of services",
        f"{span.left / MM:g} to {span.right / MM:g} mm, {names}",
        f"no studs clear of {names} keep {centres / MM:g} mm centres and bays of {least_bay / MM:g} mm or more",
        f"move {names}, or choose other stud centres",
    )


def spans(posts: Sequence[Upright], clears: Sequence[Clear]) -> list[Span]:
    """Return the clear runs between fixed uprights, left to right.

    Over an opening it is the opening's own width; over a door with trimmers, which end at its head, it reaches
    from king stud to king stud.
    """
    runs = []
    for zone, c in enumerate(clears):
        trimmer = max((p.right - p.x for p in posts if p.role == "trimmer" and p.zone == zone), default=0)
        if c.kind == "door":
            runs.append(Span(c.left - trimmer, c.right + trimmer, zone))
        else:
            runs.append(Span(c.left, c.right, zone, trimmer))
    blocks = sorted([*((p.x, p.right) for p in posts), *((c.left, c.right) for c in clears)])
    for (_, left), (right, _) in pairwise(blocks):
        if left < right:
            runs.append(Span(left, right, -1))
    return sorted(runs, key=lambda s: s.left)


def _settle(inside: list[int], span: Span, thickness: int, centres: int, least_bay: int) -> list[int]:
    half = thickness // 2
    low, high = span.left - half, span.right + half  # middles of the fixed uprights at both sides
    first, last = low - span.beyond, high + span.beyond  # those that stand full height
    near = least_bay + thickness
    xs = list(inside)
    if xs and xs[0] - low < near:
        following = xs[1] if len(xs) > 1 else last
        if following - first <= centres:
            xs.pop(0)
        else:
            tight = low + thickness
            fits = following - tight <= centres and not span.beyond
            xs[0] = tight if fits else low + near
    if xs and high - xs[-1] < near:
        before = xs[-2] if len(xs) > 1 else first
        if last - before <= centres:
            xs.pop()
        else:
            tight = high - thickness
            fits = tight - before <= centres and not span.beyond
            xs[-1] = tight if fits else high - near
    return [x for x in xs if x - half >= span.left and x + half <= span.right]
