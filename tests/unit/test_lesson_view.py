"""The lesson's panels without a browser: guess, reveal, controls, questions, brief, and failures that are kept."""

from __future__ import annotations

import re

import pytest

from wallcalc.files import read_csv_table
from wallcalc.lesson import Lesson
from wallcalc.lesson.choice_buttons import ChoiceButtons
from wallcalc.lesson.quiz import FILE
from wallcalc.panel import page
from wallcalc.panel.spoken import ON


def _chosen(row: ChoiceButtons) -> list[str]:
    return [b.description for b in row.buttons if ON in b._dom_classes]


@pytest.fixture
def lesson(tmp_path) -> Lesson:
    return Lesson(exports=tmp_path / "exports", seed=5)


def test_nothing_is_shown_before_a_guess_and_the_guess_is_kept_after(lesson):
    panel = lesson.step("marks")
    assert panel.body.children == ()
    panel.show_me.click()
    assert "Give a number of mm" in panel.status.value
    assert panel.body.children == ()
    panel.typed.value = "100"
    panel.show_me.click()
    assert "You guessed 100 mm; it is 304 mm" in panel.said.value
    assert "<img" in panel.picture.value
    assert panel.typed.disabled
    assert panel.show_me.disabled
    assert lesson.state.last_error is None


def test_a_panel_made_again_shows_what_was_guessed(lesson):
    lesson.step("slabs").chosen.buttons[0].click()
    again = lesson.step("slabs")
    assert "You guessed 370 mm" in again.said.value
    assert _chosen(again.chosen) == ["370 mm wide"]
    assert all(b.disabled for b in again.chosen.buttons)


def test_slider_and_number_follow_each_other_and_the_buttons(lesson):
    panel = lesson.step("edges")
    panel.reveal("4")
    slider, number = panel.knobs["centres"]
    slider.value = 400.0
    assert number.value == 400.0
    assert panel.words.value.startswith("<p class='wallcalc-said'>8 of 8")
    jump = panel.knobs["jump"]
    assert _chosen(jump) == ["400 mm"]
    jump.buttons[0].click()
    assert (slider.value, number.value) == (300.0, 300.0)
    number.value = 305.0
    assert _chosen(jump) == []


def test_a_failure_is_said_and_kept(lesson, monkeypatch):
    panel = lesson.step("edges")
    panel.reveal("4")
    monkeypatch.setattr(lesson.state, "show", lambda key: 1 / 0)
    panel.knobs["centres"][0].value = 350.0
    assert isinstance(lesson.state.last_error, ZeroDivisionError)
    assert 'class="wallcalc-message error"' in panel.status.value


def test_text_from_a_person_is_escaped(lesson):
    panel = lesson.questions()
    lesson.state.quiz.ask("stud mark", 1)
    panel.answer("<img src=x onerror=alert(1)>")
    assert "<img" not in panel.status.value
    assert "&lt;img" in panel.status.value


def test_questions_are_answered_by_typing_or_pressing(lesson):
    panel, quiz = lesson.questions(), lesson.state.quiz
    quiz.ask("stud mark", 2)
    panel.refresh()
    assert panel.typed.layout.display == ""
    panel.typed.value = f"{quiz.current.answer / 10:g}"
    panel.check.click()
    assert "Right: " in panel.feedback.value
    assert panel.check.disabled
    panel.more.click()
    assert panel.feedback.value == ""
    assert panel.typed.value == ""
    quiz.ask("second face", 2)
    panel.refresh()
    assert panel.typed.layout.display == "none"
    wrong = quiz.current.mistakes[0].value
    panel.choice.children[0].buttons[wrong].click()
    assert "joints of both faces were put on one stud" in panel.feedback.value
    assert all(b.disabled for b in panel.choice.children[0].buttons)
    assert "1 of 2 answers right" in panel.progress.value


def test_progress_is_written_and_offered_for_download(lesson, tmp_path):
    panel = lesson.questions()
    panel.answer("1 m" if not lesson.state.quiz.current.choices else lesson.state.quiz.current.choices[0])
    panel.export.click()
    rows = read_csv_table(tmp_path / "exports" / FILE)
    assert len(rows) == 1
    assert re.search(
        r'href="data:text/csv;base64,[A-Za-z0-9+/=]+" download="lesson_progress.csv"', panel.exported.value
    )


def test_a_folder_that_cannot_be_written_is_said_in_place(lesson, tmp_path):
    (tmp_path / "exports").write_text("a file where the folder should be")
    panel = lesson.questions()
    panel.answer("1 m" if not lesson.state.quiz.current.choices else lesson.state.quiz.current.choices[0])
    panel.export.click()
    assert "could not be written" in panel.status.value
    assert lesson.state.last_error is None


def test_the_brief_is_handed_in_and_another_taken(lesson):
    panel = lesson.step("brief")
    panel.hand.click()
    assert "Guess first" in panel.foot.status.value
    asked = lesson.state.step("brief").asked
    panel.panel.chosen.buttons[0].click()
    centres = panel.panel.knobs["stud_centres"]
    assert _chosen(centres) == [centres.buttons[0].description]
    panel.hand.click()
    assert "Handed in" in panel.foot.status.value
    assert lesson.state.quiz.log[-1].seed == asked.seed
    before = panel.panel
    panel.other.click()
    assert panel.panel is not before
    assert panel.panel.body.children == ()
    assert lesson.state.last_error is None


def test_the_chosen_button_is_marked_by_more_than_colour():
    pressed = []
    row = ChoiceButtons("boards", [("upright", 1), ("on their side", 2)], 2, pressed.append)
    assert _chosen(row) == ["on their side"]
    assert ".wallcalc-press.wallcalc-on::before" in page.STYLE, "a tick stands before the chosen one"
    row.buttons[0].click()
    assert pressed == [1]
    row.choose(1)
    assert _chosen(row) == ["upright"]
    row.choose(None)
    assert _chosen(row) == []
