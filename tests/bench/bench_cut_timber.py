"""How fast and how often proven: timber cutting over random walls, against plain first-fit-decreasing.

Run as a script: ``python tests/bench/bench_cut_timber.py [walls] [time limit in s]``. Prices are invented.
"""

from __future__ import annotations

import itertools
import random
import statistics
import sys
import time
from typing import NamedTuple

from wallcalc.cutting.timber.plan import cut_timber

KERF, TRIM = 30, 50
STUD = 380


class Stock(NamedTuple):
    """What cutting reads of a price-book length."""

    code: str
    section: str
    length: int
    price: int


def price_list(rng: random.Random, proportional: bool = False) -> list[Stock]:
    """Six lengths, 2.4 to 5.4 m; prices proportional to length or (invented) a few per cent off that."""
    per_metre = rng.uniform(140, 420)
    stocks = []
    for length in (24000, 30000, 36000, 42000, 48000, 54000):
        factor = 1.0 if proportional else rng.uniform(0.96, 1.04) * (1.08 if length > 48000 else 1.0)
        stocks.append(Stock(f"T{length // 10}", "38x89", length, round(per_metre * length / 10000 * factor)))
    return stocks


def random_wall(rng: random.Random, longest: int = 80000) -> list[tuple[str, int]]:
    """Cut lengths of a plausible wall: plates, studs, door framing, rows of noggins."""
    length = rng.randrange(18000, longest, 10)
    height = rng.randrange(22000, 29000, 10)
    centres = rng.choice((3000, 4000, 6000))
    doors = []
    if rng.random() < 0.7:
        doors.append(rng.randrange(0, max(1, length - 9000), 10))
        if length > 60000 and rng.random() < 0.4 and doors[0] > 20000:
            doors.append(doors[0] - 18000)
    pieces: list[tuple[str, int]] = []

    def add(role: str, size: int) -> None:
        pieces.append((f"{role}{len(pieces) + 1}", size))

    def plate(role: str, size: int) -> None:
        while size > 53000:
            add(role, 36000)
            size -= 36000
        add(role, max(size - 50, 500))

    wide = rng.choice((7660, 8420, 8680))
    doors = sorted(d for d in doors if d + wide < length - 1000)
    plate("HP", length)
    at = 0
    for d in doors:
        if d - at > 500:
            plate("SP", d - at)
        at = d + wide
    plate("SP", length - at)
    stud = height - 2 * STUD
    above = max(2000, stud - 20300 - STUD)
    marks = {0, length - STUD}
    x = centres - STUD // 2
    while x < length - STUD - 750:
        marks.add(x)
        x += centres
    for d in doors:
        marks = {m for m in marks if not d - STUD - 750 < m < d + wide + STUD + 750}
        marks |= {d - STUD, d + wide}
        add("DH", wide)
        for m in range(centres, length, centres):
            if d + 750 < m < d + wide - 750:
                add("SS", above)
    marks = {m for m in marks if 0 <= m <= length - STUD}
    for _ in marks:
        add("S", stud)
    line = sorted(marks)
    rows = 1 if height <= 24000 else 2
    if rng.random() < 0.3:
        rows += 1
    for left, right in itertools.pairwise(line):
        bay = right - left - STUD
        if bay >= 750 and not any(left < d + 10 <= right for d in doors):
            for _ in range(rows):
                add("N", bay)
    if rng.random() < 0.4:
        for _ in range(rng.choice((2, 3))):
            add("DS", stud)
    return pieces


def first_fit(pieces: list[tuple[str, int]], stocks: list[Stock]) -> int:
    """Cost of plain first-fit-decreasing into the longest length, each bar then bought as short as it can be."""
    top = max(s.length for s in stocks) - TRIM + KERF
    bars: list[int] = []
    for size in sorted((n + KERF for _, n in pieces), reverse=True):
        for i, used in enumerate(bars):
            if used + size <= top:
                bars[i] += size
                break
        else:
            bars.append(size)
    return sum(min(s.price for s in stocks if used <= s.length - TRIM + KERF) for used in bars)


def each_its_own(pieces: list[tuple[str, int]], stocks: list[Stock]) -> int:
    """Cost of buying the cheapest sufficient length for every piece."""
    return sum(min(s.price for s in stocks if n <= s.length - TRIM) for _, n in pieces)


def run(
    walls: int, time_limit: float, longest: int = 80000, proportional: bool = False, seed: int = 1
) -> None:
    """Cut ``walls`` random walls and print what was measured."""
    rng = random.Random(seed)
    took, cpu, proven, gaps, ratios, own, counts, kinds = [], [], 0, [], [], [], [], []
    worst: list[tuple[float, int]] = []
    for i in range(walls):
        stocks, pieces = price_list(rng, proportional), random_wall(rng, longest)
        start, start_cpu = time.perf_counter(), time.process_time()
        plan = cut_timber(pieces, stocks, kerf=KERF, end_trim=TRIM, time_limit=time_limit)
        took.append(1000 * (time.perf_counter() - start))
        cpu.append(1000 * (time.process_time() - start_cpu))
        worst.append((took[-1], i))
        proven += plan.proven
        gaps.append(plan.cost / plan.lower_bound - 1)
        ratios.append(first_fit(pieces, stocks) / plan.cost)
        own.append(each_its_own(pieces, stocks) / plan.cost)
        counts.append(len(pieces))
        kinds.append(len({n for _, n in pieces}))
    took.sort()
    cpu.sort()
    name = "proportional prices" if proportional else "uneven prices"
    print(f"walls to {longest / 10000:.0f} m, {name}, limit {time_limit} s: {walls} walls")
    print(
        f"  pieces median {statistics.median(counts):.0f} (most {max(counts)}), lengths median "
        f"{statistics.median(kinds):.0f} (most {max(kinds)})"
    )
    print(
        f"  time ms: median {statistics.median(took):.2f}, p95 {took[int(0.95 * walls)]:.1f}, "
        f"most {took[-1]:.1f} (walls {[i for _, i in sorted(worst)[-3:]]})"
    )
    print(f"  processor time ms: median {statistics.median(cpu):.2f}, p95 {cpu[int(0.95 * walls)]:.1f}")
    print(
        f"  proven {100 * proven / walls:.1f} %, gap mean {100 * statistics.mean(gaps):.3f} %, "
        f"worst {100 * max(gaps):.2f} %"
    )
    print(
        f"  first-fit-decreasing costs {statistics.mean(ratios):.4f} times as much (most {max(ratios):.3f}), "
        f"one length a piece {statistics.mean(own):.3f} times"
    )


if __name__ == "__main__":
    number = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    limit = float(sys.argv[2]) if len(sys.argv) > 2 else 0.1
    run(number, limit)
    run(number, limit, proportional=True)
    run(max(20, number // 4), limit, longest=120000)
