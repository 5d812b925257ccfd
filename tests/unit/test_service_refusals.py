"""Services that cannot lie where they are given: what is said, and that the change named lets the wall be built."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest
from wall_oracles import design_faults

import wallcalc as wc
from wallcalc.given.parts import Opening, Service
from wallcalc.given.wall import Wall

PLAIN = Path(__file__).resolve().parents[2] / "data" / "walls" / "laundry_plain.toml"


@pytest.fixture(scope="module")
def plain() -> Wall:
    """3840 x 2620 mm, door opening from 2700 to 3542 mm, 2030 mm high."""
    return replace(wc.Wall.load(PLAIN), hung=(), services=())


def pipe(
    x: float, y: float, diameter: float = 43, clearance: float = 10, name: str = "waste", **more
) -> Service:
    return Service(
        name, "A", (round(x * 10), round(y * 10)), round(diameter * 10), round(clearance * 10), **more
    )


def refusal(wall: Wall, option: wc.Option | None = None):
    with pytest.raises(wc.OptionError) as caught:
        wc.design(wall, option, model="closed form")
    return caught.value.refusals[0]


def applied(wall: Wall, text: str) -> Wall:
    """The wall with the moves that a text names."""
    services = list(wall.services)
    for i, s in enumerate(services):
        for by, way in re.findall(rf"move the {re.escape(s.name)} ([\d.]+) mm (left|right|up|down)", text):
            d = round(float(by) * 10)
            along = {"left": -d, "right": d}.get(way, 0)
            up = {"down": -d, "up": d}.get(way, 0)
            to = None if s.to is None else (s.to[0] + along, s.to[1] + up)
            services[i] = replace(s, at=(s.at[0] + along, s.at[1] + up), to=to)
        low = re.search(rf"let the {re.escape(s.name)} end [\d.]+ mm lower, at ([\d.]+) mm", text)
        if low and s.to is not None:
            services[i] = replace(s, to=(s.to[0], round(float(low[1]) * 10)))
        high = re.search(rf"let the {re.escape(s.name)} start [\d.]+ mm higher, at ([\d.]+) mm", text)
        if high:
            services[i] = replace(s, at=(s.at[0], round(float(high[1]) * 10)))
    return replace(wall, services=tuple(services))


def moved_by(text: str) -> list[tuple[float, str]]:
    return [(float(by), way) for by, way in re.findall(r"([\d.]+) mm (left|right|up|down)", text)]


@pytest.mark.parametrize(
    ("service", "rule", "what", "least"),
    [
        # end stud 0-38: middle at 69.5 or more
        (pipe(50, 500), "services clear of timber", "the end stud", [(20, "right")]),
        # jamb stud 2662-2700: 2640 reaches 2671.5; clear at 2630.5
        (pipe(2640, 500), "services clear of timber", "the jamb stud", [(10, "left")]),
        # sole plate 0-38: 60 -> 69.5
        (pipe(1500, 60), "services clear of timber", "the sole plate", [(10, "up")]),
        # head plate 2582-2620: 2570 + 31.5 = 2601.5
        (pipe(1500, 2570), "services clear of timber", "the head plate", [(20, "down")]),
        # door head 2030-2068 over 2700-3542: up to 2099.5
        (pipe(3150, 2080), "services clear of timber", "the door's head", [(20, "up")]),
    ],
)
def test_in_fixed_timber(plain, service, rule, what, least):
    wall = replace(plain, services=(service,))
    found = refusal(wall)
    assert found.rule == rule
    assert what in found.found
    assert service.name in found.place
    assert moved_by(found.nearest_change) == least
    design = wc.design(applied(wall, found.nearest_change), model="closed form")
    assert design_faults(design) == []


def test_in_the_doorway_it_goes_beside_or_above(plain):
    wall = replace(plain, services=(pipe(2800, 1000),))
    found = refusal(wall)
    assert "the door" in found.found
    # left of the jamb stud: 2662 - 31.5 = 2630.5 from 2800
    assert moved_by(found.nearest_change) == [(170, "left")]
    wc.design(applied(wall, found.nearest_change), model="closed form")


def test_outside_the_wall(plain):
    found = refusal(replace(plain, services=(pipe(3900, 500),)))
    assert "outside the wall, 3840 x 2620 mm" in found.found


def test_what_drops_into_the_doorway(plain):
    wall = replace(plain, services=(pipe(3000, 2300, goes="down"),))
    found = refusal(wall)
    assert "its way down meets the door" in found.found
    wc.design(applied(wall, found.nearest_change), model="closed form")


def test_a_run_across_the_doorway(plain):
    wall = replace(plain, services=(pipe(2400, 500, kind="pipe", to=(36_900, 5000)),))
    found = refusal(wall)
    assert "its run to 3690 mm meets the door" in found.found


def test_holes_keep_from_the_boards_edges(plain):
    # boards start 12 mm up, the hole at 59.5 - 21.5 = 38: 26 between
    wall = replace(plain, floor_build_up=0, services=(pipe(1500, 59.5, clearance=0),))
    assert design_faults(wc.design(wall, model="closed form")) == []
    rules = wc.Rules.load("uk").with_values({"service.hole_edge": 40})
    with pytest.raises(wc.OptionError) as caught:
        wc.design(wall, rules=rules, model="closed form")
    found = caught.value.refusals[0]
    assert found.rule == "service.hole_edge"
    assert "26 mm from the boards' lower edge; 40 mm are wanted" in found.found
    wc.design(applied(wall, found.nearest_change), rules=rules, model="closed form")
    assert moved_by(found.nearest_change) == [(14, "up")]


def test_two_services_at_one_place(plain):
    wall = replace(plain, services=(pipe(1500, 500), pipe(1510, 500, 15, name="hot water")))
    found = refusal(wall)
    assert found.rule == "one place for one service"
    assert "hot water" in found.place
    assert "its hole meets that of the waste" in found.found
    wc.design(applied(wall, found.nearest_change), model="closed form")


@pytest.mark.parametrize(
    ("end", "told", "by"),
    [
        # 1000 mm at 18 mm a metre: 18 mm
        (500, "falls 0 mm over 1000 mm; 18 mm a metre are 18 mm", 18),
        (495, "falls 5 mm over 1000 mm; 18 mm a metre are 18 mm", 13),
        (510, "rises 10 mm over 1000 mm; 18 mm a metre are 18 mm", 28),
    ],
)
def test_a_waste_without_its_fall_is_told_how_much_lower_its_end_lies(plain, end, told, by):
    run = pipe(1000, 500, kind="waste", to=(20_000, end * 10), goes="down")
    wall = replace(plain, services=(run,))
    found = refusal(wall)
    assert found.rule == "service.waste_fall"
    assert told in found.found
    assert found.nearest_change == f"let the waste end {by} mm lower, at {end - by} mm"
    wc.design(applied(wall, found.nearest_change), model="closed form")


def test_pressure_pipes_need_no_fall(plain):
    run = pipe(1000, 500, 15, kind="pipe", to=(20_000, 5000), goes="down")
    wc.design(replace(plain, services=(run,)), model="closed form")


def test_a_course_height_asked_for_is_kept_and_the_nearest_named(plain):
    wall = replace(plain, services=(pipe(1500, 1000),))
    option = wc.Option(board_orientation="horizontal", course_from=1000)
    found = refusal(wall, option)
    assert found.rule == "course_from"
    at = float(re.search(r"course_from=([\d.]+)", found.nearest_change)[1])
    assert found.nearest_change.startswith(f"start the courses {at / 1000:.2f}")
    # a pair on edge behind a joint with a cut edge, 38 each side, clear of 31.5: 69.5 off, in whole mm 70
    assert abs(at - 1000) in (51, 70)
    assert design_faults(wc.design(wall, replace(option, course_from=at), model="closed form")) == []
    inner = replace(option, course_from=at + (1 if at < 1000 else -1))
    with pytest.raises(wc.OptionError):
        wc.design(wall, inner, model="closed form")
    assert design_faults(wc.design(applied(wall, found.nearest_change), option, model="closed form")) == []


def test_a_course_by_default_moves_off_the_hole_by_itself(plain):
    option = wc.Option(board_orientation="horizontal")
    usual = wc.design(replace(plain, services=()), option, model="closed form")
    joints = {j.y1 for j in usual.frame.joints if j.kind != "corner" and j.y1 == j.y2}
    assert 14_200 in joints  # 2620 - 1200
    wall = replace(plain, services=(pipe(1500, 1420),))
    design = wc.design(wall, option, model="closed form")
    assert design_faults(design) == []
    assert 14_200 not in {j.y1 for j in design.frame.joints if j.kind != "corner" and j.y1 == j.y2}


def test_no_room_for_studs_names_a_move_that_works(plain):
    duct = Service("duct", "A", (12_000, 4000), 6000, 0, "other", size=(6000, 3000))
    found = refusal(replace(plain, services=(duct,)))
    assert found.rule == "studs clear of services"
    assert "duct" in found.found


def test_a_thick_pipe_dropping_past_a_row_in_a_thin_wall(plain):
    wall = replace(plain, services=(pipe(900, 1500, goes="down"),))
    option = wc.Option(section="38x63")  # takes holes up to 31 mm: 63 - 2 x 16
    found = refusal(wall, option)
    assert found.rule == "frame.stability_spacing"
    assert design_faults(wc.design(applied(wall, found.nearest_change), option, model="closed form")) == []
    assert design_faults(wc.design(wall, wc.Option(section="38x89"), model="closed form")) == []


def test_walls_that_cannot_be_built_anyway_say_why_first(plain):
    wall = replace(
        plain, openings=(Opening("door", 38, width=8420, height=20_300),), services=(pipe(50, 500),)
    )
    found = refusal(wall)
    assert found.rule == "timber at the sides of an opening"


def test_fitted_layouts_are_told_what_helps_too(plain):
    wall = replace(plain, services=(pipe(50, 500),))
    found = refusal(wall, wc.Option(stud_layout="fitted"))
    assert moved_by(found.nearest_change) == [(20, "right")]
