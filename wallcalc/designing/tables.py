"""Tables of a design for people and programs: lengths in mm, areas in m2, masses in kg, money in currency units."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

import pandas as pd

from wallcalc.boarding.choose import Boarding
from wallcalc.buying.waste import fixed_area2
from wallcalc.framing.tapers import bevels_text, piece
from wallcalc.hanging.backing_list import Held
from wallcalc.records import (
    Board,
    CheckRow,
    Cleat,
    CutPlan,
    Frame,
    Joint,
    JoistNoggin,
    Mark,
    Member,
    OrderLine,
    SheetUse,
    SlabPiece,
)
from wallcalc.trade.prices import PriceBook
from wallcalc.units.lengths import MM

CENTS = 100
SQUARE = (MM * 1000.0) ** 2
"""Units of the core's areas in one m2."""


def _mm(value: int) -> float:
    return value / MM


def _points(outline: Iterable[tuple[int, int]]) -> list[tuple[float, float]]:
    return [(x / MM, y / MM) for x, y in outline]


def members(records: Sequence[Member], codes: Mapping[str, str]) -> pd.DataFrame:
    """Return the table of members; ``codes`` maps marks to what they are cut from.

    ``length`` and ``length_long`` run from long point to long point, ``length_short`` is the shorter side; ``bevels``
    tells the cuts of the lower / upper (left / right) end in degrees off square, and is empty for a square-cut piece.
    """
    columns = [
        "mark", "role", "section", "x", "y", "width", "height", "length", "depth", "faces", "outline",
        "length_long", "length_short", "code", "serves", "flat", "cut_group", "bevels",
    ]  # fmt: skip
    rows = [
        (
            m.mark, m.role, m.section, _mm(m.x), _mm(m.y), _mm(m.width), _mm(m.height), _mm(m.length), _mm(m.depth),
            m.faces, _points(m.corners), _mm(m.length), _mm(piece(m)[1]), codes.get(m.mark, ""), ", ".join(m.serves),
            m.flat, m.cut_group, bevels_text(m),
        )
        for m in records
    ]  # fmt: skip
    return pd.DataFrame(rows, columns=columns)


def joist_noggins(records: Sequence[JoistNoggin], codes: Mapping[str, str]) -> pd.DataFrame:
    """Return the table of noggins between joists; ``x`` is where the middle of each crosses the wall."""
    columns = ["mark", "section", "x", "length", "code", "place"]
    rows = [(n.mark, n.section, _mm(n.x), _mm(n.length), codes.get(n.mark, ""), n.place) for n in records]
    return pd.DataFrame(rows, columns=columns)


def cleats(records: Sequence[Cleat], codes: Mapping[str, str]) -> pd.DataFrame:
    """Return the table of cleats behind pattresses; ``depth`` is what each is ripped to, ``serves`` its pattresses."""
    columns = ["mark", "section", "x", "y", "length", "depth", "code", "serves"]
    rows = [
        (
            c.mark, c.section, _mm(c.x), _mm(c.y), _mm(c.length), _mm(c.depth), codes.get(c.mark, ""),
            ", ".join(c.serves),
        )
        for c in records
    ]  # fmt: skip
    return pd.DataFrame(rows, columns=columns)


def hung_fixings(records: Sequence[Held]) -> pd.DataFrame:
    """Return the backing list: every fixing with the piece that carries it ("" where none does)."""
    columns = ["item", "side", "fixing", "x", "y", "member", "role", "from_edge"]
    rows = [
        (h.item, h.side, h.number, _mm(h.x), _mm(h.y), h.member, h.role, _mm(h.from_edge)) for h in records
    ]
    return pd.DataFrame(rows, columns=columns)


def service_holes(board: Board) -> list[tuple[str, str, float, float, float, float]]:
    """Return the holes for services in a board as they are cut, seen from its face.

    Each as (service, "round" or "box", from the board's left edge, from its lower edge, width, height): the distances
    are to the hole's middle, mm.
    """
    return [
        (
            p.service, "round" if p.round else "box", *(_mm(v) for v in board.from_face(p)),
            _mm(p.width), _mm(p.height),
        )
        for p in board.pierced
    ]  # fmt: skip


def bored(frame: Frame) -> pd.DataFrame:
    """Return the table of holes in timber, one a row.

    ``along`` is the distance of the hole's middle from the member's lower end (an upright) or left end (level timber);
    the hole is in the middle of the member's depth, ``from_edge`` the wood that is left between it and either face.
    """
    columns = [
        "member", "role", "service", "diameter", "x", "y", "along", "from_edge",
    ]  # fmt: skip
    members = {m.mark: m for m in frame.members}
    rows = []
    for h in frame.holes:
        m = members[h.member]
        along = h.y - m.y if h.axis == "x" else h.x - m.x
        rows.append(
            (
                h.member, m.role, h.service, _mm(h.diameter), _mm(h.x), _mm(h.y), _mm(along),
                (m.depth - h.diameter) / 2 / MM,
            )
        )  # fmt: skip
    return pd.DataFrame(rows, columns=columns)


def boards(records: Sequence[Board], codes: Mapping[str, str], book: PriceBook) -> pd.DataFrame:
    """Return the table of boards; ``codes`` maps marks to the sheets they are cut from."""
    columns = [
        "mark", "side", "layer", "course", "board_type", "outline", "area", "bound_edges", "x", "y",
        "width", "height", "holes", "sheet_code", "mass", "cut_group", "service_holes",
    ]  # fmt: skip
    masses = {b.product: book.board(b.product).surface_mass for b in records}
    rows = []
    for b in records:
        holes = [tuple(_mm(v) for v in h) for h in b.holes]
        area = fixed_area2(b) / 2 / SQUARE
        rows.append(
            (
                b.mark, b.side, b.layer, b.course, b.product, _points(b.outline), area, " ".join(b.bound_edges),
                _mm(b.x), _mm(b.y), _mm(b.width), _mm(b.height), holes, codes.get(b.mark, ""),
                area * masses[b.product], b.cut_group, service_holes(b),
            )
        )  # fmt: skip
    return pd.DataFrame(rows, columns=columns)


def board_holes(records: Sequence[Board]) -> pd.DataFrame:
    """Return every hole for a service, one a row: where its middle is from the board's edges, seen from its face."""
    columns = [
        "board", "side", "layer", "service", "shape", "width", "height", "from_left", "from_right",
        "from_bottom", "from_top",
    ]  # fmt: skip
    rows = []
    for b in records:
        for p in b.pierced:
            left, right = (p.x - b.x, b.right - p.x) if b.side == "A" else (b.right - p.x, p.x - b.x)
            rows.append(
                (
                    b.mark, b.side, b.layer, p.service, "round" if p.round else "box", _mm(p.width), _mm(p.height),
                    _mm(left), _mm(right), _mm(p.y - b.y), _mm(b.top - p.y),
                )
            )  # fmt: skip
    return pd.DataFrame(rows, columns=columns)


def joints(records: Sequence[Joint]) -> pd.DataFrame:
    """Return the table of joints and corners."""
    columns = [
        "side", "layer", "x1", "y1", "x2", "y2", "kind", "length", "backed_by", "need",
    ]  # fmt: skip
    rows = [
        (
            j.side, j.layer, _mm(j.x1), _mm(j.y1), _mm(j.x2), _mm(j.y2), j.kind, _mm(j.length),
            " ".join(j.backed_by), _mm(j.need),
        )
        for j in records
    ]  # fmt: skip
    return pd.DataFrame(rows, columns=columns)


def fill(records: Sequence[SlabPiece]) -> pd.DataFrame:
    """Return the table of the fill, one bay a row; ``pieces`` is their count, ``piece_sizes`` (length, width) each."""
    columns = [
        "mark", "x", "y", "width", "height", "thickness", "pieces", "how", "piece_sizes", "outline",
    ]  # fmt: skip
    rows = [
        (
            p.mark, _mm(p.x), _mm(p.y), _mm(p.width), _mm(p.height), _mm(p.thickness), len(p.pieces), p.how,
            _points(p.pieces), _points(p.corners),
        )
        for p in records
    ]  # fmt: skip
    return pd.DataFrame(rows, columns=columns)


def timber_cuts(plan: CutPlan, members: Sequence[Member] = ()) -> pd.DataFrame:
    """Return the table of bought timber, one length a row, marked T1, T2, ...

    ``tapers`` tells of the pieces cut to a slope (mark, long point, shorter side, bevels as in :func:`members`).
    """
    columns = [
        "bought", "stock", "section", "stock_length", "cuts", "offcut", "kerf_loss", "tapers",
    ]  # fmt: skip
    sloped = {m.mark: (m.mark, _mm(m.length), _mm(piece(m)[1]), bevels_text(m)) for m in members if m.outline}
    rows = [
        (
            f"T{i}", bar.code, bar.section, _mm(bar.length), [(mark, _mm(n)) for mark, n in bar.cuts],
            _mm(bar.offcut), _mm(bar.kerf_loss), [sloped[mark] for mark, _ in bar.cuts if mark in sloped],
        )
        for i, bar in enumerate(plan.uses, start=1)
    ]  # fmt: skip
    return pd.DataFrame(rows, columns=columns)


def sheet_cuts(uses: Sequence[SheetUse], records: Sequence[Board], letter: str = "B") -> pd.DataFrame:
    """Return the table of bought sheets or slabs, one a row.

    ``service_holes`` lists what is cut in the boards for services, as :func:`service_holes` with the board's mark.
    ``waste_area`` is what is neither fixed nor left in one of the ``leftovers``: cut-outs that nothing else
    comes from, and strips too small to list.
    """
    columns = [
        "bought", "stock", "sheet_length", "sheet_width", "cuts", "offcut_area", "waste_area",
        "leftovers", "service_holes",
    ]  # fmt: skip
    areas = {b.mark: fixed_area2(b) / 2 for b in records}
    holes = {b.mark: service_holes(b) for b in records if b.pierced}
    rows = []
    for i, use in enumerate(uses, start=1):
        fixed = sum(areas.get(c.mark, c.length * c.width) for c in use.cuts)
        offcut = sum(p.length * p.width for p in use.leftovers)
        rows.append(
            (
                f"{letter}{i}", use.code, _mm(use.length), _mm(use.width),
                [(c.mark, _mm(c.x), _mm(c.y), _mm(c.length), _mm(c.width), c.parent) for c in use.cuts],
                offcut / SQUARE, (use.length * use.width - fixed - offcut) / SQUARE,
                [(_mm(p.x), _mm(p.y), _mm(p.length), _mm(p.width), p.bound) for p in use.leftovers],
                [(c.mark, *hole) for c in use.cuts for hole in holes.get(c.mark, ())],
            )
        )  # fmt: skip
    return pd.DataFrame(rows, columns=columns)


def takeoff(lines: Sequence[OrderLine]) -> pd.DataFrame:
    """Return the order list."""
    columns = [
        "item", "code", "group", "description", "unit", "pack", "needed", "bought", "unit_price", "cost",
    ]  # fmt: skip
    rows = [
        (
            o.item, o.code, o.group, o.description, o.unit, o.pack, o.needed, o.bought, o.unit_price / CENTS,
            o.cost / CENTS,
        )
        for o in lines
    ]  # fmt: skip
    return pd.DataFrame(rows, columns=columns)


def setting_out(marks: Sequence[Mark]) -> pd.DataFrame:
    """Return the setting-out marks; for heights ``from_left`` is from the floor, ``from_right`` from the ceiling."""
    columns = [
        "mark", "role", "axis", "edge", "from_left", "from_right",
    ]  # fmt: skip
    rows = [(m.mark, m.role, m.axis, m.edge, _mm(m.from_left), _mm(m.from_right)) for m in marks]
    return pd.DataFrame(rows, columns=columns)


def checks(rows: Sequence[CheckRow]) -> pd.DataFrame:
    """Return the table of checks."""
    columns = [
        "check", "subject", "case", "value", "limit", "unit", "use", "verdict", "why", "source",
        "source_status",
    ]  # fmt: skip
    return pd.DataFrame([tuple(getattr(r, c) for c in columns) for r in rows], columns=columns)


def boarding_bound(boarding: Boarding) -> dict[str, Any]:
    """Return the row of bounds that tells how good the choice of board joints is."""
    least = boarding.sheet_bound
    cost = boarding.sheet_cost + boarding.timber_cost
    proven = cost == least
    if proven:
        method = "takes the least that sheets of this area can cost and adds no timber"
    else:
        method = f"best of {boarding.tried} boardings cut from sheets; the bound is the boards' area at the least price"
    return {
        "material": "board joints",
        "cost": cost / CENTS,
        "lower_bound": least / CENTS,
        "proven": proven,
        "scope": "every boarding with joints on the studs of this layout or on studs added under sheet edges; "
        "cost of sheets and of studs added for joints",
        "method": method,
    }
