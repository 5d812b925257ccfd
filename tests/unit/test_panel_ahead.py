"""Work ahead of the next move: it guesses the right options, changes no result, and keeps within bounds."""

from __future__ import annotations

import asyncio
import os
import random
import threading
import time
from dataclasses import replace

import pytest

import wallcalc as wc
from wallcalc.panel import StudyPanel
from wallcalc.panel.ahead import MOST_KEPT, Ahead, likely
from wallcalc.panel.job import Job
from wallcalc.panel.offers import Offers
from wallcalc.panel.pictures import Pictures
from wallcalc.panel.state import StudyState


@pytest.fixture
def state(tmp_path):
    return StudyState("closet.toml", own_walls=tmp_path, exports=tmp_path)


@pytest.fixture(scope="module")
def offers():
    return Offers(wc.Rules.load("uk"), wc.PriceBook.load())


@pytest.fixture(scope="module")
def wall():
    return StudyState("closet.toml").wall


def test_the_same_step_again_comes_first_and_then_the_way_back(wall, offers):
    now = wc.Option(stud_centres=450.0)
    for step in (-1.0, 1.0, 10.0):
        found, _ = likely(replace(now, stud_centres=450.0 - step), now, wall, offers)
        assert [o.stud_centres for o in found[:3]] == [450.0 + step, 450.0 + 2 * step, 450.0 - step]


def test_after_a_jump_a_single_step_either_way_is_likeliest(wall, offers):
    found, _ = likely(wc.Option(stud_centres=600.0), wc.Option(stud_centres=450.0), wall, offers)
    assert [o.stud_centres for o in found[:3]] == [451.0, 452.0, 449.0]


def test_all_the_other_values_of_a_list_come_before_other_controls(wall, offers):
    then, now = wc.Option(), wc.Option(fill=offers.fills[0])
    found, far = likely(then, now, wall, offers)
    others = [f for f in (None, *offers.fills) if f != now.fill]
    assert found[0].fill == offers.fills[1], "the next one down the list"
    assert {o.fill for o in found} == set(others)
    assert far
    assert all(o.fill == now.fill for o in far)


def test_only_what_the_controls_offer_is_guessed_and_the_current_option_never(wall, offers):
    low, high = offers.centres
    for centres in (low, high, 406.4):
        now = wc.Option(stud_centres=centres)
        near, found = likely(now, now, wall, offers)
        assert found
        assert not near
        assert now not in found
        assert len(found) == len(set(found))
        assert all(low <= o.stud_centres <= high for o in found)


def test_a_step_that_was_guessed_is_there_and_is_what_it_would_be(state):
    state.choose(stud_centres=455.0)
    state.choose(stud_centres=454.0)
    while state.ahead.step():
        pass
    state.patient = True
    state.choose(stud_centres=453.0)
    job = state.pending
    assert isinstance(job.found, wc.Design), "nothing is left to do"
    state.complete()
    fresh = wc.design(state.wall, state.option, rules=state.rules, prices=state.prices)
    assert state.row == pytest.approx(fresh.summary(), nan_ok=True)
    assert state.design.members.equals(fresh.members)
    assert Pictures().image(job.found, "B", 1) == Pictures().image(fresh, "B", 1)


def test_no_piece_of_it_is_longer_than_a_stage(state, monkeypatch):
    """What a move may have to wait for is one stage or one picture, never a whole design."""
    drawn = []
    ahead = Ahead(lambda job, number: drawn.append((job.moment.option, number)) or number == 0)
    ahead.plan(replace(state.now, option=replace(state.option, stud_centres=610.0)), state.now, state.offers)
    stages, real = [], Job.step
    monkeypatch.setattr(Job, "step", lambda job: stages.append(job) or real(job))
    more = True
    while more:
        before = len(stages) + len(drawn)
        more = ahead.step()
        assert len(stages) + len(drawn) - before <= 1
    options = {job.moment.option for job in stages}
    assert {option for option, number in drawn if number == 1} == {
        job.moment.option for job in ahead.jobs.values() if isinstance(job.found, wc.Design)
    }
    assert options == {job.moment.option for job in ahead.jobs.values()}


def test_no_more_than_so_many_designs_are_kept(state):
    for k in range(MOST_KEPT + 5):
        state.choose(stud_centres=400.0 + k)
    assert len(state.ahead.jobs) == MOST_KEPT
    assert state.ahead.job(replace(state.now, option=replace(state.option, stud_centres=400.0))) is None
    assert state.ahead.job(state.now) is not None


def test_a_refusal_found_ahead_still_says_what_would_help(tmp_path):
    state = StudyState("laundry_plain.toml", own_walls=tmp_path, exports=tmp_path)
    state.choose(section="38x63")
    thick = next(f for f in reversed(state.offers.fills) if state.prices.fill(f).thickness > 630)
    refused = StudyState(state.wall, own_walls=tmp_path, exports=tmp_path, option=state.option)
    refused.choose(fill=thick)
    while state.ahead.step() or state.ahead.step(far=True):
        pass
    state.choose(fill=thick)
    assert [m.text for m in state.messages] == [m.text for m in refused.messages]
    assert not state.buildable


def test_saving_the_wall_while_its_option_is_in_work_does_not_leave_it_in_work(tmp_path):
    state = StudyState("closet.toml", own_walls=tmp_path, exports=tmp_path)
    state.patient = True
    state.choose(stud_layout="fitted")
    job = state.pending
    assert state.save_wall("mine")
    assert state.settle(job, job.run())
    assert state.pending is None
    assert state.design.option.stud_layout == "fitted"


def test_keeping_right_after_a_change_keeps_the_new_option(tmp_path):
    state = StudyState("closet.toml", own_walls=tmp_path, exports=tmp_path)
    state.patient = True
    state.keep()
    state.choose(stud_centres=450.0)
    assert state.pending is not None
    assert state.keep()
    assert [k.moment.option.stud_centres for k in state.kept] == [600.0, 450.0]
    state.choose(stud_layout="fitted")
    assert not state.keep()
    assert "still being worked out" in state.messages[0].text


def test_what_was_refused_is_forgotten_when_the_current_value_is_chosen_again(state):
    assert not state.choose(stud_centres=-5.0)
    assert state.messages[0].level == "error"
    assert state.choose(stud_centres=state.option.stud_centres)
    assert state.messages[0].level == "info"


def test_a_newer_move_overtakes_and_what_changed_is_told_from_what_was_shown(tmp_path):
    async def scene():
        panel = StudyPanel("closet.toml", own_walls=tmp_path, exports=tmp_path)
        shown = panel.elevations["A"].value
        panel.controls.number.value = 590.0
        first = panel.elevations["A"].value
        assert first != shown, "the picture does not wait for the event loop"
        assert panel.state.row is None, "what follows from it does"
        panel.controls.number.value = 580.0
        assert panel.elevations["A"].value not in (shown, first)
        await panel._background.move_done()
        assert "600 → 580 mm" in panel.changed.value
        assert "at 580 mm" in panel.status.value
        panel._background._task.cancel()
        return panel.state

    state = asyncio.run(scene())
    fresh = StudyState(state.wall, option=state.option)
    assert state.row == pytest.approx(fresh.row, nan_ok=True)


MOVES = {
    "stud_centres": (300.0, 450.0, 451.0, 452.0, 599.0, 600.0),
    "board_orientation": ("vertical", "horizontal"),
    "fill": (None, "wool-50", "wool-90"),
    "section": ("38x63", "38x89"),
    "layers_b": (1, 2),
    "stud_layout": ("module", "module", "fitted"),
}


def test_many_quick_moves_beside_slow_work_end_where_a_fresh_study_begins(tmp_path):
    chance = random.Random(int(os.environ.get("WALLCALC_SEED", "1")))

    async def scene():
        panel = StudyPanel("closet.toml", own_walls=tmp_path, exports=tmp_path)
        state, stop = panel.state, threading.Event()

        def beside():
            k = 0
            while not stop.is_set():
                k += 1
                wc.design(state.wall, wc.Option(stud_centres=300.0 + k % 300), rules=state.rules)

        thread = threading.Thread(target=beside)
        thread.start()
        try:
            for _ in range(int(os.environ.get("WALLCALC_MOVES", "25"))):
                what = chance.random()
                if what < 0.1:
                    panel.controls.rules.value = chance.choice(("uk", "us"))
                elif what < 0.2:
                    panel.act(chance.choice((state.undo, state.redo, panel._keep, state.drop_kept)))
                else:
                    name = chance.choice(list(MOVES))
                    panel.act(lambda name=name: state.choose(**{name: chance.choice(MOVES[name])}))
                await asyncio.sleep(chance.choice((0.0, 0.0, 0.002, 0.02, 0.1)))
            end = time.monotonic() + 60
            while state.pending is not None and time.monotonic() < end:
                await asyncio.sleep(0.02)
            await panel._background.move_done()
        finally:
            stop.set()
            thread.join()
        panel._background._task.cancel()
        return panel

    panel = asyncio.run(scene())
    state = panel.state
    fresh = StudyPanel(
        state.wall, rules=state.rules, own_walls=tmp_path, exports=tmp_path, option=state.option
    )
    assert state.last_error is None
    assert state.pending is None
    assert [m.text for m in state.messages] == [m.text for m in fresh.state.messages]
    assert state.row == pytest.approx(fresh.state.row, nan_ok=True)
    for name, widget in panel.controls.choices.items():
        assert widget.value == fresh.controls.choices[name].value, name
    if state.buildable:
        assert panel.elevations["A"].value == fresh.elevations["A"].value
        assert panel.elevations["B"].value == fresh.elevations["B"].value
        assert panel.details.checks.value == fresh.details.checks.value
    else:
        assert "cannot be built" in panel.status.value


def test_a_picture_that_fails_is_told_and_leaves_nothing_in_work(tmp_path, monkeypatch):
    async def scene():
        panel = StudyPanel("closet.toml", own_walls=tmp_path, exports=tmp_path)

        def fails(*args, **kwargs):
            raise RuntimeError("no ink")

        monkeypatch.setattr(Pictures, "image", fails)
        panel.controls.number.value = 590.0
        await panel._background.move_done()
        panel._background._task.cancel()
        return panel

    panel = asyncio.run(scene())
    assert "no ink" in panel.status.value
    assert panel.state.pending is None
    assert panel.state.row["buildable"]


def test_finishing_the_study_in_the_middle_of_a_move_finishes_the_move_first(tmp_path):
    async def scene():
        panel = StudyPanel("closet.toml", own_walls=tmp_path, exports=tmp_path)
        panel.controls.choices["section"].value = "38x63"
        assert panel.state.pending is not None
        panel.finish()
        assert panel.state.store.done == panel.state.store.total > 0
        assert panel.state.pending is None
        panel._background._task.cancel()

    asyncio.run(scene())
