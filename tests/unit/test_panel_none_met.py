"""Conditions that no option meets: how near they come is told, the next best is offered, what fails there is named."""

from __future__ import annotations

import pandas as pd
import pytest

from wallcalc.panel.conditions import read_conditions
from wallcalc.panel.none_met import none_met
from wallcalc.panel.view import StudyPanel
from wallcalc.panel.words import measures

KNOWN = measures("GBP")


def _rows(*figures: tuple[float, float, float]) -> pd.DataFrame:
    names = ("cost", "Rw", "fails")
    return pd.DataFrame([dict(zip(names, f, strict=True), buildable=True) for f in figures])


def _ask(text: str):
    return read_conditions(text, KNOWN)


def test_nothing_is_said_where_an_option_meets_everything_or_nothing_is_asked():
    rows = _rows((300, 40, 0), (200, 30, 2))
    assert none_met(rows, _ask("Rw at least 38, no fails")) is None
    assert none_met(rows, ()) is None
    assert none_met(rows.iloc[:0], _ask("no fails")) is None


@pytest.mark.parametrize(
    ("figures", "best"),
    [
        ([(300, 40, 2), (200, 30, 2)], 0),  # misses one condition, the other two
        ([(300, 40, 3), (400, 41, 2)], 1),  # misses it by less
        ([(300, 40, 2), (250, 41, 2)], 1),  # costs less
    ],
)
def test_the_next_best_misses_fewest_by_least_for_least(figures, best):
    found = none_met(_rows(*figures), _ask("Rw at least 38, no fails"))
    assert found.row["cost"] == figures[best][0]
    assert [str(c) for c in found.missed] == ["no fails"]


def test_options_that_cannot_be_built_count_for_nothing():
    rows = _rows((300, 40, 0), (200, 30, 2))
    rows.loc[0, "buildable"] = False
    found = none_met(rows, _ask("Rw at least 38, no fails"))
    assert (found.count, found.row["cost"]) == (1, 200)
    assert found.told == (
        "Rw at least 38 dB: none of them; the nearest has 30 dB",
        "no fails: none of them; the nearest has 2",
    )


def test_the_panel_tells_what_fails_and_takes_the_next_best(tmp_path):
    panel = StudyPanel("laundry_and_practice_room.toml", own_walls=tmp_path, exports=tmp_path)
    assert panel.take_next.layout.display == "none"
    panel.conditions.value = "Rw at least 38, no fails"
    panel.folds["table"].turn(True)
    panel.finish()
    rows = panel.state.tables.study()
    able = rows[rows["buildable"].astype(bool)]
    assert able["fails"].min() > 0
    quiet = able[able["Rw"] >= 38]
    wanted = quiet[quiet["fails"] == quiet["fails"].min()]["cost"].min()
    for text in (panel.key.value, panel.table.table.value):
        assert f"None of the {len(able)} options that can be built" in text
        assert f"Rw at least 38 dB: {len(quiet)} of them" in text
        assert f"{wanted:,.2f} GBP" in text
        assert "trough, hung screw" in text
    told = panel.key.value
    panel.take_next.click()
    panel.finish()
    assert panel.state.row["cost"] == pytest.approx(wanted)
    for check in panel.state.design.check_rows:
        assert check.verdict != "fail" or f"{check.subject}, {check.check}" in told, check.check
    panel.conditions.value = ""
    assert panel.take_next.layout.display == "none"
    assert panel.key.value.startswith("<ol")
    assert panel.state.last_error is None
