"""Which packs to buy: the cheapest that hold enough, the shortest screw that is long enough."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from fractions import Fraction
from itertools import product as each_of

from wallcalc.trade.prices import Item


def cheapest_packs(needed: float, items: Sequence[Item]) -> list[tuple[Item, int]]:
    """Return the packs that hold at least what is needed for the least money.

    Number of each pack, larger packs first; ties go to fewer packs. Every combination is tried.
    """
    packs = sorted(items, key=lambda i: (-i.pack, i.price, i.code))[:3]
    whole = Fraction(str(round(needed, 6)))
    best: tuple[tuple[int, int], tuple[int, ...]] | None = None
    most = [math.ceil(whole / Fraction(str(i.pack))) for i in packs]
    for head in each_of(*(range(n + 1) for n in most[:-1])):
        rest = whole - sum(n * Fraction(str(i.pack)) for n, i in zip(head, packs, strict=False))
        last = max(0, math.ceil(rest / Fraction(str(packs[-1].pack))))
        numbers = (*head, last)
        key = (sum(n * i.price for n, i in zip(numbers, packs, strict=True)), sum(numbers))
        if best is None or key < best[0]:
            best = (key, numbers)
    assert best is not None
    return [(item, n) for item, n in zip(packs, best[1], strict=True) if n]


def choose_screw(items: Iterable[Item], least: int) -> list[Item]:
    """Return the packs of the shortest screw that is long enough.

    Packs of one product; empty when no screw is long enough. Units: ``least`` 0.1 mm.
    """
    enough = sorted(
        (i for i in items if i.length >= least), key=lambda i: (i.length, i.price / i.pack, i.code)
    )
    return [i for i in enough if i.product == enough[0].product and i.length == enough[0].length]
