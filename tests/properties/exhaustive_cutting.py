"""Exhaustive search for the cheapest way to cut a few rectangles; it shares nothing with the package's search."""

from __future__ import annotations

import itertools
from collections.abc import Iterable
from functools import lru_cache
from typing import NamedTuple

from wallcalc.cutting.sheets.plan import Blank


class Sheet(NamedTuple):
    code: str
    length: int
    width: int
    price: int


def sums(sizes: Iterable[int]) -> set[int]:
    found = {0}
    for size in sizes:
        found |= {f + size for f in found}
    return found


@lru_cache(maxsize=200_000)
def cuttable(sizes: tuple[tuple[int, int, int], ...], length: int, width: int, low: bool, high: bool) -> bool:
    """Whether rectangles (along, across, bound edges needed) can all be cut from one plate by straight cuts."""
    if not sizes:
        return True
    if sum(a * b for a, b, _ in sizes) > length * width:
        return False
    if len(sizes) == 1:
        along, across, need = sizes[0]
        if along > length or across > width:
            return False
        return (low + high >= need) if need < 2 else (low and high and across == width)
    for size in range(1, len(sizes)):
        for chosen in itertools.combinations(range(len(sizes)), size):
            first = tuple(sizes[i] for i in chosen)
            rest = tuple(s for i, s in enumerate(sizes) if i not in chosen)
            for x in sums(a for a, _, _ in first):
                if (
                    0 < x < length
                    and cuttable(first, x, width, low, high)
                    and cuttable(rest, length - x, width, low, high)
                ):
                    return True
            for y in sums(b for _, b, _ in first):
                if (
                    0 < y < width
                    and cuttable(first, length, y, low, False)
                    and cuttable(rest, length, width - y, False, high)
                ):
                    return True
            # a first part may need less than the sum, and leave the rest of it between the two
            for y in sums(b for _, b, _ in rest):
                if (
                    0 < y < width
                    and cuttable(first, length, width - y, low, False)
                    and cuttable(rest, length, y, False, high)
                ):
                    return True
    return False


def least_cost(blanks: list[Blank], sheets: list[Sheet]) -> int:
    """Cost of the cheapest plan by trying every place for every blank."""
    homes: list[list[tuple[int, int] | None]] = [
        [None, *((p, h) for p in range(len(blanks)) if p != i for h in range(len(blanks[p].cut_outs)))]
        for i in range(len(blanks))
    ]
    best = 1 << 60
    for homes_now in itertools.product(*homes):
        inside: dict[tuple[int, int], list[int]] = {}
        for i, home in enumerate(homes_now):
            if home is not None:
                inside.setdefault(home, []).append(i)
        if not all(
            cuttable(
                tuple(sorted(tuple(blanks[i])[1:4] for i in children)),
                blanks[p].cut_outs[h].length,
                blanks[p].cut_outs[h].width,
                blanks[p].cut_outs[h].bound > 0,
                blanks[p].cut_outs[h].bound > 1,
            )
            for (p, h), children in inside.items()
        ):
            continue
        own = [i for i, home in enumerate(homes_now) if home is None]
        best = min(best, cheapest_partition(tuple(own), blanks, sheets))
    return best


def cheapest_partition(own: tuple[int, ...], blanks: list[Blank], sheets: list[Sheet]) -> int:
    if not own:
        return 0
    head, rest = own[0], own[1:]
    best = 1 << 60
    for size in range(len(rest) + 1):
        for others in itertools.combinations(rest, size):
            group = tuple(sorted(tuple(blanks[i])[1:4] for i in (head, *others)))
            price = min(
                (s.price for s in sheets if cuttable(group, s.length, s.width, True, True)), default=None
            )
            if price is not None:
                left = tuple(i for i in rest if i not in others)
                best = min(best, price + cheapest_partition(left, blanks, sheets))
    return best
