"""Error messages: every problem named, and the same text on the other side of a process boundary."""

from __future__ import annotations

import pickle

import pytest

import wallcalc as wc


@pytest.mark.parametrize("kind", [wc.WallError, wc.RuleError, wc.PriceError])
def test_every_problem_is_listed_with_what_would_do(kind):
    error = kind(
        [wc.Problem("length", "'3,84 m'", "a decimal point"), wc.Problem("height", "-1", "more than 0")], "x"
    )
    assert str(error) == (
        f"2 problems in the {kind.what} x:\n"
        "  - length: found '3,84 m'; accepted: a decimal point\n"
        "  - height: found -1; accepted: more than 0"
    )
    assert str(kind([wc.Problem("a", "b", "c")])).startswith(f"1 problem in the {kind.what}:")


def test_a_message_tells_the_first_problems_and_how_many_more_there_are():
    error = wc.WallError([wc.Problem(f"opening[{i}].left", "1", "2") for i in range(1, 1235)])
    first, *told, last = str(error).splitlines()
    assert first == "1234 problems in the wall:"
    assert told == [f"  - opening[{i}].left: found 1; accepted: 2" for i in range(1, 31)]
    assert last == "  - and 1,204 more"
    assert len(error.problems) == 1234


def test_refusals_say_rule_place_found_and_change():
    error = wc.OptionError([wc.Refusal("sheet", "side A", "too short", "use a longer one")])
    assert str(error) == "sheet (side A): too short; to make it buildable: use a longer one"


@pytest.mark.parametrize(
    "error",
    [
        wc.WallError([wc.Problem("a", "b", "c")], "file.toml"),
        wc.PriceError([wc.Problem("line 3, price", "x", "a number")]),
        wc.OptionError([wc.Refusal("a", "b", "c", "d"), wc.Refusal("e", "f", "g", "h")]),
    ],
    ids=lambda e: type(e).__name__,
)
def test_errors_cross_processes_whole(error):
    again = pickle.loads(pickle.dumps(error))
    assert type(again) is type(error)
    assert str(again) == str(error)
    assert vars(again) == vars(error)
