"""Quick cutting plans: blanks taken in a few fixed orders, each put where it leaves the most useful rest."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from wallcalc.cutting.sheets.parts import Job, Kind, Stock, fits
from wallcalc.records import CutPlan, Leftover, SheetCut, SheetUse

MATERIAL = "sheets"
LARGE_PREFERRED = 1.05
"""Power of the area cut from a sheet that its price is measured against: over 1, fuller and larger sheets win."""

MANY = 20
"""Blanks from which fewer plans are tried, to stay quick."""

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
    prefer: Sequence[Sequence[int]],
    rip_first: int,
    limits: Sequence[int] | None = None,
) -> Layout:
    """Place blanks one after another, each in the tightest free rectangle, opening sheets as needed.

    Parameters
    ----------
    kinds : sequence of Kind
        The blanks.
    order : sequence of int
        The order to take them in.
    stocks : sequence of Stock
        The sheets that can be bought.
    prefer : sequence of sequence of int
        For each blank the sheets large enough (places in ``stocks``), the one to open for it first.
    rip_first : int
        1: rip, then cross-cut; 0: cross-cut, then rip; 2: whichever leaves the larger rectangle.
    limits : sequence of int, optional
        How many of each sheet there are.

    Returns
    -------
    Layout
        A blank that finds no free rectangle and has no sheet to open is left out (its sheet is -1).
    """
    rooms: list[Room] = []
    bought: list[int] = []
    spots: list[tuple[int, int, int, int]] = [(-1, 0, 0, -1)] * len(kinds)
    cost = 0
    for i in order:
        a, w, need, holes, _ = kinds[i]
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
            choice = prefer[i]
            if limits is not None:
                choice = [s for s in choice if bought.count(s) < limits[s]]
            if not choice:
                continue
            s = choice[0]
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
            rooms += hole_rooms(kinds[i], x, at_y, stocks[bought[sheet]].width, sheet, i)
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


def hole_rooms(kind: Kind, x: int, y: int, across: int, sheet: int, parent: int) -> list[Room]:
    """Return the free rectangles of the cut-outs of a blank cut at (x, y) of a sheet ``across`` wide (0.1 mm).

    The blank is turned by half a turn where the edge that has to be bound would not be.
    """
    turned = (kind.side < 0 and y > 0) or (kind.side > 0 and y + kind.across < across)
    rooms = []
    for h in kind.holes:
        hx, hy = x + h.along, y + h.across
        if turned:
            hx, hy = x + kind.along - h.along - h.length, y + kind.across - h.across - h.width
        low = int(h.bound > 0 and hy == 0)
        high = int(h.bound > low and hy + h.width == across)
        rooms.append((h.length, h.width, low, high, hx, hy, sheet, parent))
    return rooms


def orders_of(kinds: Sequence[Kind]) -> list[list[int]]:
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


def best_layout(job: Job, stocks: Sequence[Stock], bound: int, *, rough: bool = False) -> Layout:
    """Return the best of the quick plans, or the first whose cost is the bound.

    Parameters
    ----------
    job : Job
        The blanks.
    stocks : sequence of Stock
        The sheets to use, by price.
    bound : int
        Cost that no plan can go below, cents.
    rough : bool
        Try fewer orders, for searches that compare many jobs.

    Returns
    -------
    Layout
    """
    kinds = job.kinds
    if not kinds:
        return Layout(0, [], [], [])
    orders = orders_of(kinds)
    able = {k: [at for at, s in enumerate(stocks) if fits(k, s.length, s.width)] for k in job.counts}
    by_area = sorted(range(len(stocks)), key=lambda s: stocks[s].price / (stocks[s].length * stocks[s].width))
    found: list[tuple[tuple[int, int, int], int, Layout, list[list[int]], list[int]]] = []

    def go(order: list[int], prefer: list[list[int]], rip_first: int) -> bool:
        plan = lay(kinds, order, stocks, prefer, rip_first)
        found.append((plan.rank(), len(found), plan, prefer, order))
        return plan.cost == bound

    for first in by_area[:2] if rough else by_area:
        rank = {s: (s != first, at) for at, s in enumerate(by_area)}
        choice = {k: sorted(a, key=rank.__getitem__) for k, a in able.items()}
        prefer = [choice[k] for k in kinds]
        for order in orders:
            if go(order, prefer, 2):
                return found[-1][2]
    found.sort()
    if len(stocks) == 1:
        for _, _, _, prefer, order in found[:4]:
            for rip_first in (1, 0):
                if go(order, prefer, rip_first):
                    return found[-1][2]
        return min(found)[2]
    few = len(kinds) > MANY
    smaller, afresh = (2, 1) if rough else (4, 2) if few else (8, len(orders))
    plans = [_smaller(plan, kinds, stocks) for _, _, plan, _, _ in found[:smaller]]
    plans += [sheet_by_sheet(kinds, order, stocks, able) for order in orders[:afresh]]
    return min(plans, key=Layout.rank)


def sheet_by_sheet(
    kinds: Sequence[Kind], order: Sequence[int], stocks: Sequence[Stock], able: dict[Kind, list[int]]
) -> Layout:
    """Return a plan that fills one sheet after another, each time the sheet that is cheapest for its fill."""
    left = list(order)
    bought: list[int] = []
    spots: list[tuple[int, int, int, int]] = [(-1, 0, 0, -1)] * len(kinds)
    rooms: list[Room] = []
    while left:
        held = [kinds[i] for i in left]
        none: list[list[int]] = [[]] * (len(left) - 1)
        best: Layout | None = None
        least = 0.0
        for t in able[held[0]]:
            plan = lay(held, range(len(left)), stocks, [[t], *none], 2)
            area = sum([k[0] * k[1] for k, spot in zip(held, plan.spots, strict=True) if spot[0] >= 0])
            price = stocks[t].price / area**LARGE_PREFERRED
            if best is None or price < least:
                best, least = plan, price
        assert best is not None
        at = len(bought)
        bought.append(best.bought[0])
        for i, (sheet, x, y, parent) in zip(left, best.spots, strict=True):
            if sheet >= 0:
                spots[i] = (at, x, y, left[parent] if parent >= 0 else -1)
        rooms += [(*r[:6], at, left[r[7]] if r[7] >= 0 else -1) for r in best.rooms]
        left = [i for i, spot in zip(left, best.spots, strict=True) if spot[0] < 0]
    return Layout(sum([stocks[s].price for s in bought]), bought, spots, rooms)


def _smaller(plan: Layout, kinds: Sequence[Kind], stocks: Sequence[Stock]) -> Layout:
    """Return the plan with each sheet replaced by a cheaper one that holds the same blanks, where one does."""
    bought = list(plan.bought)
    changed = None
    for at, s in enumerate(bought):
        if s == 0:
            continue
        on = [i for i, spot in enumerate(plan.spots) if spot[0] == at]
        area = sum([kinds[i].along * kinds[i].across for i in on if plan.spots[i][3] < 0])
        longest = max([kinds[i].along for i in on])
        for t in range(s):
            cheap = stocks[t]
            if cheap.price >= stocks[s].price or cheap.length * cheap.width < area or cheap.length < longest:
                continue
            held = [kinds[i] for i in on]
            order = sorted(range(len(on)), key=lambda j: (-held[j].along, -held[j].across))
            prefer = [[t] if fits(k, cheap.length, cheap.width) else [] for k in held]
            again = lay(held, order, stocks, prefer, 2)
            if len(again.bought) > 1 or min(spot[0] for spot in again.spots) < 0:
                continue
            spots, rooms = changed or (list(plan.spots), plan.rooms)
            bought[at] = t
            for j, i in enumerate(on):
                _, x, y, parent = again.spots[j]
                spots[i] = (at, x, y, on[parent] if parent >= 0 else -1)
            rooms = [r for r in rooms if r[6] != at]
            rooms += [(*r[:6], at, on[r[7]] if r[7] >= 0 else -1) for r in again.rooms]
            changed = (spots, rooms)
            break
    if changed is None:
        return plan
    return Layout(sum([stocks[s].price for s in bought]), bought, *changed)


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
