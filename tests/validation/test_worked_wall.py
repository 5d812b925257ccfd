"""The worked wall of the design page, computed there by hand; every figure below is quoted from it.

'A worked wall (computed by hand, for checking)': 3840 x 2620, 38x89, 600 centres from the left, upright 1200x2700,
structural opening 2700-3542 x 2030, floor gap 12, joints at nominal x, no tolerance.
"""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest
from wall_oracles import design_faults

import wallcalc as wc

WALL = Path(__file__).resolve().parents[2] / "data" / "walls" / "worked_wall.toml"
PRODUCTS = {"sheet": "1200x2700", "board_a": "standard-12.5", "board_b": "standard-12.5"}


@pytest.fixture(scope="module")
def exact():
    return wc.Rules.load("uk").with_values({"joint.tolerance": 0})


@pytest.fixture(scope="module")
def upright(exact):
    return wc.design(wc.Wall.load(WALL), wc.Option(**PRODUCTS), rules=exact, seconds=5.0)


@pytest.fixture(scope="module")
def lying(exact):
    option = wc.Option(board_orientation="horizontal", **PRODUCTS)
    return wc.design(wc.Wall.load(WALL), option, rules=exact, seconds=5.0)


def of_role(design, role):
    return design.members[design.members["role"] == role].sort_values(["y", "x"])


def test_plates(upright):
    sole, head = of_role(upright, "sole plate"), of_role(upright, "head plate")
    assert list(zip(sole["x"], sole["length"], strict=True)) == [(0, 2700), (3542, 298)]
    assert list(zip(head["x"], head["length"], strict=True)) == [(0, 3840)]


def test_full_height_studs(upright):
    ends, studs, jambs = (of_role(upright, r) for r in ("end stud", "stud", "jamb stud"))
    assert list(ends["x"]) == [0, 3840 - 38]
    assert list(studs["x"] + 19) == [600, 1200, 1800, 2400]  # 3600 is dropped
    assert list(zip(jambs["x"], jambs["x"] + jambs["width"], strict=True)) == [(2662, 2700), (3542, 3580)]
    for group in (ends, studs, jambs):
        assert set(group["length"]) == {2544}


def test_jamb_to_end_stud_is_260_between_centres(upright):
    assert of_role(upright, "end stud")["x"].iloc[1] - of_role(upright, "jamb stud")["x"].iloc[1] == 260


def test_door_head_and_short_studs(upright):
    (head,) = of_role(upright, "door head").to_dict("records")
    assert (head["length"], head["y"], head["y"] + head["height"]) == (842, 2030, 2068)
    short = of_role(upright, "short stud")
    assert list(short["x"] + 19) == [3000, 3240]
    assert set(short["length"]) == {514}


def test_noggin_rows(upright):
    noggins = of_role(upright, "noggin")
    for middle in (873, 1747):
        row = noggins[noggins["y"] + 19 == middle]
        assert list(row["length"]) == [543, 562, 562, 562, 243, 222]
    assert len(noggins) == 12


def test_nothing_else_in_the_frame(upright):
    assert Counter(upright.members["role"]) == {
        "sole plate": 2, "head plate": 1, "end stud": 2, "stud": 4, "jamb stud": 2, "door head": 1, "short stud": 2,
        "noggin": 12,
    }  # fmt: skip


def test_timber_is_34448_mm_net(upright):
    assert upright.members["length"].sum() == 34_448


def test_boards_of_each_face(upright):
    faces = set()
    for _, boards in upright.boards.groupby("side"):
        boards = boards.sort_values("x")
        faces.add(tuple((b["x"], b["x"] + b["width"]) for _, b in boards.iterrows()))
        assert boards["area"].sum() == pytest.approx(8.3156, abs=5e-5)
        assert set(boards["y"]) == {12}
        assert set(boards["height"]) == {2608}
    assert faces == {  # the faces may swap
        ((0, 600), (600, 1800), (1800, 3000), (3000, 3840)),
        ((0, 1200), (1200, 2400), (2400, 3240), (3240, 3840)),
    }


def test_the_notched_boards(upright):
    corners = {(b["x"], b["x"] + b["width"]): len(b["outline"]) for _, b in upright.boards.iterrows()}
    notched = {span for span, count in corners.items() if count > 4}
    assert notched == {(1800, 3000), (3000, 3840), (2400, 3240), (3240, 3840)}


def test_seven_sheets_one_shared_by_two_600_wide_boards(upright):
    assert len(upright.sheet_cuts) == 7
    shared = [cuts for cuts in upright.sheet_cuts["cuts"] if len(cuts) > 1]
    assert [sorted(c[4] for c in cuts) for cuts in shared] == [[600, 600]]
    assert upright.board_waste == pytest.approx(0.267, abs=5e-4)
    assert upright.board_waste == pytest.approx(1 - 2 * 8.3156 / (7 * 1.2 * 2.7), abs=1e-5)


def test_on_its_side_six_sheets_by_using_the_door_cut_outs(lying):
    assert len(lying.sheet_cuts) == 6
    assert lying.board_waste == pytest.approx(0.144, abs=5e-4)
    assert lying.board_waste == pytest.approx(1 - 2 * 8.3156 / (6 * 1.2 * 2.7), abs=1e-5)
    parents = {cut[5] for cuts in lying.sheet_cuts["cuts"] for cut in cuts if cut[5] is not None}
    notched = {b["mark"] for _, b in lying.boards.iterrows() if len(b["outline"]) > 4}
    assert parents
    assert parents <= notched


@pytest.mark.parametrize("which", ["upright", "lying"])
def test_cutting_is_proven(which, request):
    design = request.getfixturevalue(which)
    plans = design.bounds[design.bounds["material"] != "board joints"]
    assert plans["proven"].all()
    assert (plans["cost"] == plans["lower_bound"]).all()


@pytest.mark.parametrize("which", ["upright", "lying"])
def test_every_ground_rule_is_kept(which, request):
    assert design_faults(request.getfixturevalue(which)) == []
