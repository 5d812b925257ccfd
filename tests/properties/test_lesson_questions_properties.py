"""Questions for any seed and any typed text: marking is sound, and no answer reaches a spreadsheet as a formula."""

from __future__ import annotations

import contextlib
import csv
import io
from datetime import datetime

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from wallcalc.files import RISKY
from wallcalc.lesson.question import CHOICE, LENGTH, MISCONCEPTIONS, mark, read_answer
from wallcalc.lesson.questions import KINDS, question
from wallcalc.lesson.quiz import Entry, Quiz
from wallcalc.units.quantities import QuantityError, format_length

SEEDS = st.integers(0, 10**9)
FEW = settings(max_examples=8, deadline=None, suppress_health_check=[HealthCheck.too_slow])
QUICK = ("clear bay", "stud mark", "stud edge", "wall thickness", "opening width", "bar length", "next job")
"""Kinds that need no board laid out."""


@pytest.mark.parametrize("kind", KINDS)
@FEW
@given(seed=SEEDS)
def test_any_seed_makes_a_sound_question_that_marks_as_it_should(kind, seed):
    q = question(kind, seed)
    assert q.sound
    assert q.seed == seed
    assert q.text.rstrip().endswith(("?", "lining.)"))
    assert mark(q, q.answer).right
    for slip in q.mistakes:
        found = mark(q, slip.value)
        assert not found.right
        assert found.diagnosis == slip.name
        assert MISCONCEPTIONS[slip.name] in found.feedback
    if q.form == CHOICE:
        assert 0 <= q.answer < len(q.choices)
        assert read_answer(q, q.choices[q.answer]) == q.answer


@pytest.mark.parametrize("kind", QUICK)
@settings(max_examples=30, deadline=None)
@given(seed=st.integers(0, 40), off=st.integers(-60_000, 60_000))
def test_only_answers_within_the_tolerance_are_right(kind, seed, off):
    q = question(kind, seed)
    found = mark(q, q.answer + off)
    assert found.right == (abs(off) <= q.tolerance)
    assert not (found.right and found.diagnosis)
    if found.diagnosis:
        assert any(
            abs(q.answer + off - m.value) <= q.tolerance for m in q.mistakes if m.name == found.diagnosis
        )


@pytest.mark.parametrize("kind", QUICK)
@settings(max_examples=60, deadline=None)
@given(text=st.text(max_size=60), seed=st.integers(0, 40))
def test_any_text_is_marked_or_refused_but_never_breaks(kind, text, seed):
    q = question(kind, seed)
    value = None
    with contextlib.suppress(QuantityError):
        value = read_answer(q, text)
    if value is None:
        with pytest.raises(QuantityError, match="answer"):
            read_answer(q, text)
    else:
        assert mark(q, value).feedback


@settings(max_examples=40, deadline=None)
@given(seed=SEEDS, style=st.sampled_from(["mm", "m", "ft-in"]))
def test_the_answer_written_off_any_tape_is_right(seed, style):
    q = question("stud mark", seed % 200)
    assert q.form == LENGTH
    assert mark(q, read_answer(q, format_length(q.answer, style))).right


@settings(max_examples=100, deadline=None)
@given(answer=st.text(max_size=40), diagnosis=st.text(max_size=20))
def test_no_cell_of_the_progress_begins_a_formula(answer, diagnosis):
    quiz = Quiz(1, clock=lambda: datetime(2026, 1, 2, 3, 4, 5))
    quiz.log.append(Entry("2026-01-02T03:04:05", "stud mark", 1, answer, False, diagnosis))
    rows = list(csv.reader(io.StringIO(quiz.csv().decode("utf-8-sig"), newline="")))
    assert len(rows) == 2
    for cell in rows[1]:
        assert not cell.lstrip(" ").startswith(RISKY)
        assert not cell.startswith(("\t", "\r", "\n"))
