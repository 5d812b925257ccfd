"""The lesson's steps without a browser: nothing before a guess, the guess compared, and what the sums come to."""

from __future__ import annotations

import html
import re

import numpy as np
import pytest

from wallcalc.carcass.build import carcass
from wallcalc.lesson.bending import LEAN_STRIP, BendingStep, board_bend, stud_bend
from wallcalc.lesson.edges import AIR, NEAR, ON, board_edges, dividing, landed
from wallcalc.lesson.marks import HOWS, MarksStep, landings, stud_middles
from wallcalc.lesson.self_check import check_questions, check_steps
from wallcalc.lesson.slabs import filled, left_over
from wallcalc.lesson.state import STEPS, LessonState
from wallcalc.lesson.trade import trade
from wallcalc.sound.leaf import plate
from wallcalc.sound.records import Leaf

KEYS = [made.key for made in STEPS]


def opened(key: str, rules: str = "uk") -> LessonState:
    state = LessonState(rules, seed=1)
    asked = state.step(key).guess
    assert state.guess(key, asked.choices[0][1] if asked.choices else "2")
    return state


@pytest.mark.parametrize("rules", ["uk", "us"])
def test_every_step_asks_first_and_then_shows(rules):
    assert check_steps(rules) == []


def test_the_notebook_checks_its_questions():
    assert check_questions(range(1)) == []


@pytest.mark.parametrize("key", KEYS)
def test_a_guess_is_needed_and_the_first_one_is_kept(key):
    state = LessonState(seed=1)
    asked = state.step(key).guess
    for nothing in (None, "", "quite a lot"):
        assert not state.guess(key, nothing)
        assert state.message
    assert state.show(key) is None
    assert state.compared(key) == ""
    first, other = (asked.choices[0][1], asked.choices[-1][1]) if asked.choices else ("3", "8")
    assert state.guess(key, first)
    said = state.compared(key)
    assert state.guess(key, other)
    assert state.compared(key) == said
    assert "You guessed" in said


@pytest.mark.parametrize("key", KEYS)
def test_pictures_say_their_finding_and_controls_are_labelled(key):
    state = opened(key)
    shown = state.show(key)
    if shown.picture:
        alt = html.unescape(re.search(r'alt="([^"]*)"', shown.picture)[1])
        assert len(alt) > 60
    assert all(knob.label.strip() for knob in state.step(key).knobs)
    assert len(shown.words) > 20


@pytest.mark.parametrize("key", KEYS)
def test_every_setting_of_every_control_shows_something(key):
    state = opened(key)
    for knob in state.step(key).knobs:
        values = [v for _, v in knob.options] or [knob.low, knob.high, -1e9]
        for value in values:
            state.choose(key, **{knob.name: value})
            shown = state.show(key)
            assert shown.words
            now = state.values[key][knob.name]
            assert knob.options or knob.low <= now <= knob.high


def test_number_guesses_are_read_as_people_write_them():
    for text, value in (("3", 3.0), (" 3,5 ", 3.5), ("304 mm", 304.0), ("16 times", 16.0)):
        state = LessonState(seed=1)
        key = {"mm": "marks", "times": "bending"}.get(text.split()[-1], "edges")
        assert state.guess(key, text)
        assert state.guesses[key] == value
    assert not LessonState(seed=1).guess("edges", "-1")
    assert not LessonState(seed=1).guess("edges", "nan")


def test_an_unknown_step_names_those_there_are():
    with pytest.raises(KeyError, match="edges"):
        LessonState(seed=1).step("nowhere")


# Step 1


def brute_landed(width: float, centres: float, joints: int = 8) -> int:
    """Count joints with a stud's middle on them, by trying every stud."""
    studs = [k * centres for k in range(1, 60)]
    return sum(any(abs(k * width - s) < 0.01 for s in studs) for k in range(1, joints + 1))


@pytest.mark.parametrize("width", [12_000, 9_000, 12_192, 13_716])
def test_joints_land_where_trying_every_stud_says(width):
    for centres in [*range(3_000, 6_101, 10), 3_048, 4_064, 6_096]:
        assert landed(width, centres, 380, 380) == brute_landed(width / 10, centres / 10), centres


def test_400_600_16_and_24_inches_fall_out_of_the_sheet():
    assert [c for _, c in dividing(12_000, 3_000, 6_100)] == [6_000, 4_000, 3_000]
    assert [c for _, c in dividing(12_192, 3_000, 6_100)] == [6_096, 4_064, 3_048]  # 24, 16, 12 in
    everywhere = [c for c in range(3_000, 6_101, 10) if landed(12_000, c, 380, 380) == 8]
    assert everywhere == [3_000, 4_000, 6_000]


def test_an_edge_beside_the_stud_is_told_from_one_in_the_air():
    assert [e.found for e in board_edges(12_000, 6_000, 380, 380, 1)] == [ON]
    assert [e.found for e in board_edges(12_000, 6_050, 380, 380, 1)] == [NEAR]  # 10 mm off
    assert [e.found for e in board_edges(12_000, 6_100, 380, 380, 1)] == [
        AIR
    ]  # 20 mm off, the stud's half is 19
    assert [e.found for e in board_edges(12_000, 6_050, 630, 380, 1)] == [ON]  # a wider stud forgives it


def test_going_to_a_place_moves_the_slider():
    state = opened("edges")
    state.choose("edges", jump=400.0)
    assert state.values["edges"]["centres"] == 400.0
    assert state.values["edges"]["jump"] == 400.0
    assert state.show("edges").words.startswith("8 of 8")


# Step 2


def test_errors_of_the_ways_of_setting_out_by_plain_sums():
    right = stud_middles("face", 6_000, 380, 16)
    assert right == tuple(6_000 * k for k in range(1, 17))
    assert {a - b for a, b in zip(stud_middles("edge on mark", 6_000, 380, 16), right, strict=True)} == {190}
    # a gap of 600 after every stud: end stud 38, then 600, 38, 600, ...
    walked, at = [], 380
    for _ in range(16):
        walked.append(at + 6_000 + 190)
        at += 6_000 + 380
    assert list(stud_middles("from last edge", 6_000, 380, 16)) == walked
    assert [landing.off for landing in landings("half out", 6_000, 380, 12_000, 380)] == [
        380 * k for k in range(1, 9)
    ]


def test_only_one_way_of_setting_out_serves_all_joints():
    good = [how for _, how in HOWS if all(f.found == ON for f in landings(how, 4_000, 380, 12_000, 380))]
    assert good == ["face"]


def test_a_stud_with_its_edge_on_the_mark_lies_under_the_next_board_alone():
    found = landings("edge on mark", 6_000, 380, 12_000, 380)
    assert all(f.stud - 190 == f.joint for f in found)  # it begins where the board before ends
    step = MarksStep(trade("uk"))
    said = step.words(found, "edge on mark", 6_000)
    assert "the next board has all of the stud, the one that ends there only touches its edge" in said


# Step 3


def test_bending_by_the_textbook():
    rules = trade("uk").rules
    load, height, at = 0.36, 2_500.0, 1_200.0
    E, inertia = 8000.0, 38 * 89**3 / 12
    b = height - at
    force = load * 600.0
    # Deflection at the load of a simply supported beam, P a2 b2 / 3 E I L, and its shear, 1.2 P a b / G A L.
    bent = force * at**2 * b**2 / (3 * E * inertia * height)
    slip = 1.2 * force * at * b / (height * (E / 16) * 38 * 89)
    found = stud_bend(rules, "38x89", height, 600.0)
    assert float(np.interp(at, found.at, found.by)) == pytest.approx(bent + slip, rel=0.002)
    assert found.most >= bent + slip


def test_the_board_bends_with_the_fourth_power_and_the_stud_with_the_first():
    rules, leaf = trade("uk").rules, Leaf(8.4, 12.5)
    assert board_bend(rules, leaf, 600.0).most / board_bend(rules, leaf, 300.0).most == pytest.approx(16.0)
    studs = [stud_bend(rules, "38x89", 2_500.0, c).most for c in (300.0, 600.0)]
    assert studs[1] / studs[0] == pytest.approx(2.0)
    # 5 q L4 / 384 E I of a strip, with the plate stiffness of the sound model
    stiff = plate(leaf).stiffness * 1000 * LEAN_STRIP
    assert board_bend(rules, leaf, 600.0).most == pytest.approx(5 * 0.36 * 600**4 / (384 * stiff))


def test_a_load_on_all_the_face_bends_the_strip_by_its_own_part():
    rules, leaf = trade("us").rules, Leaf(8.4, 12.5)
    pressure, centres = 0.24e-3, 609.6  # N/mm2 of IBC 1607, mm
    stiff = plate(leaf).stiffness * 1000  # 5 q L4 / 384 E I, each mm of height by itself
    bent = board_bend(rules, leaf, centres)
    assert bent.most == pytest.approx(5 * pressure * centres**4 / (384 * stiff))
    words = BendingStep(trade("us")).words(stud_bend(rules, "38x89", 2_500.0, centres), bent, centres)
    assert "area load 0.24 kN/m2 on all the face" in words
    assert "1200" not in words


# Step 4


@pytest.mark.parametrize("centres", range(3_000, 6_101, 100))
def test_a_slab_is_held_by_friction_where_a_width_is_a_little_over_the_gap(centres):
    using = trade("uk")
    product = using.offers.fills[0]
    gap = centres - 380
    widths = {s.width for s in using.prices.slabs(product, "metric")}
    held = any(20 <= w - gap <= 200 for w in widths)  # a slab turned on its side is far wider than these bays
    assert (filled(using, product, centres).how == "friction") == held
    bay = filled(using, product, centres)
    assert bay.width == gap
    assert sum(a * b for a, b in bay.pieces) >= bay.width * bay.height


def test_what_is_left_of_the_slabs_by_area():
    using = trade("uk")
    product = using.offers.fills[0]
    slabs, rest = left_over(using, product, 4_000)
    # 362 x 2324 in a frame of 2400: two slabs of 370 x 1200, whole and cut
    assert slabs == 2
    assert rest == pytest.approx(1 - 362 * 2324 / (2 * 370 * 1200))
    assert left_over(using, product, 5_200)[1] > rest  # a gap of 482 is cut from 570: a strip of 86 is left


def test_the_width_that_the_slab_step_asks_for_holds():
    step = LessonState(seed=1).step("slabs")
    assert (step.clear, step.truth) == (3_620, 3_700)
    assert "that is the one" in step.compare(3_700)
    assert "but it is 370 mm" in step.compare(4_000)


def test_a_step_made_ready_shows_the_same_and_builds_nothing_more_when_it_is_opened():
    ready, fresh = LessonState(seed=1), LessonState(seed=1)
    for state in (ready, fresh):
        state.step("grid")
        state.step("edges")
    while ready.make_ready():
        pass
    assert not ready.revealed("grid")
    assert ready.show("grid") is None, "nothing is shown before there is a guess"
    built = carcass.cache_info().misses
    ready.guess("grid", 3)
    shown = ready.compared("grid"), ready.show("grid")
    assert carcass.cache_info().misses == built
    fresh.guess("grid", 3)
    assert shown == (fresh.compared("grid"), fresh.show("grid"))
