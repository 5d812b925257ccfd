"""The panel's widgets, driven as the browser drives them: by setting values and clicking."""

from __future__ import annotations

import asyncio
import re
from dataclasses import replace

import ipywidgets as w
import pandas as pd
import pytest

import wallcalc as wc
from wallcalc.panel import StudyPanel, job
from wallcalc.panel.background import Background
from wallcalc.shipped import data_folder


@pytest.fixture
def panel(tmp_path):
    return StudyPanel("closet.toml", own_walls=tmp_path / "walls", exports=tmp_path / "exports")


def _widgets(root):
    yield root
    for child in getattr(root, "children", ()):
        yield from _widgets(child)


def _html(panel):
    return [x for x in _widgets(panel) if isinstance(x, w.HTML)]


def _source(html):
    return re.search(r'src="([^"]+)"', html).group(1)


def test_every_control_is_labelled_and_no_label_is_clipped(panel):
    controls = [x for x in _widgets(panel) if hasattr(x, "description") and not isinstance(x, w.HTML)]
    assert len(controls) > 20
    for control in controls:
        assert control.description or getattr(control, "tooltip", None)
        if isinstance(
            control, (w.Dropdown, w.Text, w.FloatSlider, w.BoundedFloatText, w.BoundedIntText)
        ) and not getattr(control, "tooltip", None):
            assert control.style.description_width == "initial"


def test_slider_and_number_and_buttons_move_together(panel):
    controls = panel.controls
    before = {side: panel.elevations[side].value for side in "AB"}
    controls.slider.value = 400
    assert panel.state.option.stud_centres == 400
    assert controls.number.value == 400
    assert all(panel.elevations[side].value != before[side] for side in "AB")
    controls.number.value = 512.5
    assert controls.number.value == 512.5, "what is typed is kept"
    assert controls.slider.value in (512.0, 513.0), "the slider rests on one of its steps"
    assert panel.state.option.stud_centres == 512.5
    button = next(b for b in controls.usual.children if b.description == "450")
    button.click()
    assert panel.state.option.stud_centres == 450
    assert [b.description for b in controls.usual.children if "wallcalc-on" in b._dom_classes] == ["450"]
    assert panel.state.last_error is None


def test_every_choice_reaches_the_option(panel):
    for name, widget in panel.controls.choices.items():
        values = [value for value in widget._options_values if value != widget.value]
        assert values, name
        widget.value = values[0]
        expected = panel.controls.joint.value if values[0] == "height" else values[0] or None
        assert getattr(panel.state.option, name) == expected
        if name == "stud_layout":  # which leaves the centres and where they start without a meaning
            assert panel.controls.slider.disabled
            widget.value = "module"
            assert panel.state.option.stud_centres > 0
        assert panel.state.last_error is None, name


def test_an_option_that_cannot_be_built_is_shown_as_such(panel):
    panel.controls.choices["section"].value = "38x63"
    panel.controls.choices["fill"].value = panel.state.offers.fills[-1]
    assert not panel.state.buildable
    assert "cannot be built" in panel.status.value
    assert "cannot be built" in panel.figures.value
    assert "wallcalc-live" in panel.status._dom_classes
    panel.controls.choices["fill"].value = ""
    assert panel.state.buildable
    assert panel.state.last_error is None


def test_an_unforeseen_failure_reaches_the_status_line_and_is_kept(panel, monkeypatch):
    def fails(*args, **kwargs):
        raise RuntimeError("the <b>roof</b> fell in")
        yield

    monkeypatch.setattr(job, "design_steps", fails)
    panel.controls.number.value = 333
    assert isinstance(panel.state.last_error, RuntimeError)
    assert "the &lt;b&gt;roof&lt;/b&gt; fell in" in panel.status.value


def test_text_from_a_wall_file_cannot_run(tmp_path):
    wall = wc.Wall.load(data_folder() / "walls" / "closet.toml")
    evil = '"><img src=x onerror=alert(1)><script>alert(2)</script>'
    wall = replace(
        wall, name=evil, room_a=replace(wall.room_a, name=evil), room_b=replace(wall.room_b, name=evil)
    )
    panel = StudyPanel(wall, exports=tmp_path)
    panel.state.keep()
    panel.finish()
    panel.act(panel._export)
    for widget in _html(panel):
        assert "<script" not in widget.value
        assert "<img src=x" not in widget.value


def test_pictures_have_size_and_alt_text_that_states_a_finding(panel):
    panel.finish()
    for widget in (*panel.elevations.values(), panel.sweep, panel.trade):
        assert re.search(r'width="\d+" height="\d+" alt="[^"]{40,}"', widget.value)
    assert "Lowest cost" in panel.sweep.value
    assert "unbeaten" in panel.trade.value


def test_only_what_changes_is_drawn(panel, monkeypatch):
    panel.finish()
    calls = []
    monkeypatch.setattr(panel._sweep, "set_sweep", lambda *a: calls.append("lines"))
    before = _source(panel.sweep.value)
    panel.controls.slider.value = 450
    assert calls == []
    assert _source(panel.sweep.value) != before
    elevation = panel.elevations["A"].value
    panel.act(panel.state.keep)
    assert panel.elevations["A"].value is elevation


def test_table_has_a_head_for_every_column_and_the_values_of_the_study(panel):
    panel.folds["table"].turn(True)
    panel.finish()
    heads = re.findall(r"<th[^>]*>([^<]*)</th>", panel.table.table.value)
    cells = [re.findall(r"<td[^>]*>([^<]*)</td>", line) for line in panel.table.table.value.split("<tr")[2:]]
    assert {len(line) for line in cells} == {len(heads)}
    shown = pd.DataFrame(cells, columns=heads)
    rows = panel.state.tables.ordered("cost", show="buildable")
    assert len(shown) == len(rows)
    assert list(shown["row"]) == [str(n) for n in range(1, len(rows) + 1)]
    assert shown["cost, net of tax, GBP"].str.replace(",", "").to_numpy(float) == pytest.approx(
        rows["cost"].to_numpy(float), abs=0.006
    )
    assert shown["Rw, dB"].str.replace(",", "").to_numpy(float) == pytest.approx(rows["Rw"].to_numpy(float))
    assert shown["board waste, %"].str.replace(",", "").to_numpy(float) == pytest.approx(
        100 * rows["board_waste"].to_numpy(float), abs=0.06
    )
    assert set(shown["layers A + B"]) <= {"1 + 1", "2 + 2"}


def test_table_follows_its_controls(panel):
    panel.folds["table"].turn(True)
    panel.finish()
    panel.table.sort.value = "cost"
    low = panel.table.table.value
    panel.table.order_of.value = True
    assert panel.table.table.value != low
    assert "sorted by cost, net of tax, largest first" in panel.table.table.value
    panel.table.rows.value = "unbeaten"
    assert panel.table.table.value.count("<tr") == len(panel.state.tables.unbeaten()) + 1
    panel.table.pick.value = 1
    panel.act(panel.table.take)
    assert panel.state.row["cost"] == pytest.approx(panel.state.tables.unbeaten()["cost"].max())
    assert panel.state.last_error is None


def test_export_shows_full_paths_and_a_link_without_a_script(panel):
    panel.act(panel._export)
    assert str(panel.state.export_folder().resolve()) in panel.exported.value
    for path in panel.state.exported:
        assert path.name in panel.exported.value
    assert 'href="data:application/zip;base64,' in panel.exported.value
    assert "download=" in panel.exported.value
    assert "onclick" not in panel.exported.value


def test_cutting_plans_are_drawn_only_when_asked_for(panel):
    assert panel.details.cutting.value == ""
    panel.details.show_cuts.value = True
    assert panel.details.cutting.value.count("<img") == 2
    panel.details.show_cuts.value = False
    assert panel.details.cutting.value == ""


def test_background_rests_after_a_move_and_reports_the_end():
    left, reports = [3], []

    def step():
        left[0] -= 1
        return left[0] > 0

    async def scene():
        work = Background(step, reports.append, pytest.fail, rest=0.05, every=10)
        assert work.wake()
        await asyncio.sleep(0.02)
        assert left == [3]
        work.wake()
        await asyncio.sleep(0.2)

    asyncio.run(scene())
    assert left == [0]
    assert reports == [True]
    assert not Background(step, reports.append, pytest.fail).wake()


def test_background_hands_on_a_failure_and_stops():
    found = []

    def step():
        raise ValueError("no")

    async def scene():
        Background(step, pytest.fail, found.append, rest=0.0).wake()
        await asyncio.sleep(0.05)

    asyncio.run(scene())
    assert [str(error) for error in found] == ["no"]
