"""Stud sums against sympy: horizontal loads on single studs to EN 1995-1-1 (C16, EN 338:2016 Table 1, seen).

Loads: 0.36 kN/m at 1.2 m (BS 6180:2011 Table 2, seen), 200 Pa with L/240 (UK drylining practice, seen). The
expected figures were computed (hand formulae and several open frame programs), so sympy is the oracle here.
"""

from __future__ import annotations

import pytest
import sympy as sp
from sympy.physics.continuum_mechanics.beam import Beam as SymBeam

from wallcalc.strength.beam import Beam, PointLoad, shear_stiffness
from wallcalc.strength.timber_ec5 import (
    Factors,
    Section,
    TimberClass,
    bending_strength,
    bending_stress,
    kh,
    shear_strength,
    shear_stress,
)

C16 = TimberClass("C16", 16, 8.5, 0.4, 17, 2.2, 3.2, 8000, 5400, 500, 310, 370)
FACTORS = Factors((("short-term", 0.9),), 1.3, 1.3, 1.35, 1.5, 0.3, 0.6, 0.67)
STUD = Section(38, 89)
EI, GA = C16.E_0_mean * STUD.inertia, shear_stiffness(STUD.area, C16.G_mean)


def sympy_deflection(span: int, at: int, force: int, where: sp.Rational) -> float:
    r1, r2 = sp.symbols("r1 r2")
    beam = SymBeam(span, sp.Integer(8000), sp.Rational(38 * 89**3, 12))
    beam.apply_load(-r1, 0, -1)
    beam.apply_load(-r2, span, -1)
    beam.apply_load(sp.Integer(force), at, -1)
    beam.bc_deflection = [(0, 0), (span, 0)]
    beam.solve_for_reaction_loads(r1, r2)
    return abs(float(beam.deflection().subs(beam.variable, where)))


def test_stud_at_400_under_the_line_load() -> None:
    assert (STUD.inertia, STUD.modulus, STUD.area) == pytest.approx((2232401.833, 50166.333, 3382))
    beam = Beam(2400.0, (PointLoad(1200.0, 144.0),))
    assert beam.greatest_moment() == pytest.approx((1200.0, 86_400.0))
    assert beam.greatest_shear()[1] == pytest.approx(72.0)
    assert bending_stress(86_400.0, STUD) == pytest.approx(1.72227, abs=5e-6)
    assert shear_stress(72.0, STUD, 1.0) == pytest.approx(0.031934, abs=5e-7)
    place, bending = beam.greatest_deflection(EI)
    assert place == pytest.approx(1200.0, abs=1e-3)
    assert bending == pytest.approx(sympy_deflection(2400, 1200, 144, sp.Integer(1200)), rel=1e-10)
    assert bending == pytest.approx(2.322163, abs=5e-7)
    assert beam.greatest_deflection(EI, GA)[1] == pytest.approx(2.383475, abs=1e-6)


def test_stud_design_use() -> None:
    assert kh(89, C16.rho_k) == pytest.approx(1.11004, abs=5e-6)
    assert bending_strength(C16, 89, "short-term", FACTORS) == pytest.approx(12.2959, abs=5e-5)
    use = 1.5 * 1.72227 / bending_strength(C16, 89, "short-term", FACTORS)
    assert use == pytest.approx(0.2101, abs=5e-5)
    assert shear_strength(C16, "short-term", FACTORS) == pytest.approx(2.2154, abs=5e-5)
    assert 1.5 * shear_stress(72.0, STUD, 0.67) / 2.2154 == pytest.approx(0.03227, abs=5e-6)


def test_line_load_off_the_middle() -> None:
    beam = Beam(2700.0, (PointLoad(1200.0, 144.0),))
    assert beam.reactions == pytest.approx((80.0, 64.0))
    assert beam.greatest_moment()[1] == pytest.approx(96_000.0)
    assert beam.deflection(1200.0, EI) == pytest.approx(
        sympy_deflection(2700, 1200, 144, sp.Integer(1200)), rel=1e-10
    )
    place, most = beam.greatest_deflection(EI)
    # closed form: the longer part a' = 1500 from the other end, maximum sqrt((L^2 - b^2) / 3) from there
    assert place == pytest.approx(2700 - float(sp.sqrt((2700**2 - 1200**2) / sp.Integer(3))), abs=1e-4)
    assert most == pytest.approx(sympy_deflection(2700, 1200, 144, sp.Rational(place)), rel=1e-9)
    assert (place, most) == pytest.approx((1303.576, 3.252732), abs=1e-3)


@pytest.mark.parametrize(("depth", "expected"), [(63, 22.733), (89, 8.063), (140, 2.072)])
def test_500_newton_at_mid_height_of_one_stud(depth: int, expected: float) -> None:
    section = Section(38, depth)
    got = Beam(2400.0, (PointLoad(1200.0, 500.0),)).greatest_deflection(8000 * section.inertia)[1]
    assert got == pytest.approx(float(sp.Rational(500 * 2400**3, 48 * 8000) / sp.Rational(38 * depth**3, 12)))
    assert got == pytest.approx(expected, abs=5e-4)
