"""Making check rows: one way to compare a value with its limit."""

from __future__ import annotations

import math

from wallcalc.records import CheckRow

OK, CAUTION, FAIL, NOT_KNOWN = "ok", "caution", "fail", "not known"

VERDICTS = (FAIL, CAUTION, NOT_KNOWN, OK)
"""From worst to best."""

ROUNDING = 1e-9

DEFERS = "Where people could be hurt, a structural engineer or the local code decides."


def _short(value: float) -> float:
    """Round to six figures: enough for a reader, no noise of the last bits."""
    if value == 0 or not math.isfinite(value):
        return value
    return round(value, 5 - math.floor(math.log10(abs(value))))


def at_most(
    check: str,
    subject: str,
    case: str,
    value: float,
    limit: float,
    unit: str,
    why: str,
    source: str,
    status: str,
    over: str = FAIL,
) -> CheckRow:
    """Return a row whose value may not exceed its limit.

    With ``use`` = value / limit.
    """
    use = value / limit if limit > 0 else (0.0 if value <= 0 else math.inf)
    verdict = OK if use <= 1 + ROUNDING else over
    return CheckRow(
        check, subject, case, _short(value), _short(limit), unit, _short(use), verdict, why, source, status
    )


def at_least(
    check: str,
    subject: str,
    case: str,
    value: float,
    limit: float,
    unit: str,
    why: str,
    source: str,
    status: str,
    under: str = FAIL,
) -> CheckRow:
    """Return a row whose value may not fall short of its limit; parameters as :func:`at_most`.

    With ``use`` = limit / value.
    """
    use = limit / value if value > 0 else (0.0 if limit <= 0 else math.inf)
    verdict = OK if use <= 1 + ROUNDING else under
    return CheckRow(
        check, subject, case, _short(value), _short(limit), unit, _short(use), verdict, why, source, status
    )


def say(
    check: str,
    subject: str,
    case: str,
    verdict: str,
    why: str,
    source: str,
    status: str,
    value: float | str | None = None,
    limit: float | str | None = None,
    unit: str = "",
) -> CheckRow:
    """Return a row with a verdict and no use; parameters as :func:`at_most`."""
    return CheckRow(check, subject, case, value, limit, unit, None, verdict, why, source, status)


def length_text(mm: float) -> str:
    """Return a length in mm as text, without a needless decimal."""
    return f"{mm:.1f}".removesuffix(".0") + " mm"
