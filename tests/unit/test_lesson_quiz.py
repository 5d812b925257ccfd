"""A session of questions: order, marking, progress, and a CSV that a spreadsheet cannot take for a formula."""

from __future__ import annotations

import csv
import io
from datetime import datetime

import pytest

from wallcalc.files import read_csv_table
from wallcalc.lesson.question import CHOICE, LENGTH
from wallcalc.lesson.questions import KINDS
from wallcalc.lesson.quiz import COLUMNS, FILE, Quiz
from wallcalc.units.quantities import format_length


def right_text(quiz: Quiz) -> str:
    asked = quiz.current
    return format_length(asked.answer) if asked.form == LENGTH else asked.choices[asked.answer]


def wrong_text(quiz: Quiz) -> str:
    asked = quiz.current
    value = asked.mistakes[0].value
    return format_length(value) if asked.form == LENGTH else asked.choices[value]


@pytest.fixture
def quiz() -> Quiz:
    return Quiz(7, clock=lambda: datetime(2026, 3, 4, 9, 30, 15))


def test_all_kinds_come_once_when_all_is_right(quiz):
    seen = []
    for _ in KINDS:
        seen.append(quiz.current.kind)
        assert quiz.answer(right_text(quiz))
        assert quiz.marked.right
        quiz.next()
    assert sorted(seen) == sorted(KINDS)
    assert quiz.kinds_right == len(KINDS)
    assert quiz.current.kind in KINDS  # a new round


def test_a_kind_answered_wrong_comes_back_with_another_variant(quiz):
    first = quiz.current
    quiz.answer(wrong_text(quiz))
    assert quiz.log[-1].diagnosis == first.mistakes[0].name
    later = [quiz.next() for _ in range(3)]
    again = [q for q in later if q.kind == first.kind]
    assert len(again) == 1
    assert again[0].seed != first.seed


def test_an_answer_that_cannot_be_read_is_not_counted(quiz):
    quiz.ask("stud mark", 1)
    assert not quiz.answer("a bit more than 2 m")
    assert "accepted" in quiz.message
    assert quiz.log == []
    assert quiz.marked is None
    assert quiz.answer(right_text(quiz))
    assert quiz.message == ""


def test_a_question_is_answered_once(quiz):
    quiz.answer(right_text(quiz))
    assert not quiz.answer(wrong_text(quiz))
    assert len(quiz.log) == 1


def test_progress_names_what_to_look_at_again(quiz):
    assert "No question answered yet" in quiz.progress()
    quiz.ask("clear bay", 4)
    quiz.answer(wrong_text(quiz))
    quiz.ask("bar length", 4)
    quiz.answer(right_text(quiz))
    assert "1 of 2 answers right" in quiz.progress()
    assert "the centres were taken as the clear gap" in quiz.progress()


def test_two_sessions_differ_and_one_seed_repeats():
    assert Quiz(1).current == Quiz(1).current
    assert len({Quiz().current.seed for _ in range(4)}) > 1


def test_the_csv_holds_every_answer_and_no_formula(quiz, tmp_path):
    quiz.ask("stud mark", 11)
    quiz.answer(right_text(quiz))
    quiz.ask("next job", 3)
    quiz.answer(quiz.current.choices[quiz.current.answer])
    path = quiz.write(tmp_path / "exports")
    assert path.name == FILE
    rows = read_csv_table(path)
    assert tuple(rows[0]) == COLUMNS
    assert [r["question"] for r in rows] == ["stud mark", "next job"]
    assert [r["seed"] for r in rows] == ["11", "3"]
    assert rows[0]["time"] == "2026-03-04T09:30:15"
    assert [r["right"] for r in rows] == ["yes", "yes"]


def test_a_typed_formula_reaches_the_spreadsheet_as_text(quiz):
    quiz.ask("next job", 3)
    quiz.answer("0")
    entry = quiz.log[-1]
    quiz.log[-1] = type(entry)(entry.time, entry.kind, entry.seed, '=HYPERLINK("x")', False, "+cmd")
    cells = list(csv.reader(io.StringIO(quiz.csv().decode("utf-8-sig"))))[1]
    assert cells[3] == '\'=HYPERLINK("x")'
    assert cells[5] == "'+cmd"


def test_a_plus_before_a_length_is_kept_as_text(quiz):
    quiz.ask("stud mark", 11)
    quiz.answer("+" + right_text(quiz))
    assert quiz.marked.right
    assert quiz.csv().decode("utf-8-sig").splitlines()[1].split(",")[3].startswith("'+")


def test_choice_questions_are_answered_by_their_text(quiz):
    quiz.ask("second face", 5)
    assert quiz.current.form == CHOICE
    assert quiz.answer(quiz.current.choices[quiz.current.mistakes[0].value])
    assert quiz.marked.diagnosis == "both faces one stud"
