"""Mecklenburg County (North Carolina), common code defects sheet to R602.6: bored and notched studs (seen).

25 % of a 2x4 and 2x6: 7/8 and 1-3/8 in; 40 %: 1-3/8 and 2-3/16 in; 60 %: 2-1/8 and 3-5/16 in. The sheet rounds
to sixteenths, at 60 % past the code's own 2.1 and 3.3 in, so our limits are computed and only stand near it.
WAC 296-150C-1000 and IRC R602.6 (seen): hole 60 %, notch 40 %, 5/8 in left at the edge.
"""

from __future__ import annotations

import pytest

from wallcalc.checks.holes import cut_limits
from wallcalc.trade.rules import Rules

INCH = 25.4
SIXTEENTH = INCH / 16
US, UK = Rules.load("us"), Rules.load("uk")


def limit(rules: Rules, depth: float, kind: str, verdict: str) -> float:
    return next(c.most for c in cut_limits(rules, depth, kind) if c.verdict == verdict)


@pytest.mark.parametrize(("depth", "table"), [(3.5, 1 + 3 / 8), (5.5, 2 + 3 / 16)])
def test_notches_of_40_percent(depth: float, table: float) -> None:
    got = limit(US, depth * INCH, "notch", "fail")
    assert got == pytest.approx(table * INCH, abs=SIXTEENTH)
    assert got == pytest.approx(0.4 * depth * INCH)


@pytest.mark.parametrize(("depth", "table"), [(3.5, 2 + 1 / 8), (5.5, 3 + 5 / 16)])
def test_holes_of_60_percent_never_pass_the_code(depth: float, table: float) -> None:
    got = limit(US, depth * INCH, "hole", "fail")
    assert got == pytest.approx(table * INCH, abs=SIXTEENTH)
    assert got <= 0.6 * depth * INCH + 1e-9
    assert got < table * INCH


@pytest.mark.parametrize(("depth", "table"), [(3.5, 7 / 8), (5.5, 1 + 3 / 8)])
def test_the_stricter_quarter(depth: float, table: float) -> None:
    assert limit(UK, depth * INCH, "hole", "caution") == pytest.approx(table * INCH, abs=SIXTEENTH)


@pytest.mark.parametrize(("depth", "hole", "notch"), [(63, 31.0, 25.2), (89, 53.4, 35.6), (140, 84.0, 56.0)])
def test_metric_studs_take_the_smaller_of_share_and_edge(depth: float, hole: float, notch: float) -> None:
    # 63: the edges govern, 63 - 2 x 16 = 31, although 60 % would be 37.8
    assert limit(UK, depth, "hole", "fail") == pytest.approx(hole)
    assert limit(UK, depth, "notch", "fail") == pytest.approx(notch)


def test_what_governs_is_said() -> None:
    assert "edge" in next(c.governs for c in cut_limits(UK, 63, "hole") if c.verdict == "fail")
    assert "60 %" in next(c.governs for c in cut_limits(UK, 89, "hole") if c.verdict == "fail")
