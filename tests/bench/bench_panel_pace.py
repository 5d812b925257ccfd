"""How long from a change of a control to the new picture in a real Chromium: p50, p95 and most over many changes.

Run as a script. For each wall it moves every control of the first rank of the study notebook's panel, and reads in the
page when the first elevation, the second and the last of the pictures were replaced. A next step is one that the panel
may have worked out between two moves: one step of a control, or another value of a list. A jump is a typed value that
nobody can foresee. They are told apart. The fitted layout is timed apart too: it is worked out beside the controls, so
what counts is how soon it is there. The machine's load is printed: on a busy one everything takes longer.
"""

from __future__ import annotations

import argparse
import os
import random
import statistics
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "browser"))

from lab_server import NOTHING_IN_WORK, open_notebook, running_chromium, running_lab

WALLS = ("laundry plain", "laundry and practice room")
SIZE = (1920, 1080)
REST = 450
"""Milliseconds between two changes: a person's pace, and what work in the background waits for."""

WATCH = """() => {
  const images = () => [...document.querySelectorAll('.wallcalc-panel img.wallcalc-picture')].slice(0, 4);
  const w = window.wallcalcPace = {key: 0, seen: images().map(i => i.src), times: []};
  const begin = () => { w.key = performance.now(); w.times = []; };
  window.addEventListener('keydown', begin, true);
  window.addEventListener('input', event => { if (event.target.tagName === 'SELECT') begin(); }, true);
  new MutationObserver(() => images().forEach((image, k) => {
    if (image.src !== w.seen[k]) { w.seen[k] = image.src; w.times.push([k, performance.now() - w.key]); }
  })).observe(document.querySelector('.wallcalc-panel'), {subtree: true, childList: true, attributes: true});
}"""

STEPS = ["ArrowDown"] * 12 + ["ArrowUp"] * 6
LISTS = ("boards", "cavity fill", "stud section, mm", "layers, side A", "layers, side B")
JUMPS = 16
LOWEST, HIGHEST = 310, 600
"""Centres that are typed, mm."""


def percentile(values: list[float], share: float) -> float:
    """Return the value that a share of the values does not exceed (nearest rank)."""
    ordered = sorted(values)
    return ordered[min(len(ordered) - 1, max(0, -(-int(share * 100 * len(ordered)) // 100) - 1))]


def times_of(page: object, moves: list[Callable[[], None]]) -> list[tuple[float, float, float]]:
    """Make moves; return ms to the first elevation, to both, and to the last picture of each that changed one."""
    found = []
    for move in moves:
        page.evaluate("() => { window.wallcalcPace.times = []; }")
        move()
        page.wait_for_function("() => window.wallcalcPace.times.length > 0", timeout=20_000)
        page.wait_for_timeout(REST)
        times = page.evaluate("() => window.wallcalcPace.times")
        elevations = [t for k, t in times if k in (0, 1)]
        if elevations:  # a deeper stud or a thicker slab changes the charts alone
            found.append((min(elevations), max(elevations), max(t for _, t in times)))
    return found


def steps_of(page: object) -> dict[str, list[Callable[[], None]]]:
    """Return moves of a single step for each control of the first rank."""
    number = page.get_by_label("exact centres, mm", exact=True)
    slider = page.locator(".wallcalc-panel .noUi-handle").first
    found = {
        "exact centres": [lambda key=key: number.press(key) for key in STEPS],
        "slider": [lambda: slider.press("ArrowLeft")] * 6 + [lambda: slider.press("ArrowRight")] * 3,
    }
    for label in LISTS:
        control = page.get_by_label(label, exact=True)
        size = control.locator("option").count()
        at = int(control.evaluate("e => e.selectedIndex"))
        order = [(at + k) % size for k in range(1, size)] + [at]
        found[label] = [
            lambda c=control, k=k: c.select_option(index=k) for k in order * (2 if size < 4 else 1)
        ]
    return found


def jumps_of(page: object, chance: random.Random) -> list[Callable[[], None]]:
    """Return moves to centres typed at random."""
    number = page.get_by_label("exact centres, mm", exact=True)

    def jump(value: int) -> None:
        number.fill(str(value))
        number.press("Enter")

    return [lambda v=v: jump(v) for v in chance.sample(range(LOWEST, HIGHEST), JUMPS)]


def say(what: str, values: list[float]) -> None:
    """Print the figures of one kind."""
    print(
        f"  {what}: {len(values)} changes, p50 {statistics.median(values):.0f} ms, "
        f"p95 {percentile(values, 0.95):.0f} ms, most {max(values):.0f} ms",
        flush=True,
    )


def fitted(page: object) -> None:
    """Print how long the fitted layout takes, and how long a change of another control takes meanwhile."""
    page.get_by_label("stud layout").select_option("fitted to the wall")
    begun = page.evaluate("() => performance.now()")
    page.wait_for_function(
        "() => /in the fitted layout|cannot be/.test(document.querySelector('.wallcalc-status').textContent)",
        timeout=120_000,
    )
    took = page.evaluate("() => performance.now()") - begun
    print(f"  fitted layout: there after {took:.0f} ms", flush=True)
    page.get_by_label("stud layout").select_option("on the centres (module)")
    page.wait_for_function("() => /studs at/.test(document.querySelector('.wallcalc-status').textContent)")


def main() -> None:
    """Measure every wall."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--walls", nargs="*", default=WALLS)
    asked = parser.parse_args()
    with (
        tempfile.TemporaryDirectory() as folder,
        tempfile.TemporaryDirectory() as private,
        running_lab(Path(folder), Path(private)) as lab,
        running_chromium() as browser,
    ):
        page = open_notebook(lab, browser, "wall_study.ipynb", SIZE)
        for wall in asked.walls:
            print(wall, flush=True)
            page.get_by_label("wall", exact=True).select_option(wall)
            page.wait_for_timeout(1000)
            page.wait_for_function(NOTHING_IN_WORK, timeout=240_000)
            page.evaluate(WATCH)
            print(
                f"  load of the machine: {os.getloadavg()[0]:.1f} on {os.cpu_count()} processors", flush=True
            )
            steps: list[tuple[float, float, float]] = []
            for name, moves in steps_of(page).items():
                found = times_of(page, moves)
                if found:
                    say(name, [first for first, _, _ in found])
                steps += found
                page.wait_for_function(NOTHING_IN_WORK, timeout=240_000)
            kinds = {"next step": steps, "jump": times_of(page, jumps_of(page, random.Random(wall)))}
            for kind, found in kinds.items():
                for k, what in enumerate(("the first elevation", "both elevations", "all pictures")):
                    say(f"{kind}, to {what}", [times[k] for times in found])
            print(f"  load of the machine: {os.getloadavg()[0]:.1f}", flush=True)
            fitted(page)


if __name__ == "__main__":
    main()
