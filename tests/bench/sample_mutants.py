"""Sample small faults by package and tell what share of them the quick tests notice.

Run: python tests/bench/sample_mutants.py --packages framing,buying --each 20 --minutes 15

A fault is one small change of one place: a comparison or its limit, max for min, plus for minus, a whole number one
more, `and` for `or`, a `not` left out, the sign of a number returned. It is made in a copy of the tree in a temporary
folder, and the tests that concern its module run there until the first fails. A fault that no test notices may be
one that changes nothing; that is for the reader to tell.
"""

from __future__ import annotations

import argparse
import ast
import copy
import json
import math
import multiprocessing
import os
import queue
import random
import resource
import shutil
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor, as_completed
from dataclasses import dataclass
from functools import cached_property
from multiprocessing.connection import Connection
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = "wallcalc"
SERVER = multiprocessing.get_context("forkserver")
LOADED = (
    "ipywidgets",
    "jupyter_client",
    "matplotlib.figure",
    "nbformat",
    "pandas",
    "pint",
    "scipy.optimize",
    "shapely",
)
"""What the processes of tests begin with, so that each need not load it; plugins of pytest it loads itself."""
TIMES = Path(tempfile.gettempdir()) / "wallcalc_seconds_of_tests.json"
"""How long each test module took, kept from one run to the next; to be deleted when tests have changed much."""
QUICK = ("unit", "properties", "validation")
"""Folders of tests that a fault is shown to."""

WHOLE_DESIGNS = {
    "framing": "test_hatch_frames test_worked_wall test_measured_walls test_joists test_uneven_design",
    "carcass": "test_hatch_frames test_worked_wall test_measured_walls test_hung_backing test_service_holes "
    "test_uneven_design",
    "boarding": "test_worked_wall test_measured_walls test_wide_centres test_uneven_design",
    "buying": "test_screw_counts test_order_list test_screw_rows_random test_takeoff_properties test_uneven_design",
    "cutting": "test_cut_timber test_cut_sheets test_cut_slabs test_worked_wall",
    "checks": "test_checks_walls test_checks_boards test_limits_at_their_edges test_check_limits test_tiled_area "
    "test_checks_hung",
    "services": "test_services test_service_holes test_service_refusals test_random_services",
    "hanging": "test_hung_backing test_hung_walls",
    "fitting": "test_fitted test_fitted_walls",
    "geometry": "test_worked_wall test_uneven_design",
    "site": "test_hatch_frames test_worked_wall test_measured_walls",
}
"""Test modules that reach a package through whole designs, without importing it; those not there are passed over."""

COMPARED = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot, ast.IsNot: ast.Is, ast.In: ast.NotIn, ast.NotIn: ast.In,
}  # fmt: skip
SIGNS = {ast.Add: ast.Sub, ast.Sub: ast.Add}
OTHER_END = {"max": "min", "min": "max"}
NOT_NUMBERS = (ast.JoinedStr, ast.List, ast.Tuple, ast.ListComp, ast.Dict, ast.Set)


@dataclass(frozen=True)
class Mutant:
    """One changed place: the module, the line, the text before and after, and the module's whole text after."""

    module: Path
    line: int
    before: str
    after: str
    source: str

    def __str__(self) -> str:
        return f"{self.module}:{self.line}  {self.before}  ->  {self.after}"


class Places(ast.NodeVisitor):
    """Gathers (node, changed node) of a module's tree; names, docstrings, annotations and messages are left alone."""

    def __init__(self) -> None:
        self.found: list[tuple[ast.AST, ast.AST]] = []
        self._returns: list[str] = []

    def change(self, node: ast.AST, make: Callable[[ast.AST], object]) -> None:
        """Keep a copy of the node that ``make`` has changed, or what it returns in its place."""
        changed = copy.deepcopy(node)
        instead = make(changed)
        self.found.append((node, instead if isinstance(instead, ast.AST) else changed))

    def visit_JoinedStr(self, node: ast.JoinedStr) -> None:
        """Leave text alone."""

    def visit_Raise(self, node: ast.Raise) -> None:
        """Leave messages alone."""

    def visit_Assert(self, node: ast.Assert) -> None:
        """Leave what only guards alone."""

    def visit_AnnAssign(self, node: ast.AnnAssign) -> None:
        if node.value is not None:
            self.visit(node.value)

    def visit_arguments(self, node: ast.arguments) -> None:
        for value in (*node.defaults, *(d for d in node.kw_defaults if d is not None)):
            self.visit(value)

    def visit_FunctionDef(self, node: ast.FunctionDef) -> None:
        self._returns.append(ast.unparse(node.returns) if node.returns else "")
        self.visit(node.args)
        for statement in node.body:
            self.visit(statement)
        self._returns.pop()

    def visit_If(self, node: ast.If) -> None:
        if ast.unparse(node.test) != "TYPE_CHECKING":
            self.generic_visit(node)

    def visit_Compare(self, node: ast.Compare) -> None:
        for i, operator in enumerate(node.ops):
            other = COMPARED[type(operator)]()
            self.change(node, lambda n, i=i, other=other: n.ops.__setitem__(i, other))
        self.generic_visit(node)

    def visit_BoolOp(self, node: ast.BoolOp) -> None:
        other = ast.Or if isinstance(node.op, ast.And) else ast.And
        self.change(node, lambda n: setattr(n, "op", other()))
        self.generic_visit(node)

    def visit_UnaryOp(self, node: ast.UnaryOp) -> None:
        if isinstance(node.op, ast.Not):
            self.change(node, lambda n: n.operand)
        self.generic_visit(node)

    def visit_Call(self, node: ast.Call) -> None:
        if isinstance(node.func, ast.Name) and node.func.id in OTHER_END:
            self.change(node, lambda n: setattr(n.func, "id", OTHER_END[n.func.id]))
        self.generic_visit(node)

    def visit_BinOp(self, node: ast.BinOp) -> None:
        if type(node.op) in SIGNS and _counts(node.left) and _counts(node.right):
            self.change(node, lambda n: setattr(n, "op", SIGNS[type(n.op)]()))
        self.generic_visit(node)

    def visit_AugAssign(self, node: ast.AugAssign) -> None:
        if type(node.op) in SIGNS and _counts(node.value):
            self.change(node, lambda n: setattr(n, "op", SIGNS[type(n.op)]()))
        self.visit(node.value)

    def visit_Constant(self, node: ast.Constant) -> None:
        if type(node.value) is int:
            self.change(node, lambda n: setattr(n, "value", n.value + 1))

    def visit_Return(self, node: ast.Return) -> None:
        if node.value is None:
            return
        if (
            self._returns
            and self._returns[-1] in ("int", "float")
            and not isinstance(node.value, ast.Constant)
        ):
            self.change(node.value, lambda n: ast.UnaryOp(ast.USub(), n))
        self.visit(node.value)


def _counts(node: ast.AST) -> bool:
    """Whether a value may be a number: text and lists are joined by a plus too."""
    if isinstance(node, ast.Constant):
        return isinstance(node.value, (int, float))
    if isinstance(node, ast.BinOp) and isinstance(node.op, ast.Add):
        return _counts(node.left) and _counts(node.right)
    return not isinstance(node, NOT_NUMBERS)


def mutants_of(path: Path, module: Path) -> Iterator[Mutant]:
    """Every mutant of one module."""
    source = path.read_text(encoding="utf-8")
    lines = source.encode().splitlines(keepends=True)
    places = Places()
    places.visit(ast.parse(source))
    starts = [0]
    for line in lines:
        starts.append(starts[-1] + len(line))
    whole = source.encode()
    for node, changed in places.found:
        first = starts[node.lineno - 1] + node.col_offset
        last = starts[node.end_lineno - 1] + node.end_col_offset
        after = ast.unparse(ast.fix_missing_locations(changed))
        text = after if isinstance(node, ast.stmt) else f"({after})"
        made = (whole[:first] + text.encode() + whole[last:]).decode()
        try:
            ast.parse(made)
        except SyntaxError:  # a place where brackets cannot stand, such as a pattern
            continue
        before = whole[first:last].decode()
        if node.lineno == node.end_lineno and not isinstance(node, ast.stmt):  # shown with the line round it
            at, end = starts[node.lineno - 1], starts[node.lineno]
            before, after = (
                whole[at:end].decode(),
                (whole[at:first] + text.encode() + whole[last:end]).decode(),
            )
        yield Mutant(module, node.lineno, _short(before), _short(after), made)


def _short(text: str) -> str:
    text = " ".join(text.split())
    return text if len(text) <= 120 else text[:117] + "..."


def subjects() -> dict[str, list[Path]]:
    """Modules by package, as paths from the root; modules that lie flat are packages of their own names."""
    found: dict[str, list[Path]] = {}
    for path in sorted((ROOT / PACKAGE).rglob("*.py")):
        module = path.relative_to(ROOT)
        name = module.parts[1].removesuffix(".py")
        if name != "__init__" and "__pycache__" not in module.parts:
            found.setdefault(name, []).append(module)
    return found


class Tests:
    """The quick test modules, what each imports, and how long it takes in a tree without a fault."""

    def __init__(self, seconds: float) -> None:
        self.seconds = seconds
        self.taken: dict[str, float] = json.loads(TIMES.read_text()) if TIMES.exists() else {}

    @cached_property
    def files(self) -> dict[str, Path]:
        """Python files below tests by name without suffix, helpers too."""
        return {p.stem: p.relative_to(ROOT) for p in sorted((ROOT / "tests").rglob("*.py"))}

    @cached_property
    def imports(self) -> dict[str, set[str]]:
        """Dotted names that each file imports, by itself or through helpers."""
        own: dict[str, set[str]] = {}
        for name, path in self.files.items():
            own[name] = set()
            for node in ast.walk(ast.parse((ROOT / path).read_text(encoding="utf-8"))):
                if isinstance(node, ast.Import):
                    own[name] |= {a.name for a in node.names}
                elif isinstance(node, ast.ImportFrom) and node.module:
                    own[name] |= {node.module, *(f"{node.module}.{a.name}" for a in node.names)}
        growing = True
        while growing:
            growing = False
            for mine in own.values():
                more = set().union(*(own[n] for n in mine if n in own)) - mine
                mine |= more
                growing = growing or bool(more)
        return own

    def near(self, module: Path) -> list[str]:
        """Names of the tests that concern a module: those that import it, then whole designs; else its package's."""
        dotted = ".".join(module.with_suffix("").parts).removesuffix(".__init__")
        package = ".".join(dotted.split(".")[:2])
        through = WHOLE_DESIGNS.get(module.parts[1].removesuffix(".py"), "").split()
        nearest, further = [], []
        for name, path in self.files.items():
            if not name.startswith("test_") or path.parts[1] not in QUICK:
                continue
            seen = self.imports[name]
            if dotted in seen:
                nearest.append((0, name))
            elif name in through:
                nearest.append((1 + through.index(name), name))
            elif any(s == package or s.startswith(f"{package}.") for s in seen):
                further.append((0, name))
        return [name for _, name in sorted(nearest or further)]

    def chosen(self, module: Path, tree: Path) -> list[str]:
        """Paths of the tests for a module that together take no longer than the limit, nearest first."""
        left, paths = self.seconds, []
        for name in self.near(module):
            path = self.files[name].as_posix()
            if path not in self.taken:
                passed, taken = run_tests(tree, [path], self.seconds)
                self.taken[path] = round(taken, 1) if passed else math.inf
                TIMES.write_text(json.dumps(self.taken))
                if not passed:
                    print(f"  left out, does not pass within the limit: {path}", flush=True)
            if self.taken[path] <= left:
                left -= self.taken[path]
                paths.append(path)
            if left < self.seconds / 10:
                break
        return paths


def run_tests(tree: Path, paths: list[str], limit: float, bytecode: bool = True) -> tuple[bool | None, float]:
    """Whether the tests pass in a tree (None: the limit of processor time [s] was over first), and the time taken."""
    receiver, sender = SERVER.Pipe(duplex=False)
    process = SERVER.Process(target=_in_a_tree, args=(tree, paths, math.ceil(limit), bytecode, sender))
    process.start()
    sender.close()
    try:
        taken = receiver.recv()
    except EOFError:  # ended by the system
        taken = limit
    process.join()
    passed = process.exitcode == 0 if process.exitcode is not None and process.exitcode >= 0 else None
    return passed, taken


def _in_a_tree(tree: Path, paths: list[str], limit: int, bytecode: bool, sender: Connection) -> None:
    """Run tests in a process of their own, which has loaded all but the package; its exit code is theirs."""
    resource.setrlimit(resource.RLIMIT_CPU, (limit, limit + 1))
    os.chdir(tree)
    sys.path.insert(0, str(tree))
    sys.dont_write_bytecode = not bytecode
    silent = os.open(os.devnull, os.O_WRONLY)
    os.dup2(silent, 1)
    os.dup2(silent, 2)
    code = pytest.main(["-x", "-q", "-p", "no:cacheprovider", "-m", "not browser", *paths])
    used = resource.getrusage(resource.RUSAGE_SELF)
    sender.send(used.ru_utime + used.ru_stime)
    sys.exit(code)


def outcome(mutant: Mutant, tests: Tests, tree: Path) -> str:
    """Return "killed", "survived" or "not decided" (no test concerns the module, or time ran out)."""
    paths = tests.chosen(mutant.module, tree)
    if not paths:
        return "not decided"
    target = tree / mutant.module
    kept = target.read_text(encoding="utf-8")
    for stale in target.parent.glob(f"__pycache__/{target.stem}.*"):
        stale.unlink()
    try:
        target.write_text(mutant.source, encoding="utf-8")
        passed, _ = run_tests(tree, paths, 3 * tests.seconds, bytecode=False)
    finally:
        target.write_text(kept, encoding="utf-8")
    return {True: "survived", False: "killed", None: "not decided"}[passed]


def copy_of_the_tree(folder: Path) -> Path:
    """Copy what the tests need into a folder."""
    for name in (PACKAGE, "tests", "data", "notebooks"):
        shutil.copytree(ROOT / name, folder / name, ignore=shutil.ignore_patterns("__pycache__", ".*"))
    for name in ("pyproject.toml", "README.md", "DEVELOPERS.md"):
        shutil.copy(ROOT / name, folder / name)
    return folder


def arguments() -> argparse.Namespace:
    """What the command line asks for."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    parser.add_argument("--packages", default="", help="packages, or modules as package.module, with commas")
    parser.add_argument("--each", type=int, default=10, help="mutants of each package")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--minutes", type=float, default=10, help="no mutant is begun after this time")
    parser.add_argument(
        "--seconds", type=float, default=30, help="processor time for the tests of one module"
    )
    parser.add_argument("--jobs", type=int, default=1)
    return parser.parse_args()


def sample(wanted: list[str], each: int, seed: int) -> list[tuple[str, Mutant]]:
    """Mutants by name of the package asked for, the packages taking turns."""
    known = subjects()
    rounds: list[list[tuple[str, Mutant]]] = [[] for _ in range(each)]
    for name in wanted or list(known):
        package, *rest = name.split(".")
        modules = [
            m
            for m in known.get(package, [])
            if not rest or m.with_suffix("").parts[2:][: len(rest)] == (*rest,)
        ]
        if not modules:
            sys.exit(f"no package or module {name}; there are {', '.join(known)}")
        every = [mutant for m in modules for mutant in mutants_of(ROOT / m, m)]
        picked = random.Random(f"{seed} {name}").sample(every, min(each, len(every)))
        for k, mutant in enumerate(picked):
            rounds[k].append((name, mutant))
    return [pair for group in rounds for pair in group]


def main() -> None:
    """Sample, run, and print the shares and what survived."""
    asked = arguments()
    os.environ["MPLBACKEND"] = "agg"
    SERVER.set_forkserver_preload([__name__, *LOADED])
    end = time.monotonic() + asked.minutes * 60
    pairs = sample([n for n in asked.packages.split(",") if n], asked.each, asked.seed)
    tests = Tests(asked.seconds)
    told: dict[str, dict[str, list[Mutant]]] = {}
    with tempfile.TemporaryDirectory(prefix="mutants_") as folder:
        trees: queue.Queue[Path] = queue.Queue()
        for k in range(asked.jobs):
            trees.put(copy_of_the_tree(Path(folder) / f"tree{k}"))

        def decide(mutant: Mutant) -> str | None:
            if time.monotonic() > end:
                return None
            tree = trees.get()
            try:
                return outcome(mutant, tests, tree)
            finally:
                trees.put(tree)

        with ThreadPoolExecutor(asked.jobs) as pool:
            running = {pool.submit(decide, mutant): (name, mutant) for name, mutant in pairs}
            for done in as_completed(running):
                name, mutant = running[done]
                if (result := done.result()) is not None:
                    told.setdefault(name, {}).setdefault(result, []).append(mutant)
                    print(f"{result:12} {mutant}", flush=True)
    print(
        f"\n{'package':24} {'sampled':>8} {'killed':>8} {'survived':>9} {'not decided':>12} {'share killed':>13}"
    )
    rows = [
        (name, *(len(found.get(r, ())) for r in ("killed", "survived", "not decided")))
        for name, found in told.items()
    ]
    for name, killed, survived, open_ in [*rows, ("all", *(sum(r[k] for r in rows) for k in (1, 2, 3)))]:
        share = f"{killed / (killed + survived):.0%}" if killed + survived else "-"
        print(f"{name:24} {killed + survived + open_:8} {killed:8} {survived:9} {open_:12} {share:>13}")
    if sum(r[1] + r[2] + r[3] for r in rows) < len(pairs):
        print(f"time is over; {len(pairs)} were to be tried")
    print("\nSurvived, among them perhaps some that change nothing:")
    for found in told.values():
        for mutant in found.get("survived", ()):
            print(f"  {mutant}")


if __name__ == "__main__":
    main()
