"""Holes in boards and timber: places, sizes and areas by hand, on the plain laundry wall and on bare records."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest
from wall_oracles import design_faults

import wallcalc as wc
from wallcalc.given.parts import Service
from wallcalc.given.wall import Wall
from wallcalc.records import Board, Member
from wallcalc.services.holes import bored, holes_in, pierced, pierces

PLAIN = Path(__file__).resolve().parents[2] / "data" / "walls" / "laundry_plain.toml"
SECTION = "38x89"


@pytest.fixture(scope="module")
def plain() -> Wall:
    return replace(wc.Wall.load(PLAIN), hung=(), services=())


def pipe(x: float, y: float, diameter: float = 43, name: str = "waste", side: str = "A", **more) -> Service:
    return Service(name, side, (round(x * 10), round(y * 10)), round(diameter * 10), 100, **more)


def stud(mark: str, x: float, low: float = 38, high: float = 2582) -> Member:
    tall = round((high - low) * 10)
    return Member(mark, "stud", SECTION, round(x * 10) - 190, round(low * 10), 380, tall, tall, 890)


def noggin(mark: str, x: float, y: float, width: float, *, flat: bool = False) -> Member:
    tall, deep = (890, 380) if flat else (380, 890)
    wide = round(width * 10)
    return Member(mark, "noggin", SECTION, round(x * 10), round(y * 10), wide, tall, wide, deep, flat=flat)


def board(mark: str, side: str, layer: int, x: int, width: int, group: str) -> Board:
    outline = ((x, 120), (x + width, 120), (x + width, 26_200), (x, 26_200))
    return Board(mark, side, layer, 0, "p", x, 120, width, 26_080, outline, (), False, 0, cut_group=group)


def test_a_service_comes_through_its_own_side_and_through_both_when_it_goes_through():
    assert [(s, p.service) for s, p in pierces([pipe(500, 500)])] == [("A", "waste")]
    both = pierces([pipe(500, 500, side="B", goes="through")])
    assert [(s, p.x, p.y) for s, p in both] == [("B", 5000, 5000), ("A", 5000, 5000)]
    far = pierces([pipe(500, 500, goes="through", to=(9000, 4000))])
    assert [(s, p.x, p.y) for s, p in far] == [("A", 5000, 5000), ("B", 9000, 4000)]


def test_boxes_are_cut_square_and_pipes_round():
    box = Service("socket", "A", (9000, 4500), 1460, 0, "socket", size=(1460, 860))
    assert holes_in("A", [box]) == ((8270, 4070, 9730, 4930),)
    ((_, cut),), ((_, drilled),) = pierces([box]), pierces([pipe(500, 500)])
    assert cut.area == 1460 * 860
    assert drilled.area == pytest.approx(math.pi * 215**2)


def test_both_layers_of_the_side_are_pierced_and_leave_their_cut_group():
    boards = [
        board("A1-1", "A", 1, 0, 12_000, "A1-1"),
        board("A1-2", "A", 1, 12_000, 12_000, "A1-1"),
        board("A1-3", "A", 1, 24_000, 12_000, "A1-1"),
        board("A2-1", "A", 2, 0, 36_000, "A2-1"),
        board("B1-1", "B", 1, 0, 36_000, "B1-1"),
    ]
    made = {b.mark: b for b in pierced(boards, [pipe(500, 500)])}
    assert [m for m, b in made.items() if b.pierced] == ["A1-1", "A2-1"]
    assert {m: b.cut_group for m, b in made.items()} == {
        "A1-1": "A1-1",
        "A1-2": "A1-2",
        "A1-3": "A1-2",
        "A2-1": "A2-1",
        "B1-1": "B1-1",
    }
    assert pierced(boards, []) == tuple(boards)


def test_distances_are_from_the_boards_own_edges_as_its_face_is_seen():
    a, b = board("A1-1", "A", 1, 6000, 12_000, ""), board("B1-1", "B", 1, 6000, 12_000, "")
    (_, hole), (_, other) = pierces([pipe(1120, 520, goes="through")])
    assert a.from_face(hole) == (11_200 - 6000, 5200 - 120)
    assert b.from_face(other) == (18_000 - 11_200, 5200 - 120)  # side B: its left is the wall's right


def test_a_falling_run_bores_every_stud_it_crosses_at_its_own_height():
    members = [stud("S1", 600), stud("S2", 1200), stud("S3", 1800), stud("SS1", 1500, 2068)]
    run = pipe(700, 500, to=(19_000, 4780), kind="waste")  # 22 mm over 1200
    holes = bored(members, [run], 26_200)
    # 500 - 22 x 500 / 1200 = 490.83; 500 - 22 x 1100 / 1200 = 479.83
    assert [(h.member, h.x, h.y, h.axis) for h in holes] == [
        ("S2", 12_000, 4908, "x"),
        ("S3", 18_000, 4798, "x"),
    ]


def test_a_drop_bores_noggins_and_the_sole_plate_and_passes_behind_flat_ones():
    plate = Member("SP1", "sole plate", SECTION, 0, 0, 24_000, 380, 24_000, 890)
    level = [
        noggin("N1.1", 619, 400, 562),
        noggin("N1.2", 1219, 400, 562),
        noggin("N2.1", 619, 900, 562),
        noggin("N3.1", 619, 600, 562, flat=True),
    ]
    holes = bored([stud("S1", 600), plate, *level], [pipe(900, 800, goes="down")], 26_200)
    assert [(h.member, h.x, h.y, h.axis) for h in holes] == [
        ("SP1", 9000, 190, "y"),
        ("N1.1", 9000, 4190, "y"),
    ]


# --- in a design


def test_the_tables_tell_where_to_cut_and_bore(plain):
    services = (
        pipe(1500, 1000, 32, goes="down", kind="waste"),
        pipe(700, 1300, 15, name="cold water", to=(16_000, 13_000)),
        Service("socket", "B", (9000, 4500), 1460, 50, "socket", size=(1460, 860)),
    )
    design = wc.design(replace(plain, services=services), wc.Option(layers_b=2), model="closed form")
    assert design_faults(design) == []
    boards = design.boards
    cut = boards[boards["service_holes"].map(len) > 0]
    assert set(cut["side"] + cut["layer"].astype(str)) == {"A1", "B1", "B2"}
    for row in cut.itertuples():
        for name, shape, left, low, width, height in row.service_holes:
            s = next(s for s in services if s.name == name)
            x = row.x + left if row.side == "A" else row.x + row.width - left
            assert (round(x * 10), round((row.y + low) * 10)) == s.at
            assert (shape, width, height) == (
                ("box", 146, 86) if name == "socket" else ("round", s.diameter / 10, s.diameter / 10)
            )
    listed = [hole[:2] for holes in design.sheet_cuts["service_holes"] for hole in holes]
    assert sorted(listed) == sorted((r.mark, h[0]) for r in cut.itertuples() for h in r.service_holes)
    whole = wc.design(plain, wc.Option(layers_b=2), model="closed form")
    gone = math.pi * 16**2 + math.pi * 7.5**2 + 2 * 146 * 86  # mm2: the socket in both layers
    assert whole.boards["area"].sum() - boards["area"].sum() == pytest.approx(gone / 1e6, abs=1e-9)
    assert design.waste["board"].fixed == pytest.approx(boards["area"].sum(), abs=1e-9)
    assert {h.role for h in design.bored.itertuples() if h.service == "waste"} >= {"sole plate"}
    crossed = design.bored[design.bored["service"] == "cold water"]
    assert set(crossed["role"]) <= {"stud", "double stud"}
    assert (crossed["along"] + 38 == crossed["y"]).all()
    assert (crossed["y"] == 1300).all()
    assert (crossed["from_edge"] == 37).all()  # (89 - 15) / 2


def test_setting_out_marks_services_once_and_holes_in_timber(plain):
    services = (
        pipe(1500, 1000, 32, goes="down", kind="waste"),
        Service("socket", "B", (9000, 4500), 1460, 50, "socket", size=(1460, 860)),
    )
    design = wc.design(replace(plain, services=services), wc.Option(layers_b=2), model="closed form")
    marks = design.setting_out
    found = marks[marks["role"] == "service"]
    told = {(m.mark, m.axis, m.edge): (m.from_left, m.from_right) for m in found.itertuples()}
    assert len(told) == len(found)
    assert told == {
        ("waste, side A", "x", "centre"): (1500, 2340),
        ("waste, side A", "y", "centre"): (1000, 1620),
        ("socket, side B", "x", "left"): (827, 3013),
        ("socket, side B", "x", "centre"): (900, 2940),
        ("socket, side B", "x", "right"): (973, 2867),
        ("socket, side B", "y", "bottom"): (407, 2213),
        ("socket, side B", "y", "centre"): (450, 2170),
        ("socket, side B", "y", "top"): (493, 2127),
    }
    holes = marks[marks["role"] == "hole"]
    assert {(m.axis, m.from_left) for m in holes.itertuples()} == {("x", 1500)}
    assert len(holes) == len(design.bored) >= 2


def test_walls_without_services_have_none_of_it(plain):
    design = wc.design(plain, model="closed form")
    assert design.bored.empty
    assert not any(design.boards["service_holes"])
    assert not set(design.setting_out["role"]) & {"service", "hole"}


def test_joints_of_both_faces_that_a_switch_puts_close_come_to_one_height():
    switch = Service("switch", "B", (2_000, 11_000), 860, 0, "socket", size=(860, 860))
    wall = Wall("stub", 11_000, ((0, 23_000),), services=(switch,))
    design = wc.design(wall, wc.Option(board_orientation="horizontal"), model="closed form")
    heights = {j.y1 for j in design.frame.joints if j.y1 == j.y2 and j.kind != "corner"}
    assert len(heights) == 1
    checks = design.checks
    assert not ((checks["check"] == "edge backing") & (checks["verdict"] == "fail")).any()


def test_studs_and_noggins_say_for_whom_they_moved(plain):
    wall = replace(plain, services=(pipe(1190, 873),))
    design = wc.design(wall, model="closed form")
    assert design_faults(design) == []
    assert any("added beside waste" in note for note in design.frame.notes)
    assert any(note.startswith("noggin") and "for waste" in note for note in design.frame.notes)
