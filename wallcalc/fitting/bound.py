"""What timber and boards of a wall cost at the least, before any board is laid: bounds for the search over stud lines.

Boards only add timber to what stands, and every stud they add takes more than it saves in noggins. So the studs that
stand before the boards, with the noggins of their bays, are a bound for whatever boards come. All lengths are integers
of 0.1 mm, money is integer cents.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache
from itertools import pairwise

import numpy as np

from wallcalc.boarding.courses import Lining
from wallcalc.buying.cut_plans import CuttingRules
from wallcalc.carcass.build import CarcassInput, Standing, linings_of
from wallcalc.cutting.timber.bounds import reachable_costs
from wallcalc.cutting.timber.patterns import CoverProgramme, Job
from wallcalc.fitting.candidates import stretches
from wallcalc.fitting.sheets import sheet_floor
from wallcalc.framing.joint_lines import upright_length
from wallcalc.framing.plates import sole_runs
from wallcalc.hanging.backing import Backing
from wallcalc.records import Upright
from wallcalc.site.lines import profile_of
from wallcalc.trade.price_records import TimberStock
from wallcalc.units.lengths import MM

LONG = 3
"""A piece longer than a third of the shortest bar is packed whole in the bound, shorter ones flow into what is left."""
MOST_KINDS = 6
"""Lengths of pieces packed whole; the others flow as well."""
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
        level = profile_of(wall, self.thickness, rules).is_level
        self.boards = sheet_floor(given, linings, sheets, level)
        self.stable = _stable_rows(given) if level else 0
        self.rows = max(self.stable, _joint_rows(given, linings)) if level else 0
        narrow = 2 * rules.noggin_min if rules.noggin_min > rules.least_bay else 0
        self.saved = self.rows * (self.thickness + narrow)
        """Length of noggins that one more stud saves at the most, 0.1 mm."""
        if self.saved > self.stud:
            self.stable = self.rows = self.saved = 0
        self._fixed = self._fixed_pieces(level)
        self._least: dict[tuple[int, int], int] = {}
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
            return (
                self.least()
            )  # studs may be shifted together for a fixing: what then stands is told by standing()
        zones = [self._zone(x) for x in lines]
        return self._with(zones.count(-1), sum(self._short(zone) for zone in zones if zone >= 0))

    def least(self) -> int:
        """Return what timber and boards cost at the least with as few studs as the limit allows, cents."""
        return self._with(*self.fewest)

    def standing(self, base: Standing) -> int:
        """Return what timber and boards cost at the least with what stands before the boards, cents.

        Parameters
        ----------
        base : Standing
            Its cheapest way to stand counts.
        """
        return self.boards + min(self.timber_of(way, base.hung) for way in base.ways)

    def timber_of(self, uprights: Sequence[Upright], hung: Backing | None) -> int:
        """Return what the timber costs at the least with these uprights before the boards, cents.

        Parameters
        ----------
        uprights : sequence of Upright
            Fixed and other studs; heavy items' doubles come on top.
        hung : Backing or None
            What hung items ask for.
        """
        more = 0 if hung is None else hung.least_doubles(uprights)
        full = sum(u.zone < 0 and u.role == "stud" for u in uprights) + more
        over = sum(self._short(u.zone) for u in uprights if u.role == "short stud")
        solid = sorted((u.x, u.right) for u in uprights if u.zone < 0)
        noggins = 0
        for (_, left), (right, _) in pairwise(solid):
            if right - left >= max(1, self.given.rules.noggin_min) and not self._opening(left, right):
                fixed = hung is not None and any(
                    left <= f.x + f.half + 1 and f.x - f.half - 1 <= right for f in hung.open
                )
                noggins += (self.stable if fixed else self.rows) * (right - left)
        return self.timber(full, over + max(0, noggins - more * self.saved))

    def _with(self, full: int, over: int) -> int:
        """Least cost of timber and boards with so many full-height studs and a length of short ones."""
        if (full, over) not in self._least:
            rows = self.stable if self.given.wall.hung else self.rows
            runs = [b - a for a, b in self._clear_runs() if b - a >= self.given.rules.noggin_min]
            flow = over + max(0, rows * sum(runs) - full * self.saved)
            self._least[full, over] = self.boards + self.timber(full, flow)
        return self._least[full, over]

    def timber(self, full: int, flow: int = 0) -> int:
        """Return the least price of the timber with so many more full-height studs.

        Parameters
        ----------
        full : int
            Studs besides the fixed ones.
        flow : int
            Length of short studs and noggins, 0.1 mm.
        """
        whole, fixed = self._fixed
        pieces = dict(whole)
        pieces[self.stud] = pieces.get(self.stud, 0) + full
        kerf, end_trim = self.cutting.kerf, self.cutting.end_trim
        return timber_floor(pieces, fixed + flow, self.given.timber, kerf, end_trim)

    def _zone(self, x: int) -> int:
        return next((z for z, c in enumerate(self.given.clears) if c.left < x < c.right), -1)

    def _short(self, zone: int) -> int:
        """Length of a short stud in an opening's width, 0.1 mm."""
        given = self.given
        return upright_length(zone, given.clears, given.wall.height, given.rules.head_packing, self.thickness)

    def _opening(self, left: int, right: int) -> bool:
        """Whether an opening lies between two places."""
        return any(c.left < right and left < c.right for c in self.given.clears)

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
        """Pieces that every layout has, and the length of plates that may be joined anywhere."""
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
        return Counter(lengths), flow


def _stable_rows(given: CarcassInput) -> int:
    """Rows of noggins that keep the studs of every bay of full height straight; those off services stand 1 mm wider."""
    rules = given.rules
    if not rules.stability_rows:
        return 0
    return max(1, -(-given.wall.height // (rules.stability_spacing + MM)) - 1)


def _joint_rows(given: CarcassInput, linings: Iterable[Lining]) -> int:
    """Rows of noggins behind one lining's joints in every bay of full height without a fixing."""
    rules, height = given.rules, given.wall.height
    t = given.timber[0].thickness
    most = 0
    for lining in linings:
        if lining.lying and not rules.back_long_edges:
            continue
        inner = [low for low, _ in lining.courses[1:] if 3 * t < low < height - rules.head_packing - 3 * t]
        most = max(most, sum(b - a > 4 * t for a, b in pairwise([-height, *inner])))
    return most


def timber_floor(
    pieces: Mapping[int, int], flow: int, stocks: Iterable[TimberStock], kerf: int, end_trim: int
) -> int:
    """Return the least price of the bars for some pieces and a length of others that is cut in any parts.

    The longest pieces are packed whole, the others flow into what is left.

    Parameters
    ----------
    pieces : mapping of int to int
        Lengths of pieces, 0.1 mm, and how many there are.
    flow : int
        Length of other pieces, 0.1 mm.
    stocks : iterable of TimberStock
        What is on sale.
    kerf, end_trim : int
        0.1 mm.
    """
    offers = tuple(sorted({(s.length, s.price) for s in stocks}))
    if max(pieces, default=0) > offers[-1][0] - end_trim:
        return 0  # cannot be cut at all: that is told when it is framed
    long = [n for n, k in pieces.items() if k and n * LONG > offers[0][0]]
    whole = sorted(long, key=lambda n: -n * pieces[n])[:MOST_KINDS]
    rest = sum(k * (n + kerf) for n, k in pieces.items() if n not in whole and n > 0)
    return _least_price(
        tuple(sorted((n, pieces[n]) for n in whole)), max(0, flow) + rest, offers, kerf, end_trim
    )


@lru_cache(maxsize=4096)
def _least_price(
    pieces: tuple[tuple[int, int], ...],
    flow: int,
    stocks: tuple[tuple[int, int], ...],
    kerf: int,
    end_trim: int,
) -> int:
    """Least price by the values that a linear programme over all ways to fill a bar gives pieces and length."""
    if not pieces and not flow:
        return 0
    lengths, counts = [n for n, _ in pieces], [k for _, k in pieces]
    rooms = [stock - end_trim + kerf for stock, _ in stocks]
    prices = np.array([price for _, price in stocks], np.int64)
    columns, costs = [], []
    for room, price in zip(rooms, prices, strict=True):
        for pattern in _patterns(lengths, counts, room, kerf):
            left = max(0, room - sum(k * (n + kerf) for k, n in zip(pattern, lengths, strict=True)))
            columns.append((*pattern, left) if flow else pattern)
            costs.append(price)
    matrix, paid = np.array(columns, np.int64), np.array(costs, np.int64)
    # the length that flows is a kind of piece of 0.1 mm
    need = np.array([*counts, flow] if flow else counts, np.int64)
    weights = np.array([n + kerf for n in lengths] + [1] * bool(flow), np.int64)
    programme = CoverProgramme(Job(weights, need, np.array(rooms, np.int64), prices, prices), matrix, paid)
    programme.solve()
    values = np.maximum(programme.duals, 0.0)
    values *= min(
        1.0, float(np.min(paid / np.maximum(matrix @ values, 1e-12)))
    )  # no bar yields more than its price
    bound = max(0, int(np.ceil(float(values @ need) - LEAVES)))
    return int(reachable_costs(prices.tolist(), 2 * bound + stocks[-1][1])[bound])


def _patterns(lengths: Sequence[int], counts: Sequence[int], room: int, kerf: int) -> list[tuple[int, ...]]:
    """List every way to put whole pieces on a bar, none included."""
    found: list[tuple[int, ...]] = [()]
    for n, k in zip(lengths, counts, strict=True):
        grown = []
        for p in found:
            used = sum(c * (m + kerf) for c, m in zip(p, lengths, strict=False))
            grown += [(*p, c) for c in range(min(k, (room - used) // (n + kerf)) + 1)]
        found = grown
    return found
