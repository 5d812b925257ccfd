"""Checks of studs, height, doors, holes, sound, floor and fill on walls built by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from check_builders import BOOK, UK, US, FakeSound, boarded, facts, plain_room, rows_of, studs_at
from sites import level_profile

from wallcalc.checks import run_checks, stiffness_use
from wallcalc.checks.floor import line_load
from wallcalc.checks.holes import hole_and_notch
from wallcalc.checks.supports import stud_lines
from wallcalc.given.option import Option
from wallcalc.given.parts import Access, Joists, Opening, Service
from wallcalc.records import SlabPiece
from wallcalc.shipped import data_folder
from wallcalc.strength.beam import Beam, LineLoad, PointLoad
from wallcalc.strength.timber_ec5 import load_classes
from wallcalc.units.lengths import MM

CENTRES = [600, 1200, 1800, 2400]
WALL = boarded(studs_at(3000, 2400, CENTRES, rows=(1200,)), {"A": [600, 1800], "B": [1200, 2400]})
DOOR = studs_at(3840, 2620, CENTRES, door=(2700, 3542, 2030), shorts=(3000, 3240))


# --- studs


def test_widths_carried_add_up_to_the_wall_and_jambs_take_the_openings_share() -> None:
    lines = stud_lines(DOOR)
    assert sum(line.tributary for line in lines) == pytest.approx(3840)
    jambs = [line for line in lines if line.jamb]
    # half of the 842 opening, its own 38, half of the bay to its neighbour (2419 to 2662, 3580 to 3802)
    assert [line.tributary for line in jambs] == pytest.approx([421 + 38 + 121.5, 421 + 38 + 111])


def test_doubled_studs_share_and_uneven_bays_count() -> None:
    lines = stud_lines(studs_at(3000, 2400, [700, 1200, 2400], doubled=(1200,)))
    pair = next(line for line in lines if line.pieces == 2)
    assert pair.tributary == pytest.approx((1162 - 719) / 2 + 76 + (2381 - 1238) / 2)


def test_line_load_of_the_worst_stud_by_hand() -> None:
    row = rows_of(run_checks(facts(WALL)), "stud bending", "line load")[0]
    # 0.36 kN/m on 600 mm at 1.2 m above the floor, 1162 above the foot of a stud of 2324 mm
    beam = Beam(2324, (PointLoad(1162, 216),))
    assert row.value == pytest.approx(1.5 * beam.greatest_moment()[1] / (38 * 89**2 / 6), rel=1e-5)
    assert row.limit == pytest.approx(12.2959, rel=1e-5)  # C16, 89 mm, short-term (computed, EC5)
    assert row.verdict == "ok"
    assert "engineer" in row.why


def test_stiffness_check_by_hand() -> None:
    rows = run_checks(facts(WALL))
    row = rows_of(rows, "stud deflection", "200 Pa")[0]
    beam = Beam(2324, (LineLoad(0, 2324, 0.12),))
    EI, GA = 8000 * 38 * 89**3 / 12, 500 * 38 * 89 / 1.2
    assert row.value == pytest.approx(beam.deflection(1162, EI) + beam.shear_deflection(1162, GA), rel=1e-5)
    assert row.limit == pytest.approx(2324 / 240, rel=1e-5)
    assert stiffness_use(rows) == row.use


def test_load_cases_stand_apart_and_final_deflection_grows_by_creep() -> None:
    rows = run_checks(facts(WALL))
    assert {r.case for r in rows if r.check == "stud bending"} == {
        "line load 0.36 kN/m", "area load 0.5 kN/m2", "point load 0.25 kN",
    }  # fmt: skip
    first = rows_of(rows, "stud deflection", "line load")[0]
    final = rows_of(rows, "stud deflection in the end", "line load")[0]
    assert final.value == pytest.approx(first.value * (1 + 0.3 * 0.6), rel=1e-5)  # psi2 0.3, kdef 0.6


def test_us_pressure_and_its_limits() -> None:
    rows = run_checks(facts(WALL, rules=US))
    assert {r.case for r in rows if r.check == "stud bending"} == {"area load 0.24 kN/m2"}
    assert rows_of(rows, "stud deflection")[0].limit == pytest.approx(2324 / 240, rel=1e-5)
    tiled = run_checks(facts(WALL, rules=US, room_a=plain_room("bathroom", tiled_to=10000, tile_mass=15.0)))
    assert rows_of(tiled, "stud deflection")[0].limit == pytest.approx(2324 / 360, rel=1e-5)
    bending = rows_of(rows, "stud bending")[0]
    # allowable stress: 675 psi, repetitive 1.15 (NDS); no load factor
    assert bending.limit == pytest.approx(675 * 1.15 * 0.00689476, rel=1e-4)
    assert bending.value == pytest.approx(0.24e-3 * 600 * 2324**2 / 8 / (38 * 89**2 / 6), rel=1e-5)


def test_us_asks_no_load_of_a_low_wall() -> None:
    low = boarded(studs_at(3000, 1800, CENTRES), {"A": [600]})
    assert rows_of(run_checks(facts(low, rules=US)), "stud strength")[0].verdict == "not known"


def test_a_weak_stud_fails_and_says_what_helps() -> None:
    tall = boarded(studs_at(3000, 3300, CENTRES, section="38x63"), {"A": [600]})
    row = rows_of(run_checks(facts(tall)), "stud bending", "area load")[0]
    assert row.verdict == "fail"
    assert "deeper stud" in row.why


# --- height


@pytest.mark.parametrize(
    ("section", "height", "rule", "verdict"),
    # 63 to 2.4 m, 89 to 3.0 m (UK warranty technical manual)
    [
        ("38x63", 2400, 2400, "ok"),
        ("38x63", 2500, 2400, "caution"),
        ("38x89", 3000, 3000, "ok"),
        ("38x89", 3001, 3000, "caution"),
    ],
)
def test_rule_of_thumb(section: str, height: float, rule: float, verdict: str) -> None:
    frame = boarded(studs_at(3000, height, CENTRES, section=section), {"A": [600]})
    row = rows_of(run_checks(facts(frame)), "height", "rule of thumb")[0]
    assert (row.limit, row.verdict) == (rule, verdict)


def test_height_by_pressure() -> None:
    frame = boarded(studs_at(3000, 3710, CENTRES), {"A": [600]})  # studs 3634 against 3625
    assert rows_of(run_checks(facts(frame)), "height", "200 Pa")[0].verdict == "fail"
    frame = boarded(studs_at(3000, 3690, CENTRES), {"A": [600]})
    assert rows_of(run_checks(facts(frame)), "height", "200 Pa")[0].verdict == "ok"


def test_us_height_rows_go_by_centres() -> None:
    frame = boarded(studs_at(3000, 2400, CENTRES, section="38x63"), {"A": [600]})
    row = rows_of(run_checks(facts(frame, rules=US)), "height", "rule of thumb")[0]
    assert row.verdict == "caution"
    assert "406.4 mm centres" in row.why


def test_a_frame_as_tall_as_its_ceiling_does_not_tilt_up() -> None:
    row = rows_of(run_checks(facts(WALL)), "tilting up")[0]
    assert row.verdict == "caution"
    assert row.value == pytest.approx(math.hypot(2400, 89), abs=0.05)
    low = WALL.__class__(
        level_profile(WALL.length, WALL.height + 20), (), WALL.members, WALL.boards, WALL.joints
    )
    assert rows_of(run_checks(facts(low)), "tilting up")[0].verdict == "ok"


# --- doors


@pytest.mark.parametrize(
    ("mass", "doubled", "verdict"),
    # BS 5234-2 Annex F: 35 kg light and medium, 60 kg heavy
    [
        (35.0, False, "ok"),
        (36.0, False, "caution"),
        (36.0, True, "ok"),
        (61.0, True, "caution"),
        (None, False, "not known"),
    ],
)
def test_heavy_leaf(mass: float | None, doubled: bool, verdict: str) -> None:
    frame = boarded(
        studs_at(3840, 2620, CENTRES, door=(2700, 3542, 2030), jamb_doubled=doubled), {"A": [600]}
    )
    door = Opening("door", 27000, width=8420, height=20300, leaf_mass=mass)
    assert rows_of(run_checks(facts(frame, openings=(door,))), "door leaf")[0].verdict == verdict


# --- holes


def test_a_43_mm_waste_fails_in_a_63_stud_and_passes_in_a_140() -> None:
    waste = Service("waste", "A", (6000, 5200), 430)
    small = boarded(studs_at(3000, 2400, CENTRES, section="38x63"), {"A": [600]})
    row = next(
        r
        for r in run_checks(facts(small, services=(waste,)))
        if r.check == "hole in stud" and r.limit == 31.0
    )
    assert (row.value, row.verdict) == (43.0, "fail")  # 6000 is a stud: it would have to be bored
    beside = Service("waste", "A", (9000, 5200), 430)
    row = next(
        r
        for r in run_checks(facts(small, services=(beside,)))
        if r.check == "hole in stud" and r.limit == 31.0
    )
    assert row.verdict == "caution"
    big = boarded(studs_at(3000, 2400, CENTRES, section="38x140"), {"A": [600]})
    row = next(
        r for r in run_checks(facts(big, services=(waste,))) if r.check == "hole in stud" and r.limit == 84.0
    )
    assert row.verdict == "ok"


def test_hole_and_notch_never_in_one_section() -> None:
    assert hole_and_notch("S1", apart=30, reach=40, rules=UK).verdict == "fail"
    assert hole_and_notch("S1", apart=60, reach=40, rules=UK).verdict == "ok"


@pytest.mark.parametrize(
    ("section", "deep", "thick", "verdicts"),
    # finished thickness 88 / 114 / 165, centre line 44 / 57 / 82.5 below the face; 50 mm cover, 100 mm wall
    [
        ("38x63", 44.0, 88.0, ("caution", "caution")),
        ("38x89", 57.0, 114.0, ("ok", "ok")),
        ("38x140", 82.5, 165.0, ("ok", "ok")),
    ],
)
def test_cables(section: str, deep: float, thick: float, verdicts: tuple) -> None:
    frame = boarded(studs_at(3000, 2400, CENTRES, section=section), {"A": [600], "B": [1200]})
    rows = run_checks(facts(frame))
    depth, zone = rows_of(rows, "cable depth")[0], rows_of(rows, "cable zones")[0]
    assert (depth.value, zone.value) == (deep, thick)
    assert (depth.verdict, zone.verdict) == verdicts
    if section == "38x89":
        assert "14 mm" in depth.why  # the band about the centre line


# --- sound


@pytest.mark.parametrize(("Rw", "verdict"), [(45, "ok"), (41, "caution"), (38, "fail")])
def test_sound_minimum(Rw: float, verdict: str) -> None:
    found = run_checks(
        facts(WALL, sound=FakeSound(Rw), room_a=plain_room("bedroom"), room_b=plain_room("living"))
    )
    row = rows_of(found, "sound minimum")[0]
    assert (row.limit, row.verdict) == (40.0, verdict)


def test_sound_minimum_where_it_does_not_apply() -> None:
    beds = {"room_a": plain_room("bedroom"), "room_b": plain_room("en-suite")}
    rows = rows_of(run_checks(facts(WALL, sound=FakeSound(30), **beds)), "sound minimum")
    assert {r.verdict for r in rows} == {"ok"}
    door = boarded(DOOR, {"A": [600]})
    rows = rows_of(
        run_checks(facts(door, sound=FakeSound(30), room_a=plain_room("bedroom"))), "sound minimum"
    )
    assert [r.verdict for r in rows] == ["ok"]
    assert not rows_of(run_checks(facts(WALL, sound=FakeSound(30))), "sound minimum")
    rows = rows_of(run_checks(facts(WALL, room_a=plain_room("bedroom"))), "sound minimum")
    assert [r.verdict for r in rows] == ["not known"]


def test_build_ups_that_the_source_names() -> None:
    room = {"room_a": plain_room("bedroom")}
    slab = (SlabPiece("F", 380, 380, 5430, 23000, 250, ((23000, 5430),), "friction"),)
    dense = boarded(studs_at(3000, 2400, CENTRES), {"A": [600], "B": [1200]}, product="dense-12.5")
    filled = facts(dense, option=Option(fill="wool-25"), fill=slab, **room)
    assert rows_of(run_checks(filled), "sound build-up")[0].verdict == "ok"  # 10 kg/m2, 25 mm, 10 kg/m3
    assert rows_of(run_checks(facts(WALL, **room)), "sound build-up")[0].verdict == "caution"


# --- floor


def test_own_weight_by_hand_and_the_joists_direction() -> None:
    along = rows_of(run_checks(facts(WALL, joists_below=Joists("along"))), "floor load")
    frame = WALL.members
    timber = sum(m.width * m.height * m.depth for m in frame) / 1e12 * 370  # EN 338 C16 mean density
    board = 2 * 3.0 * 2.388 * BOOK.board("standard-12.5").surface_mass
    assert along[0].value == pytest.approx((timber + board) * 9.81 / 3.0 / 1000, rel=1e-5)
    assert [r.limit for r in along[:2]] == [1.0, 0.8]
    across = rows_of(run_checks(facts(WALL, joists_below=Joists("across"))), "floor load")[0]
    assert across.verdict == "caution"
    assert "10 %" in across.why
    assert rows_of(run_checks(facts(WALL)), "floor load")[0].verdict == "not known"
    assert rows_of(run_checks(facts(WALL, joists_below=Joists("solid"))), "floor load")[0].verdict == "ok"


def test_tiling_tips_a_wall_over_the_line() -> None:
    # 23.5 kg/m2 at 2.4 m is 0.554 kN/m; 32 kg/m2 of tiling on one face makes it 1.308 (arithmetic)
    assert line_load(23.5 * 2.4, 1.0, 9.81) == pytest.approx(0.554, abs=0.001)
    assert line_load((23.5 + 32) * 2.4, 1.0, 9.81) == pytest.approx(1.308, abs=0.002)
    room = plain_room("bathroom", tiled_to=2400 * MM, tile_mass=27.0)
    rows = rows_of(run_checks(facts(WALL, room_a=room, joists_below=Joists("along"))), "floor load")
    assert rows[0].verdict == "caution"
    assert "tiles 230 kg" in rows[0].why  # 3.0 x 2.4 x 32


# --- fill, way in, classes


def test_fill_thicker_than_the_stud() -> None:
    piece = SlabPiece("F1", 380, 380, 5430, 23000, 900, ((23000, 5430),), "pieced")
    rows = run_checks(facts(WALL, fill=(piece,), option=Option(fill="wool-90")))
    assert rows_of(rows, "fill thickness")[0].verdict == "fail"  # 90 in 89
    assert rows_of(rows, "fill fit")[0].verdict == "caution"


def test_way_in_is_told_when_given() -> None:
    one = facts(WALL)
    tight = replace(one, wall=replace(one.wall, access=Access(600 * MM, 1900 * MM, 700 * MM)))
    assert rows_of(run_checks(tight), "way in")[0].verdict == "fail"
    assert not rows_of(run_checks(one), "way in")
    half = replace(one, wall=replace(one.wall, access=Access(width=600 * MM)))
    (row,) = rows_of(run_checks(half), "way in")
    assert (row.verdict, "measure the height" in row.why) == ("not known", True)


def test_timber_class_file_names_its_edition() -> None:
    classes = load_classes(data_folder() / "timber_classes.csv")
    assert {c.edition for c in classes.values()} == {"EN 338:2016"}
    assert (classes["C16"].fm_k, classes["C24"].E_0_mean, classes["C16"].fv_k) == (16, 11000, 3.2)


def test_broken_timber_class_file_says_where(tmp_path) -> None:
    text = (data_folder() / "timber_classes.csv").read_text(encoding="utf-8")
    bad = tmp_path / "bad.csv"
    bad.write_text(text.replace(",24,14.5", ",strong,14.5"), encoding="utf-8")
    with pytest.raises(ValueError, match=r"line 3, bending_n_mm2: found 'strong'; accepted: a number"):
        load_classes(bad)
    bad.write_text(text.replace("shear_n_mm2", "shear"), encoding="utf-8")
    with pytest.raises(ValueError, match="no column shear_n_mm2"):
        load_classes(str(bad))
