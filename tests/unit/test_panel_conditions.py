"""Conditions written by a person filter the study as a plain loop over its rows does."""

from __future__ import annotations

import pytest

from wallcalc.panel.conditions import ConditionError, meeting, read_conditions
from wallcalc.panel.state import StudyState
from wallcalc.panel.words import measures

KNOWN = measures("GBP")


@pytest.fixture(scope="module")
def state(tmp_path_factory):
    folder = tmp_path_factory.mktemp("conditions")
    state = StudyState("closet.toml", own_walls=folder, exports=folder)
    state.finish()
    return state


@pytest.mark.parametrize(
    ("text", "holds"),
    [
        ("Rw at least 36", lambda r: r["Rw"] >= 36),
        ("no fails", lambda r: r["fails"] == 0),
        ("cost at most 150 GBP; no fails", lambda r: round(r["cost"], 2) <= 150 and r["fails"] == 0),
        ("board waste < 30 %", lambda r: round(100 * r["board_waste"], 1) < 30),
        ("studs under 5 and RW over 35", lambda r: r["studs"] < 5 and r["Rw"] > 35),
        ("stc >= 38, cuts no more than 40", lambda r: r["STC"] >= 38 and r["cuts"] <= 40),
        ("cautions exactly 2", lambda r: r["cautions"] == 2),
        ("fill waste at most 90", lambda r: r["fill_waste"] <= 0.90),
    ],
)
def test_conditions_filter_as_a_plain_loop_does(state, text, holds):
    rows = state.tables.study()
    found = meeting(rows, read_conditions(text, KNOWN))
    expected = [k for k, r in rows.iterrows() if r["buildable"] and holds(r)]
    assert list(found.index) == expected
    assert len(rows) > len(expected)


def test_no_condition_leaves_all(state):
    rows = state.tables.study()
    assert len(meeting(rows, read_conditions("  ", KNOWN))) == len(rows)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("Rw big", ["Rw big", "conditions such as"]),
        ("no foos", ["foos", "one of the figures", "Rw"]),
        ("cost at most 12 m", ["m", "GBP"]),
        ("Rw at least forty", ["Rw at least forty"]),
        ("Rw at least 40, nonsense", ["condition 2", "nonsense"]),
    ],
)
def test_what_cannot_be_read_is_said_with_what_would_do(text, words):
    with pytest.raises(ConditionError) as error:
        read_conditions(text, KNOWN)
    for word in words:
        assert word in str(error.value)


def test_every_figure_can_be_named_by_its_label_and_column():
    for measure in KNOWN:
        for name in (measure.label.split(",")[0], measure.column):
            (found,) = read_conditions(f"{name} at most 3", KNOWN)
            assert found.measure.column == measure.column


def test_the_study_the_unbeaten_and_the_words_follow_the_conditions(state):
    every = state.tables.unbeaten()
    assert state.set_conditions("Rw at least 38, no fails")
    try:
        best = state.tables.unbeaten()
        assert len(state.tables.shown()) < len(state.tables.study())
        assert (best["Rw"] >= 38).all()
        assert (best["fails"] == 0).all()
        assert best["cost"].min() >= every["cost"].min()
        assert not state.set_conditions("Rw at least forty")
        assert [str(c) for c in state.conditions] == ["Rw at least 38 dB", "no fails"], "the old ones stay"
    finally:
        state.set_conditions("")
