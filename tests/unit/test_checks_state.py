"""The checks notebook's state and picture, without a browser."""

from __future__ import annotations

import re

import pytest

import wallcalc as wc
from wallcalc.draw.use_bars import SHOWN_TO, UseBar, UseBars, bars_alt
from wallcalc.panel.checks_state import MOST_HEIGHT, ChecksState
from wallcalc.panel.checks_view import ChecksPanel
from wallcalc.units.lengths import MM


@pytest.fixture
def state() -> ChecksState:
    return ChecksState("worked_wall.toml")


def test_bars_are_the_worst_of_each_kind_greatest_first(state: ChecksState) -> None:
    bars = state.bars()
    assert [b.use for b in bars] == sorted((b.use for b in bars), reverse=True)
    assert len({b.name for b in bars}) == len(bars)
    table = state.design.checks
    for bar in bars:
        assert bar.use == table.loc[table["check"] == bar.name, "use"].max()


def test_the_load_knob_multiplies_the_rules_loads_only(state: ChecksState) -> None:
    before = {
        r.case.split()[0]: r for r in state.rows if r.check == "stud shear" and r.subject.startswith("stud")
    }
    assert state.choose(load=2.0)
    after = {
        r.case.split()[0]: r for r in state.rows if r.check == "stud shear" and r.subject.startswith("stud")
    }
    assert set(before) == {"line", "area", "point"}
    for case, row in after.items():
        assert row.use == pytest.approx(2 * before[case].use, rel=1e-4)
    assert any("0.72 kN/m" in r.case for r in state.rows)
    state.choose(load=1.0)
    assert state.rules == wc.Rules.load("uk")


def test_a_deeper_stud_eases_and_a_taller_room_loads(state: ChecksState) -> None:
    def stiffness() -> float:
        return max(r.use for r in state.rows if r.check == "stud deflection")

    slim = stiffness()
    state.choose(section="38x140")
    assert stiffness() < slim
    state.choose(section="38x89", height=2990.0)
    assert stiffness() > slim
    assert state.wall.height == 2990 * MM


def test_what_governs_is_said_with_its_use(state: ChecksState) -> None:
    state.choose(section="38x63", load=3.0)
    row = state.governing(strength_only=True)
    assert row.verdict == "fail"
    assert row.check in state.governs()
    assert f"{row.use:.2f}" in state.governs()
    assert "Fails: " in state.governs()


def test_what_cannot_be_built_is_told_and_the_last_design_stays(state: ChecksState) -> None:
    old = state.design
    assert state.choose(height=1900.0) is False  # lower than the door
    assert state.message
    assert state.design is old
    assert state.choose(height=9999.0)
    assert state.height == MOST_HEIGHT
    assert state.message == ""


def test_picture_cuts_long_bars_off_and_says_their_use() -> None:
    bars = [UseBar("stud bending", "a <case>", 3.2, "fail"), UseBar("height", "b", 0.5, "ok")]
    chart = UseBars(rows=4)
    chart.update(bars)
    assert chart._bars[0].get_width() == SHOWN_TO
    assert chart._bars[1].get_width() == 0.5
    assert not chart._bars[2].get_visible()
    assert chart._bars[0].get_hatch() != chart._bars[1].get_hatch()  # told apart without colour
    alt = bars_alt(bars)
    assert "1 of 2 pass it" in alt
    assert "3.20, fail" in alt
    image = chart.show(alt)
    assert "a &lt;case&gt;" in image
    assert re.search(r'width="\d+" height="\d+"', image)


def test_panel_follows_its_controls_and_keeps_a_failure() -> None:
    panel = ChecksPanel("worked_wall.toml")
    assert panel.state.last_error is None
    slider, number = panel.knobs["stud_centres"]
    slider.value = 450.0
    assert number.value == 450.0
    assert panel.state.option.stud_centres == 450.0
    number.value = 600.0
    assert slider.value == 600.0
    panel.section.value = "38x63"
    assert panel.state.option.section == "38x63"
    assert "What governs" in panel.governs.value
    assert "<img" in panel.chart.value
    panel.knobs["height"][0].value = 1900.0
    assert "cannot be built" in panel.status.value

    def broken() -> None:
        raise RuntimeError("<no>")

    panel.act(broken)
    assert isinstance(panel.state.last_error, RuntimeError)
    assert "&lt;no&gt;" in panel.status.value
