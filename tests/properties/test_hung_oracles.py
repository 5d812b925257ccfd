"""The oracles of hung items see the faults they are there for: a sound design with one thing made wrong."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from wall_oracles import design_faults

import wallcalc as wc

WALL = Path(__file__).resolve().parents[2] / "data" / "walls" / "laundry_and_practice_room.toml"


def made(backing: str):
    wall = replace(wc.Wall.load(WALL), services=())
    wall = replace(wall, hung=tuple(replace(i, backing=backing) for i in wall.hung))
    return wc.design(wall, wc.Option(), model="closed form")


@pytest.fixture(scope="module")
def noggins():
    return made("any")


@pytest.fixture(scope="module")
def boards():
    return made("pattress")


def remade(design, members=None, **cut):
    whole = design.parts.cut
    frame = whole.frame if members is None else replace(whole.frame, members=tuple(members))
    carcass = replace(whole.carcass, frame=frame)
    return wc.Design(replace(design.parts, cut=replace(whole, carcass=carcass, **cut)), ())


def changed(design, pick, **what):
    assert any(pick(m) for m in design.frame.members)
    return remade(design, [replace(m, **what) if pick(m) else m for m in design.frame.members])


def seen(design):
    return {fault.split(":")[0] for fault in design_faults(design)}


def first(design, role, item):
    return next(m.mark for m in design.frame.members if m.role == role and item in m.serves)


def test_the_designs_as_made_have_none(noggins, boards):
    assert seen(noggins) == set()
    assert seen(boards) == set()


def test_a_noggin_left_out_or_two_millimetres_low(noggins):
    mark = first(noggins, "noggin", "trough")
    low = changed(noggins, lambda m: m.mark == mark, y=8190)
    assert "fixing_faults" in seen(low)
    gone = remade(noggins, [m for m in noggins.frame.members if m.mark != mark])
    assert "fixing_faults" in seen(gone)


def test_a_noggin_behind_the_other_face(noggins):
    mark = first(noggins, "noggin", "trough")
    assert "fixing_faults" in seen(changed(noggins, lambda m: m.mark == mark, faces="B"))


def test_a_noggin_too_short_for_its_end_distance(noggins):
    mark = first(noggins, "noggin", "instrument rack")
    member = next(m for m in noggins.frame.members if m.mark == mark)
    short = changed(noggins, lambda m: m.mark == mark, width=23_200 - member.x + 400)
    assert "fixing_faults" in seen(short)


def test_timber_that_does_not_say_whom_it_serves_or_says_so_wrongly(noggins):
    silent = changed(noggins, lambda m: "trough" in m.serves and m.role == "noggin", serves=("stability",))
    assert "fixing_faults" in seen(silent)
    other = next(m.mark for m in noggins.frame.members if m.role == "noggin" and m.serves == ("stability",))
    wrong = changed(noggins, lambda m: m.mark == other, serves=("trough",))
    assert "serving_faults" in seen(wrong)


def test_a_stud_of_a_heavy_item_left_single(noggins):
    mark = first(noggins, "double stud", "trough")
    members = [m for m in noggins.frame.members if m.mark != mark]
    assert "double_faults" in seen(remade(noggins, members))


def test_a_pattress_too_low_or_not_between_studs(boards):
    mark = first(boards, "pattress", "trough")
    assert "plywood_faults" in seen(changed(boards, lambda m: m.mark == mark, height=1900))
    assert "plywood_faults" in seen(changed(boards, lambda m: m.mark == mark, width=5000))


def test_a_pattress_on_the_face_where_nothing_hangs(boards):
    mark = first(boards, "pattress", "trough")
    assert "fixing_faults" in seen(changed(boards, lambda m: m.mark == mark, faces="B"))


def test_a_cleat_left_out_too_deep_or_at_no_end(boards):
    whole = boards.parts.cut

    def with_cleats(cleats):
        carcass = replace(whole.carcass, frame=replace(whole.frame, cleats=tuple(cleats)))
        return wc.Design(replace(boards.parts, cut=replace(whole, carcass=carcass)), ())

    first, *others = whole.frame.cleats
    assert "cleat_faults" in seen(with_cleats(others))
    assert "timber_cut_faults" in seen(with_cleats(others))
    assert "cleat_faults" in seen(with_cleats([replace(first, depth=first.depth + 1), *others]))
    assert "cleat_faults" in seen(with_cleats([replace(first, x=first.x + 10), *others]))


def test_a_pattress_not_cut_or_cut_without_a_kerf(boards):
    plan = boards.parts.cut.plywood
    (use,) = plan.uses
    fewer = replace(plan, uses=(replace(use, cuts=use.cuts[1:]),))
    assert "plywood_faults" in seen(remade(boards, plywood=fewer))
    shut = tuple(replace(c, x=max(0, c.x - 10)) if c is use.cuts[1] else c for c in use.cuts)
    assert "plywood_faults" in seen(remade(boards, plywood=replace(plan, uses=(replace(use, cuts=shut),))))
    assert "plywood_faults" in seen(remade(boards, plywood=replace(plan, cost=plan.cost + 1)))
