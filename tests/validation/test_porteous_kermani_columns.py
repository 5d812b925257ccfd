"""Columns of J. Porteous and A. Kermani, Structural Timber Design to Eurocode 5, chapter 5.

Example 5.7.1 (column 150 x 200 mm, 3.75 m; figures seen) and the stud wall example (44 x 100 mm studs of C16,
relative slenderness and k seen; the 3.75 m height is by back-calculation). EN 338:2016 Table 1 for C16
(seen).
"""

from __future__ import annotations

import pytest

from wallcalc.strength.timber_ec5 import Section, buckling

BETA_C = 0.2  # EN 1995-1-1 6.3.2, equation 6.29


def test_example_571_section_and_slenderness() -> None:
    section = Section(150, 200)
    assert section.inertia == pytest.approx(1e8)  # published Iy
    assert section.radius == pytest.approx(57.74, abs=0.005)  # published iy
    assert buckling(3750, section.radius, 18, 6000, BETA_C).slenderness == pytest.approx(
        64.95, abs=0.005
    )  # published


def test_stud_wall_relative_slenderness_and_k() -> None:
    got = buckling(3750, Section(44, 100).radius, fc_0_k=17, E_0_05=5400, beta_c=BETA_C)
    assert got.relative == pytest.approx(2.32, abs=0.005)  # published
    assert got.k == pytest.approx(3.39, abs=0.005)  # published
    # kc solves kc^2 lrel^2 - 2 kc k + 1 = 0, the quadratic behind equation 6.25
    assert got.kc**2 * got.relative**2 - 2 * got.kc * got.k + 1 == pytest.approx(0, abs=1e-12)


def test_a_stocky_column_does_not_buckle() -> None:
    assert buckling(100, 28.9, 17, 5400, BETA_C).kc == 1.0
