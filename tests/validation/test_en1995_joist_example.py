"""EN 1995-1-1, worked joist: 75 x 200 mm, C24, span 2.85 m, service class 2, medium-term.

Source of the inputs (seen): structville.com, worked timber floor joist example (G 1.3 kN/m, Q 1.5 kN/m, a
permanent point load of 1.0 kN at midspan, W = 5e5 mm3). The outputs beside them were computed by hand
formulae (status: computed), so they are checked against sympy as well. Strengths: EN 338:2016 Table 1 (seen).
"""

from __future__ import annotations

import pytest
import sympy as sp

from wallcalc.strength.beam import Beam, LineLoad, PointLoad, shear_stiffness
from wallcalc.strength.timber_ec5 import (
    Factors,
    Section,
    TimberClass,
    bending_strength,
    bending_stress,
    final_deflection,
    shear_strength,
    shear_stress,
)

C24 = TimberClass("C24", 24, 14.5, 0.4, 21, 2.5, 4.0, 11000, 7400, 690, 350, 420)
FACTORS = Factors(
    (("permanent", 0.6), ("medium-term", 0.8), ("short-term", 0.9)),
    1.3,
    1.3,
    1.35,
    1.5,
    psi_2=0.3,
    kdef=0.8,
    kcr=0.67,
)
SPAN, SECTION = 2850.0, Section(75, 200)
DESIGN = Beam(SPAN, (LineLoad(0, SPAN, 1.35 * 1.3 + 1.5 * 1.5), PointLoad(SPAN / 2, 1.35 * 1000)))
PERMANENT = Beam(SPAN, (LineLoad(0, SPAN, 1.3), PointLoad(SPAN / 2, 1000)))
VARIABLE = Beam(SPAN, (LineLoad(0, SPAN, 1.5),))
STIFF = (C24.E_0_mean * SECTION.inertia, shear_stiffness(SECTION.area, C24.G_mean))


def test_section_modulus_as_published() -> None:
    assert SECTION.modulus == pytest.approx(5e5)  # published: 5 x 10^5 mm3


def test_design_moment_shear_and_stress() -> None:
    assert DESIGN.greatest_moment()[1] == pytest.approx(5.0282e6, rel=1e-5)  # computed, 5.0282 kN.m
    assert DESIGN.greatest_shear()[1] == pytest.approx(6382, abs=0.5)  # computed, 6.382 kN
    assert bending_stress(DESIGN.greatest_moment()[1], SECTION) == pytest.approx(10.056, abs=5e-4)  # computed
    assert bending_strength(C24, 200, "medium-term", FACTORS) == pytest.approx(
        14.769, abs=5e-4
    )  # 24 x 0.8 / 1.3


def test_moment_and_deflection_against_sympy() -> None:
    x = sp.symbols("x")
    span = sp.Rational(2850)
    w, p = sp.Rational("1.3") + sp.Rational("1.5"), sp.Integer(1000)
    half = (w * span + p) / 2
    moment = half * x - w * x**2 / 2  # left half, by symmetry slope is 0 at midspan
    slope = sp.integrate(moment, x)
    curve = sp.integrate(slope.subs(x, span / 2) - slope, x)
    bending = float(curve.subs(x, span / 2)) / STIFF[0]
    shear = float(moment.subs(x, span / 2)) / STIFF[1]
    place, ours = Beam(SPAN, PERMANENT.loads + VARIABLE.loads).greatest_deflection(*STIFF)
    assert place == pytest.approx(SPAN / 2, abs=1e-3)
    assert ours == pytest.approx(bending + shear, rel=1e-10)
    assert ours == pytest.approx(5.662, abs=5e-4)  # computed, 5.662 mm with shear


def test_final_deflection() -> None:
    permanent, variable = (b.greatest_deflection(*STIFF)[1] for b in (PERMANENT, VARIABLE))
    final = final_deflection(permanent, variable, FACTORS.kdef, FACTORS.psi_2)
    assert final == pytest.approx(8.781, abs=5e-4)  # computed, 8.781 mm


def test_shear_stress_uses_the_crack_factor() -> None:
    stress = shear_stress(6382.0, SECTION, FACTORS.kcr)
    assert stress == pytest.approx(1.5 * 6382 / (0.67 * 75 * 200))
    assert shear_strength(C24, "medium-term", FACTORS) == pytest.approx(4.0 * 0.8 / 1.3)
