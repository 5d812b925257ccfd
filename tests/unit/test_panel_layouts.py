"""The fitted layout beside the modules in the panel: worked out away from the controls, told and chosen."""

from __future__ import annotations

import asyncio
import time

import pytest

import wallcalc as wc
from wallcalc.designing.layouts import layouts
from wallcalc.panel import StudyPanel, job
from wallcalc.panel.layouts_work import HEADS, LayoutsWork, cheapest, layouts_table, sentence, work_out
from wallcalc.panel.state import WORKING, StudyState


@pytest.fixture(scope="module")
def state(tmp_path_factory):
    folder = tmp_path_factory.mktemp("layouts")
    return StudyState("closet.toml", own_walls=folder, exports=folder)


def test_table_sentence_and_designs_agree_with_the_layouts_in_code(state):
    found = work_out(state.now)
    rows = layouts(state.wall, wc.Option(stud_layout="fitted"), rules=state.rules, prices=state.prices)
    assert len(found.rows) == len(rows)
    fitted, module = cheapest(found.rows, True), cheapest(found.rows, False)
    modules = rows[rows["buildable"].astype(bool) & (rows["stud_layout"] == "module")]
    assert module["timber_and_boards"] == modules["timber_and_boards"].min()
    assert fitted["timber_and_boards"] <= module["timber_and_boards"] + 1e-9
    (_, a), (_, b) = found.designs
    for row, design in ((fitted, a), (module, b)):
        assert (design.cost_cents["timber"] + design.cost_cents["board"]) / 100 == pytest.approx(
            row["timber_and_boards"]
        )
    text = layouts_table(found)
    assert text.count("<tr") == len(rows) + 1
    assert text.count("<th ") == len(HEADS)
    saved = module["timber_and_boards"] - fitted["timber_and_boards"]
    assert (f"{saved:,.2f} GBP less" in sentence(found, "GBP")) == (saved > 0.004)


def test_choosing_a_layout_from_the_comparison(state):
    work = LayoutsWork(state)
    assert not work.choose(True)
    job, take = work.slow_work()
    take(job())
    assert work.slow_work() is None
    assert work.choose(False)
    row = cheapest(work.found.rows, False)
    assert state.option.stud_centres == row["stud_centres"]
    assert work.slow_work() is None, "the centres do not matter to it"
    assert work.choose(True)
    assert state.option.stud_layout == "fitted"
    state.choose(stud_layout="module")
    state.choose(layers_a=2)
    assert work.slow_work() is not None
    state.undo()


def test_a_slow_option_leaves_the_controls_free_and_the_last_picture_up(tmp_path, monkeypatch):
    async def scene():
        panel = StudyPanel("closet.toml", own_walls=tmp_path, exports=tmp_path)
        before = panel.elevations["A"].value
        real = job.design_steps

        def slow(*args, **kwargs):
            time.sleep(0.3)
            yield from real(*args, **kwargs)

        monkeypatch.setattr(job, "design_steps", slow)
        begun = time.perf_counter()
        panel.controls.choices["stud_layout"].value = "fitted"
        assert time.perf_counter() - begun < 0.25, "the move does not wait for the design"
        assert WORKING in panel.status.value
        assert panel.elevations["A"].value == before
        assert "cannot be built" not in panel.figures.value
        for _ in range(100):
            await asyncio.sleep(0.05)
            if panel.state.pending is None:
                break
        assert panel.state.buildable
        assert WORKING not in panel.status.value
        assert panel.state.design.option.stud_layout == "fitted"
        assert "fitted" in panel.changed.value
        assert panel.state.last_error is None

    asyncio.run(scene())


def test_a_move_made_while_a_slow_option_is_in_work_wins(tmp_path):
    state = StudyState("closet.toml", own_walls=tmp_path, exports=tmp_path)
    state.patient = True
    assert not state.choose(stud_layout="fitted")
    slow = state.pending
    state.choose(stud_layout="module")
    state.complete()
    assert state.buildable
    shown = state.design
    assert not state.settle(slow, slow.run())
    assert state.design is shown
    assert state.choose(stud_layout="fitted"), "what was worked out meanwhile is kept"


def test_going_back_to_a_wall_whose_layouts_are_known_says_no_longer_that_they_are_in_work(tmp_path):
    async def scene():
        panel = StudyPanel("closet.toml", own_walls=tmp_path, exports=tmp_path)
        panel.folds["layouts"].turn(True)
        while panel.layouts.work.found is None:
            await asyncio.sleep(0.05)
        panel.layouts.refresh()
        assert "<progress" not in panel.layouts.said.value
        before = panel.layouts.picture.value
        panel.act(lambda: panel.state.choose_wall("worked_wall.toml"))
        await panel._background.move_done()
        assert "<progress" in panel.layouts.said.value
        assert panel.layouts.picture.value == before, "the old picture stays until the new one is there"
        panel.act(panel.state.undo)
        await panel._background.move_done()
        assert "<progress" not in panel.layouts.said.value
        panel._background._task.cancel()

    asyncio.run(scene())
