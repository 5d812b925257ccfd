"""Checks of a design against rules and strength, each with its demand, limit, verdict and source."""

from __future__ import annotations

from wallcalc.checks.facts import Facts
from wallcalc.checks.registry import SUBJECTS, counted, register, registered, run_checks

__all__ = ["SUBJECTS", "Facts", "counted", "register", "registered", "run_checks", "stiffness_use"]

# isort: split
from wallcalc.checks import (  # noqa: F401 - each registers its checks
    boards,
    edges,
    fill,
    floor,
    handling,
    height,
    holes,
    hung,
    joists,
    openings,
    others,
    sound,
    studs,
    tapered,
    tiles,
)
from wallcalc.checks.studs import stiffness_use
