"""Checks of boards, joints and screws on walls built by hand; limits read from the rules' published sources."""

from __future__ import annotations

import pytest
from check_builders import UK, US, boarded, facts, plain_room, rows_of, studs_at

from wallcalc.checks import SUBJECTS, counted, registered, run_checks
from wallcalc.checks.edges import screw_row
from wallcalc.checks.handling import passes
from wallcalc.given.option import Option
from wallcalc.records import Joint
from wallcalc.units.lengths import MM

CENTRES = [600, 1200, 1800, 2400]
PLAIN = studs_at(3000, 2400, CENTRES, rows=(1200,))
WALL = boarded(PLAIN, {"A": [600, 1800], "B": [1200, 2400]})


def test_every_subject_has_a_check_and_rows_come_in_the_subjects_order() -> None:
    assert {subject for subject, _ in registered()} == set(SUBJECTS)
    assert run_checks(facts(WALL)) == run_checks(facts(WALL))
    names = [r.check for r in run_checks(facts(WALL))]
    places = [
        names.index(n)
        for n in ("board span", "edge backing", "height", "stud bending", "floor load", "lifting")
    ]
    assert places == sorted(places)


def test_verdicts_are_of_the_four_words_and_every_row_has_a_source() -> None:
    for row in run_checks(
        facts(WALL, room_a=plain_room("bathroom", wet=True, tiled_to=13000, tile_mass=18.0))
    ):
        assert row.verdict in ("ok", "caution", "fail", "not known")
        assert row.source
        assert row.source_status
        assert row.why


@pytest.mark.parametrize(
    ("product", "centres", "rows", "wanted"),
    [
        # NHBC Standards 9.2.4 Table 5: 2025 edition 9.5 mm to 450, 12.5 and over to 600
        ("standard-9.5", [450, 900, 1350, 1800, 2250], (1200,), {"2025": "ok", "2022": "ok"}),
        ("standard-9.5", [600, 1200, 1800, 2400], (1200,), {"2025": "fail", "2022": "caution"}),
        ("standard-12.5", [600, 1200, 1800, 2400], (1200,), {"2025": "ok", "2022": "ok"}),
        # 2022 edition: 12.5 mm at 600 only with intermediate noggins
        ("standard-12.5", [600, 1200, 1800, 2400], (), {"2025": "ok", "2022": "caution"}),
        ("standard-15", [600, 1200, 1800, 2400], (), {"2025": "ok", "2022": "ok"}),
    ],
)
def test_board_span_by_edition(product: str, centres: list, rows: tuple, wanted: dict) -> None:
    frame = boarded(
        studs_at(centres[-1] + centres[0], 2400, centres, rows=rows), {"A": [1200]}, product=product
    )
    found = {r.case.split("(")[1][:-1]: r.verdict for r in rows_of(run_checks(facts(frame)), "board span")}
    assert found == wanted


def test_board_span_counts_uneven_bays_doubled_studs_and_what_is_above_a_door() -> None:
    # 700 mm between the second and third stud, 560 nominal else
    frame = boarded(studs_at(3000, 2400, [600, 1300, 1900, 2500]), {"A": [1300]})
    assert rows_of(run_checks(facts(frame)), "board span", "2025")[0].value == 700.0
    # doubling the stud at 1300 brings its face 19 mm nearer to either side
    frame = boarded(studs_at(3000, 2400, [600, 1300, 1900, 2500], doubled=(1300,)), {"A": [1300]})
    assert rows_of(run_checks(facts(frame)), "board span", "2025")[0].value == 681.0
    door = studs_at(3840, 2620, CENTRES, door=(2700, 3542, 2030))
    span = rows_of(run_checks(facts(boarded(door, {"A": [1200]}))), "board span", "2025")[0]
    assert (span.value, span.verdict) == (
        880.0,
        "fail",
    )  # 842 opening and half a stud each side, no short stud
    door = studs_at(3840, 2620, CENTRES, door=(2700, 3542, 2030), shorts=(3000, 3240))
    assert rows_of(run_checks(facts(boarded(door, {"A": [1200]}))), "board span", "2025")[0].value == 600.0


@pytest.mark.parametrize(("kind", "verdict"), [("bound-bound", "ok"), ("cut-cut", "fail")])
def test_edge_backing_by_one_stud(kind: str, verdict: str) -> None:
    # one 38 mm stud gives 19 each side: 10 + 6 + 3 = 19 for a bound edge, 13 + 6 + 3 = 22 for a cut one
    frame = boarded(PLAIN, {"A": [600, 1800]}, kind=kind)
    rows = rows_of(run_checks(facts(frame)), "edge backing", "joint")
    assert {r.verdict for r in rows} == {verdict}
    assert {(r.value, r.limit) for r in rows} == {(19.0, 19.0 if kind == "bound-bound" else 22.0)}


def test_edge_backing_by_a_pair_and_off_the_mark() -> None:
    pair = boarded(studs_at(3000, 2400, CENTRES, doubled=(600,)), {"A": [600]}, kind="cut-cut")
    row = rows_of(run_checks(facts(pair)), "edge backing", "joint")[0]
    assert (row.value, row.verdict) == (38.0, "ok")
    off = boarded(PLAIN, {"A": [607]})
    row = rows_of(run_checks(facts(off)), "edge backing", "joint")[0]
    assert (row.value, row.verdict) == (12.0, "fail")  # 19 - 7
    nowhere = boarded(PLAIN, {"A": [900]})
    row = rows_of(run_checks(facts(nowhere)), "edge backing", "joint")[0]
    assert (row.value, row.verdict) == (0.0, "fail")


def test_a_line_of_joints_without_timber_is_told_once_with_what_helps() -> None:
    frame = boarded(PLAIN, {"A": []})
    parts = tuple(
        Joint("A", 1, x, 9_000, x + 10_000, 9_000, "bound-bound", (), 380) for x in (0, 10_000, 20_000)
    )
    low = frame.__class__(frame.profile, (), frame.members, frame.boards, parts)
    (row,) = rows_of(run_checks(facts(low)), "edge backing", "joint")
    assert (row.value, row.verdict) == (0.0, "fail")
    assert "3 horizontal joints" in row.why
    assert "another height" in row.why
    assert "stud" not in row.why.split(":")[-1]


def test_edge_backing_finds_the_worst_place_of_a_joint() -> None:
    # a horizontal joint over three bays whose noggin is missing in one of them
    frame = studs_at(1800, 2400, [600, 1200], rows=(1181,))
    joint = Joint("A", 1, 0, 12_000, 18_000, 12_000, "bound-bound", (), 380)
    boards = boarded(frame, {"A": []})
    whole = boards.__class__(frame.profile, (), frame.members, boards.boards, (joint,))
    assert rows_of(run_checks(facts(whole)), "edge backing", "joint")[0].value == 19.0
    fewer = tuple(m for m in frame.members if m.mark != "N1.6190")
    holed = boards.__class__(frame.profile, (), fewer, boards.boards, (joint,))
    row = rows_of(run_checks(facts(holed)), "edge backing", "joint")[0]
    assert (row.value, row.verdict) == (0.0, "fail")


def test_a_flat_noggin_backs_its_own_face_only() -> None:
    frame = studs_at(1800, 2400, [600, 1200], rows=(1150,), flat=True)
    for side, verdict in (("A", "ok"), ("B", "fail")):
        joint = Joint(side, 1, 0, 11_945, 18_000, 11_945, "cut-cut", (), 440)
        boards = boarded(frame, {side: []})
        got = boards.__class__(frame.profile, (), frame.members, boards.boards, (joint,))
        assert rows_of(run_checks(facts(got)), "edge backing", "joint")[0].verdict == verdict


def test_lower_edge_on_the_sole_plate() -> None:
    good = rows_of(run_checks(facts(boarded(PLAIN, {"A": [600]}))), "edge backing", "lower edge")[0]
    assert (good.value, good.limit, good.verdict) == (26.0, 19.0, "ok")  # 38 - 12 of plate; 13 + 6
    high = boarded(PLAIN, {"A": [600]}, floor_gap=22)
    assert rows_of(run_checks(facts(high)), "edge backing", "lower edge")[0].verdict == "fail"


def test_a_32_mm_screw_passes_one_rule_set_and_fails_the_other() -> None:
    # 12.5 mm board: 19.5 in timber; 25 wanted (BS 8212), 15 to 16 (5/8 in, CMHC)
    assert screw_row("side A", 32.0, 12.5, UK).verdict == "fail"
    assert screw_row("side A", 32.0, 12.5, US).verdict == "ok"


@pytest.mark.parametrize(
    ("product", "layers", "screw"),
    [("standard-12.5", 1, 38), ("standard-15", 1, 42), ("standard-12.5", 2, 50)],
)
def test_shortest_screw_on_sale(product: str, layers: int, screw: int) -> None:
    # published pairs: 12.5 board 38 mm, 15 board 42 mm, two layers of 12.5 mm 50 mm
    frame = boarded(PLAIN, {"A": [600]}, product=product, layers=layers)
    row = rows_of(run_checks(facts(frame)), "screw length", f"layer {layers}")[0]
    assert row.case.startswith(f"{screw} mm screw")
    assert row.verdict == "ok"


def test_joints_shared_by_both_faces() -> None:
    both = boarded(PLAIN, {"A": [600], "B": [600]})
    assert rows_of(run_checks(facts(both)), "joints staggered", "faces")[0].verdict == "fail"
    assert rows_of(run_checks(facts(WALL)), "joints staggered", "faces")[0].verdict == "ok"
    two = boarded(PLAIN, {"A": [600]}, layers=2)
    assert rows_of(run_checks(facts(two)), "joints staggered", "layers")[0].verdict == "fail"


@pytest.mark.parametrize(("at", "verdict"), [(2520, "fail"), (2450, "caution"), (2400, "ok")])
def test_joint_near_a_jamb(at: float, verdict: str) -> None:
    # UK: fail under 200, caution under 300; jamb line at 2700
    frame = boarded(studs_at(3840, 2620, [600, 1200, 1800], door=(2700, 3542, 2030)), {"A": [at]})
    assert rows_of(run_checks(facts(frame)), "joint near jamb")[0].verdict == verdict


def test_narrow_strip() -> None:
    row = rows_of(run_checks(facts(boarded(PLAIN, {"A": [150]}))), "narrow strip")[0]
    assert (row.value, row.verdict) == (150.0, "caution")


def test_wet_side_wants_a_moisture_board() -> None:
    wet = plain_room("utility", wet=True)
    assert rows_of(run_checks(facts(WALL, room_a=wet)), "damp")[0].verdict == "fail"
    good = boarded(PLAIN, {"A": [600]}, product="moisture-12.5")
    assert rows_of(run_checks(facts(good, room_a=wet)), "damp")[0].verdict == "ok"
    assert rows_of(run_checks(facts(WALL, room_a=plain_room("bathroom"))), "damp")[0].verdict == "fail"
    assert not rows_of(run_checks(facts(WALL)), "damp")


@pytest.mark.parametrize(
    ("finish", "mass", "value", "verdict"),
    # BS 5385-1: 32 kg/m2 direct, 20 on skim; adhesive and grout 5 kg/m2 counted
    [
        ("taped", 27.0, 32.0, "ok"),
        ("taped", 27.1, 32.1, "fail"),
        ("skim", 15.0, 20.0, "ok"),
        ("skim", 18.0, 23.0, "fail"),
    ],
)
def test_tile_mass(finish: str, mass: float, value: float, verdict: str) -> None:
    room = plain_room("utility", tiled_to=1300 * MM, tile_mass=mass)
    row = rows_of(run_checks(facts(WALL, room_a=room, finish=finish)), "tile mass")[0]
    assert row.value == pytest.approx(value)
    assert row.verdict == verdict


@pytest.mark.parametrize(
    ("centres", "rows", "verdict"),
    # NHBC Appendix 8.2-A: 400 to 450 nothing extra; 600 with noggins at 600 vertically
    [
        ([450, 900, 1350, 1800, 2250], (), "ok"),
        (CENTRES, (1200,), "caution"),
        (CENTRES, (600, 1200, 1800), "ok"),
    ],
)
def test_stud_centres_behind_tiles(centres: list, rows: tuple, verdict: str) -> None:
    frame = boarded(studs_at(2700 if 450 in centres else 3000, 2400, centres, rows=rows), {"A": [900]})
    room = plain_room("utility", tiled_to=1800 * MM, tile_mass=18.0)
    assert rows_of(run_checks(facts(frame, room_a=room)), "stud centres behind tiles")[0].verdict == verdict


def test_sheet_and_board_masses() -> None:
    found = run_checks(facts(WALL, option=Option(sheet="1200x2400")))
    sheet = rows_of(found, "lifting", "sheet")[0]
    # 1200 x 2400 at the price book's surface mass; HSE figures 16 and 25 kg
    assert sheet.value == pytest.approx(2.88 * facts(WALL).book.board("standard-12.5").surface_mass, rel=1e-5)
    assert sheet.verdict == "caution"
    board = rows_of(found, "lifting", "board")[0]
    assert board.value == pytest.approx(
        1.2 * 2.388 * facts(WALL).book.board("standard-12.5").surface_mass, rel=1e-5
    )


@pytest.mark.parametrize(
    ("size", "door", "landing", "goes"),
    [
        ((2400, 1200), (762, 1981), 0, True),
        ((2400, 1200), (762, 1000), 0, True),  # leaning: the diagonal is 1257
        ((2400, 1200), (600, 1000), 0, False),
        ((2400, 1200), (762, 1981), 900, False),  # ladder round the corner: (749.5^2/3 + 887.5^2/3)^3/2 = 2311
        ((2400, 1200), (826, 1981), 1000, True),
    ],
)  # fmt: skip
def test_way_in(size: tuple, door: tuple, landing: float, goes: bool) -> None:
    assert passes(*size, 12.5, *door, landing) is goes


def test_general_cautions_are_told_but_not_counted() -> None:
    found = run_checks(facts(WALL))
    texts = " ".join(r.why for r in found if r.check.startswith("caution: "))
    for word in ("asbestos", "vacuum", "cables", "two people", "competent person", "fire"):
        assert word in texts
    own = [r for r in found if not r.check.startswith("caution: ")]
    assert counted(found) == (
        sum(r.verdict == "caution" for r in own), sum(r.verdict == "fail" for r in own)
    )  # fmt: skip
