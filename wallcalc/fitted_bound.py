"""What timber and boards of a wall cost at the least, before any board is laid: bounds for the search over stud lines.

All lengths are integers of 0.1 mm, money is integer cents.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
from scipy.optimize import linprog

from wallcalc.carcass import CarcassInput, least_sheet_cost, linings_of
from wallcalc.cut_bounds import reachable_costs
from wallcalc.fitted_candidates import stretches
from wallcalc.joint_lines import upright_length
from wallcalc.plates import sole_runs
from wallcalc.profile import profile_of
from wallcalc.stud_lines import Upright

if TYPE_CHECKING:
    from wallcalc.courses import Lining
    from wallcalc.cutting_stage import CuttingRules
    from wallcalc.price_records import SheetStock

LONG = 2
"""A piece longer than a bar's half is packed whole in the bound, shorter ones flow into what is left."""
LEAVES = 1e-6
"""What a solver's bound may be off by, cents."""


class Floor:
    """The least that a wall's timber and boards can cost, for any boarding of given stud lines.

    Parameters
    ----------
    given : CarcassInput
        The wall and the choices, its centres the limit; its stud lines do not matter.
    cutting : CuttingRules
        Kerf and trim.
    posts : sequence of Upright
        Fixed uprights.
    """

    def __init__(self, given: CarcassInput, cutting: CuttingRules, posts: Sequence[Upright]) -> None:
        self.given, self.cutting, self.posts = given, cutting, posts
        self.thickness = given.timber[0].thickness
        wall, rules = given.wall, given.rules
        self.head = wall.height - rules.head_packing - self.thickness
        self.stud = self.head - self.thickness
        linings = linings_of(given)
        sheets = {given.product_a: given.sheets_a, given.product_b: given.sheets_b}
        level = profile_of(wall, self.thickness, rules) is None
        self.boards = sheet_floor(given, linings, sheets, level)
        # what hangs on the wall may take a row's place, what runs in it may keep it out
        self.rows = _least_rows(given, linings) if level and not wall.hung and not wall.services else 0
        self._fixed = self._fixed_pieces(level)
        runs = stretches(given, posts)
        counts = [max(0, -(-(run.last - run.first) // given.centres) - 1) for run in runs]
        self.fewest = (
            sum(n for n, run in zip(counts, runs, strict=True) if run.zone < 0),
            sum(n * run.length for n, run in zip(counts, runs, strict=True) if run.zone >= 0),
        )

    def cost(self, lines: Sequence[int]) -> int:
        """Return what timber and boards cost at the least with studs on these lines, cents.

        Parameters
        ----------
        lines : sequence of int
            Stud middles between the fixed uprights.
        """
        if self.given.wall.hung:
            return self.least()  # studs may be shifted together for a fixing
        full, over = 0, 0
        clears = self.given.clears
        for x in lines:
            zone = next((z for z, c in enumerate(clears) if c.left < x < c.right), -1)
            if zone < 0:
                full += 1
            else:
                over += upright_length(
                    zone, clears, self.given.wall.height, self.given.rules.head_packing, self.thickness
                )
        return self.boards + self.timber(full, over)

    def least(self) -> int:
        """Return what timber and boards cost at the least with as few studs as the limit allows, cents."""
        return self.boards + self.timber(*self.fewest)

    def timber(self, full: int, over: int = 0) -> int:
        """Return the least price of the timber with so many more full-height studs.

        Parameters
        ----------
        full : int
            Studs besides the fixed ones.
        over : int
            Length of short studs, 0.1 mm.
        """
        whole, flow = self._fixed
        flow += over
        if self.rows:
            clear = sum(b - a for a, b in self._clear_runs()) - full * self.thickness
            flow += self.rows * max(0, clear)
        pieces = dict(whole)
        pieces[self.stud] = pieces.get(self.stud, 0) + full
        return timber_floor(
            tuple(sorted((n, k) for n, k in pieces.items() if k)),
            max(0, flow),
            tuple(sorted({(s.length, s.price) for s in self.given.timber})),
            self.cutting.kerf,
            self.cutting.end_trim,
        )

    def _clear_runs(self) -> list[tuple[int, int]]:
        """Clear runs at full height, where rows of noggins go in any case."""
        blocks = sorted(
            [*((p.x, p.right) for p in self.posts), *((c.left, c.right) for c in self.given.clears)]
        )
        runs, reach = [], 0
        for a, b in blocks:
            if a > reach:
                runs.append((reach, a))
            reach = max(reach, b)
        return runs

    def _fixed_pieces(self, level: bool) -> tuple[Mapping[int, int], int]:
        """Pieces that every layout has: those packed whole, and the length of the others."""
        wall, rules, t = self.given.wall, self.given.rules, self.thickness
        longest = self.given.timber[-1].length - self.cutting.end_trim
        lengths: list[int] = []
        flow = 0
        plates = [(0, wall.length), *sole_runs(wall.length, self.given.clears)]
        for a, b in plates:
            piece = b - a - rules.plate_short
            if b - a <= longest and level:
                lengths.append(piece)
            else:
                flow += max(0, piece - (b - a) // max(1, longest) * rules.plate_short)
        for p in self.posts:
            if p.role == "trimmer":
                lengths.append(self.given.clears[p.zone].top - t)
            else:
                lengths.append(self.stud)
        for c in self.given.clears:
            if c.top < self.head:
                lengths.append(c.right - c.left)
            if c.kind == "hatch" and c.bottom > t:
                lengths.append(c.right - c.left)
        whole: dict[int, int] = {}
        for n in lengths:
            if n * LONG > self.given.timber[0].length:
                whole[n] = whole.get(n, 0) + 1
            else:
                flow += max(0, n)
        return whole, flow


def _least_rows(given: CarcassInput, linings: Sequence[Lining]) -> int:
    """Rows of noggins that every bay of full height has: for stability, or behind one lining's joints."""
    rules, height = given.rules, given.wall.height
    t = given.timber[0].thickness
    joints = 0
    for lining in linings:
        if lining.lying and not rules.back_long_edges:
            continue
        inner = [low for low, _ in lining.courses[1:] if 3 * t < low < height - rules.head_packing - 3 * t]
        far = [b for a, b in pairwise([-height, *inner]) if b - a > 4 * t]
        joints = max(joints, len(far))
    stable = max(1, -(-height // rules.stability_spacing) - 1) if rules.stability_rows else 0
    return max(joints, stable)


@lru_cache(maxsize=4096)
def timber_floor(
    pieces: tuple[tuple[int, int], ...],
    flow: int,
    stocks: tuple[tuple[int, int], ...],
    kerf: int,
    end_trim: int,
) -> int:
    """Return the least price of bars from which some pieces come whole and a length of others in any parts.

    Parameters
    ----------
    pieces : tuple of (length, count)
        Pieces that come whole, 0.1 mm.
    flow : int
        Length of all other pieces, cut into whatever fits, saw cuts not counted, 0.1 mm.
    stocks : tuple of (length, price)
        What is on sale.
    kerf, end_trim : int
        0.1 mm.
    """
    columns: list[tuple[tuple[int, ...], int, int]] = []
    lengths = [n for n, _ in pieces]
    counts = [k for _, k in pieces]
    for stock, price in stocks:
        room = stock - end_trim + kerf
        for pattern in _patterns(lengths, counts, room, kerf):
            left = room - sum(k * (n + kerf) for k, n in zip(pattern, lengths, strict=True))
            columns.append((pattern, max(0, left), price))
    if not columns or not (pieces or flow):
        return 0
    matrix = np.array([[*pattern, left] for pattern, left, _ in columns], float).T
    need = np.array([*counts, flow], float)
    prices = np.array([price for *_, price in columns], float)
    found = linprog(prices, A_ub=-matrix, b_ub=-need, bounds=(0, None), method="highs-ds")
    if found.status != 0:
        return 0
    values = np.maximum(-found.ineqlin.marginals, 0.0)
    values *= min(
        1.0, float(np.min(prices / np.maximum(values @ matrix, 1e-12)))
    )  # no bar yields more than its price
    bound = int(np.ceil(float(values @ need) - LEAVES))
    return int(reachable_costs([price for _, price in stocks], 2 * bound + stocks[-1][1])[max(0, bound)])


def _patterns(lengths: Sequence[int], counts: Sequence[int], room: int, kerf: int) -> list[tuple[int, ...]]:
    """Every way to put whole pieces on a bar, none included."""
    found: list[tuple[int, ...]] = [()]
    for n, k in zip(lengths, counts, strict=True):
        grown = []
        for p in found:
            used = sum(c * (m + kerf) for c, m in zip(p, lengths, strict=False))
            grown += [(*p, c) for c in range(min(k, (room - used) // (n + kerf)) + 1)]
        found = grown
    return found


def sheet_floor(
    given: CarcassInput,
    linings: Sequence[Lining],
    sheets: Mapping[str, tuple[SheetStock, ...]],
    level: bool = True,
) -> int:
    """Return what the sheets of any boarding cost at the least, cents.

    The larger, for each product, of two sums: the area at the least price, and the length of full-height columns
    that only sheets as long (boards on their side: as wide) as a course can give.

    Parameters
    ----------
    given : CarcassInput
        Wall and choices.
    linings : sequence of Lining
        What is laid.
    sheets : mapping of str to tuple of SheetStock
        What each product is sold in.
    level : bool
        Whether floor and ceiling are level; else the area alone is reckoned.
    """
    total = 0
    for product, stocks in sorted(sheets.items()):
        own = [lining for lining in linings if lining.product == product]
        if own:
            area = least_sheet_cost(given, own, {product: stocks})
            total += max(area, _column_cost(given, own, stocks)) if level else area
    return total


def _column_cost(given: CarcassInput, linings: Sequence[Lining], stocks: Sequence[SheetStock]) -> int:
    """Least price of sheets for the columns of the highest courses.

    What is cut out for an opening is lower than the highest course, so its columns come from no cut-out. A board that
    meets an opening reaches at least as far beyond the jamb line as joints keep away from it.
    """
    keep, clears = given.rules.jamb_fail, given.clears
    height = max(high - low for lining in linings for low, high in lining.courses)
    need = 0
    for lining in linings:
        for low, high in lining.courses:
            if high - low < height:
                continue
            need += given.wall.length
            for c in clears:
                width = c.right - c.left
                if c.bottom <= low and c.top >= high:
                    need -= width
                elif c.bottom < high and c.top > low:
                    need -= max(0, width - 2 * keep)
    offers = []
    for s in stocks:
        along, across = (s.length, s.width) if linings[0].lying else (s.width, s.length)
        if across >= height:
            offers.append((along * (across // height), s.price))
    return cover(need, tuple(offers)) if offers else 0


@lru_cache(maxsize=1024)
def cover(need: int, offers: tuple[tuple[int, int], ...]) -> int:
    """Return the least price of any number of offers (amount, price) that add up to a need.

    Parameters
    ----------
    need : int
        What is wanted.
    offers : tuple of (int, int)
        Amount and price of each offer, all positive.
    """
    best = {0: 0}
    done: int | None = None
    while best:
        got, paid = min(best.items(), key=lambda kv: (kv[1], -kv[0]))
        del best[got]
        if done is not None and paid >= done:
            break
        for amount, price in offers:
            reached, cost = got + amount, paid + price
            if reached >= need:
                done = cost if done is None else min(done, cost)
            elif cost < best.get(reached, cost + 1):
                best[reached] = cost
    return done or 0
