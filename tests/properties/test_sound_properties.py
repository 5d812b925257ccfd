"""What must hold for any wall, whatever the numbers."""

import json

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wallcalc.shipped import data_folder
from wallcalc.sound import MODELS, Absorber, Build, Leaf, predict, spectra
from wallcalc.sound.bays import row_of
from wallcalc.sound.make_table import random_bay
from wallcalc.sound.periodic import Bay, bay_spectrum, bay_transmission
from wallcalc.sound.records import BANDS, EXACT_BANDS
from wallcalc.sound.surrogate import COLUMNS, RANGES, TABLE, constants, evaluate, shipped

FAST = ("periodic", "closed form")
leaves = st.builds(
    lambda h, density, n: Leaf(round(h * density * 1e-3, 2), h, n),
    st.sampled_from([9.5, 12.5, 12.7, 15.0, 15.9]),
    st.floats(620.0, 900.0),
    st.integers(1, 2),
)
fills = st.one_of(
    st.none(),
    st.builds(
        Absorber, st.sampled_from([25.0, 50.0, 63.0, 89.0]), st.floats(8.0, 60.0), st.floats(3000.0, 40000.0)
    ),
)


@st.composite
def walls(draw):
    bays = draw(st.lists(st.floats(150.0, 650.0), min_size=3, max_size=12))
    studs = np.cumsum([19.0, *bays]).tolist()
    if draw(st.booleans()):
        studs.append(studs[1] + 38.0)
    return Build(
        draw(leaves), draw(leaves), draw(st.sampled_from([63.0, 89.0, 140.0])), 38.0, tuple(studs), max(studs) + 19.0,
        draw(st.floats(2000.0, 3000.0)), draw(fills), draw(st.sampled_from([200.0, 300.0, 406.4])),
    )  # fmt: skip


@pytest.mark.parametrize("model", FAST)
@given(build=walls())
@settings(max_examples=120, deadline=None)
def test_no_energy_is_made_and_sides_may_be_swapped(model, build):
    R = spectra([build], model)[0]
    assert R.shape == (len(BANDS),)
    assert np.all(np.isfinite(R))
    assert np.all(R >= 0.0)
    assert spectra([build.swapped()], model)[0] == pytest.approx(R, abs=1e-9)


@given(build=walls())
@settings(max_examples=60, deadline=None)
def test_second_layers_help(build):
    leaf = Leaf(8.4, 12.5)
    one = Build(leaf, leaf, build.depth, 38.0, build.stud_x, build.length, build.height, build.fill)
    two = Build(Leaf(8.4, 12.5, 2), Leaf(8.4, 12.5, 2), *(getattr(one, n) for n in Build.__slots__[2:]))
    assert predict(two).Rw >= predict(one).Rw + 2


@given(build=walls(), area=st.floats(0.8, 3.0), rating=st.integers(20, 40))
@settings(max_examples=60, deadline=None)
def test_a_door_never_makes_a_wall_better_than_the_better_part(build, area, rating):
    if area >= 0.9 * build.area:
        return
    with_door = predict(build, doors=((area, float(rating)),)).with_door
    better = predict(build, doors=((area, rating + 3.0),)).with_door
    assert with_door.Rw <= max(predict(build).Rw, rating) + 1
    assert better.Rw >= with_door.Rw
    assert with_door.area == area


@given(build=walls())
@settings(max_examples=40, deadline=None)
def test_order_of_studs_and_of_walls_does_not_matter(build):
    mirrored = Build(
        build.leaf_a, build.leaf_b, build.depth, 38.0, tuple(build.length - x for x in build.stud_x), build.length,
        build.height, build.fill, build.screw_spacing,
    )  # fmt: skip
    both = spectra([build, mirrored])
    assert both[1] == pytest.approx(both[0], abs=0.05)
    assert spectra([mirrored])[0] == pytest.approx(both[1], abs=1e-9)


def test_same_wall_in_inches_and_millimetres_is_one_wall():
    leaf = Leaf(8.5, 12.7)
    inches = Build(leaf, leaf, 3.5 * 25.4, 1.5 * 25.4, tuple(x * 25.4 for x in (0.75, 16, 32, 48, 63.25)), 64 * 25.4,
                   96 * 25.4, None, 12 * 25.4)  # fmt: skip
    mm = Build(leaf, leaf, 88.9, 38.1, (19.05, 406.4, 812.8, 1219.2, 1606.55), 1625.6, 2438.4, None, 304.8)
    assert spectra([inches])[0] == pytest.approx(spectra([mm])[0], abs=1e-6)


def test_direct_model_keeps_energy_and_reciprocity():
    for seed in range(4):
        bay, _ = random_bay(np.random.default_rng((41, seed)))
        back = bay._replace(leaf_a=bay.leaf_b, leaf_b=bay.leaf_a)
        for band in EXACT_BANDS[:13:3]:
            one, two = (bay_transmission(b, band, 300) for b in (bay, back))
            assert 0.0 < one <= 1.0
            assert 10.0 * np.log10(one / two) == pytest.approx(0.0, abs=0.25)


def test_very_close_screws_are_a_line():
    leaf = Leaf(8.4, 12.5)
    bays = [Bay(leaf, leaf, 0.4, 0.089, None, s) for s in (0.06, 0.03)]
    R = [-10.0 * np.log10([bay_transmission(b, f, 400) for f in EXACT_BANDS[3:11:2]]) for b in bays]
    assert R[0] == pytest.approx(R[1], abs=0.3)


def test_shipped_table_is_small_and_made_with_the_present_constants():
    file = data_folder() / TABLE
    stored = json.loads(file.read_text("utf-8"))
    assert file.stat().st_size < 500_000
    assert stored["constants"] == json.loads(json.dumps(constants()))
    assert {k: tuple(v) for k, v in stored["ranges"].items()} == RANGES


def test_bays_for_the_table_fill_its_ranges():
    rows = np.array([random_bay(np.random.default_rng((7, i)))[1] for i in range(400)])
    for column, (low, high) in RANGES.items():
        values = rows[:, COLUMNS.index(column)]
        used = values[values > 0.0]
        assert low * 0.999 <= used.min()
        assert used.max() <= high * 1.001
        assert used.max() - used.min() >= 0.8 * (high - max(low, used.min()))


def test_fitted_function_follows_the_direct_model_on_new_bays():
    drawn = [random_bay(np.random.default_rng((2024, i)))[0] for i in range(12)]
    direct = np.array([-10.0 * np.log10(bay_spectrum(b, 256)) for b in drawn])
    fitted = evaluate(shipped(), np.array([row_of(b) for b in drawn]))
    error = fitted - direct
    assert np.sqrt(np.mean(error[:, :11] ** 2)) <= 1.0
    assert np.sqrt(np.mean(error**2)) <= 1.6
    assert abs(error.mean()) <= 0.4


@pytest.mark.parametrize("model", MODELS)
def test_every_model_answers_with_its_name(model):
    leaf = Leaf(8.4, 12.5)
    sound = predict(Build(leaf, leaf, 89.0, 38.0, (19.0, 600.0, 1181.0), 1200.0, 2400.0), model)
    assert sound.model == model
    assert len(sound.uncertainty.bands) == len(BANDS)
    assert sound.uncertainty.Rw > 0.0


def test_unknown_models_and_impossible_doors_are_refused():
    leaf = Leaf(8.4, 12.5)
    build = Build(leaf, leaf, 89.0, 38.0, (19.0, 600.0, 1181.0), 1200.0, 2400.0)
    with pytest.raises(ValueError, match="give one of 'periodic'"):
        predict(build, "guess")
    with pytest.raises(ValueError, match="less than the wall"):
        predict(build, doors=((4.0, 25.0),))


def test_out_of_range_walls_say_so():
    leaf = Leaf(8.4, 12.5)
    wide = predict(Build(leaf, leaf, 89.0, 38.0, (19.0, 1200.0, 2381.0), 2400.0, 2400.0))
    assert any("bay of" in note for note in wide.notes)
    wide_doubt = predict(Build(leaf, leaf, 89.0, 38.0, (19.0, 600.0, 1181.0), 1200.0, 2400.0))
    usual = predict(Build(leaf, leaf, 89.0, 38.0, (19.0, 400.0, 781.0), 800.0, 2400.0))
    assert any("upper figure" in note for note in wide_doubt.notes)
    assert usual.notes == ()
    assert wide_doubt.uncertainty.STC > usual.uncertainty.STC
