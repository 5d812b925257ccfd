"""How long from a key on a control to the new picture in a real Chromium: p50 and p95 over many changes.

Run as a script. For each wall it presses keys on the controls of the study notebook's panel, and reads in the page
when the first elevation and when the last of the pictures was replaced. The fitted layout is timed apart: it is worked
out beside the controls, so what counts is that they answer meanwhile and how soon it is there.
"""

from __future__ import annotations

import argparse
import statistics
import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "browser"))

from lab_server import NOTHING_IN_WORK, open_notebook, running_lab, start_chromium
from playwright.sync_api import sync_playwright

WALLS = ("laundry plain", "laundry and practice room")
SIZE = (1920, 1080)
REST = 450
"""Milliseconds between two changes: a person's pace, and what work in the background waits for."""

WATCH = """() => {
  const images = () => [...document.querySelectorAll('.wallcalc-panel img.wallcalc-picture')].slice(0, 4);
  const w = window.wallcalcPace = {key: 0, seen: images().map(i => i.src), times: []};
  const begin = () => { w.key = performance.now(); w.times = []; };
  window.addEventListener('keydown', begin, true);
  new MutationObserver(() => images().forEach((image, k) => {
    if (image.src !== w.seen[k]) { w.seen[k] = image.src; w.times.push([k, performance.now() - w.key]); }
  })).observe(document.querySelector('.wallcalc-panel'), {subtree: true, childList: true, attributes: true});
}"""

LETTER_REST = 1300
"""The same for letters typed on a list: sooner, the browser takes them for one word."""

CHANGES = (
    ("exact centres, mm", ["ArrowDown"] * 20 + ["ArrowUp"] * 20, REST),
    ("boards", ["o", "u"] * 3, LETTER_REST),
    ("cavity fill", ["w", "n"] * 3, LETTER_REST),
)


def percentile(values: list[float], share: float) -> float:
    """Return the value that a share of the values does not exceed (nearest rank)."""
    ordered = sorted(values)
    return ordered[min(len(ordered) - 1, max(0, -(-int(share * 100 * len(ordered)) // 100) - 1))]


def changes_of(page: object, label: str, keys: list[str], rest: int) -> tuple[list[float], list[float]]:
    """Press keys on a control; return ms to the first elevation and to the last picture of each change."""
    first, last = [], []
    control = page.get_by_label(label, exact=True)
    control.focus()
    for key in keys:
        page.evaluate("() => { window.wallcalcPace.times = []; }")
        page.keyboard.press(key)
        page.wait_for_function("() => window.wallcalcPace.times.length > 0", timeout=20_000)
        page.wait_for_timeout(rest)
        times = page.evaluate("() => window.wallcalcPace.times")
        elevations = [t for k, t in times if k in (0, 1)]
        if elevations:  # a deeper stud or a thicker slab changes the charts alone
            first.append(min(elevations))
            last.append(max(elevations))
    return first, last


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
        sync_playwright() as driver,
    ):
        browser = start_chromium(driver)
        page = open_notebook(lab, browser, "wall_study.ipynb", SIZE)
        for wall in asked.walls:
            print(wall, flush=True)
            page.get_by_label("wall", exact=True).select_option(wall)
            page.wait_for_timeout(1000)
            page.wait_for_function(NOTHING_IN_WORK, timeout=240_000)
            page.evaluate(WATCH)
            every_first, every_last = [], []
            for label, keys, rest in CHANGES:
                first, last = changes_of(page, label, keys, rest)
                if first:
                    say(label, first)
                every_first += first
                every_last += last
                page.wait_for_function(NOTHING_IN_WORK, timeout=240_000)
            say("all, to the first elevation", every_first)
            say("all, to both elevations", every_last)
            fitted(page)
        browser.close()


if __name__ == "__main__":
    main()
