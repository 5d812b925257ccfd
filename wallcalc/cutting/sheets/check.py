"""What is wrong with a plan of sheets, found from its drawn rectangles alone.

Nothing here is shared with what makes the plans: only rectangles are compared.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from wallcalc.cutting.sheets.parts import Blank, StockLike
from wallcalc.records import CutOut, CutPlan, SheetCut, SheetUse

Rectangle = tuple[int, int, int, int]
"""x, y, length, width, 0.1 mm."""


def overlap(a: Rectangle, b: Rectangle) -> bool:
    """Return whether two rectangles (x, y, length, width) share any area."""
    return a[0] < b[0] + b[2] and b[0] < a[0] + a[2] and a[1] < b[1] + b[3] and b[1] < a[1] + a[3]


def within(a: Rectangle, b: Rectangle) -> bool:
    """Return whether rectangle ``a`` lies inside rectangle ``b``."""
    return b[0] <= a[0] and b[1] <= a[1] and a[0] + a[2] <= b[0] + b[2] and a[1] + a[3] <= b[1] + b[3]


def separable(rectangles: Sequence[Rectangle]) -> bool:
    """Return whether straight cuts, each right through its piece, set all rectangles free."""
    if len(rectangles) < 2:
        return True
    for at, size in ((0, 2), (1, 3)):
        for line in sorted({r[at] for r in rectangles}):
            low = [r for r in rectangles if r[at] + r[size] <= line]
            high = [r for r in rectangles if r[at] >= line]
            if low and high and len(low) + len(high) == len(rectangles):
                return separable(low) and separable(high)
    return False


def _box(cut: SheetCut) -> Rectangle:
    return cut.x, cut.y, cut.length, cut.width


def _hole_boxes(cut: SheetCut, holes: Sequence[CutOut], turned: bool) -> list[Rectangle]:
    boxes = []
    for h in holes:
        x, y = h.along, h.across
        if turned:
            x, y = cut.length - h.along - h.length, cut.width - h.across - h.width
        boxes.append((cut.x + x, cut.y + y, h.length, h.width))
    return boxes


def _bound_as_turned(cut: SheetCut, side: int, width: int, turned: bool) -> bool:
    """Whether the long edge that has to be bound is an edge of the sheet when the blank is turned or not."""
    low, high = cut.y == 0, cut.y + cut.width == width
    return not side or (low if (side < 0) != turned else high)


def _placed_in_holes(children: Sequence[SheetCut], boxes: Sequence[Rectangle]) -> bool:
    inside: list[list[Rectangle]] = [[] for _ in boxes]
    for child in children:
        at = next((i for i, box in enumerate(boxes) if within(_box(child), box)), None)
        if at is None:
            return False
        inside[at].append(_box(child))
    return all(separable(group) for group in inside)


def _sheet_faults(name: str, use: SheetUse, blanks: dict[str, Blank]) -> list[str]:
    faults = []
    whole = (0, 0, use.length, use.width)
    by_mark = {c.mark: c for c in use.cuts}
    own = [_box(c) for c in use.cuts if c.parent is None]
    rests = [(r.x, r.y, r.length, r.width) for r in use.leftovers]
    if not use.cuts:
        faults.append(f"{name}: nothing is cut from it")
    both = own + rests
    faults += [f"{name}: {box} reaches beyond the sheet" for box in both if not within(box, whole)]
    if any(overlap(a, b) for i, a in enumerate(both) for b in both[:i]):
        faults.append(f"{name}: rectangles overlap")
    elif not separable(own):
        faults.append(f"{name}: no straight cuts set the blanks free")
    elif not separable(both):
        faults.append(f"{name}: no straight cuts set blanks and leftovers free")
    faults += [
        f"{name}: a leftover at ({r.x}, {r.y}) does not have {r.bound} bound edges"
        for r in use.leftovers
        if r.bound != (r.y == 0) + (r.y + r.width == use.width)
    ]
    for c in use.cuts:
        blank = blanks.get(c.mark)
        if blank is not None and (c.y == 0) + (c.y + c.width == use.width) < blank.need_bound:
            faults.append(f"{name}: {c.mark} lacks a bound edge")
    for parent in sorted({c.parent for c in use.cuts if c.parent is not None}):
        children = [c for c in use.cuts if c.parent == parent]
        if parent not in by_mark or parent not in blanks:
            faults.append(f"{name}: {parent}, from which others come, is not cut here")
            continue
        if not any(
            _placed_in_holes(children, _hole_boxes(by_mark[parent], blanks[parent].cut_outs, turned))
            for turned in (False, True)
            if _bound_as_turned(by_mark[parent], blanks[parent].bound_side, use.width, turned)
        ):
            faults.append(f"{name}: what comes from {parent} does not fit its cut-outs")
        if any(overlap(_box(a), _box(b)) for i, a in enumerate(children) for b in children[:i]):
            faults.append(f"{name}: what comes from {parent} overlaps")
    for c in use.cuts:
        seen = {c.mark}
        at = c.parent
        while at is not None and at in by_mark:
            if at in seen:
                faults.append(f"{name}: {c.mark} comes out of itself")
                break
            seen.add(at)
            at = by_mark[at].parent
    return faults


def sheet_faults(plan: CutPlan, blanks: Sequence[Blank], stocks: Sequence[StockLike]) -> tuple[str, ...]:
    """Return what is wrong with a cutting plan of sheets.

    Parameters
    ----------
    plan : CutPlan
        The plan, with uses that are sheets.
    blanks : sequence of Blank
        What had to be cut, marks all different.
    stocks : sequence of SheetStock
        The sheets that could be bought.

    Returns
    -------
    tuple of str
        One sentence a fault; empty when every blank is cut exactly once at its size from a sheet on sale,
        straight cuts can do it, bound edges are where they are needed, what comes from a cut-out lies in it,
        leftovers are free and true, the cost is the sum of the sheets' prices and the bound is no higher.
    """
    faults = []
    known = {b.mark: b for b in blanks}
    wanted = Counter((b.mark, b.along, b.across) for b in blanks)
    cut = Counter((c.mark, c.length, c.width) for use in plan.uses for c in use.cuts)
    for mark, length, width in sorted((wanted - cut) + (cut - wanted)):
        key = (mark, length, width)
        faults.append(f"{mark} of {length} x {width}: wanted {wanted[key]}, cut {cut[key]}")
    price = {(s.code, s.length, s.width): s.price for s in stocks}
    cost = 0
    for number, use in enumerate(plan.uses, start=1):
        name = f"sheet {number}"
        if (use.code, use.length, use.width) not in price:
            faults.append(f"{name}: {use.code} of {use.length} x {use.width} is not on sale")
        cost += price.get((use.code, use.length, use.width), 0)
        faults += _sheet_faults(name, use, known)
    if cost != plan.cost:
        faults.append(f"the sheets cost {cost}, the plan says {plan.cost}")
    if plan.lower_bound > plan.cost:
        faults.append(f"the bound {plan.lower_bound} is above the cost {plan.cost}")
    if plan.proven != (plan.lower_bound == plan.cost):
        faults.append("a plan is proven when its cost is the bound, and only then")
    return tuple(faults)
