"""Hung items: forces by statics worked out by hand, screws by an independent numerical search, verdicts."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from check_builders import UK, US, boarded, facts, rows_of, studs_at

from wallcalc.checks import run_checks
from wallcalc.checks.hung_loads import fixing_forces, in_the_end, item_loads, kind_of
from wallcalc.checks.hung_members import rail_use, shares
from wallcalc.checks.hung_screws import edge_distance, holder
from wallcalc.given.parts import HungItem
from wallcalc.records import Member
from wallcalc.strength.beam import Beam, PointLoad
from wallcalc.strength.screws_ec5 import shear_over_gap
from wallcalc.units.lengths import MM

FRAME = boarded(studs_at(3000, 2400, [600, 1200, 1800, 2400], rows=(821,)), {"A": [600], "B": [1200]})
RACK = HungItem("instrument rack", "A", ((9000, 8400), (9000, 4400)), 24.0, projection=300 * MM)


def at(*points: tuple[float, float], **given) -> HungItem:
    item = HungItem("rack", "A", tuple((round(x * MM), round(y * MM)) for x, y in points), 24.0)
    return replace(item, **given)


def hung(item: HungItem, frame=FRAME, **given) -> tuple:
    return run_checks(facts(frame, hung=(item,), **given))


def test_forces_are_in_equilibrium() -> None:
    item = at((800, 1500), (1000, 1500), (800, 1100), (1000, 1100), projection=400 * MM, extra=16.0)
    load = item_loads(item, UK)[0]
    forces = fixing_forces(item, load, couple_arm=100.0)
    assert load.down == pytest.approx(40 * 9.81)
    assert load.arm == 200.0
    assert sum(f.down for f in forces) == pytest.approx(load.down)
    edge = 1100 - 100  # the item bears 100 mm below its lowest fixings
    assert sum(f.pull * (f.y / MM - edge) for f in forces) == pytest.approx(load.down * 200)
    # plane sections: pull in proportion to the height above the edge, 500 against 100
    assert forces[0].pull == pytest.approx(5 * forces[2].pull)
    assert forces[0].pull == pytest.approx(load.down * 200 * 500 / (2 * (500**2 + 100**2)))


def test_a_pad_sets_the_couple_arm() -> None:
    wide = fixing_forces(
        at((900, 1000), projection=4000, pad=3000), item_loads(at((900, 1000), projection=4000), UK)[0], 100
    )
    assert wide[0].pull == pytest.approx(24 * 9.81 * 200 / 150)


def test_the_load_is_never_less_than_the_rule_for_its_kind() -> None:
    # wash basin or trough 1.5 kN, WC 4.0 kN, grab rail 1.5 kN in any direction
    trough = at((900, 840), name="trough", mass=46.0, extra=40.0)
    assert kind_of(trough, UK) == "basin"
    assert item_loads(trough, UK)[0].down == 1500.0
    assert item_loads(replace(trough, extra=140.0), UK)[0].down == pytest.approx(186 * 9.81)
    assert item_loads(at((900, 840), kind="wc"), UK)[0].down == 4000.0
    rail = item_loads(at((900, 840), name="grab rail"), UK)
    assert [(load.down, load.out) for load in rail] == [(1500.0, 0.0), (pytest.approx(24 * 9.81), 1500.0)]
    assert item_loads(trough, UK)[0].status == "from memory"


@pytest.mark.parametrize(
    ("name", "kind", "found"),
    [
        ("towel rail", "", "light fitting"),
        ("rail", "towel rail", "light fitting"),
        ("mirror over the basin", "", "light fitting"),
        ("grab rail by the basin", "", "grab rail"),
        ("shelf", "basin", "basin"),
        ("cupboard", "cabinet", ""),
        ("pan rack", "", ""),
        ("panel", "", ""),
        ("wc pan", "", "wc"),
    ],
)
@pytest.mark.parametrize("rules", [UK, US], ids=["uk", "us"])
def test_the_kind_is_the_given_one_or_the_first_word_that_the_rules_know(name, kind, found, rules) -> None:
    assert kind_of(at((900, 840), name=name, kind=kind), rules) == found


def test_a_screw_that_may_not_be_counted_on_fails_in_words_and_shows_no_endless_number() -> None:
    deep = UK.with_values({"hung.penetration_diameters": 100})
    item = at((900, 840), projection=300)
    rows = [r for r in hung(item, rules=deep) if r.check.startswith("hung screw")]
    (row,) = rows
    assert (row.verdict, row.value, row.use) == ("fail", None, None)
    assert row.why.startswith("no pull-out strength may be counted on for the")
    assert "is under 100 d" in row.why
    shown = [v for r in hung(item, rules=deep) for v in (r.value, r.limit, r.use) if isinstance(v, float)]
    assert all(math.isfinite(v) for v in shown)


def test_a_kind_without_a_load_of_its_own_is_said_to_have_none() -> None:
    for kind, case in (("", "kind not told"), ("cabinet", "kind not known")):
        (row,) = rows_of(hung(at((900, 840), name="cupboard", kind=kind)), "hung item load")
        assert (row.case, row.verdict) == (case, "caution")
        assert "basin, wc, grab rail, light fitting" in row.why


def test_backing_by_a_stud_may_be_any_upright_and_what_is_none_is_named() -> None:
    (row,) = rows_of(hung(at((900, 840), backing="stud")), "timber behind fixing", "backing wanted")
    assert "in a noggin instead of a stud" in row.why


def test_timber_behind_each_fixing() -> None:
    ok = rows_of(hung(at((900, 840))), "timber behind fixing")[0]
    assert (ok.value, ok.limit, ok.verdict) == (19.0, 18.0, "ok")  # the middle of a 38 mm noggin
    near = rows_of(hung(at((900, 855))), "timber behind fixing")[0]
    assert (near.value, near.verdict) == (4.0, "fail")
    bare = rows_of(hung(at((900, 1500), (900, 840))), "timber behind fixing")[0]
    assert bare.verdict == "fail"
    assert "900, 1500" in bare.why
    wrong = rows_of(hung(at((900, 840), backing="pattress")), "timber behind fixing", "backing wanted")[0]
    assert wrong.verdict == "caution"


def test_a_wall_with_nothing_hung_gives_no_rows() -> None:
    assert not [
        r for r in run_checks(facts(FRAME)) if "hung" in r.check and not r.check.startswith("caution")
    ]


def test_holder_takes_the_piece_with_most_timber_round_the_point() -> None:
    wide = Member("P1", "pattress", "ply-18", 6190, 7000, 5620, 3000, 5620, 180, "A")
    assert holder((*FRAME.members, wide), "A", 9000, 8400).mark == "P1"
    assert holder((*FRAME.members, wide), "B", 9000, 8400).role == "noggin"
    assert edge_distance(wide, 9000, 8400) == 1400


def brute_force_capacity(gap: float, embedded: float, line: float, bend: float) -> float:
    """Greatest force a rigid-plastic screw passes: sum of bearing in the timber searched point by point."""
    best = 0.0
    for k in range(20001):
        x = embedded * k / 20000  # bearing one way next to the face over x, the other way over the rest
        force = line * (2 * x - embedded)
        pivot = line * (-x * (gap + x / 2) + (embedded - x) * (gap + (x + embedded) / 2))
        if force > 0 and pivot >= 0:  # no moment at the head: the back part must be able to turn it back
            best = max(best, force)
    hinge = 0.0
    for k in range(20001):
        depth = embedded * k / 20000
        force = line * depth
        if force * gap + force * depth / 2 <= bend:
            hinge = max(hinge, force)
    return min(best, hinge)


@pytest.mark.parametrize(
    ("gap", "embedded", "diameter", "bend"),
    [(12.5, 60, 4.3, 5000), (12.5, 10, 4.3, 5000), (0, 50, 5, 9000), (25, 40, 6, 20000)],
)
def test_screw_over_a_board_against_a_search(
    gap: float, embedded: float, diameter: float, bend: float
) -> None:
    got = shear_over_gap(gap, embedded, 16.0, diameter, bend).capacity
    assert got == pytest.approx(brute_force_capacity(gap, embedded, 16.0 * diameter, bend), rel=2e-3)


def test_screw_without_a_gap_is_the_codes_thin_plate_mode() -> None:
    # EN 1995-1-1 equation 8.9: 0.4 fh t d (rounded) and sqrt(2 My fh d) before its factor 1.15
    modes = dict(shear_over_gap(0.0, 30.0, 20.0, 5.0, 8000.0).modes)
    assert modes["turning"] == pytest.approx((math.sqrt(2) - 1) * 20 * 30 * 5)
    assert modes["hinge"] == pytest.approx(math.sqrt(2 * 8000 * 20 * 5))


def test_trough_on_two_fixings_fails_and_says_what_would_hold() -> None:
    trough = at((780, 840), (1020, 840), name="trough", mass=46.0, extra=40.0, projection=420 * MM)
    found = hung(trough)
    screws = rows_of(found, "hung screws")[0]
    assert screws.verdict == "fail"
    assert "it would hold with" in screws.why
    assert "engineer" in screws.why
    assert "from memory" in screws.source_status
    ends = rows_of(found, "hung noggin ends")[0]
    # 1.5 x 1500 N, half of it at each end, and the outward pull on top
    assert ends.value > 1.5 * 750
    light = hung(at((780, 840), (1020, 840), (780, 821 + 19), mass=3.0))
    assert rows_of(light, "hung screws")[0].verdict == "ok"


def test_noggin_bending_by_hand() -> None:
    noggin = next(m for m in FRAME.members if m.role == "noggin" and m.x == 6190)
    item = at((900, 840), mass=20.0)
    load = item_loads(item, UK)[0]
    final = in_the_end(item, load, 0.6, 0.3, 9.81)
    assert final.down == pytest.approx(1.6 * load.down)  # all of it stays: 1 + kdef
    got = rail_use(noggin, fixing_forces(item, load, 100.0), fixing_forces(item, final, 100.0), UK)
    moment = load.down * (900 - 619) * (noggin.right / MM - 900) / (noggin.width / MM)
    # 89 wide, 38 high about the weight's axis: W = b h^2 / 6; medium term C16, kh capped at 1.3
    strength = 16 * 0.8 * 1.3 / 1.3
    assert got.bending == pytest.approx(1.5 * moment / (89 * 38**2 / 6) / strength, rel=1e-9)
    inertia = 89 * 38**3 / 12
    sag = 1.6 * (load.down * 562**3 / (48 * 8000 * inertia) + 1.2 * load.down * 562 / 4 / (500 * 38 * 89))
    assert got.deflection == pytest.approx(sag, rel=1e-6)
    assert got.left == pytest.approx(Beam(562, (PointLoad(281, load.down),)).reactions[0])


def test_shares_add_up_and_follow_the_lever() -> None:
    one = facts(FRAME)
    item = at((700, 840), (1100, 840))
    forces = fixing_forces(item, item_loads(item, UK)[0], 100)
    got = shares(one.studs, {0: FRAME.members[0], 1: FRAME.members[0]}, forces)
    assert sum(got.values()) == pytest.approx(1.0)
    assert got[1] == pytest.approx(0.5 * (1181 - 700) / 562 + 0.5 * (1181 - 1100) / 562)
    direct = at((600, 840), (600, 1240))
    got = shares(
        one.studs,
        {0: FRAME.members[0], 1: FRAME.members[0]},
        fixing_forces(direct, item_loads(direct, UK)[0], 100),
    )
    assert got == {1: pytest.approx(1.0)}


def test_doubling_the_studs_helps() -> None:
    item = at((600, 1500), (600, 1000), mass=60.0, projection=600 * MM)
    single = rows_of(hung(item), "hung stud bending")[0]
    pair = boarded(
        studs_at(3000, 2400, [600, 1200, 1800, 2400], rows=(821,), doubled=(600,)), {"A": [600], "B": [1200]}
    )
    double = rows_of(
        hung(at((619, 1500), (619, 1000), mass=60.0, projection=600 * MM), pair), "hung stud bending"
    )[0]
    assert double.use < single.use
