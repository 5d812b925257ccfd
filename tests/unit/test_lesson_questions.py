"""Every kind of question over many seeds: solved from its text alone, as an apprentice would, and marked."""

from __future__ import annotations

import re
from functools import cache

import pytest

from wallcalc.lesson.question import (
    CHOICE,
    COUNT,
    LENGTH,
    MISCONCEPTIONS,
    Mistake,
    Question,
    mark,
    read_answer,
)
from wallcalc.lesson.questions import KINDS, question
from wallcalc.units.quantities import QuantityError, format_length

SEEDS = range(24)
ACTUAL = {"2x3": (38.0, 63.0), "2x4": (38.0, 89.0), "2x6": (38.0, 140.0)}
"""Actual sizes (mm) of what the price book sells by these names; PS 20 dry sizes to the millimetre."""
NUMBER = r"(\d+(?:\.\d+)?) mm"


@cache
def drawn(kind: str) -> tuple[Question, ...]:
    return tuple(question(kind, seed) for seed in SEEDS)


def mms(text: str, before: str, after: str = "") -> float:
    """Return the length in mm that stands between two texts."""
    found = re.search(re.escape(before) + r"[^()]*?\(?" + NUMBER + r"\)?" + after, text)
    assert found, (before, text)
    return float(found[1])


def thickness(text: str) -> tuple[float, float]:
    metric, inch = re.search(r"(\d+)x(\d+) mm", text), re.search(r"sold as (\dx\d)", text)
    return (float(metric[1]), float(metric[2])) if metric else ACTUAL[inch[1]]


def ordinal(text: str) -> int:
    words = ["first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth"]
    return words.index(re.search(r"the (\w+) stud\?", text)[1]) + 1


def bound_and_cut(q: Question) -> tuple[float, int]:
    run = re.search(rf"a board runs from {NUMBER} to {NUMBER}", q.text)
    edge = re.search(r"its (left|right) edge", q.text)[1]
    return (float(run[1]), 1) if edge == "left" else (float(run[2]), -1)


LENGTHS = {
    "clear bay": lambda q: mms(q.text, " at ", " centres") - thickness(q.text)[0],
    "stud mark": lambda q: ordinal(q.text) * mms(q.text, " at ", " centres"),
    "stud edge": lambda q: ordinal(q.text) * mms(q.text, " at ", " centres") - thickness(q.text)[0] / 2,
    "wall thickness": lambda q: (
        thickness(q.text)[1]
        + (
            int(re.search(r"carry (\d) layer", q.text)[1])
            + int(re.search(r"and (\d) on the other", q.text)[1])
        )
        * mms(q.text, "of ", " board")
    ),
    "stud length": lambda q: (
        mms(q.text, "runs straight from ")
        + (mms(q.text, "at the left to ") - mms(q.text, "runs straight from "))
        * mms(q.text, "its left edge ")
        / mms(q.text, "A wall is ")
        - 2 * thickness(q.text)[0]
    ),
    "opening width": lambda q: (
        mms(q.text, "A door leaf ")
        + 2 * (mms(q.text, "a lining ") + mms(q.text, "thick, with ") + mms(q.text, "of gap and "))
    ),
    "board height": lambda q: mms(q.text, " long and ") - (12.7 if " in (" in q.text else 12.0),
    "screw line": lambda q: bound_and_cut(q)[0] + 13 * bound_and_cut(q)[1],
    "bar length": lambda q: (
        int(q.text.split()[0]) * mms(q.text, "each ")
        + (int(q.text.split()[0]) - 1) * mms(q.text, "noggins takes ")
        + mms(q.text, "use it up. ")
    ),
}
"""The right answer in mm by plain sums from the text; 12 (12.7) above the floor, 13 from a cut edge are the rules'."""


def test_every_number_question_has_an_oracle():
    assert {kind for kind in KINDS if drawn(kind)[0].form == LENGTH} == set(LENGTHS)


@pytest.mark.parametrize("kind", LENGTHS)
def test_a_length_solved_from_its_text_is_right(kind):
    for q in drawn(kind):
        # a stud under a slope is rounded inwards, to 0.1 mm, at the ceiling and again under the plate
        near = 0.2 if kind == "stud length" else 0.06
        assert q.answer / 10 == pytest.approx(LENGTHS[kind](q), abs=near), q.text


def timber(text: str) -> list[float]:
    return [float(x) for x in re.findall(r"[\d.]+", re.search(r"are at (.*?) mm\.", text)[1])]


def place(choice: str) -> float:
    return float(choice.split(" mm")[0])


def test_only_the_right_line_at_a_door_has_timber_and_keeps_off_the_jambs():
    for q in drawn("joint at door"):
        left, right = map(float, re.search(rf"opening from {NUMBER} to {NUMBER}", q.text).groups())

        def fit(x: float, left: float = left, right: float = right, q: Question = q) -> bool:
            return x in timber(q.text) and min(abs(x - left), abs(x - right)) >= 300

        assert [fit(place(c)) for c in q.choices] == [k == q.answer for k in range(len(q.choices))], q.text


@pytest.mark.parametrize("seed", [28, 36, 49, 51, 55])
def test_a_line_in_the_air_at_a_door_has_no_short_stud_behind_it_either(seed):
    q = question("joint at door", seed)
    named = {q.answer, *(m.value for m in q.mistakes)}
    (air,) = [place(c) for k, c in enumerate(q.choices) if k not in named]
    assert min(abs(air - middle) for middle in timber(q.text)) > 38, q.text


def test_only_the_right_line_of_the_second_face_has_a_stud_to_itself():
    for q in drawn("second face"):
        first = [
            float(x) for x in re.findall(r"[\d.]+", re.search(r"its joints are at (.*?) from", q.text)[1])
        ]
        fit = [place(c) in timber(q.text) and min(abs(place(c) - x) for x in first) >= 38 for c in q.choices]
        assert fit == [k == q.answer for k in range(len(q.choices))], q.text


def test_the_cut_edge_of_a_strip_is_the_one_in_the_corner():
    for q in drawn("corner strip"):
        at_left = re.search(r"goes from (0 mm|0 in)", q.text) is not None
        assert q.choices[q.answer].startswith("its left" if at_left else "its right"), q.text


def test_the_next_job_is_the_first_that_is_not_done():
    rank = ["fix the noggins", "put in", "fill the bays", "board side B"]
    for q in drawn("next job"):
        done = q.text.split("So far:")[1]
        left = [c for c in q.choices if f"done: {c}" not in done]
        assert q.choices[q.answer] == min(
            left, key=lambda c: next(i for i, r in enumerate(rank) if c.startswith(r))
        )
        assert [m.value for m in q.mistakes] == ([q.choices.index("board side B")] if len(left) > 1 else [])


def test_the_next_job_is_sometimes_to_close_the_wall():
    answers = {q.choices[q.answer] for q in drawn("next job")}
    assert "board side B" in answers
    assert len(answers) >= 4


@pytest.mark.parametrize("kind", KINDS)
def test_right_is_accepted_and_every_slip_is_named_as_such(kind):
    for q in drawn(kind):
        assert q.sound
        assert mark(q, q.answer).right
        assert q.shown in mark(q, q.answer).feedback
        for slip in q.mistakes:
            for off in (-q.tolerance, 0, q.tolerance):
                found = mark(q, slip.value + off)
                assert (found.right, found.diagnosis) == (False, slip.name), (q.text, slip)
            assert MISCONCEPTIONS[slip.name] in mark(q, slip.value).feedback
            assert abs(slip.value - q.answer) > 2 * q.tolerance


@pytest.mark.parametrize("kind", KINDS)
def test_variants_differ(kind):
    texts = {q.text for q in drawn(kind)}
    assert (
        len(texts) >= 0.8 * len(SEEDS) if kind not in ("opening width", "wall thickness") else len(texts) >= 8
    )
    if drawn(kind)[0].form == LENGTH:
        assert len({q.answer for q in drawn(kind)}) >= 3


def test_the_set_diagnoses_every_misconception():
    assert {m.name for kind in KINDS for q in drawn(kind) for m in q.mistakes} == set(MISCONCEPTIONS)


def test_a_seed_makes_the_same_variant_again():
    question.cache_clear()
    for kind in ("stud mark", "bar length", "next job"):
        assert question(kind, 3) == drawn(kind)[3]


@pytest.mark.parametrize("kind", LENGTHS)
def test_answers_are_read_off_any_tape(kind):
    for q in drawn(kind)[:6]:
        for style in ("mm", "m", "ft-in"):
            value = read_answer(q, format_length(q.answer, style))
            close = abs(value - q.answer) <= 8  # a sixteenth of an inch rounds by half of it
            assert close, (style, q.answer, value)
        assert read_answer(q, f"{q.answer / 10:g}") == q.answer


def test_text_that_is_no_length_says_what_is_accepted():
    q = drawn("stud mark")[0]
    for text in ("", "about 2 m or so", "2,54 m", "nan", "=2+2", "-3"):
        with pytest.raises(QuantityError, match="answer"):
            read_answer(q, text)


def test_choices_and_counts_are_read_by_text_or_number():
    q = drawn("next job")[0]
    assert [read_answer(q, c) for c in q.choices] == list(range(len(q.choices)))
    count = Question("k", 0, "how many?", COUNT, 4, "4", "because")
    assert read_answer(count, " 4 ") == 4
    for bad in ("", "four", "-1", "9" * 30):
        with pytest.raises(QuantityError, match="whole number"):
            read_answer(count, bad)
    with pytest.raises(QuantityError):
        read_answer(q, str(len(q.choices)))


def test_a_variant_whose_slips_cannot_be_told_apart_is_not_sound():
    def with_slips(*values: int, tolerance: int = 10) -> Question:
        slips = tuple(Mistake("kerf forgotten", v, "so") for v in values)
        return Question("k", 0, "?", LENGTH, 1000, "100 mm", "so", slips, (), tolerance)

    assert with_slips(1030, 1060).sound
    assert not with_slips(1030, 1050).sound
    assert not with_slips(1015).sound
    assert not with_slips(-5).sound
    assert not Question("k", 0, "?", CHOICE, 0, "a", "so", (), ("a", "a")).sound


def test_a_slip_has_to_be_one_of_the_named_ones():
    with pytest.raises(ValueError, match="accepted: one of"):
        Mistake("bad luck", 1, "so")


def test_an_unknown_wrong_answer_is_not_given_a_name():
    q = drawn("stud mark")[0]
    found = mark(q, q.answer + 5000)
    assert (found.right, found.diagnosis) == (False, "")
    assert q.shown in found.feedback
