"""Quick cutting plans: blanks taken in a few fixed orders, each put where it leaves the most useful rest."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from wallcalc.records import CutPlan, Leftover, SheetCut, SheetUse
from wallcalc.sheet_parts import Hole, Job, Kind, Stock

MATERIAL = "sheets"

Room = tuple[int, int, int, int, int, int, int, int]
"""Free rectangle: length, width, low edge bound, high edge bound, x, y, sheet, parent (-1: the sheet)."""


class Layout(NamedTuple):
    """A plan in the making.

    ``bought`` lists the sheets (places in the job's stocks); ``spots`` gives each blank its (sheet, x, y,
    parent); ``rooms`` are the rectangles left over; ``cost`` in cents.
    """

    cost: int
    bought: list[int]
    spots: list[tuple[int, int, int, int]]
    rooms: list[Room]

    def rank(self) -> tuple[int, int, int]:
        """Cheapest first, then fewest sheets, then the largest single leftover."""
        return self.cost, len(self.bought), -max([r[0] * r[1] for r in self.rooms if r[7] < 0], default=0)


def lay(
    kinds: Sequence[Kind],
    order: Sequence[int],
    stocks: Sequence[Stock],
    choice: Sequence[int],
    rip_first: int,
) -> Layout | None:
    """Place blanks one after another, each in the tightest free rectangle, opening sheets as needed.

    Parameters
    ----------
    kinds : sequence of Kind
        The blanks.
    order : sequence of int
        The order to take them in.
    stocks : sequence of Stock
        The sheets that can be bought.
    choice : sequence of int
        Places in ``stocks``, the sheet to open first when several would do.
    rip_first : int
        1: rip, then cross-cut; 0: cross-cut, then rip; 2: whichever leaves the larger rectangle.

    Returns
    -------
    Layout or None
        None when a blank fits none of the sheets in ``choice``.
    """
    rooms: list[Room] = []
    bought: list[int] = []
    spots: list[tuple[int, int, int, int]] = [(-1, 0, 0, -1)] * len(kinds)
    cost = 0
    for i in order:
        a, w, need, holes, side = kinds[i]
        best = -1
        least = 1 << 60
        for at, room in enumerate(rooms):
            dl = room[0] - a
            dw = room[1] - w
            if dl < 0 or dw < 0:
                continue
            bound = room[2] + room[3]
            if bound < need or (need == 2 and dw):
                continue
            # a rest that is thin one way is lost; a bound edge given to a blank that needs none is half lost
            score = dl * w if dl * w < dw * a else dw * a
            if bound > need and dw:
                score += a * 200
            if room[7] >= 0:
                score >>= 2
            if score < least:
                least, best = score, at
        if best >= 0:
            length, width, low, high, x, y, sheet, parent = rooms.pop(best)
        else:
            for s in choice:
                if stocks[s].length >= a and (stocks[s].width == w if need == 2 else stocks[s].width >= w):
                    break
            else:
                return None
            length, width, price, _ = stocks[s]
            low = high = 1
            x = y = 0
            sheet, parent = len(bought), -1
            bought.append(s)
            cost += price
        dl = length - a
        dw = width - w
        top = dw and ((need == 1 and not low) or (need == 0 and low and not high))
        at_y = y + dw if top else y
        spots[i] = (sheet, x, at_y, parent)
        if holes:
            across = stocks[bought[sheet]].width
            turned = (side < 0 and at_y > 0) or (side > 0 and at_y + w < across)
            for h in holes:
                hx, hy = x + h.along, at_y + h.across
                if turned:
                    hx, hy = x + a - h.along - h.length, at_y + w - h.across - h.width
                rooms.append(hole_room(h, hx, hy, across, sheet, i))
        if dl and dw:
            rest_y = y if top else y + w
            rest_low, rest_high = (low, 0) if top else (0, high)
            own_low, own_high = (0, high) if top else (low, 0)
            if rip_first == 1 or (rip_first == 2 and max(length * dw, dl * w) >= max(dl * width, a * dw)):
                rooms.append((length, dw, rest_low, rest_high, x, rest_y, sheet, parent))
                rooms.append((dl, w, own_low, own_high, x + a, at_y, sheet, parent))
            else:
                rooms.append((dl, width, low, high, x + a, y, sheet, parent))
                rooms.append((a, dw, rest_low, rest_high, x, rest_y, sheet, parent))
        elif dl:
            rooms.append((dl, width, low, high, x + a, y, sheet, parent))
        elif dw:
            if top:
                rooms.append((a, dw, low, 0, x, y, sheet, parent))
            else:
                rooms.append((a, dw, 0, high, x, y + w, sheet, parent))
    return Layout(cost, bought, spots, rooms)


def hole_room(hole: Hole, x: int, y: int, across: int, sheet: int, parent: int) -> Room:
    """Return the free rectangle of a cut-out at (x, y) of a sheet ``across`` wide, all in 0.1 mm."""
    low = int(hole.bound > 0 and y == 0)
    high = int(hole.bound > low and y + hole.width == across)
    return hole.length, hole.width, low, high, x, y, sheet, parent


def _orders(kinds: Sequence[Kind]) -> list[list[int]]:
    """Return the orders worth trying: by length, by area, by width, and by width among the long ones."""
    every = range(len(kinds))
    half = max(k.along for k in kinds) / 2
    keys = (
        lambda i: (-kinds[i].along, -kinds[i].across, -kinds[i].need),
        lambda i: (-kinds[i].across, -kinds[i].along, -kinds[i].need),
        lambda i: (-kinds[i].along * kinds[i].across, -kinds[i].need),
        lambda i: (kinds[i].along <= half, -kinds[i].need, -kinds[i].across, -kinds[i].along),
    )
    found = []
    for key in keys:
        order = sorted(every, key=key)
        if order not in found:
            found.append(order)
    return found


def best_layout(job: Job, stocks: Sequence[Stock], bound: int) -> Layout:
    """Return the best of the quick plans, or the first whose cost is the bound.

    Parameters
    ----------
    job : Job
        The blanks.
    stocks : sequence of Stock
        The sheets to use, by price.
    bound : int
        Cost that no plan can go below, cents.

    Returns
    -------
    Layout
    """
    kinds = job.kinds
    if not kinds:
        return Layout(0, [], [], [])
    cheapest = list(range(len(stocks)))
    by_area = sorted(cheapest, key=lambda s: stocks[s].price / (stocks[s].length * stocks[s].width))
    choices = [by_area] if by_area == cheapest else [by_area, cheapest]
    if len(stocks) > 2:
        choices += [[s, *[t for t in by_area if t != s]] for s in by_area[1:] if s != cheapest[0]]
    best: Layout | None = None
    rank: tuple[int, int, int] | None = None
    orders = _orders(kinds)
    for rip_first in (2, 1, 0):
        for choice in choices:
            for order in orders:
                plan = lay(kinds, order, stocks, choice, rip_first)
                if plan is None or (rank is not None and plan.cost > rank[0] + plan.cost // 4):
                    continue
                if len(stocks) > 1 and plan.cost > bound:
                    plan = _smaller(plan, kinds, stocks)
                own = plan.rank()
                if rank is None or own < rank:
                    best, rank = plan, own
                    if plan.cost == bound:
                        return plan
        choices = choices[:2]
    assert best is not None
    return best


def _smaller(plan: Layout, kinds: Sequence[Kind], stocks: Sequence[Stock]) -> Layout:
    """Return the plan with each sheet replaced by a cheaper one that holds the same blanks, where one does."""
    bought = list(plan.bought)
    changed = None
    for at, s in enumerate(bought):
        if s == 0:
            continue
        on = [i for i, spot in enumerate(plan.spots) if spot[0] == at]
        area = sum(kinds[i].along * kinds[i].across for i in on if plan.spots[i][3] < 0)
        for t in range(s):
            if stocks[t].price >= stocks[s].price or stocks[t].length * stocks[t].width < area:
                continue
            order = sorted(range(len(on)), key=lambda j: (-kinds[on[j]].along, -kinds[on[j]].across))
            again = lay([kinds[i] for i in on], order, stocks, [t], 2)
            if again is not None and len(again.bought) == 1:
                changed = changed or (list(plan.spots), list(plan.rooms))
                bought[at] = t
                for j, i in enumerate(on):
                    _, x, y, parent = again.spots[j]
                    changed[0][i] = (at, x, y, on[parent] if parent >= 0 else -1)
                kept = [r for r in changed[1] if r[6] != at]
                kept += [(*r[:6], at, on[r[7]] if r[7] >= 0 else -1) for r in again.rooms]
                changed = (changed[0], kept)
                break
    if changed is None:
        return plan
    return Layout(sum(stocks[s].price for s in bought), bought, *changed)


def as_plan(job: Job, stocks: Sequence[Stock], plan: Layout, bound: int, scope: str, method: str) -> CutPlan:
    """Return a layout as a cutting plan.

    Parameters
    ----------
    job : Job
        The blanks with their marks.
    stocks : sequence of Stock
        The sheets the layout speaks of.
    plan : Layout
        What to write down.
    bound : int
        Cost that no plan can go below, cents.
    scope, method : str
        What the proof covers, and how it was reached.

    Returns
    -------
    CutPlan
        Sheets in the order of the first blank on each; leftovers of each sheet, the largest first. What is
        left of cut-outs is not listed, as it lies inside the rectangle of its board's cut.
    """
    cuts: list[list[SheetCut]] = [[] for _ in plan.bought]
    for mark, kind, (sheet, x, y, parent) in zip(job.marks, job.kinds, plan.spots, strict=True):
        cuts[sheet].append(SheetCut(mark, x, y, kind[0], kind[1], job.marks[parent] if parent >= 0 else None))
    left: list[list[Leftover]] = [[] for _ in plan.bought]
    for length, width, low, high, x, y, sheet, parent in plan.rooms:
        if parent < 0:
            left[sheet].append(Leftover(x, y, length, width, low + high))
    uses = []
    for s, on, rest in zip(plan.bought, cuts, left, strict=True):
        rest.sort(key=lambda r: (-r.length * r.width, r.x, r.y))
        uses.append(SheetUse(stocks[s].code, stocks[s].length, stocks[s].width, tuple(on), tuple(rest)))
    cost = sum(stocks[s].price for s in plan.bought)
    return CutPlan(MATERIAL, tuple(uses), cost, bound, bound == cost, scope, method)
