"""The oracles of services see the faults they are there for: a sound design with one thing made wrong."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from wall_oracles import design_faults

import wallcalc as wc
from wallcalc.given.parts import Service

WALL = Path(__file__).resolve().parents[2] / "data" / "walls" / "worked_wall.toml"
SERVICES = (
    Service("waste", "A", (7000, 7000), 430, 100, "waste", to=(20_000, 6700), goes="down"),
    Service("hot water", "A", (15_000, 10_000), 150, 100, "pipe", goes="down"),
    Service("socket", "B", (8500, 4000), 860, 50, "socket", size=(860, 860)),
    Service("cable", "A", (22_500, 14_000), 100, 50, "cable", goes="through"),
)


@pytest.fixture(scope="module")
def sound_design():
    wall = replace(wc.Wall.load(WALL), services=SERVICES)
    return wc.design(wall, wc.Option(layers_a=2), model="closed form")


def remade(design, **parts):
    cut = design.parts.cut
    frame = {k: tuple(v) for k, v in parts.items()}
    carcass = replace(cut.carcass, frame=replace(cut.frame, **frame))
    return wc.Design(replace(design.parts, cut=replace(cut, carcass=carcass)), ())


def seen(design):
    return {fault.split(":")[0] for fault in design_faults(design)}


def changed(records, pick, **what):
    assert any(pick(r) for r in records)
    return [replace(r, **{k: v(r) for k, v in what.items()}) if pick(r) else r for r in records]


def test_the_design_as_made_has_none(sound_design):
    assert seen(sound_design) == set()
    assert {h.axis for h in sound_design.frame.holes} == {"x", "y"}


@pytest.mark.parametrize("service", SERVICES, ids=lambda s: s.name)
def test_timber_a_millimetre_into_a_clearance(sound_design, service):
    left, _, right, top = service.opening
    stud = next(m for m in sound_design.frame.members if m.role == "stud")
    near = replace(stud, mark="S99", x=right + service.clearance - 10)
    assert "clearance_faults" in seen(remade(sound_design, members=[*sound_design.frame.members, near]))
    noggin = next(m for m in sound_design.frame.members if m.role == "noggin")
    over = replace(noggin, mark="N9.9", x=left, width=right - left, y=top + service.clearance - 10)
    assert "clearance_faults" in seen(remade(sound_design, members=[*sound_design.frame.members, over]))


def test_a_stud_in_the_way_of_a_drop(sound_design):
    stud = next(m for m in sound_design.frame.members if m.role == "stud")
    for x in (15_000 - 190, 20_000 - 190):
        moved = replace(stud, mark="S99", x=x, y=380, height=3000, length=3000)
        assert "clearance_faults" in seen(remade(sound_design, members=[*sound_design.frame.members, moved]))


def test_a_noggin_along_a_run(sound_design):
    noggin = next(m for m in sound_design.frame.members if m.role == "noggin")
    moved = replace(noggin, mark="N9.9", x=9000, width=2000, y=6900)
    assert "clearance_faults" in seen(remade(sound_design, members=[*sound_design.frame.members, moved]))


def test_a_hole_not_bored_or_bored_elsewhere(sound_design):
    holes = sound_design.frame.holes
    for i, hole in enumerate(holes):
        assert "clearance_faults" in seen(remade(sound_design, holes=holes[:i] + holes[i + 1 :]))
        off = replace(hole, y=hole.y + 50) if hole.axis == "x" else replace(hole, x=hole.x + 50)
        assert "bore_faults" in seen(remade(sound_design, holes=(*holes[:i], off, *holes[i + 1 :])))
    bigger = replace(holes[0], diameter=holes[0].diameter + 100)
    assert "bore_faults" in seen(remade(sound_design, holes=(bigger, *holes[1:])))


def test_a_layer_without_its_hole_or_a_hole_too_many(sound_design):
    boards = sound_design.frame.boards
    for layer in (1, 2):
        first = next(b.mark for b in boards if b.side == "A" and b.layer == layer and b.pierced)
        fewer = changed(boards, lambda b, m=first: b.mark == m, pierced=lambda b: b.pierced[1:])
        assert {"hole_faults", "waste_faults"} <= seen(remade(sound_design, boards=fewer))
    extra = next(p for b in boards for p in b.pierced)
    other = next(b.mark for b in boards if not b.pierced)
    more = changed(boards, lambda b: b.mark == other, pierced=lambda b: (extra,))
    assert "hole_faults" in seen(remade(sound_design, boards=more))


def test_a_hole_cut_a_little_off_or_of_another_size(sound_design):
    boards = sound_design.frame.boards
    mark = next(b.mark for b in boards if b.pierced)
    for what in (
        {"x": lambda p: p.x + 20},
        {"y": lambda p: p.y - 20},
        {"width": lambda p: p.width + 20},
        {"round": lambda p: not p.round},
    ):
        first, *rest = next(b for b in boards if b.mark == mark).pierced
        wrong = (replace(first, **{k: change(first) for k, change in what.items()}), *rest)
        off = [replace(b, pierced=wrong) if b.mark == mark else b for b in boards]
        assert "hole_faults" in seen(remade(sound_design, boards=off))


def test_a_joint_near_a_hole(sound_design):
    board = next(b for b in sound_design.frame.boards if b.pierced and b.side == "A" and b.layer == 1)
    hole = board.pierced[0]
    cut = hole.x + hole.width // 2 + 100
    assert board.x < cut < board.right
    left = tuple((min(x, cut), y) for x, y in board.outline)
    parts = [
        replace(b, outline=left, width=cut - b.x) if b.mark == board.mark else b
        for b in sound_design.frame.boards
    ]
    assert "hole_faults" in seen(remade(sound_design, boards=parts))


def test_a_stud_left_out_for_no_service(sound_design):
    stud = next(m for m in sound_design.frame.members if m.role == "stud" and m.x == 18_000 - 190)
    members = [m for m in sound_design.frame.members if m.mark != stud.mark]
    assert "bay_faults" in seen(remade(sound_design, members=members))
    lied = changed(
        sound_design.frame.members,
        lambda m: m.mark == stud.mark,
        serves=lambda m: ("module", "moved 100 mm left for the piano"),
    )
    assert "moved_stud_faults" in seen(remade(sound_design, members=lied))
