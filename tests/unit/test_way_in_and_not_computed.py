"""Checks through a whole design: the way in that the wall file gives, and what is not computed here."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from check_builders import BOOK, UK, US, boarded, facts, rows_of, studs_at

import wallcalc as wc
from wallcalc.checks import run_checks
from wallcalc.given.parts import Access
from wallcalc.given.wall import Wall
from wallcalc.units.lengths import MM

PLAIN = Wall.load(Path(__file__).parents[2] / "data" / "walls" / "laundry_plain.toml")
BARE = boarded(studs_at(3000, 2400, [600, 1200, 1800, 2400]), {"A": [600, 1800], "B": [1200, 2400]})
ASKED = {
    "fire resistance": ("escape route", "building control"),
    "bearing walls": ("carries no load", "structural engineer"),
    "knocks and crowds": ("where a fall is possible", "structural engineer"),
    "ventilation and wiring": ("Extract, ventilation, wiring and gas", "licensed trades"),
}
"""What each subject must tell to look at, and whom to ask."""


def way_in(access: Access):
    return rows_of(wc.design(replace(PLAIN, access=access), rules=UK, prices=BOOK).check_rows, "way in")


def test_the_way_in_of_a_wall_file_reaches_the_checks_of_its_design() -> None:
    checks = wc.design(PLAIN, rules=UK, prices=BOOK).checks
    (row,) = checks[checks["check"] == "way in"].itertuples()
    assert row.case == "opening 800 x 2000 mm"
    assert row.verdict == "ok"
    assert "turns on a landing of 1500" in row.why


def test_a_wall_without_a_way_in_has_no_row_for_it() -> None:
    assert not way_in(Access())


def test_a_narrow_landing_stops_the_sheets_that_the_opening_lets_through() -> None:
    # on edge a sheet at least 2.4 m long does not turn between 0.8 m and 0.6 m (no more than (0.8^2/3 + 0.6^2/3)^1.5
    # = 1.98 m does); upright it is taller than the opening
    (open_way,) = way_in(Access(800 * MM, 2000 * MM))
    (shut,) = way_in(Access(800 * MM, 2000 * MM, 600 * MM))
    assert (open_way.verdict, shut.verdict) == ("ok", "fail")
    assert "turn behind is not judged" in open_way.why
    assert "shorter sheets" in shut.why
    assert shut.value >= 2400


def test_a_way_in_given_in_part_asks_for_the_rest() -> None:
    (row,) = way_in(Access(landing=1200 * MM))
    assert row.verdict == "not known"
    assert "measure the width and height" in row.why


@pytest.mark.parametrize("rules", [UK, US], ids=["uk", "us"])
def test_what_is_not_computed_says_so_and_names_whom_to_ask(rules) -> None:
    rows = [r for r in run_checks(facts(BARE, rules=rules)) if r.case == "not computed"]
    assert {r.check for r in rows} == set(ASKED)
    assert len(rows) == len(ASKED)
    for row in rows:
        look_at, whom = ASKED[row.check]
        assert row.verdict == "not known"
        assert (row.value, row.limit, row.use) == (None, None, None)
        assert look_at in row.why
        assert "ask" in row.why
        assert whom in row.why
        assert row.source
        assert row.source_status


def test_what_is_not_computed_stands_in_every_design() -> None:
    checks = wc.design(PLAIN, rules=UK, prices=BOOK).checks
    told = checks[checks["case"] == "not computed"]
    assert set(told["check"]) == set(ASKED)
    assert set(told["verdict"]) == {"not known"}
