"""The oracles of uneven walls see the faults they are there for: a sound design with one thing made wrong."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest
from test_wall_oracles import changed, remade, seen, without

import wallcalc as wc
from wallcalc.given.parts import Opening

WALL = Path(__file__).resolve().parents[2] / "data" / "walls" / "sloping_ceiling.toml"


@pytest.fixture(scope="module")
def sloped():
    """The shipped wall under a roof, longer and with a door, over a floor that falls, boards on their side."""
    wall = replace(
        wc.Wall.load(WALL),
        length=42_000,
        heights=((0, 12_000), (16_000, 25_500), (42_000, 25_300)),
        floor_levels=((0, 0), (42_000, 240)),
        openings=(Opening("door", 27_000, leaf=7620),),
    )
    return wc.design(wall, wc.Option(board_orientation="horizontal", fill="wool-50"), model="closed form")


def test_the_design_as_made_has_none(sloped):
    assert seen(sloped) == set()


def test_a_stud_cut_square_to_its_long_point_or_short_of_the_slope(sloped):
    members = sloped.frame.members
    stud = next(m for m in members if m.role == "stud" and m.outline)
    square = changed(members, stud.mark, outline=())
    assert {"shape_faults", "cut_faults"} & seen(remade(sloped, members=square))
    top = max(y for _, y in stud.outline)
    low = tuple((x, y - 40 if y > top - 2000 else y) for x, y in stud.outline)
    short = changed(members, stud.mark, outline=low, height=stud.height - 40, length=stud.length - 40)
    assert {"cut_faults", "standing_faults"} <= seen(remade(sloped, members=short))


def test_a_stud_told_to_be_cut_by_its_short_point(sloped):
    stud = next(m for m in sloped.frame.members if m.role == "stud" and m.outline)
    members = changed(sloped.frame.members, stud.mark, length=stud.length - 200)
    assert {"cut_faults", "plate_faults"} <= seen(remade(sloped, members=members))


def test_a_plate_left_level_or_left_out(sloped):
    members = sloped.frame.members
    plate = next(m for m in members if m.role == "head plate" and m.outline)
    assert {"plate_faults", "backing_faults"} <= seen(remade(sloped, members=without(members, plate.mark)))
    moved = tuple((x, y - 30) for x, y in plate.outline)
    assert "plate_faults" in seen(
        remade(sloped, members=changed(members, plate.mark, outline=moved, y=plate.y - 30))
    )


def test_a_board_that_crosses_the_ceiling_or_falls_short_of_it(sloped):
    board = next(
        b for b in sloped.frame.boards if any(p[1] != q[1] and p[0] != q[0] for p, q in pairwise(b.outline))
    )
    for by in (15, -15):
        outline = tuple((x, y + by if y > board.y + 100 else y) for x, y in board.outline)
        boards = changed(sloped.frame.boards, board.mark, outline=outline, height=board.height + by)
        assert "lining_faults" in seen(remade(sloped, boards=boards))


def test_a_board_cut_to_a_point_said_to_have_a_bound_edge_there(sloped):
    board = next(b for b in sloped.frame.boards if b.lying and "top" not in b.bound_edges and b.outline)
    peak = max(range(len(board.outline)), key=lambda i: board.outline[i][1])
    x, y = board.outline[peak]
    outline = tuple((x, y + 5) if i == peak else p for i, p in enumerate(board.outline))
    boards = changed(
        sloped.frame.boards,
        board.mark,
        outline=outline,
        height=y + 5 - board.y,
        bound_edges=("top", *board.bound_edges),
    )
    assert "lining_faults" in seen(remade(sloped, boards=boards))


def test_a_noggin_behind_a_joint_left_out(sloped):
    noggin = next(m for m in sloped.frame.members if m.role == "noggin" and "joint" in " ".join(m.serves))
    members = without(sloped.frame.members, noggin.mark)
    assert "backing_faults" in seen(remade(sloped, members=members))


def test_a_bay_without_its_row(sloped):
    upright = wc.design(sloped.wall, wc.Option(), model="closed form")
    assert seen(upright) == set()
    noggins = [m for m in upright.frame.members if m.role == "noggin"]
    faults = [seen(remade(upright, members=without(upright.frame.members, m.mark))) for m in noggins]
    assert any("row_faults" in f for f in faults)


def test_a_door_head_left_out_or_a_door_over_the_floor(sloped):
    members = sloped.frame.members
    assert "opening_faults" in seen(remade(sloped, members=without(members, "DH1")))


def test_fill_that_forgets_the_slope(sloped):
    from wallcalc.buying.waste import fill_waste

    whole = [replace(p, outline=()) for p in sloped.parts.fill]
    real = fill_waste(sloped.parts.slabs, sloped.parts.fill, sloped.rules)
    assert fill_waste(sloped.parts.slabs, whole, sloped.rules).fixed > real.fixed * 1.02
