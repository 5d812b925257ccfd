"""The registry of checks: each is a function from :class:`Facts` to rows, run in the order of their subjects."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from wallcalc.checks.facts import Facts
from wallcalc.records import CheckRow

Check = Callable[[Facts], Iterator[CheckRow]]

SUBJECTS = (
    "boards",
    "joints",
    "height",
    "studs",
    "openings",
    "joists",
    "hung items",
    "holes",
    "tiles and damp",
    "fill",
    "sound",
    "floor",
    "handling",
    "others",
    "cautions",
)
"""Subjects, in the order in which their rows are shown."""

GENERAL = "caution: "
"""How the checks begin that print the rule file's general cautions."""

_checks: dict[str, list[Check]] = {subject: [] for subject in SUBJECTS}


def register(subject: str) -> Callable[[Check], Check]:
    """Return a decorator that adds a check to a subject.

    Raises KeyError: when there is no such subject.
    """

    def add(check: Check) -> Check:
        if check not in _checks[subject]:
            _checks[subject].append(check)
        return check

    if subject not in _checks:
        raise KeyError(f"no subject {subject!r}; there are: {', '.join(SUBJECTS)}")
    return add


def registered() -> tuple[tuple[str, str], ...]:
    """Return subject and name of every check, in the order in which they run."""
    return tuple((subject, check.__name__) for subject in SUBJECTS for check in _checks[subject])


def run_checks(facts: Facts) -> tuple[CheckRow, ...]:
    """Return all check rows of a design, in one fixed order."""
    return tuple(row for subject in SUBJECTS for check in _checks[subject] for row in check(facts))


def counted(rows: tuple[CheckRow, ...]) -> tuple[int, int]:
    """Return how many cautions and fails a design has, without the cautions that every such wall carries.

    Cautions, fails.
    """
    own = [row for row in rows if not row.check.startswith(GENERAL)]
    return sum(r.verdict == "caution" for r in own), sum(r.verdict == "fail" for r in own)
