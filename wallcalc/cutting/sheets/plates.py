"""Every plate that cutting can lead to, and what each can be cut into.

A plate is (length, width, bound edges left). Its length and width are taken no larger than sums of blanks can
use (normal cuts: Herz, "Recursive computational procedure for two-dimensional stock cutting", IBM Journal of
Research and Development 16 (1972), from memory), so a sheet leads to few of them. Cuts and plates together
are the integer programme whose whole numbers are the plan; the value of a plate, the most that blanks cut from
it can be worth, follows by recursion and turns prices into a bound.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence

from wallcalc.cutting.sheets.parts import Kind

Plate = tuple[int, int, int]
"""Length, width (0.1 mm) and bound long edges."""

Cuts = dict[tuple[Plate | None, Plate | None], tuple[int, int]]
"""Cuts of a plate: the two parts, and (direction, place) of the cut."""


class Plates:
    """What plates a set of blanks makes worth cutting.

    Parameters
    ----------
    kinds : sequence of Kind
        The different blanks.
    counts : sequence of int or None
        How many of each are wanted; None: any number.
    longest, widest : int
        Size of the largest sheet each way, 0.1 mm.
    """

    def __init__(
        self, kinds: Sequence[Kind], counts: Sequence[int] | None, longest: int, widest: int
    ) -> None:
        self.kinds = tuple(kinds)
        self.counts = tuple(counts) if counts is not None else None
        self.longest = longest
        self.widest = widest
        self._lengths = sorted({k.along for k in kinds})
        self._widths = sorted({k.across for k in kinds})
        self._along: dict[tuple[int, int], list[int]] = {}
        self._across: dict[tuple[int, int], list[int]] = {}
        self._fitting: dict[tuple[int, int, int], tuple[list[int], int, int]] = {}
        self._normal: dict[Plate, Plate | None] = {}
        self._cuts: dict[Plate, Cuts] = {}

    def _sums(self, fitting: Iterator[tuple[int, int]], top: int) -> list[int]:
        tally: dict[int, int] = {}
        for size, count in fitting:
            tally[size] = tally.get(size, 0) + count
        mask = (1 << (top + 1)) - 1
        reach = 1
        for size, count in tally.items():
            for _ in range(min(count, top // size)):
                reach |= reach << size
            reach &= mask
        text = bin(reach)[:1:-1]
        sums = []
        at = text.find("1")
        while at >= 0:
            sums.append(at)
            at = text.find("1", at + 1)
        return sums

    def _number(self, i: int) -> int:
        return self.counts[i] if self.counts is not None else self.longest + self.widest

    def sums_along(self, width: int, bound: int) -> list[int]:
        """Return the lengths that blanks fitting this width and these bound edges add up to, in order."""
        key = (bisect_right(self._widths, width), bound)
        found = self._along.get(key)
        if found is None:
            pairs = (
                (k.along, self._number(i))
                for i, k in enumerate(self.kinds)
                if k.across <= width and k.need <= bound
            )
            found = self._along[key] = self._sums(pairs, self.longest)
        return found

    def sums_across(self, length: int, bound: int) -> list[int]:
        """Return the widths that blanks fitting this length and these bound edges add up to, in order."""
        key = (bisect_right(self._lengths, length), bound)
        found = self._across.get(key)
        if found is None:
            pairs = (
                (k.across, self._number(i))
                for i, k in enumerate(self.kinds)
                if k.along <= length and k.need <= bound
            )
            found = self._across[key] = self._sums(pairs, self.widest)
        return found

    def normal(self, length: int, width: int, bound: int) -> Plate | None:
        """Return the plate no larger than blanks can use, None when none fits; bound both sides, the width stays."""
        key = (length, width, bound)
        if key in self._normal:
            return self._normal[key]
        found: Plate | None = None
        while True:
            sums = self.sums_along(width, bound)
            shorter = sums[bisect_right(sums, length) - 1]
            if not shorter:
                break
            narrower = width
            if bound < 2:
                sums = self.sums_across(shorter, bound)
                narrower = sums[bisect_right(sums, width) - 1]
                if not narrower:
                    break
            if narrower == width:
                found = (shorter, width, bound)
                break
            length, width = shorter, narrower
        self._normal[key] = found
        return found

    def blanks_of(self, plate: Plate) -> list[int]:
        """Return the blanks that end a plate: they fit and nothing fits beside or behind them."""
        length, width, bound = plate
        key = (bisect_right(self._lengths, length), bisect_right(self._widths, width), bound)
        found = self._fitting.get(key)
        if found is None:
            fitting = [
                i
                for i, k in enumerate(self.kinds)
                if k.along <= length and k.across <= width and k.need <= bound
            ]
            least_along = min((self.kinds[i].along for i in fitting), default=0)
            least_across = min((self.kinds[i].across for i in fitting), default=0)
            found = self._fitting[key] = (fitting, least_along, least_across)
        fitting, least_along, least_across = found
        return [
            i
            for i in fitting
            if length - self.kinds[i].along < least_along
            and width - self.kinds[i].across < least_across
            and (self.kinds[i].need < 2 or self.kinds[i].across == width)
        ]

    def cuts_of(self, plate: Plate) -> Cuts:
        """Return what one cut can make of a plate.

        Keys are pairs of plates, None for a part no blank fits in; values are (0, x) for a cross-cut that gives
        the first part length x, (1, y) for a rip that gives it width y. Where one edge is bound and the cut is
        a rip, the first part keeps it.
        """
        out = self._cuts.get(plate)
        if out is not None:
            return out
        length, width, bound = plate
        normal = self.normal
        out = self._cuts[plate] = {}
        sums = self.sums_along(width, bound)
        for at in range(1, bisect_right(sums, length // 2)):
            x = sums[at]
            out[normal(x, width, bound), normal(length - x, width, bound)] = (0, x)
        first, second = ((0, 0), (1, 0), (1, 1))[bound]
        sums = self.sums_across(length, first)
        for at in range(1, bisect_right(sums, width - 1 if bound == 1 else width // 2)):
            y = sums[at]
            out[normal(length, y, first), normal(length, width - y, second)] = (1, y)
        out.pop((None, None), None)
        return out


def best_value(length: int, width: int, sizes: Sequence[tuple[int, int]], values: Sequence[int]) -> int:
    """Return the most that rectangles cut from one sheet can be worth, any number of each.

    The unconstrained two-dimensional guillotine cutting problem with a fixed grain, solved exactly by recursion
    over the plates that straight cuts can lead to.

    Parameters
    ----------
    length, width : int
        Size of the sheet, 0.1 mm (or any one unit).
    sizes : sequence of (int, int)
        Length and width of each rectangle.
    values : sequence of int
        What each is worth.

    Returns
    -------
    int
    """
    worth: dict[tuple[int, int], int] = {}
    for size, value in zip(sizes, values, strict=True):
        worth[size] = max(value, worth.get(size, 0))
    kinds = [Kind(along, across, 0, (), 0) for along, across in worth]
    plates = Plates(kinds, None, length, width)
    start = plates.normal(length, width, 0)
    if start is None:
        return 0
    return plate_values(plates, [start], list(worth.values()))[start]


def plate_values(plates: Plates, starts: Sequence[Plate], values: Sequence[int]) -> dict[Plate | None, int]:
    """Return the most that blanks cut from each plate can be worth, any number of each.

    Parameters
    ----------
    plates : Plates
        What can be cut.
    starts : sequence of Plate
        The plates to begin with.
    values : sequence of int
        What each blank is worth.

    Returns
    -------
    dict
        Of every plate the starts can lead to; 0 for None.
    """
    known: dict[Plate | None, int] = {None: 0}
    stack: list[Plate] = list(starts)
    while stack:
        plate = stack[-1]
        if plate in known:
            stack.pop()
            continue
        cuts = plates.cuts_of(plate)
        missing = [part for pair in cuts for part in pair if part not in known]
        if missing:
            stack += [part for part in missing if part is not None]
            continue
        best = max([values[i] for i in plates.blanks_of(plate)], default=0)
        for first, second in cuts:
            worth = known[first] + known[second]
            if worth > best:
                best = worth
        known[plate] = best
        stack.pop()
    return known
