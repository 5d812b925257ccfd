"""Kills exports: at random times, and before each call that changes a file; then the folder must hold one set whole.

    python tests/bench/kill_exports.py [--random 200] [--aimed 200]

Each time a design is exported over an export with more files, beside files of somebody else, or, every fourth time,
where nothing was. The child is killed, every other time the repair too, and the folder is rebuilt from: it must hold
all of the old set or all of the new, and the other files as they were. Prints how often which was found; ends with an
error where it was neither.
"""

from __future__ import annotations

import argparse
import os
import random
import shutil
import signal
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from pathlib import Path

import wallcalc as wc
from wallcalc.output import sheets
from wallcalc.output.export import export
from wallcalc.output.rebuild import ExportError, rebuild
from wallcalc.output.whole_set import UNFINISHED

CALLS = {"open", "os.rename", "os.mkdir", "os.remove", "os.rmdir"}
OTHERS = {"my notes.txt": b"keep me", "photos/wall.jpg": b"me too"}
WALL = wc.Wall("Old", 18_000, ((0, 24_000),))
calls, last_call = 0, 0
"""Calls counted in a child, and the one before which it ends; 0 for never."""


def hook(event: str, args: tuple) -> None:
    """Count a call that changes files of the export, and end before the one asked for."""
    global calls
    if last_call and event in CALLS and "out" in str(args[0]):
        calls += 1
        if calls == last_call:
            os._exit(9)


def child(work: Callable[[], object], before: int = 0) -> int:
    """Return the number of a child that does the work and ends before a call of that number."""
    global last_call
    number = os.fork()
    if number == 0:
        last_call = before
        try:
            work()
        except BaseException:
            os._exit(1)
        os._exit(0)
    return number


def ended(number: int) -> int:
    """Return how a child ended: 0 done, 9 ended before a call, -9 killed."""
    return os.waitstatus_to_exitcode(os.waitpid(number, 0)[1])


def held(folder: Path) -> dict[str, bytes]:
    """Return what a folder holds, but for the work of an export that is not finished."""
    files = (p for p in folder.rglob("*") if p.is_file())
    found = {p.relative_to(folder).as_posix(): p.read_bytes() for p in files}
    return {name: content for name, content in found.items() if not name.startswith(UNFINISHED)}


class Trial:
    """A folder with an old export, ready to be exported to again."""

    def __init__(self, base: Path) -> None:
        self.base, self.folder = base, base / "out"
        self.old_design, self.new_design = wc.design(WALL), wc.design(wc.Wall("New", 19_000, ((0, 24_000),)))
        sheets.print_sheets = lambda design: b"%PDF of " + design.wall.name.encode()  # type: ignore[assignment]
        self.sets: dict[str, dict[str, bytes]] = {}
        for name, design in (("old", self.old_design), ("new", self.new_design)):
            self.folder = base / f"out {name}"
            for other, content in OTHERS.items():
                (self.folder / other).parent.mkdir(parents=True, exist_ok=True)
                (self.folder / other).write_bytes(content)
            export(design, self.folder, sheets=name == "old")
            self.sets[name] = {n: c for n, c in held(self.folder).items() if n not in OTHERS}
        self.folder = base / "out"
        self.seconds = sorted(self.timed() for _ in range(7))[3]
        self.fresh()
        before = 1
        while ended(child(self.export, before)) == 9:
            self.fresh()
            before += 1
        self.calls = before - 1

    def timed(self) -> float:
        """Return how long an export in a child takes, s."""
        self.fresh()
        start = time.perf_counter()
        ended(child(self.export))
        return time.perf_counter() - start

    def fresh(self, empty: bool = False) -> None:
        """Put the old export there again, or nothing."""
        shutil.rmtree(self.folder, ignore_errors=True)
        if not empty:
            shutil.copytree(self.base / "out old", self.folder)

    def export(self) -> None:
        """Export the new design."""
        export(self.new_design, self.folder, sheets=False)

    def found(self, again: int) -> str:
        """Return which set the folder holds once rebuilt from; a first rebuilding ends before a call of a number."""
        if again:
            ended(child(lambda: rebuild(self.folder), again))
        try:
            name = rebuild(self.folder)[0].name.lower()
        except ExportError:
            if not self.folder.exists() or not os.listdir(self.folder):
                return "nothing"
            raise
        others = OTHERS if (self.folder / "photos").exists() else {}
        left = sorted(p.name for p in self.folder.iterdir() if p.name.startswith(UNFINISHED))
        return name if held(self.folder) == self.sets[name] | others and not left else f"a mixture, {left}"


def main() -> int:
    """Kill as often as asked; return 1 where a folder held neither set whole."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--random", type=int, default=200)
    parser.add_argument("--aimed", type=int, default=200)
    asked = parser.parse_args()
    sys.addaudithook(hook)
    chance, found = random.Random(12), Counter[tuple[str, str]]()
    with tempfile.TemporaryDirectory() as base:
        trial = Trial(Path(base))
        print(f"an export takes {1000 * trial.seconds:.0f} ms and {trial.calls} calls")
        for kind, count in (("random", asked.random), ("aimed", asked.aimed)):
            for n in range(count):
                empty = n % 4 == 3
                trial.fresh(empty)
                if kind == "random":
                    number = child(trial.export)
                    time.sleep(chance.uniform(0, trial.seconds))
                    os.kill(number, signal.SIGKILL)
                else:
                    number = child(trial.export, 1 + n * max(1, trial.calls // count) % trial.calls)
                ended(number)
                try:
                    result = trial.found(chance.randint(1, 60) if n % 2 else 0)
                    if not empty and not held(trial.folder).items() >= OTHERS.items():
                        result = "other files changed"
                except Exception as error:
                    result = f"{error}"
                found[kind, result] += 1
    for (kind, result), count in sorted(found.items()):
        print(f"{kind}: {count} times {result}")
    return int(any(result not in ("old", "new", "nothing") for _, result in found))


if __name__ == "__main__":
    sys.exit(main())
