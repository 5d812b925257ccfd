"""A wall edited cell by cell: what reads becomes the wall, what does not is said in place, nothing typed is lost."""

from __future__ import annotations

import asyncio
import base64
import re
from dataclasses import replace
from datetime import UTC, datetime

import ipywidgets as w
import pytest

import wallcalc as wc
from wallcalc.given.parts import Access, Joists
from wallcalc.given.wall import Wall
from wallcalc.given.wall_file import dumps_wall
from wallcalc.panel import StudyPanel
from wallcalc.panel.exporting import export_folder
from wallcalc.panel.state import StudyState
from wallcalc.panel.wall_cells import ROOM, TABLES, WALL
from wallcalc.panel.wall_edit import WallEdit
from wallcalc.panel.wall_transfer import download_link, wall_file_name
from wallcalc.shipped import data_folder
from wallcalc.trade.price_file import HEADER

WALLS = sorted((data_folder() / "walls").glob("*.toml"))


@pytest.fixture
def edit():
    return WallEdit(wc.Wall.load(data_folder() / "walls" / "laundry_and_practice_room.toml"))


@pytest.mark.parametrize("path", WALLS, ids=lambda p: p.stem)
def test_cells_of_a_shipped_wall_read_back_as_the_same_wall(path):
    wall = wc.Wall.load(path)
    edit = WallEdit(wall)
    assert edit.read() == wall
    assert edit.sound


def test_an_item_is_changed_as_the_tape_says(edit):
    row = edit.tables["hung"][0]
    wall = edit.type(row, "fixings", "3 ft, 33 in; 52 in, 840")
    assert wall.hung[0].fixings == ((9144, 8382), (13208, 8400))
    wall = edit.type(row, "mass", "100 lb")
    assert wall.hung[0].mass == pytest.approx(45.359237)
    assert wall.hung[0].name == "trough"
    assert wall.hung[1] == edit.wall.hung[1]


@pytest.mark.parametrize(
    ("table", "number", "key", "text", "words"),
    [
        ("hung", 0, "mass", "46 bananas", ["mass, kg", "46 bananas", "46 kg"]),
        ("hung", 0, "fixings", "0,92 m", ["fixings", "0,92 m", "after a point"]),
        ("hung", 1, "fixings", "5 m, 1 m", ["no more than 3.84 m from the left"]),
        ("hung", 1, "mass", "", ["mass, kg", "nothing stands here"]),
        ("hung", 1, "name", "Trough", ["a name of its own"]),
        ("service", 0, "diameter", "0.5", ["diameter", "a length from"]),
        ("service", 0, "at", "1.12 m", ["a comma between"]),
        ("opening", 0, "leaf", "5 m", ["door leaf", "from 300 mm to 3 m"]),
        ("opening", 0, "left", "2.70", ["2.7 m"]),
    ],
)
def test_what_does_not_read_is_said_at_its_row_and_stays_typed(edit, table, number, key, text, words):
    before = edit.wall
    row = edit.tables[table][number]
    assert edit.type(row, key, text) is None
    assert row.texts[key] == text
    assert key in row.wrong
    said = " ".join(row.problems)
    for word in words:
        assert word in said
    assert not any(other.problems for other in edit.rows() if other is not row)
    assert edit.wall == before
    edit.put_back()
    assert edit.sound
    assert edit.read() == before


def test_what_is_wrong_elsewhere_does_not_hide_what_is_right_once_it_is_mended(edit):
    a, b = edit.tables["hung"][0], edit.tables["service"][0]
    assert edit.type(a, "mass", "heavy") is None
    assert edit.type(b, "diameter", "50 mm") is None
    wall = edit.type(a, "mass", "50 kg")
    assert wall.hung[0].mass == 50
    assert wall.services[0].diameter == 500


def test_a_new_row_counts_only_when_it_is_complete(edit):
    before = edit.wall
    row = edit.add("hung")
    assert row.problems
    assert all(text.startswith("Still needed") for text in row.problems)
    assert edit.type(edit.tables["service"][0], "diameter", "40 mm").services[0].diameter == 400
    assert edit.type(row, "name", "shelf").hung == before.hung
    assert edit.type(row, "fixings", "2.0 m, 1.5 m; 2.4 m, 1.5 m").hung == before.hung
    wall = edit.type(row, "mass", "6")
    assert [h.name for h in wall.hung] == ["trough", "instrument rack", "shelf"]
    assert wall.hung[-1].fixings == ((20000, 15000), (24000, 15000))
    assert edit.type(row, "mass", "") is None, "now it is part of the wall, and not left out by itself"
    edit.type(row, "mass", "6")
    assert edit.remove("hung", row.number).hung == before.hung


def test_a_service_and_a_door_are_added_and_removed(edit):
    row = edit.add("service")
    for key, text in (("name", "socket"), ("kind", "socket"), ("at", "600 mm, 450 mm"), ("side", "B")):
        edit.type(row, key, text)
    wall = edit.type(row, "size", "146 mm, 86 mm")
    assert wall.services[-1].size == (1460, 860)
    assert wall.services[-1].side == "B"
    door = edit.tables["opening"][0]
    assert edit.type(row, "at", "2.9 m, 450 mm") is None
    assert "a point clear of opening 1" in row.problems[0]
    edit.type(row, "at", "1.6 m, 450 mm")
    assert edit.remove("opening", door.number).openings == ()
    again = edit.add("opening")
    edit.type(again, "left", "0.3 m")
    wall = edit.type(again, "leaf", "686 mm")
    assert wall is not None, [r.problems for r in edit.rows() if r.problems]
    assert wall.openings[0].leaf == 6860


def test_every_key_of_the_wall_file_s_tables_has_a_cell_or_is_kept(edit):
    text = (data_folder() / "walls" / "laundry_and_practice_room.toml").read_text(encoding="utf-8")
    wall = Wall.loads(text)
    heavy = wall.hung[0]
    line = replace(heavy, line=((9200, 8400), (13200, 8400)), line_centres=4000, pad=600)
    wall = replace(wall, hung=(line, *wall.hung[1:]))
    edit = WallEdit(wall)
    assert edit.read() == wall
    assert edit.type(edit.tables["hung"][0], "mass", "50").hung[0].line == line.line
    assert {c.key for c in TABLES["hung"]} >= {
        "name",
        "side",
        "kind",
        "fixings",
        "mass",
        "extra",
        "projection",
        "backing",
    }
    assert len({c.key for c in WALL}) == len(WALL)
    assert len({c.key for c in ROOM}) == len(ROOM)


def test_rooms_and_measures(edit):
    wall = edit.type(edit.rooms["B"], "wet", "yes")
    assert wall.room_b.wet
    wall = edit.type(edit.top, "height", "0 m, 2.4 m; 3.84 m, 2.62 m")
    assert wall.heights == ((0, 24000), (38400, 26200))
    assert edit.type(edit.top, "height", "2.5") is None
    assert "2.5 m" in edit.top.problems[0]


def test_joists_and_the_way_in(edit):
    for key, text in (("direction", "along"), ("centres", "400 mm")):
        wall = edit.type(edit.joists["below"], key, text)
    assert wall.joists_below == Joists("along", None, 4000)
    assert wall.joists_above == edit.wall.joists_above
    for key, text in (("width", "2 ft 6 in"), ("height", "1.98 m"), ("landing", "1200")):
        wall = edit.type(edit.access, key, text)
    assert wall.access == Access(7620, 19_800, 12_000)
    assert edit.type(edit.access, "landing", "").access == Access(7620, 19_800, 0)
    assert Wall.loads(dumps_wall(edit.wall)) == edit.wall


@pytest.mark.parametrize(
    ("part", "texts", "words"),
    [
        ("above", {"direction": "along", "first": "450"}, ["first from the left", 'direction = "across"']),
        ("below", {"direction": "solid", "centres": "400"}, ["centres", "no centres"]),
        ("below", {"direction": "across", "first": "900", "centres": "400"}, ["no farther than the centres"]),
        ("above", {"centres": "4 bananas"}, ["centres", "4 bananas"]),
        ("access", {"width": "76 km"}, ["clear width", "76 km"]),
    ],
)
def test_joists_and_a_way_in_that_do_not_read_are_said_in_place(edit, part, texts, words):
    row = edit.access if part == "access" else edit.joists[part]
    for key, text in texts.items():
        wall = edit.type(row, key, text)
    assert wall is None
    assert row.wrong
    assert all(word in " ".join(row.problems) for word in words)
    assert not any(other.problems for other in edit.rows() if other is not row)
    edit.put_back()
    assert edit.read() == edit.wall
    assert edit.sound


@pytest.fixture
def panel(tmp_path):
    made = StudyPanel("closet.toml", own_walls=tmp_path / "walls", exports=tmp_path / "exports")
    made.folds["wall"].turn(True)
    made.folds["files"].turn(True)
    return made


def test_boxes_change_the_wall_and_say_what_is_wrong_in_place(panel):
    top = panel.editor._top.children[0]
    before = panel.state.wall
    top.boxes["length"].value = "1.5"
    assert panel.state.wall == before
    assert top.boxes["length"].value == "1.5", "nothing typed is lost"
    assert "wallcalc-alert" in top.said._dom_classes
    assert "1.5 m" in top.said.value
    assert "wallcalc-wrong" in top.boxes["length"]._dom_classes
    top.boxes["length"].value = "1.5 m"
    assert panel.state.wall.length == 15000
    assert top.said.value == ""
    assert panel.state.last_error is None
    assert panel.editor._top.children[0] is top, "the box that is being typed in stays"
    panel.act(panel.state.undo)
    assert panel.state.wall == before
    assert panel.editor._top.children[0].boxes["length"].value != "1.5 m"


def test_boxes_of_joists_and_the_way_in_change_the_wall_and_are_undone(panel):
    before = panel.state.wall
    way = panel.editor.ends["access"].children[0]
    assert before.joists_above.direction == "along"
    below = panel.editor.ends["joists"].children[3]
    below.boxes["direction"].value = "along"
    assert panel.state.wall == before, "joists along the wall have no first one from the left"
    assert "found &quot;180 mm&quot;; accepted: no first joist" in below.said.value
    assert "wallcalc-wrong" in below.boxes["first"]._dom_classes
    below.boxes["first"].value = ""
    assert panel.state.wall.joists_below == Joists("along", None, 4000)
    assert below.said.value == ""
    assert "joists below changed" in panel.changed.value
    way.boxes["width"].value = "760"
    assert panel.state.wall.access.width == 7600
    for _ in range(2):
        panel.act(panel.state.undo)
    assert panel.state.wall == before
    assert panel.editor.ends["access"].children[0].boxes["width"].value == ""
    assert panel.state.last_error is None


def test_rows_are_added_and_removed_by_buttons(panel):
    panel.editor.adders["hung"].click()
    (view,) = panel.editor.lists["hung"].children
    for key, text in (("name", "<b>shelf</b>"), ("fixings", "0.4 m, 1.5 m"), ("mass", "x")):
        view.boxes[key].value = text
    assert "&quot;x&quot;" in view.said.value
    assert panel.state.wall.hung == ()
    view.boxes["mass"].value = "5"
    assert [h.name for h in panel.state.wall.hung] == ["<b>shelf</b>"]
    assert "<b>" not in panel.changed.value
    assert panel.state.last_error is None
    remove = next(x for x in _widgets(view) if isinstance(x, w.Button))
    remove.click()
    assert panel.state.wall.hung == ()
    assert panel.editor.lists["hung"].children == ()


def test_a_wall_file_is_taken_or_refused_in_place(panel):
    good = (data_folder() / "walls" / "worked_wall.toml").read_bytes()
    _upload(panel.files.wall_file, "mine.toml", good)
    assert panel.state.wall == wc.Wall.load(data_folder() / "walls" / "worked_wall.toml")
    assert panel.files.wall_said.value == ""
    assert "mine" in panel.controls.wall.label
    before = panel.state.wall
    _upload(panel.files.wall_file, "bad.toml", b'name = "x"\nlength = "3,84 m"\nheigth = "2.4 m"\n')
    assert panel.state.wall == before
    said = panel.files.wall_said.value
    for word in ("bad.toml", "3,84 m", "heigth"):
        assert word in said
    assert "beside the file chooser" in panel.status.value
    _upload(panel.files.wall_file, "empty.toml", b"")
    assert "length" in panel.files.wall_said.value
    _upload(panel.files.wall_file, "picture.toml", bytes(range(256)))
    assert "UTF-8" in panel.files.wall_said.value
    assert panel.state.last_error is None
    _upload(panel.files.wall_file, "mine.toml", good)
    assert panel.files.wall_said.value == ""


def test_what_was_wrong_with_a_file_goes_when_it_is_mended_although_its_option_is_still_in_work(tmp_path):
    good = (data_folder() / "walls" / "worked_wall.toml").read_bytes()

    async def scene():
        panel = StudyPanel("closet.toml", own_walls=tmp_path, exports=tmp_path)
        for name, content, wrong in (
            ("hall.toml", b"x", True),
            ("hall.toml", good, False),
            ("hall.toml", b"x", True),
        ):
            _upload(panel.files.wall_file, name, content)
            assert bool(panel.files.wall_said.value) == wrong
        await panel._background.move_done()
        panel._background._task.cancel()
        return panel.state

    assert asyncio.run(scene()).wall == wc.Wall.load(data_folder() / "walls" / "worked_wall.toml")


def test_a_price_file_without_a_header_shows_the_header(panel):
    text = (data_folder() / "prices.csv").read_text(encoding="utf-8-sig")
    _upload(panel.files.price_file, "mine.csv", text.split("\n", 1)[1].encode())
    assert HEADER in panel.files.price_said.value
    assert "mine.csv" in panel.files.price_said.value
    assert panel.state.prices_from == "invented demo prices"
    _upload(panel.files.price_file, "mine.csv", text.encode())
    assert panel.files.price_said.value == ""
    assert panel.state.prices_from == "mine.csv"
    panel.act(panel.state.undo)
    assert panel.state.prices_from == "invented demo prices"


def test_a_wall_is_saved_beside_the_notebook_and_as_a_download(tmp_path):
    state = StudyState("closet.toml", own_walls=tmp_path / "walls", exports=tmp_path)
    longer = replace(state.wall, length=state.wall.length + 100)
    state.change_wall(longer)
    assert state.save_wall("My closet, longer")
    path = tmp_path / "walls" / "my_closet_longer.toml"
    assert wc.Wall.load(path) == longer
    assert str(path.resolve()) in state.messages[0].text
    assert path in state.wall_choices().values()
    state.change_wall(replace(longer, length=longer.length + 100))
    assert state.save_wall("my_closet_longer.toml")
    assert wc.Wall.load(path) == longer
    numbered = tmp_path / "walls" / "my_closet_longer_2.toml"
    assert wc.Wall.load(numbered) == state.wall
    assert str(numbered.resolve()) in state.messages[0].text
    assert "A number was added, for my_closet_longer.toml holds another wall" in state.messages[0].text
    assert state.save_wall("my_closet_longer.toml")
    assert len(list(numbered.parent.iterdir())) == 2, "the same wall needs no third file"
    assert state.save_wall("my_closet_longer", replace_file=True)
    assert wc.Wall.load(path) == state.wall
    name, uri = download_link(state.wall, "../../etc/x")
    assert name == wall_file_name("etc x") == "etc_x.toml"
    assert Wall.loads(base64.b64decode(uri.split(",", 1)[1]).decode()) == state.wall


def test_a_slip_of_ten_is_asked_about_and_taken_only_when_it_is_confirmed(edit):
    before = edit.wall
    assert edit.type(edit.top, "length", "415 mm") is None
    assert str(edit.top.asked["length"]) == "415 mm: did you mean 4.15 m?"
    assert (edit.wall, edit.top.problems, edit.sound) == (before, edit.top.problems, False)
    assert edit.type(edit.top, "length", "4.15 m").length == 41_500
    assert edit.sound
    trough = edit.tables["hung"][0]
    assert edit.type(trough, "mass", "460 kg") is None
    assert str(trough.asked["mass"]) == "460 kg: did you mean 46 kg?"
    assert edit.keep(trough, "mass").hung[0].mass == 460
    assert edit.sound
    assert edit.type(trough, "mass", "480 kg") is None, "another size is another question"
    edit.put_back()
    assert edit.sound
    assert edit.wall.hung[0].mass == 460


def test_a_size_that_came_with_the_file_is_asked_about_and_holds_nothing_up():
    wall = replace(wc.Wall.load(data_folder() / "walls" / "closet.toml"), skirting=9500)
    edit = WallEdit(wall)
    assert str(edit.top.asked["skirting"]) == "950 mm: did you mean 95 mm?"
    assert edit.type(edit.top, "name", "other").name == "other"
    assert edit.top.asked
    assert edit.keep(edit.top, "skirting") == edit.wall
    assert edit.sound


def test_the_question_stands_under_the_boxes_with_both_answers(panel):
    row = panel.editor._views[panel.state.edit.top.number]
    length = panel.state.wall.length
    row.boxes["length"].value = "415 mm"
    (asked,) = row.questions.children
    said, take, keep = asked.children
    assert "clear length: 415 mm: did you mean 4.15 m?" in said.value
    assert (take.description, keep.description) == ("Take 4.15 m", "Keep 415 mm")
    assert panel.state.wall.length == length
    take.click()
    assert panel.state.wall.length == 41_500
    assert row.boxes["length"].value == "4.15 m"
    assert row.questions.children == ()
    row.boxes["length"].value = "500 mm"
    row.questions.children[0].children[-1].click()
    assert panel.state.wall.length == 5000
    assert row.questions.children == ()


def test_walls_named_in_any_script_each_have_a_file_of_their_own(tmp_path):
    state = StudyState("closet.toml", own_walls=tmp_path, exports=tmp_path)
    for number, name in enumerate(["Стена", "日本", "🏠", "קיר", "جدار", "Größe", "?!", "CON", "nul.toml"]):
        state.change_wall(replace(state.wall, name=name, length=state.wall.length + 10 * number))
        assert state.save_wall(name)
    stems = {path.stem for path in tmp_path.iterdir()}
    assert stems == {"стена", "日本", "🏠", "קיר", "جدار", "größe", "wall", "con_", "nul_"}


def test_an_export_of_another_wall_with_the_same_name_is_not_overwritten(tmp_path):
    moment = StudyState("closet.toml", own_walls=tmp_path, exports=tmp_path).now
    first = export_folder(tmp_path, moment)
    first.mkdir(parents=True)
    moment.wall.save(first / "wall.toml")
    assert export_folder(tmp_path, moment) == first
    other = replace(moment, wall=replace(moment.wall, length=moment.wall.length + 10))
    second = export_folder(tmp_path, other)
    assert (second.parent.name, second.name) == (f"{first.parent.name}_2", first.name)


def test_every_box_of_the_editor_says_what_it_is(panel):
    panel.editor.adders["service"].click()
    boxes = [x for x in _widgets(panel.editor) if isinstance(x, w.Text | w.Dropdown)]
    assert len(boxes) > 20
    assert all(": </span>" in box.description for box in boxes)
    assert len({box.description for box in boxes}) == len(boxes), "no two boxes are heard alike"
    assert re.search("Show|Hide", panel.folds["wall"].head.description)


def _upload(widget, name, content):
    about = {"name": name, "type": "", "size": len(content), "last_modified": datetime.now(UTC)}
    widget.value = ({**about, "content": memoryview(content)},)


def _widgets(root):
    yield root
    for child in getattr(root, "children", ()):
        yield from _widgets(child)
