"""What to say when no option meets the conditions: how near they come, the next best, and what fails there."""

from __future__ import annotations

import html
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import pandas as pd

from wallcalc.panel.compare import summary
from wallcalc.panel.conditions import Condition

FAILS = "fails"


@dataclass(frozen=True, slots=True)
class NoneMet:
    """How near the options come: of how many, each condition with what is told of it, and the next best as a row."""

    count: int
    told: tuple[str, ...]
    row: dict[str, Any]
    missed: tuple[Condition, ...]


def none_met(table: pd.DataFrame, conditions: Sequence[Condition]) -> NoneMet | None:
    """Return how near the options come, None where there is none or one of them meets every condition.

    The next best misses the fewest conditions; of those that miss as many, it misses them by least for their size,
    and of those it is the cheapest.
    """
    rows = [row for row in table.to_dict("records") if row["buildable"]]
    if not rows or not conditions or any(all(c.holds(row) for c in conditions) for row in rows):
        return None

    def how_far(row: dict[str, Any]) -> tuple[int, float, float]:
        missed = [c for c in conditions if not c.holds(row)]
        return len(missed), sum(_short(c, row) for c in missed), row["cost"]

    best = min(rows, key=how_far)
    return NoneMet(
        len(rows),
        tuple(_told(c, rows) for c in conditions),
        best,
        tuple(c for c in conditions if not c.holds(best)),
    )


def said(found: NoneMet, design: Any, currency: str) -> str:
    """Return it as HTML."""
    kept = [f"{c.measure.label} {c.measure.text(found.row)}" for c in found.missed]
    lines = [
        f"<p><strong>None of the {found.count} options that can be built meets all of it.</strong></p>",
        f"<ul>{''.join(f'<li>{html.escape(text)}</li>' for text in found.told)}</ul>",
        f"<p><strong>Next best:</strong> {html.escape(summary(found.row))}: {found.row['cost']:,.2f} "
        f"{html.escape(currency)}, but {html.escape(', '.join(kept))}.</p>",
    ]
    fails = [] if design is None else [r for r in design.check_rows if r.verdict == "fail"]
    if fails and any(c.measure.column == FAILS for c in found.missed):
        lines.append("<p>What fails there, and what would help:</p><ul>")
        lines += [
            f"<li>{html.escape(r.subject)}, {html.escape(r.check)}: {html.escape(r.why.split('. ')[0])}.</li>"
            for r in fails
        ]
        lines.append(
            "</ul><p>Where no option is without fails, the wall has to change: other fixings, backing or places for "
            "what hangs on it, or less of it. Where people could be hurt, a structural engineer or the local code "
            "decides.</p>"
        )
    return f'<div class="wallcalc-none-met">{"".join(lines)}</div>'


def _short(condition: Condition, row: dict[str, Any]) -> float:
    value = condition.measure.least(row)
    if value != value:
        return 1.0
    return abs(value - condition.number) / max(abs(condition.number), 1.0)


def _told(condition: Condition, rows: list[dict[str, Any]]) -> str:
    holding = sum(condition.holds(row) for row in rows)
    if holding:
        return f"{condition}: {holding} of them"
    nearest = min(rows, key=lambda row: _short(condition, row))
    return f"{condition}: none of them; the nearest has {condition.measure.text(nearest)}"
