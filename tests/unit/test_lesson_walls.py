"""The lesson's steps that build whole walls, and the brief: against plain sums, rule tables and the study."""

from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np
import pytest

import wallcalc as wc
from wallcalc.given.option import BOARD_ORIENTATIONS, LAYERS, Option
from wallcalc.lesson.amounts import AmountsStep, amounts, sample_wall
from wallcalc.lesson.brief import MEASURES, brief, fills_that_fit, judge
from wallcalc.lesson.brief_step import BriefStep
from wallcalc.lesson.close_step import HOUSEHOLD, Asked, leaned_on, uses, verdicts
from wallcalc.lesson.courses_step import boarded
from wallcalc.lesson.grid import built, furnished, off_grid
from wallcalc.lesson.sound_step import sweep
from wallcalc.lesson.state import LessonState
from wallcalc.lesson.trade import trade
from wallcalc.sound.ratings import rw, stc

UK = trade("uk")

# Step 5


def test_the_ratings_shown_are_those_of_the_curve_shown():
    step = LessonState(seed=1).step("sound")
    for centres in (300.0, 400.0, 600.0):
        found = step.at(centres)
        R = np.asarray(found.R)
        assert found.Rw == rw(R)
        assert stc(R[4:20]) == found.STC
    assert (
        step.truth == "wide"
    )  # published guidance: wider centres gain (NRC Canada, Construction Technology Update 1)


def test_the_dip_moves_down_as_centres_grow():
    _, sounds = sweep(0.0)
    lowest = [int(np.argmin(np.asarray(s.R)[:9])) for s in sounds]
    assert lowest[0] > lowest[-1]


# Step 6


def test_amounts_are_those_of_the_study():
    row = wc.study(sample_wall(), [Option(stud_centres=400.0)]).iloc[0]
    found = amounts(UK, 400.0)
    assert (found.studs, found.cost) == (row["studs"], row["cost"])
    assert (found.timber_waste, found.board_waste) == (row["timber_waste"], row["board_waste"])


def test_screws_counted_by_hand_on_the_sample_wall():
    made = wc.design(sample_wall(), Option(stud_centres=600.0))
    counted = sum(line.count for line in made.parts.screws)
    share = 1 + float(UK.rules.value("screw.allowance")) / 100
    assert amounts(UK, 600.0).screws == pytest.approx(counted * share, rel=0.01)


def test_the_step_names_the_wall_that_really_takes_more_uprights():
    step = LessonState(seed=1).step("amounts")
    counts = {
        c: sum(r.endswith("stud") for r in wc.design(sample_wall(), Option(stud_centres=c)).members["role"])
        for c in step.asked
    }
    most = max(counts.values())
    assert step.truth == (
        0.0 if len(set(counts.values())) == 1 else next(c for c in counts if counts[c] == most)
    )


@pytest.mark.parametrize("name", ["uk", "us"])
def test_the_reason_told_is_that_of_the_wall_that_takes_more(name):
    step = AmountsStep(trade(name))
    near, wide = (amounts(step.using, c).studs for c in step.asked)
    assert near != wide
    text = step.compare(step.truth)
    assert ("misses the studs" in text) == (wide > near)
    assert ("Closer centres put more studs" in text) == (near > wide)


# Step 7


@pytest.mark.parametrize("height", [2400.0, 3000.0, 3100.0])
@pytest.mark.parametrize("orientation", BOARD_ORIENTATIONS)
def test_joint_lengths_by_the_edges_of_the_boards(orientation, height):
    """Every board's perimeter lies on a joint (shared by two boards) or on the outer edge of the face."""
    found = boarded(UK, orientation, height)
    around = sum(
        abs(x2 - x1) + abs(y2 - y1)
        for o in found.outlines
        for (x1, y1), (x2, y2) in zip(o, o[1:] + o[:1], strict=True)
    )
    length, tall = sample_wall().length / 10, height - 12
    joints = sum(m for _, m in found.metres) * 1000
    assert around == pytest.approx(2 * joints + 2 * (length + tall))


def test_upright_boards_in_one_piece_have_no_joint_with_a_cut_edge():
    assert boarded(UK, "vertical", 2600.0).cut == 0.0
    assert boarded(UK, "horizontal", 2600.0).cut > 0.0
    assert (
        boarded(UK, "vertical", 3100.0).cut > 3.0
    )  # taller than the longest sheet: a cut joint along the wall


# Step 8


def test_the_bare_wall_stands_on_its_grid():
    design = built(UK, furnished(None, None, None), 600.0)
    assert off_grid(design, 600.0) == (6, 0)


def test_short_studs_over_the_door_are_upright_timbers_too():
    design = built(UK, furnished(2600.0, None, None), 600.0)
    standing = [m for m in design.frame.members if m.height > m.width and m.role != "pattress"]
    assert any(m.y > 20_000 for m in standing)
    assert off_grid(design, 600.0)[0] == len(standing) - 2  # the two at the ends


def test_a_pipe_at_a_stud_keeps_timber_off_it_and_a_basin_gets_timber():
    step = LessonState(seed=1).step("grid")
    x = step.knobs[-1].value
    design = built(UK, furnished(None, x, x), 600.0)
    pipe = design.wall.services[0]
    reach = pipe.diameter / 2 + pipe.clearance
    for m in design.frame.members:
        if m.role in ("stud", "double stud", "noggin") and m.y <= pipe.at[1] <= m.top:
            assert m.right <= pipe.at[0] - reach or m.x >= pipe.at[0] + reach, m
    for fx, fy in design.wall.hung[0].fixings:
        assert any(
            m.x <= fx <= m.right and m.y <= fy <= m.top for m in design.frame.members if "A" in m.faces
        )
    studs, off = off_grid(design, 600.0)
    assert studs >= 6
    assert off >= 1


def test_a_wall_that_cannot_be_built_says_why_and_keeps_the_picture():
    state = LessonState(seed=1)
    state.guess("grid", "4")
    before = state.show("grid").picture
    state.step("grid")
    shown = None
    for at in np.arange(100.0, 2850.0, 10.0):
        state.choose("grid", door_at=at)
        shown = state.show("grid")
        if shown.words.startswith("This cannot be built"):
            break
        before = shown.picture
    assert shown.words.startswith("This cannot be built as it stands")
    assert shown.picture == before


# Step 9


def plain(**changes) -> Asked:
    return replace(Asked(False, "standard-12.5", "38x89", 2400.0, 0.0), **changes)


def verdict(asked: Asked, centres: float, name: str) -> set[str]:
    return {b.verdict for b in verdicts(UK, asked, centres) if b.name == name}


@pytest.mark.parametrize("centres", [300.0, 400.0, 450.0, 600.0])
def test_board_span_by_the_rule_table(centres):
    rows = [r for r in UK.rules.rows("board_span") if r["edition"] == "2025" and r["orientation"] == "either"]
    for thickness, board in ((9.5, "standard-9.5"), (12.5, "standard-12.5")):
        most = max(r["max_centres"] for r in rows if r["thickness"] == thickness)
        assert ("fail" in verdict(plain(board=board), centres, "board span")) == (centres > most)


@pytest.mark.parametrize(("centres", "fine"), [(300.0, True), (450.0, True), (600.0, False)])
def test_tiles_ask_for_450_without_more_noggins(centres, fine):
    name = "stud centres behind tiles"  # NHBC Standards 2006 and 2010, Appendix 8.2-A
    assert (verdict(plain(tiled=True), centres, name) == {"ok"}) == fine
    assert verdict(plain(), centres, name) == set()


def test_a_public_lean_on_a_tall_wall_makes_300_right():
    step = LessonState(seed=1).step("close")
    people = uses(UK.rules)[1]
    row = UK.rules.rows("loads_other")[0]
    assert float(leaned_on(UK.rules, people).value("loads.line")) == row["line"]
    assert leaned_on(UK.rules, HOUSEHOLD) is UK.rules
    widest = [step.widest(plain(people=people, height=h)) for h in (2400.0, 2800.0, 3000.0)]
    assert widest == [600.0, 400.0, 300.0]
    # Bending at 600 by hand: 1.5 q b L2 / 8 W against 16 N/mm2 x kmod 0.9 x kh / 1.3 (EN 1995-1-1, EN 338 C16).
    stress = 1.5 * 1e-3 * row["area"] * 600 * (3000 - 76) ** 2 / 8 / (38 * 89**2 / 6)
    strength = 16 * 0.9 * (150 / 89) ** 0.2 / 1.3
    bars = {b.name: b for b in verdicts(UK, plain(people=people, height=3000.0), 600.0)}
    assert bars["stud bending"].use == pytest.approx(stress / strength, rel=0.01)
    assert bars["stud bending"].verdict == "fail"


# Step 10

SEEDS = range(3)


@pytest.mark.parametrize("rules", ["uk", "us"])
@pytest.mark.parametrize("seed", SEEDS)
def test_a_brief_can_be_met_and_is_not_met_to_begin_with(rules, seed):
    using = trade(rules)
    asked = brief(using, seed)
    assert all(v.met for v in judge(using, asked, asked.way))
    for centres in using.offers.usual:
        first = judge(using, asked, replace(asked.start, stud_centres=centres))
        assert isinstance(first, str) or not all(v.met for v in first)
    assert asked == brief(using, seed)
    assert {w.measure for w in asked.wishes} >= {"fails", "sound", "cost", "cut joints"}


def test_verdicts_by_the_study_over_every_way():
    """The study's columns, taken apart from the brief's own measures, decide every wish alike."""
    asked = brief(UK, 1)
    limits = {w.measure: w.limit for w in asked.wishes}
    ways = [
        Option(stud_centres=c, board_orientation=o, layers_a=n, layers_b=n)
        for c, o, n in itertools.product((400.0, 600.0), BOARD_ORIENTATIONS, LAYERS)
    ]
    assert len(ways) == 8
    table = wc.study(asked.wall, ways, rules=UK.rules, prices=UK.prices)
    assert table["buildable"].sum() >= 6
    for way, row in zip(ways, table.to_dict("records"), strict=True):
        judged = judge(UK, asked, way)
        assert isinstance(judged, str) != row["buildable"]
        if isinstance(judged, str):
            continue
        found = {v.wish.measure: v.met for v in judged}
        assert found["sound"] == (row["Rw"] >= limits["sound"])
        assert found["cost"] == (row["cost"] <= limits["cost"])
        assert found["fails"] == (row["fails"] == 0)
        assert found["cut joints"] == (row["cut_joint_length"] <= limits["cut joints"] + 1e-9)


def test_every_option_offered_in_the_brief_can_be_judged():
    step = BriefStep(UK, 2)
    offered = {k.name: [v for _, v in k.options] for k in step.knobs}
    assert set(offered["fill"]) == {None, *fills_that_fit(UK)}
    values = {k.name: k.value for k in step.knobs}
    for name, options in offered.items():
        for value in options:
            found = step.verdicts(values | {name: value})
            assert isinstance(found, str) or len(found) == len(step.asked.wishes)


def test_handing_in_is_put_down_for_the_trainer():
    state = LessonState(seed=3)
    assert "Guess first" in state.hand_in()
    step = state.step("brief")
    state.guess("brief", step.guess.choices[0][1])
    way = step.asked.way
    for name in ("stud_centres", "board_orientation", "fill", "layers_a", "layers_b"):
        state.choose("brief", **{name: getattr(way, name)})
    assert "met. Well done" in state.hand_in()
    assert (state.quiz.log[-1].kind, state.quiz.log[-1].right) == ("brief", True)
    state.choose("brief", fill=None, layers_a=1, layers_b=1, board_orientation="vertical", stud_centres=600.0)
    assert "not everything is met yet" in state.hand_in()
    assert state.quiz.log[-1].diagnosis
    assert state.quiz.log[-1].seed == step.asked.seed
    seed = step.asked.seed
    state.another_brief()
    assert state.step("brief").asked.seed != seed
    assert not state.revealed("brief")


def test_a_verdict_tells_what_fails():
    asked = brief(UK, 1)
    weak = Option(section="38x63", stud_centres=600.0)
    made = wc.design(asked.wall, weak)
    if MEASURES["fails"][0](made):
        told = next(v.found for v in judge(UK, asked, weak) if v.wish.measure == "fails")
        assert all(r.check in told for r in made.check_rows if r.verdict == "fail")
