"""Undo, redo, keeping and 'what changed': the panel goes back to where it was, and says in words what moved."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest

import wallcalc as wc
from wallcalc.panel.changes import came_of_it, wall_changes
from wallcalc.panel.compare import side_by_side
from wallcalc.panel.kept import MOST_KEPT
from wallcalc.panel.state import StudyState
from wallcalc.shipped import data_folder


@pytest.fixture
def state(tmp_path):
    return StudyState("closet.toml", own_walls=tmp_path / "walls", exports=tmp_path / "exports")


def test_undo_and_redo_walk_the_whole_way_there_and_back(state):
    rng = random.Random(7)
    moments = [state.now]
    for _ in range(12):
        kind = rng.choice(["centres", "boards", "wall", "rules", "preset"])
        before = state.now
        if kind == "centres":
            state.choose(stud_centres=rng.choice([310.0, 345.0, 400.0, 480.0]))
        elif kind == "boards":
            state.choose(board_orientation=rng.choice(["vertical", "horizontal"]))
        elif kind == "wall":
            state.change_wall(replace(state.wall, length=state.wall.length + 10))
        elif kind == "rules":
            state.choose_rules("us" if state.rules.name == "uk" else "uk")
        else:
            state.choose(fill=rng.choice([None, state.offers.fills[0]]))
        if state.now != before:
            moments.append(state.now)
    assert len(moments) > 6
    for moment in reversed(moments[:-1]):
        assert state.undo()
        assert state.now == moment
    assert not state.undo()
    for moment in moments[1:]:
        assert state.redo()
        assert state.now == moment
    assert not state.redo()
    assert state.last_error is None


def test_a_new_move_after_undo_leaves_nothing_to_redo(state):
    state.choose(stud_centres=400)
    state.undo()
    state.choose(stud_centres=450)
    assert not state.redo()
    assert state.option.stud_centres == 450


def test_undo_brings_prices_and_an_edited_wall_back(state, tmp_path):
    cost = state.design.cost
    wall = state.edit.type(state.edit.top, "length", f"{state.wall.length / 10 + 300:g} mm")
    state.change_wall(wall)
    assert state.design.cost != cost
    assert "length" in state.changed
    state.undo()
    assert state.design.cost == cost
    assert state.edit.wall == state.wall, "the cells follow"


def test_up_to_four_are_kept_under_numbers_that_do_not_move(state):
    centres = [300.0, 400.0, 450.0, 500.0, 550.0]
    for number, value in enumerate(centres[:MOST_KEPT], 1):
        state.choose(stud_centres=value)
        assert state.keep()
        assert state.kept.number(number).row["stud_centres"] == value
        assert not state.keep(), "the same option is not kept twice"
    state.choose(stud_centres=centres[-1])
    assert not state.keep()
    assert "drop one" in state.messages[0].text
    state.drop_kept(2)
    assert state.keep()
    assert [k.row["stud_centres"] for k in state.kept] == [300.0, 550.0, 450.0, 500.0]
    assert state.return_to_kept(3)
    assert state.option.stud_centres == 450.0
    state.drop_kept()
    assert len(state.kept) == 0
    assert state.held_against() is None


def test_going_back_to_a_kept_option_of_another_wall_brings_its_wall_too(state):
    state.keep()
    closet = state.wall
    state.choose_wall("worked_wall.toml")
    assert state.kept.like(state.now) == [], "the charts of this wall do not show it"
    assert state.return_to_kept(1)
    assert state.wall == closet


def test_side_by_side_marks_the_best_of_each_row(state):
    rows = []
    for value in (300, 400, 600):
        state.choose(stud_centres=value)
        rows.append(state.row)
    found = {what: (texts, best) for what, texts, best in side_by_side(rows, "GBP")}
    assert found["stud centres, mm"][0] == ["300", "400", "600"]
    costs = [round(row["cost"], 2) for row in rows]
    assert found["cost, net of tax"][1] == {k for k, c in enumerate(costs) if c == min(costs)}
    rw = [row["Rw"] for row in rows]
    expected = set() if min(rw) == max(rw) else {k for k, v in enumerate(rw) if v == max(rw)}
    assert found["Rw"][1] == expected
    assert "boards" in found
    same = side_by_side([rows[0], rows[0]], "GBP")
    assert all(not best for _, _, best in same)


def test_what_changed_names_the_choice_and_every_figure_that_moved(state):
    before = dict(state.row)
    state.choose(stud_centres=300)
    assert state.changed.startswith("Changed: stud centres 600 → 300 mm.")
    studs = state.row["studs"] - before["studs"]
    assert f"studs +{studs:.0f}" in state.changed
    cost = round(state.row["cost"], 2) - round(before["cost"], 2)
    assert f"{'+' if cost > 0 else '−'}{abs(cost):,.2f} {state.prices.currency}" in state.changed
    state.undo()
    assert "300 → 600" in state.changed


def test_what_changes_between_kept_options(state):
    state.keep()
    state.choose(stud_centres=400, board_orientation="horizontal")
    state.keep()
    state.choose(stud_centres=450)
    said = state.between(1, 2)
    assert "stud centres 600 → 400 mm" in said
    assert "boards upright → on their side" in said
    assert "450" not in said
    assert "450 → 600" in state.between(0, 1)
    assert state.between(2, 2) == "The two are alike."
    assert state.between(3, 1) == ""


def test_changes_of_a_wall_name_the_item():
    wall = wc.Wall.load(data_folder() / "walls" / "laundry_and_practice_room.toml")
    heavier = replace(wall.hung[0], mass=60.0)
    said = wall_changes(wall, replace(wall, hung=(heavier, *wall.hung[1:]), services=wall.services[:1]))
    assert f"hung item {wall.hung[0].name} changed" in said
    assert f"service {wall.services[1].name} removed" in said
    assert not any(wall.hung[1].name in text for text in said)
    assert wall_changes(wall, replace(wall, length=wall.length + 5)) == [
        f"wall's length {wall.length / 10:g} → {wall.length / 10 + 0.5:g} mm"
    ]
    assert wall_changes(wall, wall) == []


def test_no_figures_are_told_of_an_option_that_cannot_be_built(state):
    assert came_of_it(state.row, {**state.row, "buildable": False}, "GBP") == []
    state.choose(section="38x63")
    assert not state.choose(fill=state.offers.fills[-1])
    assert "cavity fill none →" in state.changed
    assert "That makes" not in state.changed
