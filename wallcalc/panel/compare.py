"""An option in words, and one option beside another, difference by difference."""

from __future__ import annotations

from typing import Any

from wallcalc.panel.words import CHOICES, choice_text, difference, measures


def summary(row: dict[str, Any]) -> str:
    """Return a study row's option in a few words."""
    return ", ".join(
        [
            f"{row['section']} studs at {row['stud_centres']:g} mm from the {row['set_out_from']}",
            f"boards {choice_text('board_orientation', row['board_orientation'])}",
            f"{row['layers_a']:g} + {row['layers_b']:g} layers",
            f"fill {choice_text('fill', row['fill'])}",
        ]
    )


def differences(now: dict[str, Any], then: dict[str, Any], currency: str) -> list[dict[str, str]]:
    """Return two study rows side by side.

    Parameters
    ----------
    now, then : dict
        Study rows of the current and the kept option.
    currency : str
        Currency of the costs.

    Returns
    -------
    list of dict
        ``what, current, kept, difference, verdict``: the choices that differ first, then every measure.
    """
    rows = []
    for name, label in CHOICES.items():
        a, b = choice_text(name, now[name]), choice_text(name, then[name])
        if a != b:
            rows.append({"what": label, "current": a, "kept": b, "difference": "changed", "verdict": ""})
    for measure in measures(currency):
        change, verdict = difference(measure, now, then)
        rows.append(
            {
                "what": measure.label,
                "current": measure.text(now),
                "kept": measure.text(then),
                "difference": change,
                "verdict": verdict,
            }
        )
    return rows
