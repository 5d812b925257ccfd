"""Our beams against sympy.physics.continuum_mechanics.beam, an independent symbolic solver.

Oracle: SymPy's Beam (singularity functions, exact rationals). Spans, loads and positions are seeded at
random.
"""

from __future__ import annotations

import random
from fractions import Fraction

import pytest
import sympy as sp
from sympy.physics.continuum_mechanics.beam import Beam as SymBeam

from wallcalc.strength.beam import AppliedMoment, Beam, LineLoad, PointLoad, shear_stiffness

E, INERTIA, SPAN_LEAST, SPAN_MOST = 8000, 2_232_402, 600, 4200


def random_case(seed: int) -> Beam:
    pick = random.Random(seed)
    span = pick.randint(SPAN_LEAST, SPAN_MOST)
    loads: list = []
    for _ in range(pick.randint(1, 3)):
        kind = pick.choice(["point", "line", "moment"])
        a, b = sorted(pick.sample(range(0, span + 1), 2))
        if kind == "point":
            loads.append(PointLoad(min(max(a, 1), span - 1), pick.randint(-400, 400) or 50))
        elif kind == "line":
            loads.append(LineLoad(a, b, Fraction(pick.randint(1, 60), 100)))
        else:
            loads.append(AppliedMoment(min(max(a, 1), span - 1), pick.randint(-90_000, 90_000) or 1000))
    return Beam(span, tuple(loads))


def symbolic(beam: Beam) -> tuple[sp.Expr, sp.Expr, sp.Expr, tuple]:
    """Return shear, moment and deflection as sympy expressions in x, and the reactions."""
    r1, r2, x = sp.symbols("r1 r2 x")
    b = SymBeam(beam.span, sp.Integer(E), sp.Integer(INERTIA), variable=x)
    b.apply_load(-r1, 0, -1)
    b.apply_load(-r2, beam.span, -1)
    for load in beam.loads:
        if isinstance(load, PointLoad):
            b.apply_load(sp.Integer(load.force), load.position, -1)
        elif isinstance(load, LineLoad):
            b.apply_load(sp.Rational(load.intensity), load.start, 0, end=load.end)
        else:
            b.apply_load(-sp.Integer(load.moment), load.position, -2)
    b.bc_deflection = [(0, 0), (beam.span, 0)]
    b.solve_for_reaction_loads(r1, r2)
    return (
        b.shear_force(),
        b.bending_moment(),
        b.deflection(),
        (b.reaction_loads[r1], b.reaction_loads[r2]),
        x,
    )


CASES = [random_case(seed) for seed in range(30)]


@pytest.mark.parametrize("beam", CASES, ids=range(len(CASES)))
def test_reactions_shear_moment_and_deflection_are_sympys(beam: Beam) -> None:
    shear, moment, deflection, reactions, x = symbolic(beam)
    assert beam.reactions == pytest.approx([float(r) for r in reactions], abs=1e-9)
    places = [beam.span * f for f in (0.1337, 0.2911, 0.5003, 0.7771, 0.9019)]
    scale = max(abs(load.force) if isinstance(load, PointLoad) else 1.0 for load in beam.loads)
    evaluate = sp.lambdify(x, [shear, moment, deflection], modules=[{"SingularityFunction": bracket}, "math"])
    biggest = 0.0
    for at in places:
        v, m, d = evaluate(at)
        assert beam.shear(at) == pytest.approx(v, abs=1e-7 * scale)
        assert beam.moment(at) == pytest.approx(m, rel=1e-9, abs=1e-4)
        assert beam.deflection(at, E * INERTIA) == pytest.approx(d, rel=1e-8, abs=1e-9)
        biggest = max(biggest, abs(d))
    place, most = beam.greatest_deflection(E * INERTIA)
    # the true maximum: no less than any of 2001 samples of sympy's curve, and itself a point of that curve
    samples = [abs(evaluate(beam.span * i / 2000)[2]) for i in range(2001)]
    assert most >= max(samples) * (1 - 1e-9)
    assert most == pytest.approx(abs(evaluate(place)[2]), rel=1e-8, abs=1e-9)
    assert most <= max(samples) * (1 + 1e-4)


def bracket(x: float, a: float, n: int) -> float:
    """Evaluate a singularity function; impulses count as nothing between the loads."""
    return 0.0 if n < 0 or x < a else float(x - a) ** n


@pytest.mark.parametrize("beam", CASES, ids=range(len(CASES)))
def test_greatest_moment_and_shear_bound_the_samples(beam: Beam) -> None:
    xs = [beam.span * i / 4000 for i in range(4000)]
    m, v = beam.greatest_moment()[1], beam.greatest_shear()[1]
    assert m >= max(abs(beam.moment(x)) for x in xs) - 1e-6
    assert v >= max(abs(beam.shear(x)) for x in xs) - 1e-9
    assert m <= max(abs(beam.moment(x)) for x in xs) + v * beam.span / 4000 + 1e-6


def test_shear_deflection_is_the_integral_of_the_shear() -> None:
    # V / (G A / 1.2) integrated numerically: an oracle apart from the closed form
    beam = Beam(
        2400.0, (PointLoad(900.0, 120.0), LineLoad(300.0, 1500.0, 0.2), AppliedMoment(700.0, 50_000.0))
    )
    stiff = shear_stiffness(38 * 89, 500)
    n = 48_000
    h = beam.span / n
    total = sum(beam.shear((i + 0.5) * h) for i in range(n)) * h / stiff
    part = sum(beam.shear((i + 0.5) * h) for i in range(n // 4)) * h / stiff
    assert beam.shear_deflection(600.0, stiff) == pytest.approx(part - total / 4, abs=1e-9)
    assert beam.shear_deflection(2400.0, stiff) == pytest.approx(0.0, abs=1e-12)


def test_greatest_deflection_with_shear_bounds_dense_samples() -> None:
    beam = Beam(700.0, (PointLoad(100.0, 900.0), AppliedMoment(500.0, -40_000.0)))
    EI, GA = 8000 * 38 * 63**3 / 12, shear_stiffness(38 * 63, 500)
    place, most = beam.greatest_deflection(EI, GA)
    curve = [abs(beam.deflection(x, EI) + beam.shear_deflection(x, GA)) for x in range(701)]
    assert max(curve) <= most * (1 + 1e-12)
    assert abs(beam.deflection(place, EI) + beam.shear_deflection(place, GA)) == pytest.approx(most)


def test_loads_outside_the_span_are_refused() -> None:
    with pytest.raises(ValueError, match="outside the span of 1000 mm"):
        Beam(1000, (PointLoad(1200, 5),))
    with pytest.raises(ValueError, match="span must be more than 0"):
        Beam(0)
