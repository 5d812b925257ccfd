"""The panel without a browser: what its controls do, what it says when something is wrong, what it exports."""

from __future__ import annotations

import base64
import csv
import io
import zipfile
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pandas as pd
import pytest

import wallcalc as wc
from wallcalc.given.parts import Opening
from wallcalc.panel.exporting import export_folder
from wallcalc.panel.offers import Offers, usual_centres
from wallcalc.panel.state import StudyState
from wallcalc.panel.study_rows import study_options, sweep_options
from wallcalc.panel.words import CHOICES, Measure, difference, table
from wallcalc.shipped import data_folder


@pytest.fixture
def state(tmp_path):
    return StudyState("closet.toml", own_walls=tmp_path / "walls", exports=tmp_path / "exports")


@pytest.fixture(scope="module")
def finished(tmp_path_factory):
    folder = tmp_path_factory.mktemp("study")
    state = StudyState("closet.toml", own_walls=folder, exports=folder)
    state.finish()
    return state


def test_every_choice_of_an_option_has_a_label():
    assert set(CHOICES) == set(wc.Option.__dataclass_fields__)


@pytest.mark.parametrize("centres", [300.0, 345.6, 487.3, 600.0])
def test_any_centres_and_the_design_follows(state, centres):
    assert state.choose(stud_centres=centres)
    assert state.design.option.stud_centres == centres
    assert state.row["stud_centres"] == centres
    assert state.row["cost"] == pytest.approx(state.design.cost)
    assert state.last_error is None


def test_the_row_is_the_one_a_study_gives(state):
    state.choose(stud_centres=450, board_orientation="horizontal")
    alone = wc.study(state.wall, [state.option], rules=state.rules, prices=state.prices).iloc[0]
    for column in ("cost", "board_waste", "Rw", "studs"):
        assert state.row[column] == pytest.approx(alone[column])


def test_usual_centres_divide_the_sheets():
    # 1200 mm boards in halves, thirds and quarters, 900 mm boards in halves; 16 and 24 in in 48 in boards.
    prices = wc.PriceBook.load()
    assert Offers(wc.Rules.load("uk"), prices).usual == (300.0, 400.0, 450.0, 600.0)
    inch = Offers(wc.Rules.load("us"), prices).usual
    assert {406.4, 609.6} <= set(inch)
    assert usual_centres([1250.0], 300, 600, 50) == ()


def test_sweep_takes_usual_centres_first_and_both_orientations():
    found = sweep_options(wc.Option(fill="wool-50"), (300, 400, 450, 600), 300, 600)
    assert {(o.stud_centres, o.board_orientation) for o in found[:8]} == {
        (c, b) for c in (300, 400, 450, 600) for b in ("vertical", "horizontal")
    }
    assert len(found) == len(set(found)) == 2 * 31
    assert {o.fill for o in found} == {"wool-50"}


def test_study_options_cross_fill_centres_orientation_and_layers():
    found = study_options(wc.Option(layers_a=2), (400, 600), [None, "wool-50"])
    assert len(found) == len(set(found)) == 2 * 2 * 2 * 3
    assert {(o.layers_a, o.layers_b) for o in found} == {(1, 1), (2, 2), (2, 1)}


def test_a_choice_that_is_not_accepted_is_said_and_changes_nothing(state):
    before = state.option
    assert not state.choose(stud_centres=5000)
    assert state.option == before
    assert state.messages[0].level == "error"
    assert "stud_centres" in state.messages[0].text
    assert state.last_error is None


def test_an_option_that_cannot_be_built_says_why_and_cannot_be_kept_or_exported(state):
    thick = state.offers.fills[-1]
    if state.choose(section="38x63", fill=thick):
        pytest.fail(f"{thick} should not fit a 63 mm cavity")
    assert state.messages[0].level == "error"
    assert "to make it buildable" in state.messages[0].text
    assert not state.keep()
    assert state.export() == []
    assert state.last_error is None
    assert state.row["reason"]


def test_a_bad_wall_file_lists_its_problems_and_the_wall_stays(state, tmp_path):
    bad = tmp_path / "bad.toml"
    bad.write_text('name = "x"\nlength = "three"\nheigth = "2.4 m"\n', encoding="utf-8")
    name = state.wall.name
    assert not state.choose_wall(bad)
    assert state.wall.name == name
    text = state.messages[0].text
    assert "length" in text
    assert "heigth" in text
    assert not state.choose_wall(tmp_path / "nothing.toml")
    assert state.messages[0].level == "error"
    assert state.last_error is None


def test_a_wall_that_cannot_be_built_is_refused_clearly(state, tmp_path):
    low = tmp_path / "crawl_space.toml"
    heights = 'length = "3 m"\nheight = [["0 m", "300 mm"], ["1.5 m", "2.4 m"], ["1.51 m", "0.3 m"], ["3 m", "0.3 m"]]'
    low.write_text(f'name = "crawl space"\n{heights}\n', encoding="utf-8")
    assert not state.choose_wall(low)
    assert any("measured heights" in message.text for message in state.messages)
    assert state.design is None
    assert state.last_error is None
    assert state.choose_wall("closet.toml")


def test_a_wall_under_a_roof_is_shown(state):
    from wallcalc.panel.page import title

    assert state.choose_wall("sloping_ceiling.toml")
    assert "1450 to 2350 mm high" in title(state)
    assert state.design is not None
    assert state.last_error is None
    assert state.choose_wall("closet.toml")


def test_own_walls_are_found(state, tmp_path):
    folder = tmp_path / "walls"
    folder.mkdir()
    state.wall.save(folder / "my_box_room.toml")
    assert state.choose_folder(folder)
    label = next(name for name in state.wall_choices() if "my box room" in name)
    assert state.choose_wall(state.wall_choices()[label])
    assert not state.choose_folder(tmp_path / "none")


def test_rules_set_choices_back_to_what_is_on_offer(state):
    state.choose(stud_centres=600, sheet=state.offers.sheets(None)[-1])
    assert state.choose_rules("us")
    assert state.option.stud_centres == pytest.approx(609.6)
    assert state.option.sheet is None
    assert state.undo()
    assert state.rules.name == "uk"
    assert state.option.stud_centres == 600


def test_own_prices_at_twice_the_money_cost_twice_as_much(state, tmp_path):
    before = state.design.cost
    with (data_folder() / "prices.csv").open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.DictReader(file))
    path = tmp_path / "my_prices.csv"
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, rows[0].keys())
        writer.writeheader()
        writer.writerows(row | {"price": f"{2 * Decimal(row['price']):.2f}"} for row in rows)
    assert state.choose_prices(path)
    assert state.design.cost == pytest.approx(2 * before)
    path.write_text("nothing\n", encoding="utf-8")
    assert not state.choose_prices(path)
    assert state.messages[0].level == "error"


def test_undo_goes_back_one_step_at_a_time(state):
    first = state.option
    state.choose(stud_centres=450)
    state.choose(fill=state.offers.fills[0])
    state.undo()
    assert state.option == replace(first, stud_centres=450)
    state.undo()
    assert state.option == first
    assert not state.undo()


@pytest.mark.parametrize(
    ("now", "then", "text", "verdict"),
    [
        (0.30, 0.10, "+20.0 points", "worse"),
        (0.10, 0.30, "−20.0 points", "better"),
        (0.1, 0.1, "same", ""),
        (float("nan"), 0.1, "not comparable", ""),
    ],
)
def test_difference_in_words(now, then, text, verdict):
    waste = Measure("w", "waste", "%", 1, 100.0, "low")
    assert difference(waste, {"w": now}, {"w": then}) == (text, verdict)


def test_finished_study_holds_every_option_once_and_can_be_sorted(finished):
    rows = finished.tables.study()
    wanted = {*finished.tables.study_wanted(), *finished.tables.sweep_wanted(), finished.option}
    assert len(rows) == len(wanted)
    assert finished.store.done == finished.store.total
    by_cost = finished.tables.ordered("cost", descending=True, show="buildable")
    assert by_cost["buildable"].all()
    assert by_cost["cost"].is_monotonic_decreasing
    everything = finished.tables.ordered("Rw")
    assert len(everything) == len(rows)
    assert everything["Rw"].dropna().is_monotonic_increasing
    assert not everything["buildable"].iloc[-1] or everything["buildable"].all()
    assert rows.loc[~rows["buildable"].astype(bool), "reason"].str.len().gt(0).all()


def test_unbeaten_options_are_those_no_other_beats(finished):
    rows = finished.tables.study()
    rows = rows[rows["buildable"].astype(bool)]
    best = finished.tables.unbeaten()
    pairs = set(zip(best["cost"], best["Rw"], strict=True))
    brute = {
        (c, r)
        for c, r in zip(rows["cost"], rows["Rw"], strict=True)
        if not any(
            (c2 <= c and r2 >= r) and (c2 < c or r2 > r)
            for c2, r2 in zip(rows["cost"], rows["Rw"], strict=True)
        )
    }
    assert pairs == brute
    assert len(best) == len(brute)


def test_a_row_of_the_study_becomes_the_current_option(finished):
    row = finished.tables.ordered("cost", show="buildable").iloc[-1]
    assert finished.choose_row(row)
    assert finished.row["cost"] == pytest.approx(row["cost"])


def test_advance_keeps_to_its_time_and_does_no_work_twice(state):
    total = state.store.total
    assert state.advance(0.0)
    assert state.store.done < total
    state.finish()
    assert not state.store.advance(10.0)
    known = dict(state.store.rows)
    state.finish()
    assert state.store.rows == known


def test_export_writes_files_that_read_back_and_one_archive(state):
    paths = state.export()
    assert paths
    assert state.exported == paths
    order = pd.read_csv(next(p for p in paths if "order" in p.name))
    assert order["cost"].sum() == pytest.approx(state.design.cost)
    name, uri = state.download()
    assert name.endswith(".zip")
    archive = zipfile.ZipFile(io.BytesIO(base64.b64decode(uri.removeprefix("data:application/zip;base64,"))))
    assert sorted(archive.namelist()) == sorted(p.name for p in paths)
    assert archive.read(paths[0].name) == Path(paths[0]).read_bytes()


def test_export_to_a_place_that_cannot_be_written_is_said(state, tmp_path):
    (tmp_path / "file").write_text("in the way", encoding="utf-8")
    state.exports = tmp_path / "file"
    assert state.export() == []
    assert state.messages[0].level == "error"
    assert state.last_error is None


def test_cautions_name_what_can_hurt_and_follow_the_option(state):
    said = " ".join(subject + " " + text for subject, text in state.cautions()).lower()
    for word in (
        "load",
        "asbestos",
        "dust",
        "cables",
        "pipes",
        "lift",
        "fire",
        "escape",
        "licensed",
        "local",
    ):
        assert word in said
    assert "mineral wool" not in said
    state.choose(fill=state.offers.fills[0])
    assert "mineral wool" in " ".join(subject for subject, _ in state.cautions()).lower()


def test_tables_escape_every_text():
    text = table(["<i>"], [["<script>"]], '"><img src=x onerror=y>', classes=['"x'])
    assert "<script" not in text
    assert "<img" not in text
    assert "<i>" not in text


def test_every_option_has_an_export_folder_of_its_own(state: StudyState) -> None:
    folders = set()
    for choices in (
        {},
        {"set_out_from": "right"},
        {"sheet": "1200x2700"},
        {"layers_a": 2},
        {"layers_b": 2},
        {"board_a": "dense-15"},
        {"board_b": "dense-15"},
        {"fill": "wool-50"},
        {"course_from": "floor"},
        {"stud_centres": 412.5},
        {"section": "38x63"},
        {"board_orientation": "horizontal"},
    ):
        moment = replace(state.now, option=wc.Option(**choices))
        folders.add(export_folder(state.exports, moment))
    assert len(folders) == 12


def test_the_files_hold_plans_that_were_searched_further(state: StudyState) -> None:
    shown = state.design.cost
    paths = {path.name: path for path in state.export()}
    order = pd.read_csv(paths["order_list.csv"], encoding="utf-8-sig")
    assert round(order["cost"].sum(), 2) <= round(shown, 2)
    bounds = pd.read_csv(paths["cutting_bounds.csv"], encoding="utf-8-sig")
    assert bounds.loc[bounds["material"] == "timber", "proven"].all()
    assert round(order["cost"].sum(), 2) == round(state.row["cost"], 2), "what is shown is what was written"


def test_a_wall_longer_than_any_timber_is_told_where_its_plates_are_joined(tmp_path: Path) -> None:
    wall = wc.Wall("Hall", 74000, ((0, 24000),))
    state = StudyState(wall, own_walls=tmp_path, exports=tmp_path)
    said = dict(state.cautions())["Plates in pieces"]
    plates = state.design.members.query("role == 'head plate'")
    assert len(plates) == 2
    assert f"the head plate is joined at {plates['x'].max():g} mm" in said
    assert "Plates in pieces" not in dict(StudyState("closet.toml", exports=tmp_path).cautions())
    with_door = StudyState("worked_wall.toml", exports=tmp_path)
    assert "Plates in pieces" not in dict(with_door.cautions()), "a plate that stops at a door is not joined"


@pytest.mark.parametrize(
    ("length", "left", "words"),
    [
        (9000, 0, ["opening[1].leaf", "918 mm wide", "900 mm long", "a narrower door, or a longer wall"]),
        (20000, 12000, ["opening[1].left", "no more than 1082 mm", "918 mm wide"]),
    ],
)
def test_a_door_that_does_not_fit_is_told_what_would(tmp_path, length, left, words):
    door = Opening("door", left, leaf=8380)
    state = StudyState(wc.Wall("Hall", length, ((0, 24000),), openings=(door,)), exports=tmp_path)
    assert not state.buildable
    for word in words:
        assert word in state.messages[0].text
    assert state.last_error is None
