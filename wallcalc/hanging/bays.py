"""Noggins and pattresses that put timber behind the fixings of one bay.

In a bay stand level timber, the noggins of board joints and whatever services keep free; the fixings left over get
noggins on edge, noggins laid flat behind one face, or a pattress flush with one face, whichever takes least. Noggins
of a joint that is in a fixing's way are laid afresh so that they back the joint and the fixing. All lengths are
integers of 0.1 mm.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import islice, product

from wallcalc.framing.noggin_rows import Row
from wallcalc.geometry.rectangles import Rect
from wallcalc.hanging.fixings import NOGGIN, PATTRESS, Fixing

EDGE, FLAT = "edge", "flat"
Cost = tuple[int, int, int, int]
"""Area of pattress, pieces, of those laid flat, distance off the middle of what they back."""
LAYOUTS = 24
"""Ways tried of laying the noggins of one joint afresh."""


@dataclass(frozen=True, slots=True)
class Piece:
    """A noggin or pattress in a bay; ``kind`` is "edge", "flat" or "pattress", ``row`` the joint row it belongs to."""

    kind: str
    bottom: int
    top: int
    faces: str
    row: int = -1

    @property
    def middle(self) -> int:
        """Half its height, 0.1 mm."""
        return (self.bottom + self.top) // 2


@dataclass(frozen=True, slots=True)
class Sizes:
    """Timber thickness and depth, thickness and least height of a pattress, 0.1 mm.

    ``close`` and ``far`` bound where two pieces of a stack may meet behind a joint: no further from it than the one,
    or no nearer than the other, so that the boards' screws keep the timber's edge.
    """

    thickness: int
    depth: int
    board: int
    board_least: int
    close: int
    far: int

    def through(self, piece: Piece) -> int:
        """Return a piece's size through the wall, 0.1 mm."""
        return {EDGE: self.depth, FLAT: self.thickness, PATTRESS: self.board}[piece.kind]

    def apart(self, a: Piece, b: Piece) -> bool:
        """Return whether two pieces are not in one place: one over the other, or behind opposite faces."""
        if a.top <= b.bottom or b.top <= a.bottom:
            return True
        return (
            a.faces != b.faces
            and "AB" not in (a.faces, b.faces)
            and self.through(a) + self.through(b) <= self.depth
        )


@dataclass(frozen=True, slots=True)
class BayWork:
    """What is in a bay: its sides, what level timber fills, its fixings, the joint noggins in it and their rows.

    ``is_free`` tells whether a rectangle, so much through the wall, stays clear of services; ``beside`` is the
    thickness of the uprights at its sides.
    """

    left: int
    right: int
    blocks: tuple[tuple[int, int], ...]
    fixings: tuple[Fixing, ...]
    joints: tuple[Piece, ...]
    rows: tuple[Row, ...]
    beside: int
    is_free: Callable[[Rect, int], bool]

    def fits(self, piece: Piece, sizes: Sizes) -> bool:
        """Return whether a piece stays clear of level timber and services."""
        if any(a < piece.top and piece.bottom < b for a, b in self.blocks):
            return False
        return self.is_free((self.left, piece.bottom, self.right, piece.top), sizes.through(piece))


def holds(piece: Piece, fixing: Fixing, bay: BayWork) -> bool:
    """Return whether a piece holds a fixing of its bay."""
    if fixing.side not in piece.faces or not fixing.on_level(piece.bottom, piece.top):
        return False
    kind = fixing.between(bay.left, bay.right, bay.beside)
    if piece.kind == PATTRESS:
        return fixing.backing != NOGGIN and kind != ""
    return kind == NOGGIN and fixing.backing != PATTRESS


def back_bay(bay: BayWork, sizes: Sizes) -> tuple[Cost, tuple[Piece, ...]] | Fixing:
    """Return what holds every fixing of a bay for least, joint noggins among it, or a fixing that nothing holds."""
    best: tuple[Cost, tuple[Piece, ...]] | None = None
    todo = sorted(bay.fixings, key=lambda f: (_choice(f, bay), f.y, f.x))
    failed = todo[0] if todo else None
    for joints in _joint_layouts(bay, sizes):
        start = _cost(joints, bay.joints)
        if best is not None and start >= best[0]:
            continue
        found = _search(bay, sizes, todo, joints, best)
        if isinstance(found, Fixing):
            failed = found
        elif found is not None:
            best = found
        if best is not None and joints == bay.joints and best[0][0] == 0:
            break  # joints as they are, no board: laying them afresh saves nothing worth it
    if best is None:
        assert failed is not None
        return failed
    return best


def _choice(f: Fixing, bay: BayWork) -> int:
    """Those with least choice first."""
    if f.backing == PATTRESS or f.between(bay.left, bay.right, bay.beside) == PATTRESS:
        return 0
    return 1 if f.backing == NOGGIN else 2


def _cost(pieces: Sequence[Piece], joints: Sequence[Piece], offset: int = 0) -> Cost:
    boards = sum(p.top - p.bottom for p in pieces if p.kind == PATTRESS)
    flats = sum(p.kind == FLAT and p not in joints for p in pieces)
    return boards, sum(p.kind != PATTRESS for p in pieces), flats, offset


def _search(
    bay: BayWork,
    sizes: Sizes,
    todo: Sequence[Fixing],
    joints: tuple[Piece, ...],
    best: tuple[Cost, tuple[Piece, ...]] | None,
) -> tuple[Cost, tuple[Piece, ...]] | Fixing | None:
    """Depth first over the pieces that may hold the first fixing not held yet; None where nothing better is found."""
    deepest = -1
    failed: Fixing | None = None
    rival = best

    def go(pieces: tuple[Piece, ...], offset: int) -> None:
        nonlocal rival, deepest, failed
        cost = _cost(pieces, bay.joints, offset)
        if rival is not None and cost >= rival[0]:
            return
        at = next((i for i, f in enumerate(todo) if not any(holds(p, f, bay) for p in pieces)), None)
        if at is None:
            rival = (cost, pieces)
            return
        tried = False
        for piece, off in _options(bay, sizes, todo, at, pieces):
            tried = True
            go((*pieces, piece), offset + off)
        if not tried and at > deepest:
            deepest, failed = at, todo[at]

    go(joints, 0)
    if rival is not best:
        return rival
    return failed if best is None else None


def _options(
    bay: BayWork, sizes: Sizes, todo: Sequence[Fixing], at: int, pieces: Sequence[Piece]
) -> Iterator[tuple[Piece, int]]:
    """Pieces that may hold a fixing and as many of its neighbours as they can, with the distance off their middle."""
    f = todo[at]
    for kind, tall in ((EDGE, sizes.thickness), (FLAT, sizes.depth), (PATTRESS, sizes.board_least)):
        faces = "AB" if kind == EDGE else f.side
        for group in _groups(bay, todo, f, kind):
            low = min(g.y - g.edge for g in group)
            high = max(g.y + g.edge for g in group)
            height = max(tall, high - low) if kind == PATTRESS else tall
            if high - low > height:
                continue
            wanted = (low + high - height) // 2
            if kind == EDGE and len(group) == 1:
                wanted = f.y - height // 2
            bottom = _nearest(bay, sizes, pieces, kind, faces, height, (high - height, low), wanted)
            if bottom is not None:
                yield Piece(kind, bottom, bottom + height, faces), abs(bottom - wanted)


def _groups(bay: BayWork, todo: Sequence[Fixing], f: Fixing, kind: str) -> Iterator[list[Fixing]]:
    """Give the fixing with its neighbours in height that one piece of a kind may hold too, most of them first."""
    whole = Piece(kind, -(10**9), 10**9, "AB" if kind == EDGE else f.side)
    if not holds(whole, f, bay):
        return
    able = sorted((g for g in todo if holds(whole, g, bay)), key=lambda g: g.y)
    i = able.index(f)
    ways = {(a, b) for a in range(i + 1) for b in range(i, len(able))}
    seen = set()
    for a, b in sorted(ways, key=lambda w: w[0] - w[1]):
        key = (able[a].y, able[b].y)
        if key not in seen:
            seen.add(key)
            yield able[a : b + 1]


def _nearest(
    bay: BayWork,
    sizes: Sizes,
    pieces: Sequence[Piece],
    kind: str,
    faces: str,
    height: int,
    span: tuple[int, int],
    wanted: int,
) -> int | None:
    """Return the lower edge nearest to the one wanted at which a piece is clear of everything, within a span."""
    places = {min(max(wanted, span[0]), span[1])}
    for a, b in bay.blocks:
        places |= {a - height, b}
    for p in pieces:
        places |= {p.bottom - height, p.top}
    places |= {span[0], span[1]}
    for bottom in sorted(places, key=lambda v: (abs(v - wanted), v)):
        piece = Piece(kind, bottom, bottom + height, faces)
        if (
            span[0] <= bottom <= span[1]
            and bay.fits(piece, sizes)
            and all(sizes.apart(piece, p) for p in pieces)
        ):
            return bottom
    return None


def _joint_layouts(bay: BayWork, sizes: Sizes) -> Iterator[tuple[Piece, ...]]:
    """Ways of laying the bay's joint noggins: as they are, then those near a fixing they do not hold, afresh."""
    yield bay.joints
    ways = []
    for number, row in enumerate(bay.rows):
        own = tuple(p for p in bay.joints if p.row == number)
        if not own:
            continue
        reach = sizes.depth + sizes.thickness
        near = [
            f
            for f in bay.fixings
            if abs(f.y - row.y) < reach and not any(holds(p, f, bay) for p in bay.joints)
        ]
        ways.append([own, *islice(_afresh(bay, sizes, row, number, near), LAYOUTS)] if near else [own])
    for choice in product(*ways):
        laid = tuple(p for own in choice for p in own)
        if laid != bay.joints and all(sizes.apart(a, b) for i, a in enumerate(laid) for b in laid[:i]):
            yield laid


def _afresh(
    bay: BayWork, sizes: Sizes, row: Row, number: int, near: Sequence[Fixing]
) -> Iterator[tuple[Piece, ...]]:
    """Other ways to back a joint: flat behind its faces, a pattress, a stack on edge that suits a fixing."""
    low, high = row.y - row.need // 2, row.y + (row.need + 1) // 2
    tall, t = sizes.depth, sizes.thickness
    sides = row.sides
    if high - low <= tall:
        bottoms = {row.y - tall // 2, low, high - tall}
        bottoms |= {v for f in near for v in (f.y - f.edge, f.y + f.edge - tall) if high - tall <= v <= low}
        for bottom in sorted(bottoms, key=lambda v: (abs(v + tall // 2 - row.y), v)):
            laid = tuple(Piece(FLAT, bottom, bottom + tall, side, number) for side in sides)
            if _stand(laid, bay, sizes):
                yield laid
    for side in sides:
        able = [f for f in near if f.side == side and holds(Piece(PATTRESS, -(10**9), 10**9, side), f, bay)]
        for f in able:
            board = max(sizes.board_least, abs(f.y - row.y) + f.edge + (high - low + 1) // 2)
            bottom = min(low, f.y - f.edge, (f.y + row.y - board) // 2)
            board = max(board, high - bottom, f.y + f.edge - bottom)
            flat = row.y - tall // 2
            laid = (
                Piece(PATTRESS, bottom, bottom + board, side, number),
                *(Piece(FLAT, flat, flat + tall, s, number) for s in sides if s != side),
            )
            if (len(sides) == 1 or high - low <= tall) and _stand(laid, bay, sizes):
                yield laid
    for f in near:
        for base in (f.y - t // 2, f.y - f.edge, f.y + f.edge - t):
            first = base - -(-(base - low) // t) * t if base > low else base
            start = min(first, base)
            count = -(-(max(high, base + t) - start) // t)
            laid = tuple(Piece(EDGE, start + k * t, start + (k + 1) * t, "AB", number) for k in range(count))
            meets = [p.top for p in laid[:-1]]
            fine = all(abs(m - row.y) <= sizes.close or abs(m - row.y) >= sizes.far for m in meets)
            if fine and start <= low and laid[-1].top >= high and _stand(laid, bay, sizes):
                yield laid


def _stand(laid: Sequence[Piece], bay: BayWork, sizes: Sizes) -> bool:
    return all(bay.fits(p, sizes) for p in laid) and all(
        sizes.apart(a, b) for i, a in enumerate(laid) for b in laid[:i]
    )
