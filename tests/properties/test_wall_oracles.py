"""The oracles of the random walls see the faults they are there for: a sound design with one thing made wrong."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from wall_oracles import design_faults

import wallcalc as wc

WALL = Path(__file__).resolve().parents[2] / "data" / "walls" / "worked_wall.toml"


@pytest.fixture(scope="module")
def sound_design():
    option = wc.Option(board_orientation="horizontal")
    return wc.design(wc.Wall.load(WALL), option, model="closed form")


def remade(design, **parts):
    """The design with other members, boards or joints, or another timber plan, sheet plans or order."""
    cut = design.parts.cut
    frame = {k: tuple(v) for k, v in parts.items() if k in ("members", "boards", "joints")}
    carcass = replace(cut.carcass, frame=replace(cut.frame, **frame))
    plans = {k: v for k, v in parts.items() if k in ("timber", "sheets")}
    rest = {"order": parts["order"]} if "order" in parts else {}
    return wc.Design(replace(design.parts, cut=replace(cut, carcass=carcass, **plans), **rest), ())


def changed(records, mark, **what):
    assert any(r.mark == mark for r in records)
    return [replace(r, **what) if r.mark == mark else r for r in records]


def without(records, mark):
    assert any(r.mark == mark for r in records)
    return [r for r in records if r.mark != mark]


def seen(design):
    return {fault.split(":")[0] for fault in design_faults(design)}


def test_the_design_as_made_has_none(sound_design):
    assert seen(sound_design) == set()


def test_a_board_moved_by_a_millimetre(sound_design):
    board = sound_design.frame.boards[0]
    outline = tuple((x, y + 10) for x, y in board.outline)
    boards = changed(sound_design.frame.boards, board.mark, y=board.y + 10, outline=outline)
    assert "lining_faults" in seen(remade(sound_design, boards=boards))


def test_a_joint_left_off_the_list_or_of_the_wrong_kind(sound_design):
    joints = [j for j in sound_design.frame.joints if j.kind != "corner"]
    corners = [j for j in sound_design.frame.joints if j.kind == "corner"]
    assert "joint_table_faults" in seen(remade(sound_design, joints=joints[1:] + corners))
    other = replace(joints[0], kind="bound-cut")
    assert "joint_table_faults" in seen(remade(sound_design, joints=[other, *joints[1:], *corners]))


def test_a_stud_in_another_or_in_the_doorway(sound_design):
    members = sound_design.frame.members
    assert "member_faults" in seen(remade(sound_design, members=changed(members, "S1", x=200)))
    assert "member_faults" in seen(remade(sound_design, members=changed(members, "S2", x=30_000)))


def test_a_stud_cut_short(sound_design):
    members = changed(sound_design.frame.members, "S2", height=25_000, length=25_000)
    assert "standing_faults" in seen(remade(sound_design, members=members))


def test_a_sole_plate_that_runs_into_the_doorway(sound_design):
    members = changed(sound_design.frame.members, "SP1", width=28_000, length=28_000)
    assert {"plate_faults", "member_faults"} <= seen(remade(sound_design, members=members))


def test_a_door_without_its_head_or_a_jamb(sound_design):
    members = sound_design.frame.members
    assert "opening_faults" in seen(remade(sound_design, members=without(members, "DH1")))
    assert "opening_faults" in seen(remade(sound_design, members=without(members, "JS1")))


def test_a_stud_of_the_module_left_out(sound_design):
    assert "bay_faults" in seen(remade(sound_design, members=without(sound_design.frame.members, "S2")))


def test_a_stud_too_near_the_next(sound_design):
    stud = next(m for m in sound_design.frame.members if m.mark == "S1")
    extra = replace(stud, mark="S9", x=stud.x + 380 + 500)
    assert "bay_faults" in seen(remade(sound_design, members=[*sound_design.frame.members, extra]))


def test_a_noggin_behind_a_joint_left_out_or_a_little_low(sound_design):
    members = sound_design.frame.members
    noggin = next(m for m in members if m.role == "noggin")
    assert "backing_faults" in seen(remade(sound_design, members=without(members, noggin.mark)))
    low = changed(members, noggin.mark, y=noggin.y - 10)
    assert "backing_faults" in seen(remade(sound_design, members=low))


def test_a_noggin_that_does_not_touch_the_face(sound_design):
    members = sound_design.frame.members
    noggin = next(m for m in members if m.role == "noggin")
    assert "backing_faults" in seen(remade(sound_design, members=changed(members, noggin.mark, faces="B")))


def test_joints_of_both_faces_on_one_stud(sound_design):
    boards = [b for b in sound_design.frame.boards if b.side == "A"]
    boards += [replace(b, side="B", mark=b.mark.replace("A", "B")) for b in boards]
    assert "joint_rule_faults" in seen(remade(sound_design, boards=boards))


def test_a_joint_at_the_jamb(sound_design):
    boards = []
    for b in sound_design.frame.boards:
        if b.side == "A" and b.y + b.height == 26_200:  # the top course laid afresh, joined at the jamb line
            continue
        boards.append(b)
    low = min(b.y for b in sound_design.frame.boards if b.y + b.height == 26_200)
    left = ((0, low), (27_000, low), (27_000, 26_200), (0, 26_200))
    right = (
        (27_000, 20_300),
        (35_420, 20_300),
        (35_420, low),
        (38_400, low),
        (38_400, 26_200),
        (27_000, 26_200),
    )
    like = next(b for b in sound_design.frame.boards if b.side == "A" and b.y == low)
    for mark, outline in (("A1-91", left), ("A1-92", right)):
        x0, x1 = min(x for x, _ in outline), max(x for x, _ in outline)
        boards.append(replace(like, mark=mark, x=x0, width=x1 - x0, outline=outline))
    assert "joint_rule_faults" in seen(remade(sound_design, boards=boards))


def test_a_bay_without_its_row():
    design = wc.design(wc.Wall.load(WALL), wc.Option(), model="closed form")
    assert seen(design) == set()
    members = without(design.frame.members, next(m.mark for m in design.frame.members if m.role == "noggin"))
    assert "row_faults" in seen(remade(design, members=members))


def test_a_bar_left_out_or_overfilled(sound_design):
    plan = sound_design.parts.cut.timber
    fewer = replace(plan, uses=plan.uses[1:])
    assert {"timber_cut_faults", "money_faults"} <= seen(remade(sound_design, timber=fewer))
    first, second, *rest = plan.uses
    full = replace(
        plan, uses=(replace(first, cuts=first.cuts + second.cuts), replace(second, cuts=()), *rest)
    )
    assert "timber_cut_faults" in seen(remade(sound_design, timber=full))


def move_cut(design, pick, **what):
    plans = []
    for plan in design.parts.cut.sheets:
        uses = []
        for use in plan.uses:
            cuts = tuple(replace(c, **{k: v(c) for k, v in what.items()}) if pick(c) else c for c in use.cuts)
            uses.append(replace(use, cuts=cuts))
        plans.append(replace(plan, uses=tuple(uses)))
    return remade(design, sheets=tuple(plans))


def test_a_blank_off_its_sheet_off_its_bound_edge_or_out_of_its_cut_out(sound_design):
    bound = next(b.mark for b in sound_design.frame.boards if b.need_bound == 2)
    assert "sheet_cut_faults" in seen(move_cut(sound_design, lambda c: c.mark == bound, y=lambda c: c.y + 10))
    assert "sheet_cut_faults" in seen(
        move_cut(sound_design, lambda c: c.mark == bound, x=lambda c: c.x - 10_000)
    )
    cuts = [c for p in sound_design.parts.cut.sheets for u in p.uses for c in u.cuts]
    child = next(c.mark for c in cuts if c.parent is not None)
    moved = move_cut(sound_design, lambda c: c.mark == child, x=lambda c: c.x + 9000)
    assert "sheet_cut_faults" in seen(moved)


def test_a_line_of_the_order_with_another_sum(sound_design):
    first, *rest = sound_design.parts.order
    order = (replace(first, cost=first.cost + 1), *rest)
    assert "money_faults" in seen(remade(sound_design, order=order))
