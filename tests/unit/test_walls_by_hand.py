"""What small walls take, counted by hand line by line from the rule file's usages: timber, boards, fill, order list.

The plain wall is 2400 x 2400, studs at 600 from the left, sheets 1200 x 2400, two layers on side B, no noggins, no
setting tolerance: its joints are at 1200 (side A), 600 and 1800 (side B) and 200 and 1400 (its second layer), so that
studs stand at 200, 600, 1200, 1400 and 1800 between the end studs. All are 2324 long.
"""

from __future__ import annotations

import math

import pytest

import wallcalc as wc
from wallcalc.given.wall import Opening

BARE = wc.Rules.load("uk").with_values({"joint.tolerance": 0, "frame.stability_rows": False})
STUD = 2400 - 2 * 38
BOARD = 2400 - 12


def plain(rules=BARE, openings=(), **option) -> wc.Design:
    wall = wc.Wall("plain", 24_000, ((0, 24_000),), openings=openings)
    chosen = {"sheet": "1200x2400", "stud_centres": 600, "layers_b": 2, **option}
    return wc.design(wall, wc.Option(**chosen), rules=rules, model="closed form", seconds=1)


@pytest.fixture(scope="module")
def design():
    return plain(fill="wool-75")


def needed(design, item: str) -> float:
    return design.takeoff.loc[design.takeoff["item"] == item, "needed"].sum()


def test_timber_and_boards(design):
    # both plates are cut 5 short, to come out of 2400 with 5 of trim
    assert needed(design, "stud-38x89") == pytest.approx((2 * (2400 - 5) + 7 * STUD) / 1000)
    assert needed(design, "standard-12.5") == pytest.approx(3 * 2.4 * BOARD / 1000)


def test_screws(design):
    """Rows of 2362 at 300 have 9; between rows, on the two plates, 1 where they are over 300 apart."""
    first = 9 * 9 + 2 * (1 + 2 + 1)  # 3, 4 and 2 uprights behind boards of 600, 1200, 600: 390; 590, 390; 571
    side_a = 2 * (4 * 9 + 2 * 2)
    second = 2 * 9 + (4 * 9 + 2 * 2) + (3 * 9 + 2 * 2)
    assert needed(design, "board-screw") == math.ceil((first + side_a) * 1.05) + math.ceil(second * 1.05)


def test_fixings(design):
    assert needed(design, "frame-screw") == math.ceil(7 * 2 * 2 * 1.05)  # two at either end of each stud
    plate = math.ceil((2400 - 2 * 150) / 600) + 1
    end_stud = math.ceil((STUD - 2 * 150) / 600) + 1
    assert needed(design, "plate-screw") == math.ceil((2 * plate + 2 * end_stud) * 1.05)


def test_finishing(design):
    """What is seen is taped: A's joint, the second layer's two, and on both sides two angles and the ceiling line."""
    tape = (1 + 2) * BOARD + 2 * (2 * BOARD + 2400)
    assert needed(design, "joint-tape") == pytest.approx(tape / 1000 * 1.1, abs=1e-3)
    assert needed(design, "joint-compound") == pytest.approx(2 * 2.4 * BOARD / 1000 * 0.35, abs=1e-3)
    assert needed(design, "acoustic-sealant") == pytest.approx(2 * 2 * (2.4 + 2.4) * 36 * 1.1, abs=1e-3)


def test_a_door_takes_from_sealant_tape_and_plate(design):
    """A doorway 800 x 2000 from 800: no sole plate, sealant or tape under it, jamb and head in its place."""
    door = plain(openings=(Opening("door", 8000, width=8000, height=20_000),), layers_b=1)
    sides = 2 * (2 * (2.4 + 2.4) - 0.8)
    assert needed(door, "acoustic-sealant") == pytest.approx(sides * 36 * 1.1, abs=1e-3)
    area = 2 * (2.4 * BOARD / 1000 - 0.8 * (2.0 - 0.012))
    assert needed(door, "standard-12.5") == pytest.approx(area, abs=1e-4)
    assert needed(door, "joint-compound") == pytest.approx(area * 0.35, abs=1e-3)
    roles = door.members["role"].value_counts()
    assert (roles["sole plate"], roles["jamb stud"], roles["door head"]) == (2, 2, 1)
    plates = sum(math.ceil((n - 300) / 600) + 1 for n in (2400, 800, 800))
    assert needed(door, "plate-screw") == math.ceil((plates + 2 * 5) * 1.05)


def test_the_cost_is_that_of_the_packs(design):
    for line in design.takeoff.itertuples():
        assert line.cost == pytest.approx(line.bought * line.unit_price)
    packed = design.takeoff[~design.takeoff["unit"].isin(["m", "m2"])]
    assert ((packed["bought"] * packed["pack"] >= packed["needed"]) & (packed["bought"] >= 1)).all()
    assert design.cost == pytest.approx(design.takeoff["cost"].sum())


def test_the_fill_of_every_bay(design):
    """Slabs 370, 400, 570 and 600 by 1200: 2 to 20 over holds by friction, else the bay and 2; up it 2324 and 5."""
    last = STUD + 5 - 1200
    wanted = [
        # from, clear width, how, width of the pieces
        (38, 181 - 38, "cut", 145),
        (219, 362, "friction", 370),
        (619, 562, "friction", 570),
        (1219, 162, "cut", 164),
        (1419, 362, "friction", 370),
        (1819, 543, "cut", 545),
    ]
    found = design.fill[["x", "y", "width", "height", "thickness", "how", "piece_sizes"]].values.tolist()
    assert found == [
        [x, 38, width, STUD, 75, how, [(1200, piece), (last, piece)]] for x, width, how, piece in wanted
    ]


def test_waste_of_timber_and_boards(design):
    bought = (design.timber_cuts["stock_length"]).sum()
    cut = 2 * 2395 + 7 * STUD
    assert design.timber_waste == pytest.approx(1 - cut / bought, abs=1e-9)
    sheets = (design.sheet_cuts["sheet_length"] * design.sheet_cuts["sheet_width"]).sum()
    assert design.board_waste == pytest.approx(1 - 3 * 2400 * BOARD / sheets, abs=1e-9)


@pytest.mark.parametrize(("tolerance", "what"), [(3, "a stud"), (3.1, "a pair of studs")])
def test_notes_tell_where_joints_put_studs(tolerance, what):
    """A joint of bound edges takes 2 x (10 + 6 + tolerance): 38, the stud's own thickness, or more."""
    design = plain(BARE.with_values({"joint.tolerance": tolerance}))
    assert f"{what} at 200 mm for the joint on side B layer 2" in design.notes
    assert f"{what} at 1200 mm for the joint on side A" in design.notes
    added = design.members[design.members["x"].isin([181, 162, 200])]
    assert [*added.sort_values("x")["x"]] == ([181] if what == "a stud" else [162, 200])


def test_notes_tell_where_boards_are_trimmed():
    assert "side B layer 1: boards trimmed to 600 mm so that their edges reach studs" in plain().notes
