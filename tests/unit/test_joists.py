"""Joists: where plates cross them, noggins between them, what is bought, marked and checked for them."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from wall_oracles import design_faults

import wallcalc as wc
from wallcalc.draw.frame_marks import joist_boxes
from wallcalc.framing.joists import evenly, joists_crossed
from wallcalc.given.parts import Joists
from wallcalc.shipped import data_folder

WALL = wc.Wall.load(data_folder() / "walls" / "worked_wall.toml")
ALONG = Joists("along", None, 4500)


def made(above: Joists, below: Joists | None = None, **changes: object) -> wc.Design:
    wall = replace(WALL, joists_above=above, joists_below=below or Joists("solid"), **changes)
    return wc.design(wall, model="closed form")


@pytest.fixture(scope="module")
def along() -> wc.Design:
    return made(ALONG, ceiling="bare joists")


def rows(design: wc.Design, subject: str = "head plate") -> dict[str, tuple]:
    found = [r for r in design.check_rows if r.check == "plate fixings" and r.subject == subject]
    return {r.case: (r.value, r.limit, r.verdict) for r in found}


# --- places


@settings(deadline=None)
@given(st.integers(0, 6000), st.integers(1000, 9000), st.integers(0, 40_000), st.integers(1, 40_000))
def test_every_joist_in_a_stretch_is_found_and_no_other(first, centres, start, width):
    crossed = joists_crossed(Joists("across", first, centres), start, start + width)
    assert list(crossed) == [x for x in range(first, 90_000, centres) if start <= x <= start + width]


@pytest.mark.parametrize("joists", [Joists("along", None, 4500), Joists(), Joists("across"), Joists("solid")])
def test_joists_at_places_not_known_are_crossed_nowhere(joists):
    assert joists_crossed(joists, 0, 38_400) == ()


def test_places_along_a_plate_of_3840_by_hand():
    # 150 from each end leaves 3540: six spaces of 590, no more than 600
    assert evenly(0, 38_400, 1500, 6000, 2) == tuple(range(1500, 38_000, 5900))
    assert evenly(0, 4000, 1500, 6000, 2) == (1000, 3000)  # under twice 300: a quarter of 400 from each end


# --- noggins between joists


def test_noggins_between_joists_are_cut_bought_and_nailed_with_the_rest(along):
    other = made(Joists("across", 2100, 4500), ceiling="bare joists")
    noggins = along.frame.joist_noggins
    assert [n.x for n in noggins] == list(range(1500, 38_000, 5900))
    assert {n.length for n in noggins} == {4500 - 470}  # joists of 47
    needed = {d: sum(o.needed for o in d.parts.order if o.group == "timber") for d in (along, other)}
    assert needed[along] - needed[other] == pytest.approx(7 * 0.403)
    screws = {d: next(o for o in d.parts.order if o.item == "frame-screw") for d in (along, other)}
    assert "noggins between joists 28" in screws[along].description  # 7, two ends, two each (NHBC 6.3.9)
    assert "between joists" not in screws[other].description
    assert len(along.members) == len(other.members)
    assert list(along.joist_noggins["mark"]) == [f"JN{n}" for n in range(1, 8)]
    assert set(along.joist_noggins["code"]) <= set(along.timber_cuts["stock"])
    assert design_faults(along) == []


def test_noggins_below_the_sole_plate_by_plain_sums():
    """SP1 is 2700 long, SP2 298: 150 from each end leaves 2400, four spaces of 600; of the 298 a quarter, 74.5."""
    design = made(Joists("solid"), Joists("along", None, 4000), floor="timber")
    without = made(Joists("solid"), Joists("along"), floor="timber")
    noggins = design.frame.joist_noggins
    assert [n.x for n in noggins] == [1500, 7500, 13_500, 19_500, 25_500, 36_165, 37_655]
    assert {(n.length, n.place) for n in noggins} == {(4000 - 470, "below")}
    assert [n.mark for n in noggins] == [f"JB{n}" for n in range(1, 8)]
    needed = [sum(o.needed for o in d.parts.order if o.group == "timber") for d in (design, without)]
    assert needed[0] - needed[1] == pytest.approx(7 * 0.353)
    assert (
        "noggins between joists 28"
        in next(o for o in design.parts.order if o.item == "frame-screw").description
    )
    assert rows(design, "sole plate") == {"noggins between joists along the wall": (600, 600, "caution")}
    (row,) = [r for r in design.check_rows if r.check == "plate fixings" and r.subject == "sole plate"]
    assert "lift the deck" in row.why
    assert "within 50 mm" in row.why
    assert design_faults(design) == []


@pytest.mark.parametrize(
    ("below", "floor"),
    [
        (Joists("along"), "timber"),
        (Joists("along", None, 4000), "solid"),
        (Joists("across", 1000, 4000), "timber"),
    ],
)
def test_no_noggins_below_where_the_floor_needs_none_or_the_centres_are_not_known(below, floor):
    assert made(Joists("solid"), below, floor=floor).frame.joist_noggins == ()


def test_noggins_above_and_below_are_told_apart(along):
    both = made(ALONG, Joists("along", None, 4000), floor="timber", ceiling="bare joists")
    assert list(both.joist_noggins["place"]) == ["above"] * 7 + ["below"] * 7
    assert [n for n in both.frame.joist_noggins if n.place == "above"] == list(along.frame.joist_noggins)
    assert len(joist_boxes(both)) == 7  # those below are not drawn over the head plate


def test_a_noggin_left_out_of_the_cutting_is_seen(along):
    cut = along.parts.cut
    first = cut.timber.uses[0]
    fewer = replace(cut.timber, uses=(replace(first, cuts=first.cuts[:-1]), *cut.timber.uses[1:]))
    faulty = wc.Design(replace(along.parts, cut=replace(cut, timber=fewer)), ())
    assert any(f.startswith("timber_cut_faults") for f in design_faults(faulty))


def test_noggins_too_far_apart_are_seen(along):
    cut = along.parts.cut
    frame = replace(cut.frame, joist_noggins=cut.frame.joist_noggins[::2])
    faulty = wc.Design(replace(along.parts, cut=replace(cut, carcass=replace(cut.carcass, frame=frame))), ())
    assert any(f.startswith("joist_faults") for f in design_faults(faulty))


def test_the_rules_set_their_length_and_spacing():
    law = wc.Rules.load("uk").with_values({"joist.noggin_centres": 400, "joist.thickness": 50})
    noggins = wc.design(replace(WALL, joists_above=ALONG), rules=law, model="closed form").frame.joist_noggins
    assert len(noggins) == 10  # 3540 in nine spaces of 393
    assert noggins[0].length == 4000


# --- marks


def test_joists_and_noggins_between_them_are_marked():
    design = made(Joists("across", 2100, 4500), Joists("across", 1000, 4000))
    marks = design.setting_out
    joists = marks[marks.role == "joist"]
    above = joists[joists["mark"].str.startswith("joist above")]
    assert list(above["from_left"]) == [210.0 + 450 * n for n in range(9)]
    assert list(above["from_left"] + above["from_right"]) == pytest.approx([3840.0] * 9)
    assert list(joists["mark"])[9:11] == ["joist below 1", "joist below 2"]
    assert not (marks.role == "joist noggin").any()


def test_noggins_between_joists_are_marked_at_their_middle(along):
    marks = along.setting_out
    at = marks[marks.role == "joist noggin"]
    assert list(at["from_left"]) == [n.x / 10 for n in along.frame.joist_noggins]
    assert not (marks.role == "joist").any()


# --- checks


def test_a_plate_across_joists_is_fixed_into_each():
    design = made(Joists("across", 2100, 4500))
    assert rows(design) == {
        "joists that its shortest reach crosses": (9, 2, "ok"),
        "last joist from the plate's end": (210, 150, "caution"),  # left: 210; right: 3840 - 3810
        "joists apart": (450, 600, "ok"),
    }
    assert rows(made(Joists("across", 1200, 6200)))["joists apart"] == (620, 600, "caution")
    assert rows(made(Joists("across", 1400, 4500)))["last joist from the plate's end"][2] == "ok"


def test_joists_not_known_give_a_caution_and_fixings_at_the_rules_spacing():
    for joists, case in ((Joists(), "joists not known"), (Joists("along"), "joists along the wall")):
        design = made(joists)
        (row,) = [r for r in design.check_rows if r.check == "plate fixings"]
        assert (row.case, row.verdict) == (case, "caution")
        assert row.why.startswith("7 fixings are counted, no more than 600 mm apart")
        screws = next(o for o in design.parts.order if o.item == "plate-screw")
        assert "head plate 7" in screws.description


def test_noggins_over_a_boarded_ceiling_are_let_in_from_above():
    case = "noggins between joists along the wall"
    assert rows(made(ALONG, ceiling="bare joists"))[case] == (590, 600, "ok")
    boarded = made(ALONG, ceiling="boarded")
    assert rows(boarded)[case][2] == "caution"
    assert any("from above" in r.why for r in boarded.check_rows)


def test_a_sole_plate_on_a_solid_floor_asks_for_no_joists():
    assert rows(made(ALONG), "sole plate") == {}
    assert rows(made(ALONG, Joists("along")), "sole plate")["joists along the wall"][2] == "caution"
    assert rows(made(ALONG, Joists()), "sole plate")["joists not known"][2] == "not known"
    across = rows(made(ALONG, Joists("across", 1000, 4000)), "sole plate")
    assert across["joists that its shortest reach crosses"] == (1, 2, "caution")  # 3800 of SP2
