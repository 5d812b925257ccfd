"""Lines for board joints: distance from jambs, room for a stud or a pair, what each adds."""

from __future__ import annotations

import random

import pytest
from sites import level_site

import wallcalc as wc
from wallcalc.framing.joint_lines import joint_lines, upright_length, zone_of
from wallcalc.framing.stud_lines import fixed_uprights, module_lines, module_studs
from wallcalc.geometry.rectangles import Clear
from wallcalc.site.frame_rules import frame_rules

T, HEIGHT = 380, 26_200
DOOR = Clear(0, "door", 27_000, 35_420, 0, 20_300)
HATCH = Clear(0, "hatch", 12_000, 20_000, 10_000, 18_000)


@pytest.fixture(scope="module")
def rules():
    return frame_rules(wc.Rules.load("uk"))


def standing(length, centres, clears, rules, start="left"):
    posts = fixed_uprights(length, clears, T, rules.jamb)
    marks = module_lines(length, centres, start)
    return sorted(
        [*posts, *module_studs(marks, posts, clears, T, centres, rules.least_bay)], key=lambda u: u.x
    )


def lines(length, centres, clears, rules, reaches=(12_000,), between=False):
    uprights = standing(length, centres, clears, rules)
    found = joint_lines(level_site(length, HEIGHT, clears, rules), uprights, reaches, between)
    return uprights, {line.x: line for line in found}


def test_zone_of():
    assert zone_of(27_000, (HATCH, DOOR)) == -1
    assert zone_of(27_001, (HATCH, DOOR)) == 1
    assert zone_of(16_000, (HATCH, DOOR)) == 0


def test_upright_length_full_over_a_door_and_round_a_hatch():
    # 2620 - 2 x 38; 2620 - 38 - 2030 - 38; 2620 - 38 - 1800 - 38 over and 1000 - 2 x 38 under
    assert upright_length(-1, (), HEIGHT, 0, T) == 25_440
    assert upright_length(0, (DOOR,), HEIGHT, 0, T) == 5140
    assert upright_length(0, (HATCH,), HEIGHT, 0, T) == 7440 + 9240
    assert upright_length(-1, (), HEIGHT, 100, T) == 25_340


def test_a_standing_stud_costs_nothing_alone_and_one_stud_more_as_a_pair(rules):
    _, found = lines(38_400, 6000, (DOOR,), rules)
    assert found[12_000].standing
    assert found[12_000].single == 0
    assert found[12_000].pair == 25_440
    assert (found[30_000].single, found[30_000].pair) == (0, 5140)


def test_a_sheet_edge_between_studs_costs_a_stud_or_two(rules):
    _, found = lines(38_400, 4500, (), rules)
    assert not found[12_000].standing
    assert (found[12_000].single, found[12_000].pair) == (25_440, 2 * 25_440)


def test_no_line_nearer_to_a_jamb_line_than_the_rule_and_caution_below_the_advice(rules):
    _, found = lines(60_000, 3000, (DOOR,), rules, between=True)
    for x, line in found.items():
        near = min(abs(x - DOOR.left), abs(x - DOOR.right))
        assert near >= rules.jamb_fail
        assert line.caution == (near < rules.jamb_caution)
    assert any(line.caution for line in found.values())


def test_no_line_where_end_studs_stand(rules):
    _, found = lines(24_300, 6000, (), rules)  # 24 000 would stand beside the end stud at 23 920
    assert all(T < x < 24_300 - T for x in found)


@pytest.mark.parametrize("between", [False, True])
def test_every_stud_a_line_offers_fits_between_its_neighbours(rules, between):
    rng = random.Random(13)
    for _ in range(150):
        length = rng.randrange(20_000, 80_000, 10)
        left = rng.randrange(5000, length - 14_000, 10)
        clear = rng.choice(
            (
                Clear(0, "door", left, left + 8420, 0, 20_300),
                Clear(0, "hatch", left, left + 8000, 9000, 17_000),
            )
        )
        centres = rng.choice((3000, 4000, 4500, 6000, 6096, 4064))
        uprights, found = lines(length, centres, (clear,), rules, (12_000, 24_000), between)
        module = {u.line for u in uprights if u.role in ("stud", "short stud")}
        far = {x for x in module if min(abs(x - clear.left), abs(x - clear.right)) >= rules.jamb_fail}
        assert far <= set(found), "every stud clear of the jambs takes a joint"
        for x, line in found.items():
            assert line.standing == (x in module)
            for half, offered in ((T // 2, line.single), (T, line.pair)):
                if offered is None:
                    continue
                beside = [
                    u for u in uprights if u.zone in (line.zone, -1) and not (line.standing and u.line == x)
                ]
                before = min(x - half - u.right for u in beside if u.line < x)
                after = min(u.x - (x + half) for u in beside if u.line > x)
                assert all(gap == 0 or gap >= rules.least_bay for gap in (before, after)), (x, half)


def test_lines_between_studs_are_more_not_other_ones(rules):
    _, few = lines(38_400, 6000, (DOOR,), rules)
    _, many = lines(38_400, 6000, (DOOR,), rules, between=True)
    assert set(few) < set(many)
