"""Greatest heights under 200 Pa with span / 240 (UK drylining practice tied to BS 5234, seen), C16, bending only.

The heights were computed from 5 w L^4 / (384 E I) = L / 240, so sympy's solution is the oracle; two outside
marks stand beside them: 3.6 m for 38 x 89 at 600 (NBC Table 9.23.10.1, from memory) and 2.4 / 3.0 m for 63 / 89
mm studs (UK warranty technical manual, seen), which have to lie below the sums' results at common centres.
"""

from __future__ import annotations

import pytest
import sympy as sp

from wallcalc.checks.height import greatest_span

E_C16 = 8000
PRESSURE = 200e-6


@pytest.mark.parametrize(
    ("depth", "centres", "height"),
    [
        (63, 400, 2937), (63, 450, 2824), (63, 600, 2566),
        (89, 400, 4149), (89, 450, 3990), (89, 600, 3625),
        (140, 400, 6527), (140, 450, 6276), (140, 600, 5702),
    ],
)  # fmt: skip
def test_heights(depth: int, centres: int, height: int) -> None:
    got = greatest_span(PRESSURE, centres, 240, E_C16 * 38 * depth**3 / 12)
    L = sp.symbols("L", positive=True)
    w, inertia = sp.Rational(2, 10_000) * centres, sp.Rational(38 * depth**3, 12)
    exact = sp.solve(sp.Eq(5 * w * L**4 / (384 * E_C16 * inertia), L / 240), L)
    assert got == pytest.approx(float(exact[0]), rel=1e-12)
    assert got == pytest.approx(height, abs=0.5)


def test_outside_marks() -> None:
    at_600 = {depth: greatest_span(PRESSURE, 600, 240, E_C16 * 38 * depth**3 / 12) for depth in (63, 89)}
    assert at_600[89] == pytest.approx(3600, rel=0.01)
    assert at_600[63] > 2400
    assert at_600[89] > 3000
