"""The pieces of the sound model against hand arithmetic and other formulas."""

import numpy as np
import pytest

from wallcalc.sound import Absorber, Build, Leaf, combined
from wallcalc.sound.bays import bays_of
from wallcalc.sound.composite import curve_of_rating, needed_rating
from wallcalc.sound.gap import EMPTY_LOSS, FRAME_MODULUS, cavity_impedances, empty, porous
from wallcalc.sound.leaf import AIR_DENSITY, SOUND_SPEED, forced_gain, plate
from wallcalc.sound.leakage import slit_reduction, with_gap
from wallcalc.sound.ratings import rw
from wallcalc.sound.records import EXACT_BANDS

BOARD = Leaf(8.4, 12.5)
WOOL = Absorber(50.0, 20.0, 8000.0)


def wall(xs, *, length=3600.0, **more):
    return Build(BOARD, BOARD, 89.0, 38.0, tuple(xs), length, 2400.0, **more)


def test_plate_stiffness_implies_a_published_wave_speed():
    # Hopkins, Sound Insulation (2007): quasi-longitudinal waves in plasterboard run at 1490 to 2010 m/s
    p = plate(BOARD)
    speed = np.sqrt(12.0 * p.stiffness / p.mass) / 0.0125
    assert 1490.0 < speed < 2010.0


def test_two_layers_keep_the_critical_frequency_and_add_stiffness():
    one, two = plate(BOARD), plate(Leaf(8.4, 12.5, 2))
    assert two.critical == one.critical
    assert two.stiffness == pytest.approx(2.0 * one.stiffness)


def test_coincidence_gain_matches_numerical_integration():
    x = (np.arange(200_000) + 0.5) / 200_000
    for ratio in (0.1, 0.5, 0.8):
        numeric = np.mean(1.0 / (1.0 - (ratio * x) ** 2) ** 2)
        assert forced_gain(ratio, 0.001) == pytest.approx(numeric, rel=1e-4)
    for ratio, loss in ((1.6, 0.02), (3.0, 0.05)):
        numeric = np.mean(1.0 / np.abs(1.0 - (ratio * x) ** 2 * (1.0 + 1j * loss)) ** 2)
        assert forced_gain(ratio, loss) == pytest.approx(numeric, rel=0.08)


def test_fill_goes_from_isothermal_to_adiabatic_compression():
    medium = porous(np.array([20.0, 5000.0]), 10000.0)
    bulk = (medium.impedance * 2.0 * np.pi * np.array([20.0, 5000.0]) / medium.wavenumber).real
    adiabatic = AIR_DENSITY * SOUND_SPEED**2
    assert bulk[0] == pytest.approx(adiabatic / 1.4, rel=0.05)
    assert bulk[1] == pytest.approx(adiabatic, rel=0.10)


def test_cavity_is_a_spring_when_shallow():
    f = np.array([20.0])
    own, other = cavity_impedances(f, np.zeros(1), 0.05, None)
    spring = AIR_DENSITY * SOUND_SPEED**2 * (1.0 + 1j * EMPTY_LOSS) / (2j * np.pi * f * 0.05)
    assert own == pytest.approx(spring, rel=0.01)
    assert other == pytest.approx(spring, rel=0.01)


def test_fill_that_fills_nothing_is_air_and_full_fill_of_no_resistance_too():
    f = np.array([100.0, 1000.0])
    air = cavity_impedances(f, np.full(2, 4.0), 0.09, None)
    thin = cavity_impedances(f, np.full(2, 4.0), 0.09, Absorber(1e-3, 10.0, 5000.0))
    assert np.allclose(air, thin, rtol=1e-3)
    assert np.all(empty(f).wavenumber.imag < 0)


def test_fill_adds_a_spring_only_where_it_touches_both_linings():
    f = np.array([4.0])  # slow enough for the fibres to act as a spring
    touching = cavity_impedances(f, np.zeros(1), 0.09, Absorber(90.0, 50.0, 8000.0))[1]
    none = cavity_impedances(f, np.zeros(1), 0.09, Absorber(90.0, 1e-9, 8000.0))[1]
    added = (touching - none) * 2j * np.pi * f * 0.09
    assert added.real == pytest.approx(FRAME_MODULUS * 50.0, rel=0.01)
    loose = [cavity_impedances(f, np.zeros(1), 0.09, Absorber(70.0, d, 8000.0))[1] for d in (1e-9, 50.0)]
    assert loose[0] == loose[1]


def test_fibres_that_touch_the_boards_take_energy_out_of_them():
    f = np.array([1000.0])
    own = [cavity_impedances(f, np.zeros(1), 0.09, Absorber(90.0, d, 8000.0))[0] for d in (1e-9, 50.0)]
    # a layer many waves deep answers like a half space of its fibres: density times wave speed
    assert (own[1] - own[0]).real == pytest.approx(50.0 * np.sqrt(FRAME_MODULUS), rel=0.15)


def test_bays_come_from_the_actual_studs():
    shares = bays_of(wall([19, 400, 1000, 1038, 1600, 3581]))
    assert [round(s.bay.spacing * 1e3) for s in shares] == [381, 600, 562, 1981]
    assert [s.bay.lines for s in shares] == [1.0, 1.5, 1.5, 1.0]
    assert sum(s.length for s in shares) == pytest.approx(3581 - 19)


def test_bays_in_a_door_opening_are_left_out():
    shares = bays_of(wall([19, 600, 1200, 2100, 2700], openings=((1219.0, 2081.0),)))
    assert [round(s.bay.spacing * 1e3) for s in shares] == [581, 600, 600]
    with pytest.raises(ValueError, match="no bay outside"):
        bays_of(wall([19, 900], openings=((38.0, 881.0),)))


def test_a_wall_without_an_open_bay_is_refused():
    with pytest.raises(ValueError, match="no bay wider"):
        bays_of(wall([19, 57]))


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: Leaf(0.0, 12.5), "Leaf.surface_mass: found 0.0"),
        (lambda: Absorber(50.0, -1.0, 5000.0), "Absorber.density: found -1.0"),
        (lambda: wall([19.0]), r"Build.stud_x: found 1 stud"),
    ],
)
def test_wrong_records_say_what_is_wrong(make, words):
    with pytest.raises(ValueError, match=words):
        make()


def test_door_in_a_wall_by_hand():
    # 10 m2: 8 m2 of 40 dB and 2 m2 of 25 dB: tau = (8e-4 + 2 * 10**-2.5) / 10
    assert combined([40.0, 25.0], [8.0, 2.0]) == pytest.approx(-10 * np.log10((8e-4 + 2 * 10**-2.5) / 10))
    assert combined([40.0, 40.0], [8.0, 2.0]) == pytest.approx(40.0)


def test_door_needs_named_areas():
    with pytest.raises(ValueError, match="one area above 0"):
        combined([40.0, 25.0], [8.0])


@pytest.mark.parametrize("rating", [20, 27, 41])
def test_stand_in_spectrum_has_its_rating(rating):
    assert rw(curve_of_rating(rating)) == rating


def test_needed_rating_is_the_least_that_does():
    R = curve_of_rating(38)
    need = needed_rating(R, 8.0, 2.0)
    for rating, ok in ((need, True), (need - 1, False)):
        assert bool(rw(combined([R, curve_of_rating(rating)], [8.0, 2.0])) >= 37.0) is ok


def slit_by_impedances(f, width, depth):
    """A tube between two half spaces, each end loaded by a strip piston's impedance; no part of the formula."""
    k = 2 * np.pi * f / SOUND_SPEED
    rho_c = AIR_DENSITY * SOUND_SPEED
    K = k * width
    end = rho_c * (K / 2 + 1j * K / np.pi * (1.5 - 0.57722 + np.log(2.0 / K)))
    c, s = np.cos(k * depth), 1j * np.sin(k * depth)
    total = end * c + rho_c * s + end * (c + s * end / rho_c)  # pressure over outlet velocity
    outlet = (
        np.sqrt(8.0) / total
    )  # diffuse field of unit pressure over rho c: blocked mean square 2 p2, I = p2/4 rho c
    return np.abs(outlet) ** 2 * end.real * rho_c


def test_slit_formula_agrees_with_a_tube_and_two_pistons():
    f = np.array([63.0, 125.0, 250.0, 500.0, 1000.0])
    oracle = -10 * np.log10(slit_by_impedances(f, 0.004, 0.1))
    assert slit_reduction(f, 4.0, 100.0, in_corner=False) == pytest.approx(oracle, abs=0.6)


def test_open_gap_costs_what_its_area_says():
    R = curve_of_rating(40)
    open_gap = with_gap(R, 3600.0, 2400.0, 3.0, 114.0)
    assert np.all(open_gap < R)
    assert rw(open_gap) < 32
    assert rw(with_gap(R, 3600.0, 2400.0, 6.0, 114.0)) <= rw(open_gap)


def test_slit_needs_a_size():
    with pytest.raises(ValueError, match="width 0"):
        slit_reduction(EXACT_BANDS, 0.0, 100.0)
