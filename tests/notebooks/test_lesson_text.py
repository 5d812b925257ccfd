"""The lesson's notebook: no number in its prose that nothing computed, code folded away and short."""

from __future__ import annotations

import json
import re
from pathlib import Path

PATH = Path(__file__).resolve().parents[2] / "notebooks" / "why_spacing_matters.ipynb"
ORDINAL = re.compile(r"^(\d+\. |## Step \d+: )", re.MULTILINE)
MOST_LINES = 5


def cells(kind: str) -> list[dict]:
    return [c for c in json.loads(PATH.read_text(encoding="utf-8"))["cells"] if c["cell_type"] == kind]


def test_prose_holds_no_bare_number():
    for cell in cells("markdown"):
        text = ORDINAL.sub("", "".join(cell["source"]))
        assert re.findall(r"\d+", text) == [], cell["id"]


def test_code_is_folded_away_and_short():
    for cell in cells("code"):
        assert cell["metadata"]["jupyter"]["source_hidden"] is True, cell["id"]
        assert len(cell["source"]) <= MOST_LINES, cell["id"]


def test_every_step_of_the_lesson_is_shown_in_order():
    from wallcalc.lesson.state import STEPS

    code = "\n".join("".join(c["source"]) for c in cells("code"))
    assert re.findall(r'lesson\.step\("(\w+)"\)', code) == [made.key for made in STEPS]
    headings = re.findall(r"^## Step (\d+)", "\n".join("".join(c["source"]) for c in cells("markdown")), re.M)
    assert headings == [str(n) for n in range(1, len(headings) + 1)]
    assert len(headings) >= len(STEPS)
