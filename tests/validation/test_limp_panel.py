"""Single limp leaf: ISO 15186-3's values for a 10 kg/m2, 10 m2 panel (as transcribed in sound_checks.json), after
Sewell, J. Sound Vib. 12, 1970, 21-32.
"""

import json
from pathlib import Path

import numpy as np
import pytest

from wallcalc.sound import Absorber, Leaf
from wallcalc.sound.gap import empty, porous
from wallcalc.sound.leaf import AIR_DENSITY, SOUND_SPEED, mass_law, sewell_field
from wallcalc.sound.periodic import Bay, bay_transmission
from wallcalc.sound.records import BANDS, EXACT_BANDS

LIMP = json.loads((Path(__file__).parents[1] / "data" / "sound_checks.json").read_text("utf-8"))[
    "iso15186_3_limp"
]
EXACT = {f: e for f, e in zip(BANDS, EXACT_BANDS, strict=True) if f in LIMP["bands"]}


def limp_pair(a, b):
    """Two limp leaves 2 mm apart on studs of almost no mass: they can only move as one."""
    return Bay(
        Leaf(a, 12.5, hfc=300.0), Leaf(b, 12.5, hfc=300.0), 0.4, 0.002, None, lines=1e-9, area=LIMP["S"]
    )


def test_mass_law_gives_the_printed_values():
    assert mass_law(list(EXACT.values()), LIMP["m"], LIMP["S"]) == pytest.approx(
        LIMP["R"], abs=LIMP["max_dev_dB"]
    )


@pytest.mark.parametrize("masses", [(5.0, 5.0), (8.0, 2.0)])
def test_periodic_model_falls_back_on_the_limp_panel(masses):
    # Sewell leaves out the air's own load on the leaf, worth up to 0.5 dB at 50 Hz
    got = [-10.0 * np.log10(bay_transmission(limp_pair(*masses), f, 400)) for f in EXACT.values()]
    assert got == pytest.approx(LIMP["R"], abs=0.6)


def test_a_leaf_that_is_much_lighter_than_the_other_adds_its_mass_and_no_more():
    # nearly all of the lining's width has the cavity behind it: what lies over the stud would hang free
    bay = limp_pair(9.5, 0.5)._replace(stud_width=1e-3)
    got = [-10.0 * np.log10(bay_transmission(bay, f, 400)) for f in EXACT.values()]
    assert got == pytest.approx(LIMP["R"], abs=0.6)


def test_which_leaf_is_heavy_does_not_matter():
    for f in EXACT.values():
        one, two = (bay_transmission(limp_pair(*m), f, 400) for m in ((8.0, 2.0), (2.0, 8.0)))
        assert one == pytest.approx(two, rel=0.02)


def two_limp_leaves(f, mass, depth, fill, area):
    """R of two limp leaves that meet nowhere, by hand: plane waves, each leaf a mass, the air between a line.

    The cavity lets sound run up the wall but not along it, as between studs very close together. Finite area enters
    as in Sewell: each side's radiation is that of a panel of this area.
    """
    u = (np.arange(400) + 0.5) / 400
    azimuth = (np.arange(24) + 0.5) / 24 * np.pi / 2
    u, azimuth = (v.ravel() for v in np.meshgrid(u, azimuth))
    omega, k = 2 * np.pi * f, 2 * np.pi * f / SOUND_SPEED
    edge = 1.0 / np.expm1(sewell_field(f, area))
    side = AIR_DENSITY * SOUND_SPEED / np.sqrt(u**2 + edge)
    medium = empty(np.array([f])) if fill is None else porous(np.array([f]), fill.flow_resistivity)
    across = np.sqrt(medium.wavenumber**2 - (k * np.sqrt(1 - u**2) * np.sin(azimuth)) ** 2)
    line = medium.impedance * medium.wavenumber / across
    leaf = side + 1j * omega * mass
    # p1 = 2 p_in: leaf v1 + pa = 2, pa = own v1 - other v2; pb = other v1 - own v2 = leaf v2
    own, other = line / (1j * np.tan(across * depth)), line / (1j * np.sin(across * depth))
    v2 = 2.0 * other / ((leaf + own) ** 2 - other**2)
    power = np.abs(v2) ** 2 * side
    return -10 * np.log10(np.mean(u / np.sqrt(u**2 + edge) * power) * 2 * AIR_DENSITY * SOUND_SPEED)


@pytest.mark.parametrize("fill", [None, Absorber(90.0, 1e-9, 8000.0)])
def test_without_studs_it_is_the_double_wall_of_the_books(fill):
    leaf = Leaf(8.4, 12.5, hfc=3000.0)
    bay = Bay(leaf, leaf, 0.06, 0.09, fill, stud_width=1e-4, lines=0.0, area=9.0)
    for f in (100.0, 160.0, 250.0, 500.0, 800.0):
        direct = -10.0 * np.log10(bay_transmission(bay, f, 600))
        low, high = f * 2 ** (-1 / 6), f * 2 ** (1 / 6)
        around = np.geomspace(low, high, 13)
        by_hand = np.array([two_limp_leaves(one, 8.4, 0.09, fill, 9.0) for one in around])
        assert direct == pytest.approx(-10 * np.log10(np.mean(10 ** (-0.1 * by_hand))), abs=0.5)


def test_studs_only_let_more_through_above_the_resonance():
    leaf = Leaf(8.4, 12.5)
    for fill in (None, Absorber(50.0, 15.0, 8000.0)):
        bay = Bay(leaf, leaf, 0.4, 0.089, fill)
        for f in (250.0, 500.0, 1000.0, 2000.0):
            assert bay_transmission(bay, f, 200) > bay_transmission(bay._replace(lines=0.0), f, 200)
