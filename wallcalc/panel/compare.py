"""Options in words, and side by side, figure by figure."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from wallcalc.panel.words import CHOICES, choice_text, measures


def summary(row: dict[str, Any]) -> str:
    """Return a study row's option in a few words."""
    studs = f"{row['section']} studs at {row['stud_centres']:g} mm from the {row['set_out_from']}"
    if row["stud_layout"] == "fitted":
        studs = f"{row['section']} studs in the fitted layout"
    return ", ".join(
        [
            studs,
            f"boards {choice_text('board_orientation', row['board_orientation'])}",
            f"{row['layers_a']:g} + {row['layers_b']:g} layers",
            f"fill {choice_text('fill', row['fill'])}",
        ]
    )


def side_by_side(rows: Sequence[dict[str, Any]], currency: str) -> list[tuple[str, list[str], set[int]]]:
    """Return study rows side by side.

    What, the text of each row, and which of them is best (none where all are alike or none is better): first
    the choices in which they differ, then every measure.
    """
    found: list[tuple[str, list[str], set[int]]] = []
    for name, label in CHOICES.items():
        texts = [choice_text(name, row[name]) for row in rows]
        if len(set(texts)) > 1:
            found.append((label, texts, set()))
    for measure in measures(currency):
        values = [round(measure.value(row), measure.digits) for row in rows]
        known = [v for v in values if v == v]
        best: set[int] = set()
        if measure.better and len(known) > 1 and min(known) != max(known):
            target = min(known) if measure.better == "low" else max(known)
            best = {k for k, v in enumerate(values) if v == target}
        found.append((measure.label, [measure.text(row) for row in rows], best))
    return found
