"""Compare the designs of two checkouts, table by table: ``compare_checkouts.py OLD NEW [--every N] [--seeds N]``.

The walls are the shipped ones with a spread of options and random ones (level, sloping, with hung items and services,
both rule sets), made by OLD's random walls and handed over as files. Each checkout designs them in a process of its
own through public names only. Left out are what a piece is cut from and what that costs, where a search may stop by
the clock; the processor time of both is told.
"""

from __future__ import annotations

import argparse
import difflib
import os
import pickle
import subprocess
import sys
import tempfile
from collections import Counter
from pathlib import Path

MAKE = """
import dataclasses, json, sys
from pathlib import Path
import wallcalc as wc
from random_everything import everything_case
from random_hung import hung_case
from random_services import random_service_case
from random_uneven import uneven_case
from random_walls import random_case

old, out, seeds = Path(sys.argv[1]), Path(sys.argv[2]), int(sys.argv[3])
cases = []

def put(wall, option, rules):
    path = out / f"{len(cases):04d}.toml"
    wall.save(path, "mm")
    cases.append([path.name, {f.name: getattr(option, f.name) for f in dataclasses.fields(option)}, rules])

for path in sorted((old / "data" / "walls").glob("*.toml")):
    rules = "us" if "feet" in path.name else "uk"
    for boards in ("vertical", "horizontal"):
        for centres in (406.4, 609.6) if rules == "us" else (400, 600):
            put(wc.Wall.load(path), wc.Option(stud_centres=centres, board_orientation=boards), rules)
        two = wc.Option(board_orientation=boards, layers_a=2, layers_b=2, fill="wool-50" if rules == "uk" else None)
        put(wc.Wall.load(path), two, rules)
for make in (random_case, hung_case, random_service_case, uneven_case, everything_case):
    for seed in range(seeds):
        wall, option, law = tuple(make(seed))[:3]
        if option.stud_layout == "module":
            put(wall, option, law.name if getattr(law, "name", "") in ("uk", "us") else "uk")
json.dump(cases, open(out / "cases.json", "w"))
"""

RUN = """
import json, pickle, sys, time
from pathlib import Path
import wallcalc as wc

folder, every, prices = Path(sys.argv[1]), int(sys.argv[3]), wc.PriceBook.load(Path(sys.argv[4]))
laws = {name: wc.Rules.load(name) for name in ("uk", "us")}
found = {}
for path, option, rules in json.load(open(folder / "cases.json"))[::every]:
    start = time.process_time()
    try:
        made = wc.design(
            wc.Wall.load(folder / path), wc.Option(**option), rules=laws[rules], prices=prices, model="closed form"
        )
        order, checks = made.takeoff, made.checks
        screws = order[order["item"].str.contains("screw")].groupby("item")["needed"].sum()
        told = {
            "members": made.members.drop(columns="code"),
            "boards": made.boards.drop(columns="sheet_code"),
            "joints": made.joints, "fill": made.fill, "setting_out": made.setting_out, "screws": screws,
            "checks": checks[~checks["check"].isin(["lifting", "way in"])].reset_index(drop=True),
        }
        told = {name: table.to_csv() for name, table in told.items()} | {"notes": "\\n".join(made.frame.notes)}
    except wc.OptionError as error:
        told = {"refused": "\\n".join(str(r) for r in error.refusals)}
    found[f"{path} {rules} {option}"] = told, time.process_time() - start
pickle.dump(found, open(sys.argv[2], "wb"))
"""


def python(checkout: Path, code: str, *args: str) -> None:
    """Run code in a process that imports a checkout's wallcalc and test helpers."""
    paths = os.pathsep.join([str(checkout), str(checkout / "tests")])
    env = os.environ | {"PYTHONPATH": paths, "PYTHONHASHSEED": "0"}
    subprocess.run([sys.executable, "-c", code, *args], check=True, env=env, cwd=checkout)


def main() -> int:
    """Print what differs; return 1 where anything does."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("old", type=Path)
    parser.add_argument("new", type=Path)
    parser.add_argument("--every", type=int, default=1, help="only every so many of the cases")
    parser.add_argument("--seeds", type=int, default=60, help="random walls of each of five kinds")
    parser.add_argument("--show", type=int, default=20, help="differing cases shown at the most")
    args = parser.parse_args()
    old, new = args.old.resolve(), args.new.resolve()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        python(old, MAKE, str(old), name, str(args.seeds))
        results = []
        for checkout in (old, new):
            out = folder / f"{len(results)}.pickle"
            python(checkout, RUN, name, str(out), str(args.every), str(old / "data" / "prices.csv"))
            results.append(pickle.loads(out.read_bytes()))
    kinds: Counter[str] = Counter()
    for case, (before, _) in results[0].items():
        after = results[1][case][0]
        differ = [t for t in sorted({*before, *after}) if before.get(t) != after.get(t)]
        if not differ:
            continue
        kinds[", ".join(differ)] += 1
        if kinds.total() <= args.show:
            print(case[:120])
            for table in differ:
                lines = difflib.unified_diff(
                    before.get(table, "").splitlines(), after.get(table, "").splitlines(), lineterm="", n=0
                )
                for line in [x for x in lines if not x.startswith(("---", "+++", "@@"))][:4]:
                    print(f"   {table}: {line[:200]}")
    spent = [sum(seconds for _, seconds in result.values()) for result in results]
    print(f"{len(results[0])} cases, {kinds.total()} differ: {dict(kinds)}")
    print(f"processor time {spent[0]:.1f} s and {spent[1]:.1f} s, ratio {spent[1] / spent[0]:.3f}")
    return int(bool(kinds))


if __name__ == "__main__":
    sys.exit(main())
