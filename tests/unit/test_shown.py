"""What notebooks show below their cells: every text escaped, numbers written as asked."""

from __future__ import annotations

import ast
import json
from html.parser import HTMLParser
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from matplotlib.figure import Figure

from wallcalc.panel.shown import show_picture, show_table, show_text

ROOT = Path(__file__).resolve().parents[2]
MARKUP = "<img src=x onerror=bad()>\"'&"
NOTEBOOKS = sorted((ROOT / "notebooks").glob("*.ipynb"))
MODULES = sorted((ROOT / "wallcalc").rglob("*.py"))
RAW = {"HTML", "Javascript", "Markdown", "SVG", "display_html", "display_markdown", "publish_display_data"}
"""What shows a text as it stands."""


class Reader(HTMLParser):
    """Collects the tags and the texts of HTML."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.texts: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        self.tags.append(tag)
        self.texts += [value for name, value in attrs if name in ("alt", "aria-label")]

    def handle_data(self, data):
        self.texts.append(data)


def test_markup_is_shown_as_the_text_it_is():
    frame = pd.DataFrame({MARKUP: [MARKUP, "x"], "n": [1.25, 2.0]}, index=[MARKUP, "row"])
    for made in (
        show_table(frame, MARKUP, index=True),
        show_text(MARKUP, "second"),
        show_picture(Figure(figsize=(1, 1)), MARKUP, MARKUP),
    ):
        read = Reader(made.data)
        assert read.texts.count(MARKUP) >= 1
        assert set(read.tags) <= {"div", "table", "caption", "thead", "tbody", "tr", "th", "td", "p", "img"}
        assert read.tags.count("img") == ("data:image" in made.data)
    assert Reader(show_table(frame, MARKUP, index=True).data).texts.count(MARKUP) == 5


def test_numbers_are_written_as_asked_and_nothing_as_an_empty_cell():
    frame = pd.DataFrame(
        {"a": [1.234, np.nan], "b": [10, 20], "c": ["x", None], "d": [0.5, 0.25], "e": [True, False]}
    )
    assert Reader(show_table(frame, "t", "{:.1f}").data).texts == [
        *("t", "t", "a", "b", "c", "d", "e", "1.2", "10.0", "x", "0.5", "True", "20.0", "0.2", "False")
    ]
    some = Reader(show_table(frame[["b", "d"]], "t", {"d": "{:.0%}"}).data).texts
    assert some[4:] == ["10", "50%", "20", "25%"]


def raw_names(code: str) -> list[str]:
    """What a piece of code uses that shows a text as it stands: names, and tables made by pandas itself."""
    found = []
    for node in ast.walk(ast.parse(code)):
        if isinstance(node, ast.Attribute) and node.attr in ("style", "to_html", "_repr_html_", *RAW):
            is_widget = node.attr == "HTML" and isinstance(node.value, ast.Name) and node.value.id == "w"
            found += [] if is_widget else [node.attr]
        elif isinstance(node, ast.Name) and node.id in RAW:
            found.append(node.id)
        elif isinstance(node, ast.ImportFrom) and (node.module or "").startswith("IPython"):
            found += [alias.name for alias in node.names if alias.name in RAW]
    return found


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.name)
def test_notebooks_show_nothing_past_the_helpers(path):
    cells = json.loads(path.read_text(encoding="utf-8"))["cells"]
    code = "\n".join("".join(cell["source"]) for cell in cells if cell["cell_type"] == "code")
    assert raw_names(code) == []


def test_modules_show_nothing_past_the_helpers():
    found = {
        path.relative_to(ROOT).as_posix(): raw_names(path.read_text(encoding="utf-8")) for path in MODULES
    }
    del found["wallcalc/panel/shown.py"]
    assert set(found.pop("wallcalc/panel/keys.py")) == {
        "Javascript"
    }  # our own scripts, which hold no text of a file
    assert {name: names for name, names in found.items() if names} == {}


@pytest.mark.parametrize(
    "code",
    [
        "frame.style.hide()",
        "HTML('x')",
        "IPython.display.HTML('x')",
        "from IPython.display import HTML",
        "f.to_html()",
    ],
)
def test_what_shows_a_text_as_it_stands_is_found(code):
    assert raw_names(code)
