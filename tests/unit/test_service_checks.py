"""Checks of holes that pipes really take, and of sockets back to back: limits by hand."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

import wallcalc as wc
from wallcalc.given.parts import Room, Service
from wallcalc.given.wall import Wall

PLAIN = Path(__file__).resolve().parents[2] / "data" / "walls" / "laundry_plain.toml"


@pytest.fixture(scope="module")
def plain() -> Wall:
    return replace(wc.Wall.load(PLAIN), hung=(), services=())


def pipe(x: float, y: float, diameter: float = 43, name: str = "waste", **more) -> Service:
    return Service(name, "A", (round(x * 10), round(y * 10)), round(diameter * 10), 100, **more)


def rows(wall: Wall, check: str, option: wc.Option | None = None, rules: wc.Rules | None = None):
    design = wc.design(wall, option, rules=rules, model="closed form")
    return [r for r in design.check_rows if r.check == check]


RUN = {"kind": "waste", "to": (19_000, 4780), "goes": "down"}


def test_a_43_mm_waste_along_a_63_mm_wall_fails_and_the_change_named_works(plain):
    wall = replace(plain, services=(pipe(700, 500, **RUN),))
    thin = rows(wall, "hole in stud", wc.Option(section="38x63"))
    (fail,) = [r for r in thin if r.verdict == "fail"]
    assert (fail.value, fail.limit) == (43.0, 31.0)  # 63 - 2 x 16 governs, not 60 % = 37.8
    assert "use 38x89 timber" in fail.why
    assert "drop within one bay" in fail.why
    deeper = rows(wall, "hole in stud", wc.Option(section="38x89"))
    assert {r.verdict for r in deeper} == {"ok", "caution"}
    (advice,) = [r for r in deeper if r.verdict == "caution"]
    assert advice.limit == 22.25  # a quarter of 89; a quarter of 140 is 35, so no section is named
    assert "timber" not in advice.why
    inside = replace(plain, services=(pipe(900, 500, kind="waste", goes="down"),))
    assert rows(inside, "hole in stud", wc.Option(section="38x63")) == []


def test_every_stud_crossed_is_counted_and_named(plain):
    design = wc.design(replace(plain, services=(pipe(700, 500, **RUN),)), model="closed form")
    studs = {h.member for h in design.frame.holes if h.axis == "x"}
    (told,) = [r for r in design.check_rows if r.check == "pipe along the wall"]
    assert told.verdict == "caution"
    assert told.value == len(studs) > 0
    row = next(r for r in design.check_rows if r.check == "hole in stud")
    assert all(mark in row.subject for mark in studs)


def test_a_pipe_that_drops_within_one_bay_has_no_caution_for_studs(plain):
    wall = replace(plain, services=(pipe(1500, 500, goes="down"),))
    assert rows(wall, "pipe along the wall") == []
    plates = rows(wall, "hole in plate")
    assert {r.limit for r in plates} >= {53.4}  # 60 % of 89


def test_two_pipes_through_one_stud_are_kept_apart(plain):
    def wall(gap: float) -> Wall:
        low = pipe(700, 500, 22, name="cold water", to=(16_000, 5000))
        high = pipe(760, 500 + gap, 22, name="hot water", to=(15_000, round((500 + gap) * 10)))
        return replace(plain, services=(low, high))

    near = rows(wall(60), "holes apart")
    assert {(r.value, r.limit, r.verdict) for r in near} == {(38.0, 44.0, "caution")}  # 60 - 22; twice 22
    assert all("move one 6 mm along the timber" in r.why for r in near)
    far = rows(wall(66), "holes apart")
    assert far
    assert {r.verdict for r in far} == {"ok"}
    assert {r.verdict for r in rows(wall(66), "hole and notch")} == {"ok"}


def test_pipes_that_meet_in_the_wall_are_told_with_what_the_depth_allows(plain):
    hot = pipe(800, 1000, 15, "hot", to=(19_000, 10_000), goes="down")
    cold = pipe(1400, 1500, 15, "cold", goes="down")
    (met,) = rows(replace(plain, services=(hot, cold)), "pipes in one place")
    assert (met.subject, met.case, met.verdict) == ("hot and cold", "at 1400 mm, 1000 mm up", "caution")
    assert (met.value, met.limit) == (89.0, 30.0)
    assert "in front of the other" in met.why
    drain = pipe(1400, 1500, 50, "drain", goes="down")
    wide = replace(hot, diameter=400)
    (met,) = rows(replace(plain, services=(wide, drain)), "pipes in one place")
    assert "90 mm thick" in met.why
    assert (
        rows(replace(plain, services=(hot, pipe(2100, 1500, 15, "cold", goes="up"))), "pipes in one place")
        == []
    )


def socket(side: str, x: float, y: float = 450) -> Service:
    return Service(f"socket {side}", side, (round(x * 10), round(y * 10)), 860, 0, "socket", size=(860, 860))


@pytest.mark.parametrize(
    ("apart", "verdict", "move"),
    [
        (100, "fail", 136),
        (200, "fail", 36),
        (235, "fail", 1),
        (236, "ok", 0),
    ],  # 86 wide: 150 between from 236 on
)
def test_sockets_in_a_wall_built_for_sound_by_rule(plain, apart, verdict, move):
    closed = replace(
        plain, openings=(), room_a=Room("bath", "bathroom", wet=True), room_b=Room("bed", "bedroom")
    )
    wall = replace(closed, services=(socket("A", 1500), socket("B", 1500 + apart)))
    (row,) = rows(wall, "sockets apart")
    assert row.verdict == verdict
    assert row.value == apart - 86
    if move:
        assert f"move one of them {move} mm further along the wall" in row.why
        better = replace(closed, services=(socket("A", 1500), socket("B", 1500 + apart + move)))
        assert rows(better, "sockets apart")[0].verdict == "ok"


def test_sockets_where_only_fill_is_chosen_or_nothing(plain):
    wall = replace(plain, room_a=Room("a", "utility"), room_b=Room("b", "living"))
    wall = replace(wall, services=(socket("A", 1500), socket("B", 1550)))
    (row,) = rows(wall, "sockets apart", wc.Option(fill="wool-50"))
    assert row.verdict == "caution"
    assert rows(wall, "sockets apart", wc.Option(fill=None)) == []


def test_sockets_one_above_the_other_move_by_what_is_missing(plain):
    # 100 between their edges upwards and 86 of overlap: 111.8 between them along the wall make 150 in all
    # (sqrt(150^2 - 100^2)), 86 + 111.8 to move
    wall = replace(plain, services=(socket("A", 1500, 450), socket("B", 1500, 636)))
    (row,) = rows(wall, "sockets apart", wc.Option(fill="wool-50"))
    assert row.value == 100
    assert "move one of them 198 mm further along the wall" in row.why
    for move, verdict in ((197, "caution"), (198, "ok")):
        better = replace(wall, services=(socket("A", 1500, 450), socket("B", 1500 + move, 636)))
        assert rows(better, "sockets apart", wc.Option(fill="wool-50"))[0].verdict == verdict
