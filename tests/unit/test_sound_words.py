"""What the study, the checks, the files and the print say of sound: ranges, doors, the house, both sets of terms."""

import csv
import dataclasses
import io

import numpy as np
import pytest

import wallcalc as wc
from wallcalc.checks.sound import sound_minimum
from wallcalc.output.cover import _results
from wallcalc.output.tables import sound_bytes, summary_rows
from wallcalc.panel.conditions import read_conditions
from wallcalc.panel.page import FIGURES, STUDY_COLUMNS, figures
from wallcalc.panel.words import difference, measures
from wallcalc.shipped import data_folder
from wallcalc.sound import MODELS, Absorber, Build, Leaf, predict
from wallcalc.sound.bays import bays_of
from wallcalc.sound.chosen import chosen
from wallcalc.sound.leakage import with_gap
from wallcalc.sound.ratings import rw, shortfalls, stc_shortfalls, weighted_reduction

WALL = wc.Wall.load(data_folder() / "walls" / "laundry_plain.toml")
LONG = dataclasses.replace(WALL, openings=())


@pytest.fixture(scope="module")
def wide():
    return wc.design(LONG, wc.Option(stud_centres=600, fill="wool-75"))


@pytest.fixture(scope="module")
def close():
    return wc.design(LONG, wc.Option(stud_centres=400, fill="wool-75"))


@pytest.fixture(scope="module")
def doored():
    return wc.design(WALL, wc.Option(stud_centres=400, fill="wool-75"))


def measure(column):
    return next(m for m in measures("GBP") if m.column == column)


def row(design, check):
    found = design.checks[design.checks["check"] == check]
    return None if found.empty else found.iloc[0]


def test_stc_of_wide_bays_is_a_range_everywhere(wide):
    low, high = wide.sound.STC_low, wide.sound.STC
    assert low < high
    said = f"{low} to {high}"
    summary = wide.summary()
    assert measure("STC").text(summary) == said
    assert f">{said}<" in figures(summary, None, "GBP")
    assert row(wide, "STC at wide centres")["case"] == f"STC {said}"
    assert "upper figure" in row(wide, "STC at wide centres")["why"]
    assert any(f"STC {said}" in text for _, text in _results(wide))
    assert ("sound", "STC_low", low, "dB") in summary_rows(wide)


def test_stc_of_usual_bays_is_one_number(close):
    assert measure("STC").text(close.summary()) == str(close.sound.STC)
    assert row(close, "STC at wide centres") is None


def test_a_gain_from_wider_bays_is_told_from_end_to_end(wide, close):
    text, verdict = difference(measure("STC"), wide.summary(), close.summary())
    least, most = wide.sound.STC_low - close.sound.STC, wide.sound.STC - close.sound.STC
    assert text == f"+{least} to +{most}"
    assert verdict == "better"
    back, worse = difference(measure("STC"), close.summary(), wide.summary())
    assert back == f"−{most} to −{least}"
    assert worse == "worse"


def test_a_range_that_may_go_either_way_is_called_neither():
    one, two = {"STC": 36.0, "STC_low": 33.0}, {"STC": 34.0, "STC_low": 34.0}
    assert difference(measure("STC"), one, two) == ("−1 to +2", "")
    assert difference(measure("STC"), two, two) == ("same", "")


def test_the_study_shows_the_wall_with_its_door_and_what_the_door_would_need(doored, close):
    assert {"Rw_with_door", "door_Rw_needed"} <= set(FIGURES)
    assert "Rw_with_door" in STUDY_COLUMNS
    summary = doored.summary()
    assert summary["door_Rw_needed"] == doored.sound.with_door.rating_for_one
    page = figures(summary, None, "GBP")
    assert f">{summary['Rw_with_door']:.0f} dB<" in page
    assert f">{summary['door_Rw_needed']:.0f} dB<" in page
    assert any(f"need Rw {summary['door_Rw_needed']:g}" in text for _, text in _results(doored))
    plain = figures(close.summary(), None, "GBP", openings=False)
    assert "door" not in plain


def test_a_house_and_an_open_gap_are_told_with_figures(close):
    found = row(close, "sound in the house")
    sound = close.sound
    frame = close.frame
    # 3 mm along the floor, as deep as the plate
    left = float(rw(with_gap(sound.R, frame.length / 10, frame.height / 10, 3.0, 89.0)))
    assert found["value"] == left < sound.Rw - 3
    assert f"leave Rw {left:g} dB" in found["why"]
    assert "3 to 5 dB lower" in found["why"]
    assert "Gomperts" in found["source"]
    assert found["verdict"] == "not known"


def test_both_ranges_of_terms_and_every_shortfall_are_handed_out(close):
    sound = close.sound
    narrow, broad = weighted_reduction(sound.R), weighted_reduction(sound.R, bands="50-5000")
    assert (sound.C, sound.Ctr, sound.C_50_5000, sound.Ctr_50_5000) == (
        narrow.C,
        narrow.Ctr,
        broad.C,
        broad.Ctr,
    )
    table = list(csv.DictReader(io.StringIO(sound_bytes(sound).decode("utf-8-sig"))))
    assert [float(r["frequency_hz"]) for r in table] == list(sound.frequency)
    iso = [float(r["shortfall_iso717_db"]) for r in table]
    american = [float(r["shortfall_e413_db"]) for r in table]
    assert iso == pytest.approx([0, 0, 0, *shortfalls(sound.R), 0, 0])
    assert american == pytest.approx([0, 0, 0, 0, *stc_shortfalls(sound.R), 0])
    assert [float(r["uncertainty_db"]) for r in table] == list(sound.uncertainty.bands)


def test_the_door_that_would_do_is_the_least_that_does(doored):
    sound = doored.sound
    area = sound.with_door.area / (LONG.length * LONG.height * 1e-8)
    assert 0.1 < area < 0.3
    need = sound.with_door.rating_for_one
    for rating, enough in ((need, True), (need - 1, False)):
        opening = dataclasses.replace(WALL.openings[0], rating=rating)
        whole = wc.design(
            dataclasses.replace(WALL, openings=(opening,)), wc.Option(stud_centres=400, fill="wool-75")
        ).sound
        assert (whole.with_door.Rw >= whole.Rw - 1) is enough


def test_chosen_constants_are_three_and_inside_their_ranges():
    assert len(chosen()) == 3
    for constant in chosen():
        assert constant.low <= constant.value <= constant.high
        assert constant.meaning
        assert constant.source


@pytest.mark.parametrize("model", MODELS)
def test_every_model_says_when_a_wall_is_outside_its_range(model):
    leaf = Leaf(8.4, 12.5)
    far = Build(leaf, leaf, 30.0, 38.0, (19.0, 419.0), 438.0, 2400.0)
    near = Build(leaf, leaf, 89.0, 38.0, (19.0, 419.0), 438.0, 2400.0, Absorber(50.0, 15.0, 8000.0))
    assert any("cavity of 30 mm" in note for note in predict(far, model).notes)
    assert predict(near, model).notes == ()


def test_a_condition_on_stc_holds_the_lower_end_of_the_range_to_a_least(wide):
    summary = wide.summary()
    low, high = wide.sound.STC_low, wide.sound.STC
    for text, holds in (
        (f"STC at least {low}", True),
        (f"STC at least {high}", False),
        (f"STC at most {high}", True),
        (f"STC at most {low}", False),
    ):
        (condition,) = read_conditions(text, measures("GBP"))
        assert condition.holds(summary) is holds


def test_an_axis_says_that_it_draws_the_upper_end():
    assert measure("STC").title == "STC, upper figure where centres are wide"
    assert measure("Rw").title == "Rw, dB"


STUDS = ("end stud", "stud", "double stud", "jamb stud")


@pytest.mark.parametrize(
    "option",
    [
        wc.Option(stud_centres=450, board_orientation="horizontal"),
        wc.Option(stud_layout="fitted"),
        wc.Option(stud_centres=600, layers_b=2),
    ],
    ids=["doubled at sheets' ends", "fitted", "module"],
)
def test_sound_reads_the_studs_as_they_stand(option):
    design = wc.design(LONG, option)
    members = design.members[design.members["role"].isin(STUDS)]
    middles = sorted((members["x"] + 0.5 * members["width"]).tolist())
    build = design.parts.build
    assert list(build.stud_x) == pytest.approx(middles)
    gaps = np.diff(middles).tolist()
    if option.board_orientation == "horizontal":
        assert min(gaps) == pytest.approx(38.0)  # a pair stands at a joint
    # bays of the model: one for each gap wider than a pair's, as wide as the gap
    wide_gaps = [g for g in gaps if g > 38.0 + 40.0]
    assert [s.bay.spacing * 1e3 for s in bays_of(build)] == pytest.approx(wide_gaps)
    evened = dataclasses.replace(build, stud_x=tuple(np.linspace(middles[0], middles[-1], len(middles))))
    assert max(gaps) - min(gaps) > 1.0
    assert np.abs(np.subtract(predict(build).R, predict(evened).R)).max() > 0.3


class OneMinimum:
    """Rules with one minimum, in STC."""

    @staticmethod
    def rows(table):
        use = {"room_use": WALL.room_a.use, "rating": "STC", "with_door": True, "not_beside": []}
        return (
            ({**use, "least": 36, "source": "a test", "status": "computed"},)
            if table == "sound_minimum"
            else ()
        )


@pytest.mark.parametrize(("low", "verdict"), [(36, "caution"), (35, "fail")])
def test_a_minimum_in_stc_is_held_against_the_lower_end(wide, low, verdict):
    sound = dataclasses.replace(wide.sound, STC=38, STC_low=low)
    facts = dataclasses.replace(wide.parts.facts, rules=OneMinimum(), sound=sound)
    found = [r for r in sound_minimum(facts) if r.check == "sound minimum"]
    assert {(r.value, r.verdict) for r in found} == {(low, verdict)}
