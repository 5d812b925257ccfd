"""What a notebook shows below a cell: tables, sentences and pictures, every text of them escaped.

A wall, a price book or a rule file may come from anybody, and what is shown as HTML runs the scripts in it. So
notebooks show nothing but through these three.
"""

from __future__ import annotations

import html
from collections.abc import Mapping
from typing import Any

from IPython.display import HTML
from matplotlib.figure import Figure

from wallcalc.draw.style import to_img
from wallcalc.panel.words import table


def show_table(
    frame: Any, caption: str, formats: str | Mapping[str, str] = "{:.0f}", *, index: bool = False
) -> HTML:
    """Return a table of a notebook."""
    shown = frame.reset_index(names=frame.index.name or "") if index else frame
    heads = [str(column) for column in shown.columns]
    ways = {h: formats for h in heads} if isinstance(formats, str) else formats
    rows = [
        [_text(value, ways.get(head, "{}")) for head, value in zip(heads, row, strict=True)]
        for row in shown.itertuples(index=False, name=None)
    ]
    numbers = [n for n, kind in enumerate(shown.dtypes) if kind.kind in "if"]
    return HTML(table(heads, rows, caption, numbers=numbers))


def show_text(*paragraphs: str) -> HTML:
    """Return paragraphs of a notebook."""
    return HTML(_paragraphs(paragraphs))


def show_picture(figure: Figure, alt: str, *paragraphs: str) -> HTML:
    """Return a picture of a notebook with the text in its place, and paragraphs below it."""
    return HTML(to_img(figure, alt) + _paragraphs(paragraphs))


def _paragraphs(texts: tuple[str, ...]) -> str:
    return "".join(f"<p>{html.escape(text)}</p>" for text in texts)


def _text(value: Any, way: str) -> str:
    if value is None or value != value:
        return ""
    is_number = isinstance(value, (int, float)) or hasattr(value, "dtype")
    return way.format(value) if is_number and not isinstance(value, bool) else str(value)
