"""Options and their grid: order, twins, and messages for what is not accepted."""

from __future__ import annotations

import dataclasses

import pytest

import wallcalc as wc
from wallcalc.given.option import OPTION_FIELDS


def test_defaults_are_an_option():
    option = wc.Option()
    assert option.stud_centres == 600.0
    assert option.stud_layout == "module"
    assert dataclasses.replace(option, stud_centres=400) == wc.Option(stud_centres=400)


def test_options_can_be_keys():
    assert len({wc.Option(), wc.Option(stud_centres=600), wc.Option(stud_centres=400)}) == 2


def test_grid_is_every_combination_in_the_order_of_the_keywords():
    grid = wc.options(board_orientation=["vertical", "horizontal"], stud_centres=[300, 400])
    assert [(o.stud_centres, o.board_orientation) for o in grid] == [
        (300.0, "vertical"),
        (300.0, "horizontal"),
        (400.0, "vertical"),
        (400.0, "horizontal"),
    ]


def test_one_value_or_many():
    assert wc.options(stud_centres=400) == [wc.Option(stud_centres=400)]
    assert wc.options() == [wc.Option()]
    assert len(wc.options(stud_centres=range(300, 601, 50), fill=(None, "wool-75"))) == 14


def test_text_is_one_value():
    assert wc.options(section="38x63") == [wc.Option(section="38x63")]


def test_fitted_options_have_no_twins():
    grid = wc.options(
        stud_layout=["module", "fitted"],
        stud_centres=[300, 400, 600],
        set_out_from=["left", "right", "middle"],
    )
    assert len(grid) == 3 * 3 + 1
    assert sum(o.stud_layout == "fitted" for o in grid) == 1


def test_centres_are_kept_to_a_tenth_of_a_millimetre():
    assert wc.Option(stud_centres=406.4).stud_centres == 406.4
    assert wc.Option(stud_centres=406.4000001) == wc.Option(stud_centres=406.4)


@pytest.mark.parametrize(
    ("keyword", "value", "accepted"),
    [
        ("section", "50x100", "one of 38x63, 38x89, 38x140"),
        ("stud_centres", 100, "a number of mm from 200 to 800"),
        ("stud_centres", "600", "a number of mm from 200 to 800"),
        ("stud_centres", True, "a number of mm from 200 to 800"),
        ("set_out_from", "centre", "one of left, right, middle"),
        ("stud_layout", "free", "one of module, fitted"),
        ("board_orientation", "upright", "one of vertical, horizontal"),
        ("sheet", "1200", "a size such as '1200x2400' in mm, or None"),
        ("layers_a", 3, "1 or 2"),
        ("layers_b", True, "1 or 2"),
        ("board_a", "", "a price-book product or None"),
        ("fill", 75, "a price-book product or None"),
        ("course_from", 0, "'ceiling', 'floor' or the height of a joint in mm"),
        ("course_from", "middle", "'ceiling', 'floor' or the height of a joint in mm"),
    ],
)
def test_what_is_not_accepted_is_named_with_what_is(keyword, value, accepted):
    with pytest.raises(wc.OptionError) as caught:
        wc.Option(**{keyword: value})
    (refusal,) = caught.value.refusals
    assert refusal.rule == f"option.{keyword}"
    assert refusal.found == f"found {value!r}"
    assert refusal.nearest_change == f"give {accepted}"


@pytest.mark.parametrize("value", [float("nan"), float("inf")])
def test_centres_that_are_no_number_are_refused(value):
    with pytest.raises(wc.OptionError, match="a number of mm from 200 to 800"):
        wc.Option(stud_centres=value)


def test_every_problem_at_once():
    with pytest.raises(wc.OptionError) as caught:
        wc.Option(section="50x100", layers_a=0, fill="")
    assert [r.rule for r in caught.value.refusals] == ["option.section", "option.layers_a", "option.fill"]


def test_unknown_keywords_are_named_with_those_that_are():
    with pytest.raises(wc.OptionError) as caught:
        wc.options(centres=400, orientation="vertical")
    assert [r.rule for r in caught.value.refusals] == ["option.centres", "option.orientation"]
    assert all(name in caught.value.refusals[0].nearest_change for name in OPTION_FIELDS)


def test_a_grid_with_a_bad_value_is_refused():
    with pytest.raises(wc.OptionError, match=r"option\.stud_centres"):
        wc.options(stud_centres=[400, 90])
