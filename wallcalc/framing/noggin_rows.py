"""Rows of noggins: asked for by horizontal board joints and by the frame's stability.

All lengths are integers of 0.1 mm.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from wallcalc.errors import OptionError, Refusal
from wallcalc.framing.tapers import is_square
from wallcalc.geometry.profile import Profile
from wallcalc.geometry.rectangles import Clear, Point, Rect
from wallcalc.geometry.sloped import between
from wallcalc.records import STABILITY, Purpose, Upright
from wallcalc.site.frame_rules import FrameRules
from wallcalc.site.site import Site
from wallcalc.units.lengths import MM

Piece = tuple[int, int, bool, str]
"""A piece of a row: offset of its lower edge from the row's height, its height, flat, the faces it backs."""


FAR = 10**7
"""Further up or down than any wall, 0.1 mm."""


@dataclass(frozen=True, slots=True)
class Ask:
    """A horizontal joint that asks for timber: its height, its side, and the width it needs."""

    y: int
    side: str
    need: int
    subject: Purpose


@dataclass(frozen=True, slots=True)
class Row:
    """A row of noggins centred on a height.

    ``pieces`` lists (offset of the lower edge from the height, height, flat, faces) of what stands in each bay:
    one piece on edge, two on edge one on the other, or one laid flat behind one face. ``sides`` are the faces whose
    joints it backs.
    """

    y: int
    need: int
    pieces: tuple[Piece, ...]
    serves: tuple[Purpose, ...]
    for_joint: bool
    sides: str = "AB"


@dataclass(frozen=True, slots=True)
class Noggin:
    """A noggin placed in a bay; ``row`` and ``bay`` count from 1, bottom up and left to right."""

    row: int
    bay: int
    part: str
    x: int
    y: int
    width: int
    height: int
    flat: bool
    faces: str
    serves: tuple[Purpose, ...]
    outline: tuple[tuple[int, int], ...] = ()


def joint_rows(asks: Iterable[Ask], thickness: int, depth: int) -> list[Row]:
    """Return the rows that horizontal joints ask for, bottom up.

    One noggin on edge where its thickness is enough. Else, where both faces have the joint, two on edge one on
    the other; where one face has it, one laid flat with its wide face to that board (doubled when it is not wide
    enough laid flat).
    """
    by_height: dict[int, list[Ask]] = {}
    for ask in asks:
        by_height.setdefault(ask.y, []).append(ask)
    rows = []
    for y, group in sorted(by_height.items()):
        need = max(a.need for a in group)
        sides = sorted({a.side for a in group})
        if need <= thickness:
            pieces = ((-(thickness // 2), thickness, False, "AB"),)
        elif len(sides) == 1 and need <= depth:
            pieces = ((-(depth // 2), depth, True, sides[0]),)
        else:
            pieces = ((-thickness, thickness, False, "AB"), (0, thickness, False, "AB"))
        rows.append(Row(y, need, pieces, tuple(sorted({a.subject for a in group})), True, "".join(sides)))
    return _merged(rows, thickness, depth)


def _merged(rows: Sequence[Row], thickness: int, depth: int) -> list[Row]:
    """Put rows that would be in one another's way together: a stack on edge that serves them all."""
    done: list[Row] = []
    for row in rows:
        last = done[-1] if done else None
        if last is None or not _clash(last, row, thickness, depth):
            done.append(row)
            continue
        low = min(last.y - last.need // 2, row.y - row.need // 2)
        high = max(last.y + (last.need + 1) // 2, row.y + (row.need + 1) // 2)
        count = -(-(high - low) // thickness)
        pieces = tuple((k * thickness - count * thickness // 2, thickness, False, "AB") for k in range(count))
        serves = tuple(sorted({*last.serves, *row.serves}))
        sides = "".join(sorted({*last.sides, *row.sides}))
        done[-1] = Row((low + high) // 2, high - low, pieces, serves, True, sides)
    return done


def _clash(below: Row, above: Row, thickness: int, depth: int) -> bool:
    apart = above.y + above.pieces[0][0] - (below.y + below.pieces[-1][0] + below.pieces[-1][1])
    flats = {p[3] for p in (*below.pieces, *above.pieces)} == {"A", "B"}
    return apart < 0 and not (flats and 2 * thickness <= depth)


def stability_heights(taken: Iterable[int], height: int, spacing: int, floor: int = 0) -> list[int]:
    """Return heights of the rows that keep studs straight, bottom up.

    One row at mid-height, or as many equal rows as keep them no more than the spacing apart. Rows that are there
    for board joints count: only the gaps between them wider than the spacing are filled. Heights are whole mm.
    """
    edges = [floor, *sorted(taken), height]
    found = []
    for low, high in pairwise(edges):
        count = -(-(high - low) // spacing) - 1
        if len(edges) == 2:
            count = max(count, 1)
        found += [low + _round((high - low) * k, (count + 1) * MM) * MM for k in range(1, count + 1)]
    return found


def _round(numerator: int, denominator: int) -> int:
    return (2 * numerator + denominator) // (2 * denominator)


def stability_rows(
    joint: Sequence[Row], height: int, thickness: int, rules: FrameRules, floor: int = 0
) -> list[Row]:
    """Return the stability rows that the rules ask for beside the rows of board joints."""
    if not rules.stability_rows:
        return []
    piece = (-(thickness // 2), thickness, False, "AB")
    heights = stability_heights([r.y for r in joint], height, rules.stability_spacing, floor)
    return [Row(y, thickness, (piece,), (STABILITY,), False) for y in heights]


def place_noggins(
    rows: Sequence[Row],
    uprights: Sequence[Upright],
    site: Site,
    made: dict[Row, list[Noggin]] | None = None,
) -> list[Noggin]:
    """Return the noggins of all rows, cut to the clear distance between the uprights as planned.

    A noggin that would run into a plate, a door head, a sill or the opening moves clear of it; where level timber
    covers the whole joint none is placed.

    Raises OptionError: where level timber close to a joint leaves no room for the noggin it needs.
    """
    made = {} if made is None else made
    noggins = []
    for number, row in enumerate(sorted(rows, key=lambda r: r.y), start=1):
        if row not in made:
            made[row] = _in_row(row, uprights, site)
        noggins += [replace(n, row=number) for n in made[row]]
    return noggins


def _in_row(row: Row, uprights: Sequence[Upright], site: Site) -> list[Noggin]:
    """Noggins of one row, not numbered yet."""
    clears, thickness = site.clears, site.thickness
    noggins: list[Noggin] = []
    bay = 0
    for left, right, zone in bays_at(uprights, clears, row.y):
        if not row.for_joint and right - left < site.rules.noggin_min:
            continue
        blocks = _plates(row, left, right, site)
        if blocks is None:
            continue
        if zone >= 0:
            clear = clears[zone]
            over = site.profile.ceiling.least(clear.left, clear.right) - clear.top - thickness
            if row.y > clear.top and not row.for_joint and over < site.rules.noggin_over_door_from:
                continue
            sill = clear.bottom - thickness if clear.bottom > 0 else 0
            blocks.append((sill, clear.top + thickness))
        placed = _settle(row, blocks, thickness)
        if placed is None:
            raise OptionError([_no_gap(row, left, right)])
        if not placed:
            continue
        bay += 1
        noggins += _cut(row, bay, (left, right), placed, site.profile)
    return noggins


def _cut(
    row: Row, bay: int, span: tuple[int, int], placed: Sequence[tuple[int, Piece]], profile: Profile
) -> list[Noggin]:
    """Noggins of a bay, cut to the plates where these slope."""
    left, right = span
    found = [
        (box, outline, piece)
        for bottom, piece in placed
        for box, outline in cut_to_plates(profile, (left, bottom, right, bottom + piece[1]))
    ]
    return [
        Noggin(
            0,
            bay,
            chr(ord("a") + i) if len(found) > 1 else "",
            box[0],
            box[1],
            box[2] - box[0],
            box[3] - box[1],
            piece[2],
            piece[3],
            row.serves,
            outline,
        )
        for i, (box, outline, piece) in enumerate(found)
    ]


def _no_gap(row: Row, left: int, right: int) -> Refusal:
    return Refusal(
        "noggins behind joints",
        f"joint at {row.y / MM:g} mm, bay from {left / MM:g} to {right / MM:g} mm",
        "the level timber above and below leaves no room for the noggin that the joint needs",
        f"move the joint by {row.need / MM:g} mm or more (course_from)",
    )


def bays_at(uprights: Sequence[Upright], clears: Sequence[Clear], y: int) -> list[tuple[int, int, int]]:
    """Return the clear runs between uprights at a height, openings left out: (left, right, zone)."""
    solid = []
    for u in uprights:
        if u.zone >= 0:
            clear = clears[u.zone]
            if u.role == "trimmer":
                if y >= clear.top:
                    continue
            elif clear.bottom < y < clear.top:
                continue
        solid.append((u.x, u.right))
    solid += [(c.left, c.right) for c in clears if c.bottom < y < c.top]
    solid.sort()
    bays = []
    for (_, left), (right, _) in pairwise(solid):
        if right > left:
            middle = (left + right) // 2
            zone = next((z for z, c in enumerate(clears) if c.left <= middle <= c.right), -1)
            bays.append((left, right, zone))
    return bays


def _settle(row: Row, blocks: Sequence[tuple[int, int]], thickness: int) -> list[tuple[int, Piece]] | None:
    """Lower edges of a row's pieces in a bay, moved clear of what is level or open there.

    None where what the row has to cover cannot be covered.
    """
    low, high = row.y - row.need // 2, row.y + (row.need + 1) // 2
    wanted = [(max(a, low), min(b, high), a, b) for a, b in gaps(blocks) if a < high and b > low]
    if not row.for_joint:
        wanted = sorted(wanted, key=lambda w: w[0] - w[1])[:1]
    placed: list[tuple[int, Piece]] = []
    for start, end, floor, top in wanted:
        stack = _stack(row, start, end, floor, top, thickness)
        if stack is None:
            if row.for_joint:
                return None
            continue
        placed += stack
    return placed


def _stack(
    row: Row, start: int, end: int, floor: int, top: int, thickness: int
) -> list[tuple[int, Piece]] | None:
    """Place a row's pieces, or one piece on edge, within a gap so that they cover from start to end."""
    single: Piece = (-(thickness // 2), thickness, False, "AB")
    for pieces in (row.pieces, (single,)):
        first = pieces[0][0]
        tall = pieces[-1][0] + pieces[-1][1] - first
        bottom = max(floor, min(row.y + first, top - tall))
        if bottom + tall <= top and (not row.for_joint or (bottom <= start and end <= bottom + tall)):
            return [(bottom + piece[0] - first, piece) for piece in pieces]
    return None


def gaps(blocks: Sequence[tuple[int, int]]) -> list[tuple[int, int]]:
    """Return what lies between blocks (lower and upper edge, in any order), bottom up, 0.1 mm."""
    found = []
    reach = None
    for a, b in sorted(blocks):
        if reach is not None and a > reach:
            found.append((reach, a))
        reach = b if reach is None else max(reach, b)
    return found


def _plates(row: Row, left: int, right: int, site: Site) -> list[tuple[int, int]] | None:
    """Return what a row in a bay keeps clear of below and above; None where the bay has no part of the joint it is for.

    For stability alone a row goes only where a bay has room for it, between the lowest place of the head plate and
    the highest of the sole plate there; behind a joint it reaches as far as the joint does and is cut to the slope.
    """
    profile = site.profile
    if not row.for_joint:
        return [(-FAR, profile.sole.most(left, right)), (profile.head.least(left, right), FAR)]
    slack = row.need // 2 - site.thickness // 2
    if profile.high.most(left, right) <= row.y - slack or profile.low.least(left, right) >= row.y + slack:
        return None
    return [(-FAR, profile.sole.least(left, right)), (profile.head.most(left, right), FAR)]


def cut_to_plates(profile: Profile, rect: Rect) -> list[tuple[Rect, tuple[Point, ...]]]:
    """Return what is left of a level piece between the plates: rectangles, with the outline of those cut to a slope."""
    left, bottom, right, top = rect
    if profile.sole.most(left, right) <= bottom and top <= profile.head.least(left, right):
        return [(rect, ())]
    return [
        (p.box, () if is_square(p.outline) else p.outline)
        for p in between(rect, (), profile.sole, profile.head)
    ]


def recut(noggins: Sequence[Noggin], profile: Profile) -> list[Noggin]:
    """Return noggins, placed anew or moved, cut to the plates; what lies beyond a plate is left out."""
    found: list[Noggin] = []
    for n in noggins:
        whole = (n.x, n.y, n.x + n.width, n.y + n.height)
        pieces = cut_to_plates(profile, whole)
        if pieces == [(whole, n.outline)]:
            found.append(n)
            continue
        for i, (box, outline) in enumerate(pieces):
            part = n.part if i == 0 else n.part + chr(ord("m") + i)
            size = {"x": box[0], "y": box[1], "width": box[2] - box[0], "height": box[3] - box[1]}
            found.append(replace(n, part=part, outline=outline, **size))
    return found
