"""Class note to NZS 3603 (timber structures, New Zealand): a beam of two 240 x 45 pieces of MSG8 timber.

Published (seen): Z = 864000 mm3; design bending strength phi Mn 6.62 kN.m for long and 8.83 kN.m for medium load
duration; design shear strength phi Vn 29.9 kN for long duration.

Inputs, NZS 3603:1993 with amendment 4 (from memory): bending 14 N/mm2, shear 3.8 N/mm2; phi 0.8; k1 0.6 long and 0.8
medium; k4 1.14 for two pieces acting together; shear plane 2/3 of the area. The form phi k1 k4 f is that of
kmod ksys f / gamma_M with gamma_M = 1 / phi, and at 240 mm no depth factor applies; no New Zealand rules are shipped.
"""

from __future__ import annotations

import math

import pytest

from wallcalc.strength.timber_ec5 import (
    Factors,
    Section,
    TimberClass,
    bending_strength,
    bending_stress,
    shear_strength,
    shear_stress,
)

PHI, TOGETHER = 0.8, 1.14
BEAM = Section(2 * 45, 240)
NOTE = Factors(
    kmod=(("long-term", 0.6), ("medium-term", 0.8)),
    gamma_m=1 / PHI,
    gamma_m_connection=1 / PHI,
    gamma_g=1.2,
    gamma_q=1.5,
    psi_2=0.4,
    kdef=1.0,
    kcr=1.0,
    ksys=TOGETHER,
)

_UNUSED = dict.fromkeys(
    ("ft_0_k", "ft_90_k", "fc_0_k", "fc_90_k", "E_0_mean", "E_0_05", "G_mean", "rho_k", "rho_mean"), math.nan
)
MSG8 = TimberClass("MSG8", fm_k=14.0, fv_k=3.8, **_UNUSED)


def test_section_modulus() -> None:
    assert BEAM.modulus == 864000  # published
    assert 2 * Section(45, 240).modulus == 864000


@pytest.mark.parametrize(("duration", "published"), [("long-term", 6.62), ("medium-term", 8.83)])
def test_bending(duration, published) -> None:
    strength = bending_strength(MSG8, BEAM.depth, duration, NOTE)
    assert strength * BEAM.modulus / 1e6 == pytest.approx(published, abs=0.005)
    assert bending_stress(published * 1e6, BEAM) == pytest.approx(strength, rel=0.005 / published)


def test_shear() -> None:
    strength = shear_strength(MSG8, "long-term", NOTE)
    # the force at which 1.5 V / A reaches the strength
    assert strength / shear_stress(1000.0, BEAM, kcr=1.0) == pytest.approx(29.9, abs=0.05)  # published
