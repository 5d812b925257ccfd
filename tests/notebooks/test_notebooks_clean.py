"""Notebooks are committed as they are meant to be opened: no outputs, no counts, nothing of one machine."""

from __future__ import annotations

import json
import re
from pathlib import Path

import nbformat
import pytest

NOTEBOOKS = sorted((Path(__file__).resolve().parents[2] / "notebooks").glob("*.ipynb"))
MACHINE_PATH = re.compile(r"(?<![\w.])/(home|Users|root|tmp|work|var|opt|mnt)/|[A-Z]:\\\\")


def problems(notebook: dict) -> list[str]:
    """Return what a committed notebook must not hold."""
    found = []
    ids = [cell.get("id") for cell in notebook["cells"]]
    if len(set(ids)) != len(ids) or None in ids:
        found.append("cell ids are not unique")
    for cell in notebook["cells"]:
        if cell.get("outputs"):
            found.append(f"{cell['id']}: outputs")
        if cell.get("execution_count") is not None:
            found.append(f"{cell['id']}: execution count")
        if MACHINE_PATH.search("".join(cell["source"])):
            found.append(f"{cell['id']}: a path of one machine")
    if "widgets" in notebook["metadata"]:
        found.append("saved widget state")
    return found


def test_there_are_notebooks():
    assert "wall_study.ipynb" in [path.name for path in NOTEBOOKS]


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.name)
def test_notebook_is_clean_and_valid(path):
    text = path.read_text(encoding="utf-8")
    assert problems(json.loads(text)) == []
    nbformat.validate(nbformat.reads(text, as_version=4))


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.name)
def test_notebook_has_assert_cells(path):
    cells = json.loads(path.read_text(encoding="utf-8"))["cells"]
    assert any("assert " in "".join(cell["source"]) for cell in cells if cell["cell_type"] == "code")


def test_the_rules_above_find_what_they_should():
    cell = {
        "cell_type": "code",
        "id": "a",
        "outputs": [1],
        "execution_count": 3,
        "source": "open('/home/me/x')",
    }
    assert len(problems({"cells": [cell, dict(cell)], "metadata": {"widgets": {}}})) == 8
