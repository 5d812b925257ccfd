"""Sweeps of any choice, maps of two, presets: every option that they make is one that could be made by hand."""

from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np
import pytest

import wallcalc as wc
from wallcalc.draw.choice_map import (
    COLOURS,
    ChoiceMap,
    MapAxes,
    MapCell,
    choice_map_alt,
    ink_on,
    reason_letters,
)
from wallcalc.draw.choice_sweep import ChoiceSweep, SweepPoint, choice_sweep_alt
from wallcalc.given.option import OPTION_FIELDS
from wallcalc.panel.across import along, crossed, values_of
from wallcalc.panel.across_rows import (
    map_axes,
    map_cells,
    map_wanted,
    reasons_of_map,
    sweep_points,
    sweep_wanted,
)
from wallcalc.panel.presets import PRESETS, preset_option
from wallcalc.panel.state import StudyState
from wallcalc.panel.words import measures
from wallcalc.shipped import data_folder


@pytest.fixture(scope="module")
def state(tmp_path_factory):
    folder = tmp_path_factory.mktemp("across")
    return StudyState("closet.toml", own_walls=folder, exports=folder)


@pytest.mark.parametrize("name", OPTION_FIELDS)
@pytest.mark.parametrize("rules", ["uk", "us"])
def test_every_choice_can_be_swept_and_the_current_value_is_among_them(state, name, rules):
    state.choose_rules(rules)
    values = values_of(name, state.option, state.wall, state.offers)
    assert getattr(state.option, name) in values
    assert len(values) == len(set(values)) >= 2
    points = along(name, state.option, state.wall, state.offers)
    for value, orientation, option in points:
        assert getattr(option, name) == value
        if option.stud_layout == "module":
            assert option.board_orientation == orientation
        others = set(OPTION_FIELDS) - {name, "board_orientation"}
        if name not in ("stud_layout",):
            assert all(getattr(option, n) == getattr(state.option, n) for n in others)
    state.choose_rules("uk")


def test_a_sweep_of_an_option_in_the_fitted_layout_brings_the_module_back_where_it_must(state):
    fitted = replace(state.option, stud_layout="fitted")
    for _, _, option in along("stud_centres", fitted, state.wall, state.offers):
        assert option.stud_layout == "module"
        assert option.stud_centres >= 300
    assert {o.stud_layout for _, _, o in along("fill", fitted, state.wall, state.offers)} == {"fitted"}
    ends = along("set_out_from", fitted, state.wall, state.offers)
    assert {o.set_out_from for _, _, o in ends} == {"left", "right", "middle"}


@pytest.mark.parametrize(
    ("x", "y"), [("stud_centres", "fill"), ("sheet", "board_orientation"), ("section", "fill")]
)
def test_a_map_holds_every_pair_once_with_the_study_s_value(state, x, y):
    measure = next(m for m in measures("GBP") if m.column == "cost")
    state.want(map_wanted(state, x, y))
    cells = map_cells(state, x, y, measure)
    assert any(not c.known for c in cells)
    state.finish()
    cells, axes = map_cells(state, x, y, measure), map_axes(state, x, y, measure)
    assert len(cells) == len(axes.columns) * len(axes.rows) == len({(c.column, c.row) for c in cells})
    assert all(c.known for c in cells)
    (current,) = [c for c in cells if c.current]
    assert current.value == pytest.approx(state.design.cost)
    xs, ys = (values_of(n, state.option, state.wall, state.offers) for n in (x, y))
    for cell in cells[:: max(len(cells) // 5, 1)]:
        option = replace(state.option, **{x: xs[cell.column], y: ys[cell.row]})
        row = wc.study(state.wall, [option], rules=state.rules, prices=state.prices).iloc[0]
        assert bool(row["buildable"]) == cell.buildable
        if cell.buildable:
            assert cell.value == pytest.approx(row["cost"])
        else:
            assert cell.reason == row["reason"]
    state.want([])


def test_a_map_with_the_layout_on_an_axis_has_one_option_for_all_centres_of_the_fitted_one(state):
    found = crossed("stud_layout", "stud_centres", state.option, state.wall, state.offers)
    fitted = {o for a, _, o in found if a == "fitted"}
    assert len(fitted) == 1
    assert {o.stud_centres for a, _, o in found if a == "module"} == {
        *values_of("stud_centres", state.option, state.wall, state.offers)
    }


def test_cells_that_cannot_be_built_carry_a_letter_that_the_list_explains(state):
    measure = measures("GBP")[0]
    state.want(map_wanted(state, "section", "fill"))
    state.finish()
    cells, axes = map_cells(state, "section", "fill", measure), map_axes(state, "section", "fill", measure)
    assert any(not c.buildable for c in cells)
    text = reasons_of_map(cells, axes)
    for reason, letter in reason_letters(cells).items():
        assert f"<strong>{letter}</strong>" in text
        assert reason.split(";")[0] in text
    assert "cannot be built" in choice_map_alt(cells, axes)
    state.want([])


def test_alt_texts_state_the_finding():
    axes = MapAxes("centres", "fill", ("300", "600"), ("none", "wool"), "cost, GBP", 2, "low")
    cells = [
        MapCell(0, 0, 120.0),
        MapCell(1, 0, 100.0, current=True),
        MapCell(0, 1, 180.5),
        MapCell(1, 1, float("nan"), True, False, "too thick"),
    ]
    text = choice_map_alt(cells, axes)
    assert "Lowest 100.00 at 600 and none; highest 180.50 at 300 and wool" in text
    assert "1 of 4 cannot be built: 600 and wool" in text
    points = [
        SweepPoint(0, "none", "vertical", 35.0, current=True),
        SweepPoint(1, "wool", "vertical", 38.0),
        SweepPoint(1, "wool", "horizontal", float("nan"), True, False, "too thick"),
        SweepPoint(2, "felt", "vertical", float("nan"), False),
    ]
    text = choice_sweep_alt(points, "cavity fill", "Rw, dB", 0)
    assert "Lowest 35 with none, boards upright; highest 38 with wool, boards upright" in text
    assert "Current option: 35" in text
    assert "1 of 4 cannot be built: wool, boards on their side" in text
    assert "1 are still being worked out" in text
    assert 'alt="' in ChoiceSweep().show(points, "cavity fill", "Rw, dB", 0, text)
    assert 'alt="' in ChoiceMap().show(cells, axes, text)


def test_the_map_reads_in_grey_and_its_figures_stand_out():
    # Lightness rises all along the colours; the contrast ratio of the figures is at least 4.5 to 1 (WCAG 2.1, 1.4.3).
    import matplotlib

    def luminance(c):
        linear = [v / 12.92 if v <= 0.04045 else ((v + 0.055) / 1.055) ** 2.4 for v in c[:3]]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    shades = [luminance(c) for c in matplotlib.colormaps[COLOURS](np.linspace(0, 1, 64))]
    assert all(b > a for a, b in itertools.pairwise(shades))
    for colour, shade in zip(matplotlib.colormaps[COLOURS](np.linspace(0, 1, 64)), shades, strict=True):
        ink = 0.0 if ink_on(tuple(colour)) == "#000000" else 1.0
        light, dark = max(ink, shade), min(ink, shade)
        assert (light + 0.05) / (dark + 0.05) >= 4.5


def test_sweep_points_are_the_study_s_values(state):
    measure = next(m for m in measures("GBP") if m.column == "board_waste")
    state.want(sweep_wanted(state, "sheet"))
    state.finish()
    points = sweep_points(state, "sheet", measure)
    for point, (_, _, option) in zip(
        points, along("sheet", state.option, state.wall, state.offers), strict=True
    ):
        row = wc.study(state.wall, [option], rules=state.rules, prices=state.prices).iloc[0]
        assert point.value == pytest.approx(100 * row["board_waste"], nan_ok=True)
    state.want([])


@pytest.mark.parametrize("wall", ["closet", "worked_wall", "laundry_plain"])
@pytest.mark.parametrize("rules", ["uk", "us"])
def test_every_preset_can_be_built(wall, rules, tmp_path):
    state = StudyState(f"{wall}.toml", rules=rules, own_walls=tmp_path, exports=tmp_path)
    seen = set()
    for preset in PRESETS:
        assert state.choose_preset(preset), (preset.name, state.messages)
        assert state.preset.name in {
            p.name for p in PRESETS if preset_option(p, state.wall, state.offers) == state.option
        }
        seen.add(state.option)
    assert len(seen) == len(PRESETS)
    assert len({p.name for p in PRESETS}) == len(PRESETS)


def test_presets_do_what_their_names_say(tmp_path):
    state = StudyState("laundry_plain.toml", own_walls=tmp_path, exports=tmp_path)
    by_name = {p.name: p for p in PRESETS}
    state.choose_preset(by_name["plain wall"])
    plain = dict(state.row)
    state.choose_preset(by_name["quiet wall"])
    assert state.row["Rw"] >= plain["Rw"] + 4
    state.choose_preset(by_name["stiff wall at a low price"])
    assert state.row["stiffness_use"] <= plain["stiffness_use"]
    state.choose_preset(by_name["tiled wet wall"])
    assert state.design.boards.query("side == 'A'")["board_type"].str.startswith("moisture").all()
    assert state.row["cautions"] + state.row["fails"] <= plain["cautions"] + plain["fails"]
    state.undo()
    assert state.preset.name == "stiff wall at a low price"


def test_a_preset_chooses_a_moisture_board_only_on_the_wet_side():
    wall = wc.Wall.load(data_folder() / "walls" / "laundry_plain.toml")
    state = StudyState(wall)
    option = preset_option({p.name: p for p in PRESETS}["tiled wet wall"], wall, state.offers)
    assert option.board_a.startswith("moisture")
    assert option.board_b is None
