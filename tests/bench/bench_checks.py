"""Time of all checks of one wall, warm (spans seen before) and cold (every wall with a height of its own).

Run as a script: python tests/bench/bench_checks.py
"""

from __future__ import annotations

import statistics
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "unit"))

from check_builders import boarded, facts, studs_at

from wallcalc.checks import run_checks

CENTRES = [400.0 * k for k in range(1, 18)]


def wall(height: float):
    frame = studs_at(
        7400, height, CENTRES, doubled=(1200, 3600), door=(6850, 7250, 2030), rows=(height / 3, height / 1.5)
    )
    return facts(boarded(frame, {"A": [1200, 2400, 3600, 4800, 6000], "B": [800, 2000, 3200, 4400, 5600]}))


def timed(walls: list) -> float:
    """Return the median time [ms] of the checks of each wall."""
    times = []
    for one in walls:
        start = time.perf_counter()
        run_checks(one)
        times.append((time.perf_counter() - start) * 1000)
    return statistics.median(times)


if __name__ == "__main__":
    run_checks(wall(2400))
    warm = [wall(2400) for _ in range(40)]
    cold = [wall(2400.1 + k) for k in range(40)]
    print(f"{len(warm[0].frame.members)} members, {len(run_checks(warm[0]))} rows")
    print(f"warm {timed(warm):.2f} ms, cold {timed(cold):.2f} ms (aim under 3 ms)")
