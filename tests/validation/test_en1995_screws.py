"""EN 1995-1-1 8.7.2 and 8.2.2: withdrawal and single shear of screws.

Withdrawal, d 6 mm, 38 mm of thread, C16, 90 degrees: expected figures computed from the clause (formula from
memory), so a second evaluation in exact arithmetic (sympy) is the oracle. Johansen: the clause's equations
re-derived from statics with sympy for modes c to f, an oracle apart from the printed closed forms.
"""

from __future__ import annotations

import math

import pytest
import sympy as sp

from wallcalc.strength.screws_ec5 import (
    combined_use,
    effective_diameter,
    embedment,
    single_shear,
    withdrawal,
    yield_moment,
)


def test_withdrawal_of_a_six_millimetre_screw() -> None:
    got = withdrawal(6, 38, 310)
    exact = (
        sp.Rational(52, 100)
        / sp.sqrt(6)
        * sp.Integer(38) ** sp.Rational(-1, 10)
        * sp.Integer(310) ** sp.Rational(4, 5)
    )
    assert got.strength == pytest.approx(float(exact))
    assert got.strength == pytest.approx(14.522, abs=5e-4)
    assert got.capacity == pytest.approx(2483, abs=0.5)
    assert got.capacity * 0.9 / 1.3 == pytest.approx(1719, abs=0.5)
    assert got.notes == ()


def test_along_the_grain_is_weaker_by_the_angle_term() -> None:
    assert withdrawal(6, 38, 310, angle=0).capacity == pytest.approx(withdrawal(6, 38, 310).capacity / 1.2)


def test_short_penetration_counts_for_nothing() -> None:
    got = withdrawal(6, 35.9, 310)
    assert got.capacity == 0.0
    assert "under 6 d = 36 mm" in got.notes[0]


def test_thin_screws_need_a_declared_value_and_say_so() -> None:
    with pytest.raises(ValueError, match=r"outside the withdrawal formula .6 to 12 mm"):
        withdrawal(4.5, 40, 310)
    got = withdrawal(4.5, 40, 310, declared=11.0, declared_density=350)
    assert "declared value 11" in got.notes[0]
    assert got.capacity == pytest.approx(11.0 * 4.5 * 40 * (310 / 350) ** 0.8)


def johansen_from_statics(
    t1: float, t2: float, fh1: float, fh2: float, d: float, My: float
) -> dict[str, float]:
    """Return modes c to f without rope, 1.05 and 1.15, from equilibrium of the rigid-plastic screw."""
    beta = fh2 / fh1
    b1 = sp.symbols("b1", positive=True)
    # mode f: hinges both sides: fh1 b1 = fh2 b2, 2 My = fh1 d b1^2/2 + fh2 d b2^2/2 (no shear at the hinges)
    b2 = b1 / beta
    f = max(float(r) for r in sp.solve(fh1 * d * b1**2 / 2 + fh2 * d * b2**2 / 2 - 2 * My, b1)) * fh1 * d

    # modes d, c, e: a rigid end embedded over its length; x of it bears one way, the rest the other way
    def rigid(t: float, fh: float, F: sp.Expr) -> sp.Expr:
        """Moment at the shear plane that the embedded rigid end of length t takes while passing force F."""
        x = (t + F / (fh * d)) / 2  # bearing next to the plane over x, back over t - x: fh d (2x - t) = F
        y = t - x
        return fh * d * (y * (x + y / 2) - x**2 / 2)

    F = sp.symbols("F", positive=True)

    def hinged(fh: float) -> sp.Expr:
        return My - F**2 / (2 * fh * d)

    # the moment in the screw at the shear plane is the same seen from either side, with opposite sign
    def solve(expr: sp.Expr) -> float:
        return max(float(sp.re(r)) for r in sp.Poly(sp.expand(expr), F).nroots())

    return {
        "c": solve(rigid(t1, fh1, F) + rigid(t2, fh2, F)),
        "d": solve(rigid(t1, fh1, F) + hinged(fh2)),
        "e": solve(hinged(fh1) + rigid(t2, fh2, F)),
        "f": f,
    }


@pytest.mark.parametrize(
    ("t1", "t2", "d", "rho1", "rho2"),
    [(18, 40, 4.0, 350, 310), (38, 38, 5.5, 310, 310), (12, 60, 6.0, 600, 310)],
)
def test_johansen_modes_from_statics(t1: float, t2: float, d: float, rho1: float, rho2: float) -> None:
    fh1, fh2, My = embedment(rho1, d), embedment(rho2, d), yield_moment(540, d)
    modes = dict(single_shear(t1, t2, fh1, fh2, d, My).modes)
    statics = johansen_from_statics(t1, t2, fh1, fh2, d, My)
    assert modes["a"] == pytest.approx(fh1 * t1 * d)
    assert modes["b"] == pytest.approx(fh2 * t2 * d)
    assert modes["c"] == pytest.approx(statics["c"], rel=1e-6)
    assert modes["f"] / 1.15 == pytest.approx(statics["f"], rel=1e-6)
    # d and e: the code multiplies by 1.05 the same closed form
    assert modes["d"] / 1.05 == pytest.approx(statics["d"], rel=1e-6)
    assert modes["e"] / 1.05 == pytest.approx(statics["e"], rel=1e-6)


def test_rope_effect_is_a_quarter_of_withdrawal_and_at_most_its_share() -> None:
    args = (18, 40, 30.0, 25.0, 4.0, 6000.0)
    bare = single_shear(*args)
    some = single_shear(*args, withdrawal_capacity=400.0)
    lots = single_shear(*args, withdrawal_capacity=1e9)
    assert dict(some.modes)["f"] == pytest.approx(dict(bare.modes)["f"] + 100.0)
    assert dict(lots.modes)["f"] == pytest.approx(2 * dict(bare.modes)["f"])
    for mode in ("a", "b"):  # no rope effect in pure embedment
        assert dict(lots.modes)[mode] == dict(bare.modes)[mode]


def test_effective_diameter() -> None:
    assert effective_diameter(5.0, 3.4, 20.0) == 5.0
    assert effective_diameter(5.0, 3.4, 19.9) == pytest.approx(1.1 * 3.4)


def test_axial_and_lateral_together() -> None:
    assert combined_use(300, 1000, 400, 1000) == pytest.approx(0.5)
    assert combined_use(300, 1000, 400, 1000, power=1) == pytest.approx(0.7)
    assert math.isinf(combined_use(1, 0, 0, 1000))
