"""Cleats behind pattresses: where they stand, what they are ripped to, what is bought and checked for them."""

from __future__ import annotations

from dataclasses import replace

import pytest

import wallcalc as wc
from wallcalc.given.parts import HungItem, Service
from wallcalc.given.wall import Wall
from wallcalc.hanging.cleats import cleats_behind
from wallcalc.hanging.fixings import HungRules
from wallcalc.records import Member
from wallcalc.services.clearances import Drop

RULES = HungRules(200, 500, "ply-18", 180, 2000, (), 250)
SHELF = HungItem("shelf", "A", ((9000, 12_000),), 8.0, backing="pattress")


def board(mark, y, height, faces, x=6190, width=5620):
    return Member(mark, "pattress", "ply-18", x, y, width, height, width, 180, faces)


def behind(*members, pipes=(), depth=890):
    return cleats_behind(members, "38x89", 380, depth, RULES, pipes)


def wall(*hung, **more):
    return Wall("w", 30_000, ((0, 24_000),), hung=hung, **more)


def made(given, law=None):
    return wc.design(given, wc.Option(), rules=law, model="closed form")


def test_two_cleats_stand_against_the_studs_and_fill_what_is_left_of_the_depth():
    cleats, notes = behind(board("P1", 10_000, 2000, "A"))
    assert notes == ()
    assert [(c.mark, c.x, c.y, c.length, c.depth, c.serves) for c in cleats] == [
        ("CL1", 6190, 10_000, 2000, 890 - 180, ("P1",)),
        ("CL2", 6190 + 5620 - 380, 10_000, 2000, 890 - 180, ("P1",)),
    ]


def test_boards_back_to_back_share_their_cleats_and_others_do_not():
    cleats, _ = behind(board("P1", 10_000, 2000, "A"), board("P2", 11_000, 3000, "B"))
    assert {(c.y, c.length, c.depth, c.serves) for c in cleats} == {(10_000, 4000, 890 - 360, ("P1", "P2"))}
    assert len(cleats) == 2
    cleats, _ = behind(board("P1", 10_000, 2000, "A"), board("P2", 12_000, 2000, "B"))
    assert [c.serves for c in cleats] == [("P1",), ("P2",)] * 2


def test_a_noggin_laid_flat_behind_leaves_less():
    flat = Member("N1.1", "noggin", "38x89", 6190, 10_500, 5620, 890, 5620, 380, "B", (), True)
    cleats, _ = behind(board("P1", 10_000, 2000, "A"), flat)
    assert {c.depth for c in cleats} == {890 - 180 - 380}


def test_where_too_little_is_left_there_are_none_and_it_is_said():
    cleats, (note, *_) = behind(board("P1", 10_000, 2000, "A"), board("P2", 10_000, 2000, "B"), depth=600)
    assert cleats == ()
    assert "P1 has no cleat at both ends" in note
    assert "only 24 mm" in note
    assert behind(board("P1", 10_000, 2000, "A", width=700))[0] == ()


def test_a_pipe_beside_a_stud_takes_the_place_of_one():
    pipe = Drop("tap", 6400, 380, 15_000, 150, 50)
    cleats, (note,) = behind(board("P1", 10_000, 2000, "A"), pipes=(pipe,))
    assert [c.x for c in cleats] == [6190 + 5620 - 380]
    assert "left end" in note
    assert "tap" in note
    assert len(behind(board("P1", 16_000, 2000, "A"), pipes=(pipe,))[0]) == 2


def test_cleats_are_cut_bought_screwed_and_weighed():
    law = wc.Rules.load("uk").with_values({"pattress.cleat_least": 80})  # more than 89 - 18 leave: none
    design, without = made(wall(SHELF)), made(wall(SHELF), law)
    (pattress,) = (m for m in design.frame.members if m.role == "pattress")
    assert without.frame.cleats == ()
    needed = [sum(o.needed for o in d.parts.order if o.group == "timber") for d in (design, without)]
    assert needed[0] - needed[1] == pytest.approx(2 * pattress.height / 10_000)
    screws = [
        next(o for o in d.parts.order if o.item == "frame-screw").description for d in (design, without)
    ]
    assert "cleats to studs 8" in screws[0]
    assert "cleats" not in screws[1]
    assert list(design.cleats["length"]) == [pattress.height / 10] * 2
    assert set(design.cleats["code"]) <= set(design.timber_cuts["stock"])
    volume = 2 * 0.038 * 0.071 * pattress.height / 10_000
    density = design.rules.value("mass.timber_density")
    assert design.mass - without.mass == pytest.approx(volume * density, rel=1e-6)
    ends = [[r for r in d.check_rows if r.check == "hung pattress ends"] for d in (design, without)]
    assert {r.verdict for r in ends[0]} == {"ok"}
    assert all("into CL1 or CL2" in r.why for r in ends[0])
    assert {r.verdict for r in ends[1]} == {"not known"}


def test_few_screws_into_the_stud_bound_what_an_end_carries():
    heavy = replace(SHELF, mass=60.0)
    limits = [
        next(r for r in made(wall(heavy), law).check_rows if r.check == "hung pattress ends").limit
        for law in (None, wc.Rules.load("uk").with_values({"fixing.cleat_to_stud": 1}))
    ]
    assert limits[1] < limits[0]


def test_more_screws_are_asked_for_at_both_ends_of_the_way_of_the_load():
    design = made(wall(replace(SHELF, mass=300.0)))
    rows = [r for r in design.check_rows if r.check == "hung pattress ends" and r.verdict == "fail"]
    assert rows
    assert all("at each end, and as many from the cleat into the stud, would hold" in r.why for r in rows)


def test_fill_is_notched_round_cleats():
    def told(hung):
        design = wc.design(wall(*hung), wc.Option(fill="wool-50"), model="closed form")
        return next(r.why for r in design.check_rows if r.check == "fill fit")

    assert "notch it round the cleats at the ends of pattresses (2 of them)" in told([SHELF])
    assert "cleats" not in told([])


def test_a_frame_without_pattresses_has_no_cleats():
    service = Service("tap", "A", (9000, 5000), 150, 50)
    assert made(wall(replace(SHELF, backing="noggin"), services=(service,))).frame.cleats == ()
