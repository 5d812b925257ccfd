"""The house: packages import in one direction only, and no two modules import each other, in any way."""

import ast
from pathlib import Path

from importlinter.cli import EXIT_STATUS_SUCCESS, lint_imports

ROOT = Path(__file__).parents[2]


def test_packages_import_only_from_those_below(monkeypatch):
    monkeypatch.chdir(ROOT)
    assert lint_imports(config_filename=str(ROOT / "pyproject.toml"), no_cache=True) == EXIT_STATUS_SUCCESS


def imports_of_modules():
    """Return what each module of the package imports, in functions and for types only as well."""
    found = {}
    for path in (ROOT / "wallcalc").rglob("*.py"):
        parts = path.relative_to(ROOT).with_suffix("").parts
        found[".".join(parts[:-1] if parts[-1] == "__init__" else parts)] = path
    graph = {}
    for name, path in found.items():
        names = set()
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ImportFrom) and node.module:
                named = {f"{node.module}.{alias.name}" for alias in node.names}
                names |= named if named <= found.keys() else {node.module, *named}
            elif isinstance(node, ast.Import):
                names |= {alias.name for alias in node.names}
        graph[name] = (names & found.keys()) - {name}
    return graph


def circles(graph):
    """Return the modules from which imports lead back to themselves."""
    left = dict(graph)
    while ends := {name for name, to in left.items() if not to & left.keys()}:
        left = {name: to for name, to in left.items() if name not in ends}
    while starts := left.keys() - {to for many in left.values() for to in many}:
        left = {name: to for name, to in left.items() if name not in starts}
    return sorted(left)


def test_a_circle_would_be_found():
    assert circles({"a": {"b"}, "b": {"c"}, "c": {"b"}, "d": set()}) == ["b", "c"]


def test_no_circle_of_imports():
    assert circles(imports_of_modules()) == []
