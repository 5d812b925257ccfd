"""Time of the fitted layout on the demo wall with nothing kept, and what it saves against the cheapest module.

Run: python tests/bench/bench_fitted.py [wall ...]. Wall time and processor time: other work on the machine stretches
the first only. The aim is under 1 s for the demo wall.
"""

from __future__ import annotations

import statistics
import sys
import time
from dataclasses import replace
from pathlib import Path

import wallcalc as wc
from wallcalc.remembered import Remembered

WALLS = Path(__file__).resolve().parents[2] / "data" / "walls"
RUNS = 5


def forget() -> None:
    """Forget what any stage has kept."""
    for name, module in sorted(sys.modules.items()):
        if not name.startswith("wallcalc"):
            continue
        for what, kept in vars(module).items():
            if hasattr(kept, "cache_clear") and not what.startswith("_shipped"):
                kept.cache_clear()
            elif isinstance(kept, Remembered):
                kept.kept.clear()


def main() -> None:
    """Print the figures."""
    names = sys.argv[1:] or ["laundry_and_practice_room", "laundry_plain"]
    for name in names:
        wall = wc.Wall.load(WALLS / f"{name}.toml")
        for orientation in ("vertical", "horizontal"):
            option = wc.Option(stud_layout="fitted", board_orientation=orientation)
            took, spent = [], []
            try:
                for _ in range(RUNS):
                    forget()
                    start, cpu = time.perf_counter(), time.process_time()
                    design = wc.design(wall, option)
                    took.append(time.perf_counter() - start)
                    spent.append(time.process_time() - cpu)
            except wc.OptionError as error:
                print(f"{name}, {orientation}: {error}")
                continue
            found = design.parts.fitted
            module = wc.design(
                wall,
                replace(
                    option,
                    stud_layout="module",
                    stud_centres=found.module.centres / 10,
                    set_out_from=found.module.set_out_from,
                ),
            )
            cents = [sum(d.cost_cents[g] for g in ("timber", "board")) for d in (design, module)]
            print(
                f"{name}, {orientation}: median {statistics.median(took):.2f} s (processor "
                f"{statistics.median(spent):.2f} s), {found.tried} layouts; timber and boards {cents[0] / 100:.2f}, "
                f"cheapest module {cents[1] / 100:.2f}, bound {found.lower_bound / 100:.2f}"
            )
            print("  ", "; ".join(found.notes))


if __name__ == "__main__":
    main()
