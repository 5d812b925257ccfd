"""What has to hold of what every design buys and cuts: timber, sheets, money, waste.

Every function yields one sentence a fault. Lengths are integers of 0.1 mm.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator

import shapely
from oracle_facts import HAIR, Facts

from wallcalc.records import Board


def timber_cut_faults(f: Facts) -> Iterator[str]:
    """Every member, cleat and noggin between joists is cut once; what is cut from a bought length fits it."""
    plan = f.design.parts.cut.timber
    kerf, trim = f.t("cutting.kerf"), f.t("cutting.end_trim")
    cut = Counter(mark for bar in plan.uses for mark, _ in bar.cuts)
    wanted = Counter(m.mark for m in f.members if m.role != "pattress")
    wanted.update(n.mark for n in (*f.frame.joist_noggins, *f.frame.cleats))
    if cut != wanted:
        yield f"cut {cut - wanted} too often, {wanted - cut} never"
    stock = {i.code: i for i in f.design.prices.items("timber")}
    for bar in plan.uses:
        if sum(n + kerf for _, n in bar.cuts) > bar.length - trim + kerf:
            yield f"{bar} does not fit"
        if bar.code not in stock or stock[bar.code].length != bar.length:
            yield f"{bar} is not on sale"
        if bar.section != f.option.section:
            yield f"{bar} is of another section"
    cost = sum(stock[bar.code].price for bar in plan.uses)
    boarding, sheets = f.design.parts.cut.carcass.boarding, f.design.parts.cut.sheets
    if boarding.sheet_bound > sum(p.cost for p in sheets):
        yield f"no boarding is said to cost less than {boarding.sheet_bound}, this one costs {sheets}"
    if cost != plan.cost or plan.lower_bound > plan.cost:
        yield f"timber plan says {plan.cost} (bound {plan.lower_bound}), bars cost {cost}"


def sheet_cut_faults(f: Facts) -> Iterator[str]:
    """Every board is cut once; blanks lie in the sheet, apart, from bound edges where needed."""
    boards = {b.mark: b for b in f.frame.boards}
    plans = f.design.parts.cut.sheets
    uses = [use for plan in plans for use in plan.uses]
    cut = Counter(c.mark for use in uses for c in use.cuts)
    if cut != Counter(list(boards)):
        yield f"boards cut {cut}, wanted {list(boards)}"
        return
    prices = {i.code: i.price for i in f.design.prices.items("sheet")}
    for plan in plans:
        cost = sum(prices[use.code] for use in plan.uses)
        if cost != plan.cost or plan.lower_bound > plan.cost:
            yield f"sheet plan says {plan.cost} (bound {plan.lower_bound}), sheets cost {cost}"
    for n, use in enumerate(uses, start=1):
        own = [c for c in use.cuts if c.parent is None]
        boxes = [shapely.box(c.x, c.y, c.x + c.length, c.y + c.width) for c in own]
        boxes += [shapely.box(r.x, r.y, r.x + r.length, r.y + r.width) for r in use.leftovers]
        whole = shapely.box(0, 0, use.length, use.width)
        if not all(whole.covers(b) for b in boxes):
            yield f"sheet {n}: a blank reaches beyond it"
        if abs(shapely.union_all(boxes).area - sum(b.area for b in boxes)) > HAIR:
            yield f"sheet {n}: blanks overlap"
        marks = {c.mark: c for c in use.cuts}
        for c in use.cuts:
            b = boards[c.mark]
            if f.option.sheet is not None:
                width, length = (round(float(v)) for v in f.option.sheet.split("x"))
                if (round(use.width / 10), round(use.length / 10)) != (width, length):
                    yield f"sheet {n}: {use.code} is not the size asked for"
            if not use.code.startswith(b.product + "-"):
                yield f"sheet {n}: {c.mark} of {b.product} cut from {use.code}"
            size = (b.width, b.height) if b.lying else (b.height, b.width)
            if (c.length, c.width) != size:
                yield f"sheet {n}: {c.mark} cut {c.length} x {c.width}, board {f.name(b)}"
            children = [k for k in use.cuts if k.parent == c.mark]
            if not any(_placed(b, c, children, use.width, turned) for turned in (False, True)):
                yield (
                    f"sheet {n}: {c.mark} with bound edges {b.bound_edges} at {c}, children "
                    f"{[(k.mark, k.x, k.y, k.length, k.width) for k in children]}, sheet {use.length} x {use.width}"
                )
            if c.parent is not None and c.parent not in marks:
                yield f"sheet {n}: parent {c.parent} is not there"
            seen, at = {c.mark}, c.parent
            while at is not None and at in marks:
                if at in seen:
                    yield f"sheet {n}: {c.mark} comes out of itself"
                    break
                seen.add(at)
                at = marks[at].parent
        for parent in {c.parent for c in use.cuts if c.parent is not None}:
            kids = [
                shapely.box(c.x, c.y, c.x + c.length, c.y + c.width) for c in use.cuts if c.parent == parent
            ]
            if abs(shapely.union_all(kids).area - sum(k.area for k in kids)) > HAIR:
                yield f"sheet {n}: what comes from {parent} overlaps"


def _placed(board: Board, cut, children, sheet_width: int, turned: bool) -> bool:
    """Whether a blank, turned or not, has its bound edges on the sheet's and its children in its waste."""
    low, high = ("bottom", "top") if board.lying else ("left", "right")
    if turned:
        low, high = high, low
    if low in board.bound_edges and cut.y != 0:
        return False
    if high in board.bound_edges and cut.y + cut.width != sheet_width:
        return False
    if not children:
        return True
    rings = [board.outline, *([(a, b), (c, b), (c, d), (a, d)] for a, b, c, d in board.holes)]
    placed = []
    for ring in rings:
        points = []
        for x, y in ring:
            along, across = (x - board.x, y - board.y) if board.lying else (y - board.y, x - board.x)
            if board.lying == (board.side == "A"):  # plans are drawn from the face, along right, across down
                along = cut.length - along
            if turned:
                along, across = cut.length - along, cut.width - across
            points.append((cut.x + along, cut.y + across))
        placed.append(points)
    fixed = shapely.Polygon(placed[0], placed[1:])
    free = shapely.box(cut.x, cut.y, cut.x + cut.length, cut.y + cut.width).difference(fixed)
    return all(free.covers(shapely.box(k.x, k.y, k.x + k.length, k.y + k.width)) for k in children)


# --- money and waste


def money_faults(f: Facts) -> Iterator[str]:
    """The order list adds up to the cost, line by line; what is cut is what is bought."""
    d = f.design
    lines = d.parts.order
    for o in lines:
        if o.bought * o.unit_price != o.cost:
            yield f"{o.code}: {o.bought} x {o.unit_price} is not {o.cost}"
        if o.bought * o.pack < o.needed - 1e-6:
            yield f"{o.code}: {o.needed} needed, {o.bought} x {o.pack} bought"
    cents = sum(o.cost for o in lines)
    if round(d.cost * 100) != cents or abs(d.cost * 100 - cents) > 1e-6:
        yield f"cost {d.cost}, lines add up to {cents}"
    table = sum(round(c * 100) for c in d.takeoff["cost"])
    if table != cents:
        yield f"take-off table adds up to {table}, lines to {cents}"
    bars = Counter(bar.code for bar in d.parts.cut.timber.uses)
    sheets = Counter(use.code for plan in d.parts.cut.sheets for use in plan.uses)
    for group, counts in (("timber", bars), ("sheet", sheets)):
        bought = {o.code: o.bought for o in lines if o.group == group}
        if bought != dict(counts):
            yield f"{group}: bought {bought}, cut {dict(counts)}"
    if d.parts.slabs is not None:
        slabs = Counter(use.code for use in d.parts.slabs.uses)
        packs = {i.code: i.pack for i in d.prices.items("slab")}
        wanted = {code: math.ceil(n / packs[code]) for code, n in slabs.items()}
        bought = {o.code: o.bought for o in lines if o.group == "slab"}
        if bought != wanted:
            yield f"slabs: bought {bought} packs, wanted {wanted}"


def service_hole_area(f: Facts) -> float:
    """Area of the holes for services in all layers, from the wall as given."""
    total = 0.0
    layers = {"A": f.option.layers_a, "B": f.option.layers_b}
    for s in f.design.wall.services:
        width, height = s.size or (s.diameter, s.diameter)
        boxed = s.size is not None or s.kind == "socket"
        area = width * height if boxed else math.pi * s.diameter**2 / 4
        total += layers[s.side] * area
        if s.goes == "through":
            total += layers["B" if s.side == "A" else "A"] * (
                area if s.to is None else math.pi * s.diameter**2 / 4
            )
    return total


def waste_faults(f: Facts) -> Iterator[str]:
    """Waste is what is bought and not fixed, by hand."""
    d = f.design
    bars = d.parts.cut.timber.uses
    bought = sum(b.length for b in bars)
    fixed = sum(n for b in bars for _, n in b.cuts)
    if abs(d.timber_waste - (1 - fixed / bought)) > 1e-9:
        yield f"timber waste {d.timber_waste}, by hand {1 - fixed / bought}"
    sheets = [use for plan in d.parts.cut.sheets for use in plan.uses]
    bought = sum(u.length * u.width for u in sheets)
    fixed = sum(p.area for p in f.polygons.values()) - service_hole_area(f)
    if abs(d.board_waste - (1 - fixed / bought)) > 1e-9:
        yield f"board waste {d.board_waste}, by hand {1 - fixed / bought}"
    if d.parts.slabs is None:
        if not math.isnan(d.fill_waste):
            yield "fill waste without fill"
    else:
        clear = f.wall.difference(f.openings)
        slab = d.prices.fill(str(f.option.fill)).thickness
        deep = max(m.depth for m in f.members)  # a slab that fits behind a pattress passes behind it
        bounds = [m.role != "pattress" or m.depth + slab > deep for m in f.members]
        clear = clear.difference(shapely.union_all(f.member_boxes[bounds])).area
        packs = {i.code: i.pack for i in d.prices.items("slab")}
        bought = sum(
            math.ceil(n / packs[code]) * packs[code] * size
            for (code, size), n in Counter((u.code, u.length * u.width) for u in d.parts.slabs.uses).items()
        )
        if abs(d.fill_waste - (1 - clear / bought)) > 0.02:
            yield f"fill waste {d.fill_waste}, by hand {1 - clear / bought}"
