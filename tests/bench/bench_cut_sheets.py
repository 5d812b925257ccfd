"""How fast and how often proven: sheet and slab cutting over random walls.

Run as a script: ``python tests/bench/bench_cut_sheets.py [walls] [time limit in s]``. Prices are invented. Times are
processor times, so that other work on the machine does not count.
"""

from __future__ import annotations

import random
import statistics
import sys
import time
from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import NamedTuple

from wallcalc.cutting.sheets.check import sheet_faults
from wallcalc.cutting.sheets.plan import Blank, cut_sheets, quick_sheets, sheet_bound
from wallcalc.cutting.slabs import cut_slabs
from wallcalc.records import CutOut

FLOOR_GAP = 120
DOOR_HEIGHT = 20300
DOOR_WIDTH = 8420


class Sheet(NamedTuple):
    """What cutting reads of a price-book sheet."""

    code: str
    length: int
    width: int
    price: int


class Slab(NamedTuple):
    """What cutting reads of a price-book pack of slabs."""

    code: str
    length: int
    width: int
    per_pack: int
    price_per_pack: int


SHEETS = (
    Sheet("900x1800", 18000, 9000, 695),
    Sheet("1200x2400", 24000, 12000, 960),
    Sheet("1200x2700", 27000, 12000, 1195),
    Sheet("1200x3000", 30000, 12000, 1305),
)
SLABS = (
    Slab("370", 12000, 3700, 12, 1990),
    Slab("400", 12000, 4000, 12, 2070),
    Slab("570", 12000, 5700, 12, 2890),
    Slab("600", 12000, 6000, 12, 2960),
)


def joints(rng: random.Random, start: int, end: int, sheet: int, centres: int) -> list[int]:
    """Joint lines of one row of boards on studs at the centres, no board longer than the sheet."""
    lines = [start]
    while end - lines[-1] > sheet:
        reach = lines[-1] + sheet - rng.choice((0, 0, 1, 2)) * centres
        lines.append(max(lines[-1] + centres, reach // centres * centres))
    return [*lines, end]


def upright(rng: random.Random) -> list[Blank]:
    """Both faces of a wall with upright boards, notched round a door."""
    height, length = rng.choice((23500, 25000, 26200, 27000)) - FLOOR_GAP, rng.randrange(24000, 75000, 10)
    centres, door = rng.choice((3000, 4000, 6000)), rng.randrange(8000, length - 14000, 10)
    blanks = []
    for side, first in (("A", 12000), ("B", 6000)):
        lines = [0, first, *joints(rng, first, length, 12000, centres)[1:]]
        for number, (left, right) in enumerate(pairwise(lines), start=1):
            low, high = max(left, door), min(right, door + DOOR_WIDTH)
            width = right - left
            need = 2 if width == 12000 else 1
            notch: tuple[CutOut, ...] = ()
            if high > low:
                notch = (CutOut(0, low - left, DOOR_HEIGHT - FLOOR_GAP, high - low, 1),)
            if (low, high) == (left, right):
                blanks.append(Blank(f"{side}{number}", height - DOOR_HEIGHT + FLOOR_GAP, width, need))
            else:
                blanks.append(Blank(f"{side}{number}", height, width, need, notch))
    return blanks


def lying(rng: random.Random) -> list[Blank]:
    """Both faces of a wall with boards on their side in courses from the ceiling."""
    height, length = rng.choice((23500, 25000, 26200, 27000)), rng.randrange(24000, 75000, 10)
    centres, door = rng.choice((3000, 4000, 6000)), rng.randrange(8000, length - 14000, 10)
    blanks = []
    for side in "AB":
        top = height
        number = 0
        while top > FLOOR_GAP:
            low = max(FLOOR_GAP, top - 12000)
            notched = low < DOOR_HEIGHT < top
            runs = (
                [(0, length)] if notched or low >= DOOR_HEIGHT else [(0, door), (door + DOOR_WIDTH, length)]
            )
            for start, end in runs:
                lines = joints(rng, start, end, 27000, centres)
                for left, right in pairwise(lines):
                    number += 1
                    a, b = max(left, door), min(right, door + DOOR_WIDTH)
                    notch: tuple[CutOut, ...] = ()
                    if notched and b > a and (a, b) != (left, right):
                        notch = (CutOut(a - left, 0, b - a, DOOR_HEIGHT - low, 1),)
                    need = 2 if top < height and low > FLOOR_GAP else 1
                    blanks.append(Blank(f"{side}{number}", right - left, top - low, need, notch))
            top = low
    return blanks


def bay_pieces(rng: random.Random) -> list[tuple[str, int, int]]:
    """Pieces of slab for the bays of one wall, up to two widths in three rows."""
    centres = rng.choice((4000, 6000))
    rows = rng.choice(((12000, 12000, 1080), (8650, 8650, 8830), (12000, 3950)))
    wide = [
        (centres - 300, rng.randrange(3, 14)),
        (rng.randrange(800, centres - 400, 10), rng.randrange(1, 3)),
    ]
    sizes = [(row, width) for width, number in wide for _ in range(number) for row in rows]
    return [(f"C{i}", length, width) for i, (length, width) in enumerate(sizes)]


def timed(times: list[float], call: Callable[[], object]) -> object:
    """Call and note the processor time."""
    began = time.process_time()
    result = call()
    times.append(time.process_time() - began)
    return result


def shown(times: Sequence[float]) -> str:
    """Median and 95th percentile in ms."""
    ranked = sorted(times)
    return f"{statistics.median(ranked) * 1e3:7.2f} /{ranked[int(0.95 * len(ranked))] * 1e3:7.1f}"


def main(walls: int, limit: float) -> None:
    """Print one row a family of walls."""
    print(f"{walls} walls each, {limit:g} s a plan; ms of processor time, median / 95th percentile")
    print(
        "boards   sizes  blanks       sheet_bound      quick_sheets        cut_sheets  proven  worst gap  quick over"
    )
    for name, family in (("upright", upright), ("lying", lying)):
        for stocks in (SHEETS[2:3], SHEETS):
            rng = random.Random(1)
            bound_times: list[float] = []
            quick_times: list[float] = []
            plan_times: list[float] = []
            proven, gaps, over, number = 0, [0.0], [], []
            for _ in range(walls):
                blanks = family(rng)
                timed(bound_times, lambda b=blanks, s=stocks: sheet_bound(b, s))
                quick = timed(quick_times, lambda b=blanks, s=stocks: quick_sheets(b, s))
                plan = timed(plan_times, lambda b=blanks, s=stocks: cut_sheets(b, s, time_limit=limit))
                assert not sheet_faults(plan, blanks, stocks)
                proven += plan.proven
                gaps.append(plan.cost / plan.lower_bound - 1)
                over.append(quick.cost / plan.cost - 1)
                number.append(len(blanks))
            print(
                f"{name:9}{len(stocks):5}{statistics.median(number):8.0f}  {shown(bound_times)}  {shown(quick_times)}"
                f"  {shown(plan_times)}  {proven / walls:6.0%}  {max(gaps):9.1%}  {statistics.mean(over):9.2%}"
            )
    rng = random.Random(1)
    times: list[float] = []
    proven, number = 0, []
    for _ in range(walls):
        pieces = bay_pieces(rng)
        plan = timed(times, lambda p=pieces: cut_slabs(p, SLABS, time_limit=limit))
        proven += plan.proven
        number.append(len(pieces))
    print(
        f"slabs    {len(SLABS):5}{statistics.median(number):8.0f}  {shown(times)} (cut_slabs)  {proven / walls:6.0%}"
    )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 100, float(sys.argv[2]) if len(sys.argv) > 2 else 0.1)
