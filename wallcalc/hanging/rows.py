"""Rows of noggins that serve hung items as well: heights chosen together, noggins and pattresses placed bay by bay.

A fixing that a joint's noggin holds needs nothing more. Stability rows go to the heights of fixings where the spacing
allows it, and a bay whose noggins for fixings or joints keep the spacing by themselves gets no stability noggin; of
all ways tried the one with least timber is taken, then that with fewest different heights. All lengths are integers
of 0.1 mm.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations, pairwise

from wallcalc.errors import OptionError, Refusal, Subject
from wallcalc.framing.noggin_rows import FAR, Noggin, Row, bays_at, stability_heights
from wallcalc.geometry.profile import Profile
from wallcalc.geometry.rectangles import Clear, Rect
from wallcalc.hanging.bays import EDGE, FLAT, PATTRESS, BayWork, Piece, Sizes, back_bay, holds
from wallcalc.hanging.fixings import Fixing
from wallcalc.hanging.studs import no_timber
from wallcalc.records import STABILITY, Purpose, Upright, for_item
from wallcalc.units.lengths import MM

MOST_HEIGHTS = 6
"""Heights of fixings that stability rows are tried at."""
MOST_ROWS = 3
"""Stability rows put at heights of fixings at once."""


@dataclass(frozen=True, slots=True)
class Pattress:
    """A board let in between two uprights, flush with one face."""

    x: int
    y: int
    width: int
    height: int
    faces: str
    serves: tuple[Purpose, ...]


@dataclass(frozen=True, slots=True)
class Rowing:
    """What rows are made of: sizes, the wall's height and head, openings, and the rules of stability rows.

    ``place`` puts rows into bays (``place_noggins`` with all but the rows given), ``is_free``
    tells whether level timber in a rectangle, so much through the wall, stays clear of services. ``spacing`` is 0
    where the rules ask for no stability rows, ``shortest`` the shortest noggin worth nailing for stability.
    """

    sizes: Sizes
    height: int
    clears: tuple[Clear, ...]
    uprights: tuple[Upright, ...]
    spacing: int
    shortest: int
    place: Callable[[Sequence[Row]], list[Noggin]]
    is_free: Callable[[Rect, int], bool]
    profile: Profile


@dataclass(frozen=True, slots=True)
class _Bay:
    work: BayWork
    zone: int
    pieces: tuple[Piece, ...] = ()


def back_fixings(
    joint: Sequence[Row], fixings: Sequence[Fixing], rowing: Rowing
) -> tuple[list[Noggin], list[Pattress]]:
    """Return all noggins of a frame with hung items, and the pattresses.

    Raises OptionError: naming a fixing in every bay where nothing can be put behind it, or a bay where no
    stability row has room.
    """
    joint = sorted(joint, key=lambda r: r.y)
    bays = _solved(joint, fixings, rowing)
    levels = _levels(bays, rowing.sizes.thickness)
    best = None
    plain = _stability(joint, (), rowing)
    subsets = [s for n in range(min(len(levels), MOST_ROWS) + 1) for s in combinations(levels, n)]
    problem: OptionError | None = None
    for subset in subsets if rowing.spacing else [()]:
        rows = [*joint, *_stability(joint, subset, rowing)]
        try:
            found = _together(rows, bays, rowing)
        except OptionError as error:
            problem = error
            continue
        off = sum(min((abs(r.y - p.y) for p in plain), default=0) for r in rows if not r.for_joint)
        rank = (sum(n.width for n in found), len(found), len({n.row for n in found}), off, subset)
        if best is None or rank < best[0]:
            best = (rank, found)
    if best is None:
        assert problem is not None
        raise problem
    boards = [
        Pattress(
            b.work.left, p.bottom, b.work.right - b.work.left, p.top - p.bottom, p.faces, _names(p, b.work)
        )
        for b in bays.values()
        for p in b.pieces
        if p.kind == PATTRESS
    ]
    return _numbered(best[1]), sorted(boards, key=lambda p: (p.x, p.y, p.faces))


def _levels(bays: Mapping[tuple[int, int], _Bay], thickness: int) -> list[int]:
    """Heights that stability rows are tried at: those of noggins for fixings, else tight to their pattresses."""
    found: dict[int, int] = {}
    for bay in bays.values():
        for p in bay.pieces:
            if p.row >= 0:
                continue
            tight = (p.bottom - thickness + thickness // 2, p.top + thickness // 2)
            for y in (p.middle,) if p.kind == EDGE else tight:
                found[y] = found.get(y, 0) + 1
    return sorted(sorted(found, key=lambda y: (-found[y], y))[:MOST_HEIGHTS])


def _stability(joint: Sequence[Row], wanted: Sequence[int], rowing: Rowing) -> list[Row]:
    if not rowing.spacing:
        return []
    t = rowing.sizes.thickness
    heights = stability_heights([*(r.y for r in joint), *wanted], rowing.height, rowing.spacing)
    piece = (-(t // 2), t, False, "AB")
    return [Row(y, t, (piece,), (STABILITY,), False) for y in sorted({*wanted, *heights})]


def _solved(joint: Sequence[Row], fixings: Sequence[Fixing], rowing: Rowing) -> dict[tuple[int, int], _Bay]:
    """Return every bay with fixings, with what holds them."""
    t = rowing.sizes.thickness
    groups: dict[tuple[int, int, int], list[Fixing]] = {}
    refusals = []
    for f in fixings:
        bay = next((b for b in bays_at(rowing.uprights, rowing.clears, f.y) if b[0] < f.x < b[1]), None)
        if bay is None:
            refusals.append(no_timber(f, "it is in the edge of an upright, where no timber can be added"))
        else:
            groups.setdefault(bay, []).append(f)
    placed = rowing.place(joint)
    found: dict[tuple[int, int], _Bay] = {}
    for (left, right, zone), group in sorted(groups.items()):
        profile = rowing.profile
        blocks = [(-FAR, profile.sole.most(left, right)), (profile.head.least(left, right), FAR)]
        if zone >= 0:
            clear = rowing.clears[zone]
            blocks.append((clear.bottom - t if clear.bottom > 0 else 0, clear.top + t))
        own = tuple(
            Piece(FLAT if n.flat else EDGE, n.y, n.y + n.height, n.faces, n.row - 1)
            for n in placed
            if n.x == left and n.x + n.width == right
        )
        work = BayWork(left, right, tuple(blocks), tuple(group), own, tuple(joint), t, rowing.is_free)
        done = back_bay(work, rowing.sizes)
        if isinstance(done, Fixing):
            refusals.append(no_timber(done, _why(done, work)))
        else:
            found[(left, right)] = _Bay(work, zone, done[1])
    if refusals:
        raise OptionError(refusals)
    return found


def _why(f: Fixing, bay: BayWork) -> str:
    kind = f.between(bay.left, bay.right, bay.beside)
    what = {"any": "noggin nor a pattress", "noggin": "noggin on edge nor one laid flat"}.get(
        f.backing, "pattress"
    )
    head = "neither a" if " nor " in what else "no"
    ends = (
        "" if kind else f"; the ends of the bay from {bay.left / MM:g} to {bay.right / MM:g} mm are too near"
    )
    return f"{head} {what} can be put behind it clear of level timber, joints' noggins and services{ends}"


def _names(piece: Piece, bay: BayWork) -> tuple[Purpose, ...]:
    return tuple(dict.fromkeys(for_item(f.item) for f in bay.fixings if holds(piece, f, bay)))


def _together(rows: Sequence[Row], bays: Mapping[tuple[int, int], _Bay], rowing: Rowing) -> list[Noggin]:
    """Return the noggins of all rows with those of the bays with fixings in place of the rows' own.

    ``row`` of each noggin is the height of its row, not yet its number.
    """
    ordered = sorted(rows, key=lambda r: r.y)
    found = []
    stability: dict[tuple[int, int], list[Noggin]] = {}
    for n in rowing.place(rows):
        row = ordered[n.row - 1]
        at = (n.x, n.x + n.width)
        if at not in bays or not row.for_joint:
            (found if at not in bays else stability.setdefault(at, [])).append(replace(n, row=row.y))
    heights = [r.y for r in ordered]
    for at, bay in sorted(bays.items()):
        found += _in_bay(bay, stability.get(at, []), heights, rowing)
    return found


def _in_bay(bay: _Bay, own: Sequence[Noggin], heights: Sequence[int], rowing: Rowing) -> list[Noggin]:
    t, work = rowing.sizes.thickness, bay.work
    width = work.right - work.left
    timber = [p for p in bay.pieces if p.kind != PATTRESS]
    clear = [
        n
        for n in own
        if all(rowing.sizes.apart(Piece(EDGE, n.y, n.y + n.height, "AB"), p) for p in bay.pieces)
    ]
    middles = [p.middle for p in timber]
    kept: Sequence[Noggin] = clear
    strict = rowing.spacing > 0 and bay.zone < 0 and width >= rowing.shortest
    if strict:
        kept = next(
            (
                some
                for n in range(len(clear) + 1)
                for some in combinations(clear, n)
                if _spaced([*middles, *(c.y + t // 2 for c in some)], rowing)
            ),
            (),
        )
        if not _spaced([*middles, *(c.y + t // 2 for c in kept)], rowing):
            kept = [*clear, *_filled(bay, [*middles, *(c.y + t // 2 for c in clear)], rowing)]
    all_middles = [*middles, *(c.y + t // 2 for c in kept)]
    noggins = list(kept)
    for p in timber:
        row = (
            work.rows[p.row].y
            if p.row >= 0
            else next((y for y in heights if abs(y - p.middle) <= MM), p.middle)
        )
        serves = list(work.rows[p.row].serves) if p.row >= 0 else []
        serves += [n for n in _names(p, work) if n not in serves]
        others = list(all_middles)
        others.remove(p.middle)
        if strict and p.row < 0 and not _spaced(others, rowing):
            serves.append(STABILITY)
        noggins.append(
            Noggin(
                row,
                0,
                "",
                work.left,
                p.bottom,
                width,
                p.top - p.bottom,
                p.kind == FLAT,
                p.faces,
                tuple(serves),
            )
        )
    return noggins


def _spaced(middles: Iterable[int], rowing: Rowing) -> bool:
    """Whether rows at these heights keep studs straight."""
    ordered = sorted(middles)
    return bool(ordered) and all(b - a <= rowing.spacing for a, b in pairwise([0, *ordered, rowing.height]))


def _filled(bay: _Bay, middles: list[int], rowing: Rowing) -> list[Noggin]:
    """Stability noggins where a bay's rows are too far apart, clear of what is there."""
    t, work = rowing.sizes.thickness, bay.work
    added: list[Noggin] = []
    for wanted in stability_heights(middles, rowing.height, rowing.spacing):
        for y in sorted(
            range(wanted - rowing.spacing, wanted + rowing.spacing, MM), key=lambda v: abs(v - wanted)
        ):
            piece = Piece(EDGE, y - t // 2, y - t // 2 + t, "AB")
            taken = [*bay.pieces, *(Piece(EDGE, n.y, n.y + t, "AB") for n in added)]
            if work.fits(piece, rowing.sizes) and all(rowing.sizes.apart(piece, p) for p in taken):
                added.append(
                    Noggin(
                        y,
                        0,
                        "",
                        work.left,
                        piece.bottom,
                        work.right - work.left,
                        t,
                        False,
                        "AB",
                        (STABILITY,),
                    )
                )
                break
    if not _spaced([*middles, *(n.y + t // 2 for n in added)], rowing):
        raise OptionError([_no_row(bay, rowing)])
    return added


def _no_row(bay: _Bay, rowing: Rowing) -> Refusal:
    f = bay.work.fixings[0]
    return Refusal(
        "frame.stability_spacing",
        f"{f.item!r}, bay from {bay.work.left / MM:g} to {bay.work.right / MM:g} mm",
        f"what backs the item leaves no room for noggins no more than {rowing.spacing / MM:g} mm apart",
        "move the item, or ask for another backing",
        Subject("hung item", f.item),
    )


def _numbered(noggins: Sequence[Noggin]) -> list[Noggin]:
    """Return the noggins with rows numbered bottom up, bays left to right, pieces in one place lettered."""
    rows = {y: i for i, y in enumerate(sorted({n.row for n in noggins}), start=1)}
    done = []
    for y, number in rows.items():
        own = [n for n in noggins if n.row == y]
        for bay, x in enumerate(sorted({n.x for n in own}), start=1):
            there = sorted((n for n in own if n.x == x), key=lambda n: (n.y, n.faces))
            for i, n in enumerate(there):
                part = chr(ord("a") + i) if len(there) > 1 else ""
                done.append(replace(n, row=number, bay=bay, part=part))
    return done
