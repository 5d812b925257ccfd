"""Time of one design, of a study of 240 options, and of the same options designed one by one with nothing kept.

Run: python tests/bench/bench_design.py. Seconds are wall time; processor time stands beside it, since other work on the
machine stretches the first only.
"""

from __future__ import annotations

import contextlib
import statistics
import time
from pathlib import Path

import wallcalc as wc
from wallcalc.boarding import laid_boards, sheet_costs
from wallcalc.buying import cut_plans as cutting_stage
from wallcalc.carcass import build as carcass
from wallcalc.designing import pipeline

WALL = Path(__file__).resolve().parents[2] / "data" / "walls" / "laundry_plain.toml"
GRID = wc.options(
    stud_centres=[300, 400, 450, 480, 600],
    board_orientation=["vertical", "horizontal"],
    section=["38x63", "38x89"],
    layers_b=[1, 2],
    fill=[None, "wool-25", "wool-50"],
    set_out_from=["left", "right"],
)
KEPT = (
    carcass.carcass,
    carcass.build_carcass,
    laid_boards.laid_boards,
    sheet_costs._job,
    sheet_costs.quick_cost,
    sheet_costs.least_cost,
    cutting_stage.cut_carcass,
    pipeline._screws,
    pipeline._fill,
    pipeline._slabs,
    pipeline._order,
    pipeline._sound,
)


def forget() -> None:
    """Forget what the stages have kept."""
    for stage in KEPT:
        stage.cache_clear()


def main() -> None:
    """Print the figures."""
    wall = wc.Wall.load(WALL)
    wc.design(wall)
    for orientation in ("vertical", "horizontal"):
        for layers in (1, 2):
            chosen = [o for o in GRID if o.board_orientation == orientation and o.layers_b == layers]
            took, spent = [], []
            for option in chosen:
                forget()
                start, cpu = time.perf_counter(), time.process_time()
                wc.design(wall, option)
                took.append((time.perf_counter() - start) * 1e3)
                spent.append((time.process_time() - cpu) * 1e3)
            print(
                f"one design, {orientation}, {layers} layer(s) on side B, nothing kept: "
                f"median {statistics.median(took):.1f} ms (processor {statistics.median(spent):.1f} ms), "
                f"most {max(took):.0f} ms, {len(chosen)} options"
            )
    everything = []
    forget()
    start = time.perf_counter()
    table = wc.study(wall, GRID)
    study = time.perf_counter() - start
    start = time.perf_counter()
    for option in GRID:
        forget()
        one = time.perf_counter()
        with contextlib.suppress(wc.OptionError):
            wc.design(wall, option).summary()
        everything.append((time.perf_counter() - one) * 1e3)
    single = time.perf_counter() - start
    print(f"one design with its summary over the whole grid: median {statistics.median(everything):.1f} ms")
    print(f"study of {len(table)} options ({int(table.buildable.sum())} buildable): {study:.2f} s")
    print(f"the same options one by one, nothing kept: {single:.2f} s; ratio {single / study:.2f}")


if __name__ == "__main__":
    main()
