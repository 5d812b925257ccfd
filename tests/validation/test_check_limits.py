"""Demand and limit of the worked wall's checks, each by a textbook formula or by counting on its drawing.

The wall is that of the design notes: 3840 x 2620, 38x89 at 600 from the left, upright 1200x2700 sheets, structural
opening 2700-3542 x 2030, floor gap 12, no tolerance. Uprights and their middles: end studs at 19 and 3821, studs at
600, 1200, 1800, 2400, jamb studs 2662-2700 and 3542-3580, short studs at 3000 and 3240 over the door; studs 2544
long from 38 above the floor; noggin rows at 873 and 1747.

Timber: C16 (EN 338:2016, Table 1: 16 bending, 3.2 shear, E 8000, G 500 N/mm2), kmod 0.9 for short-term loads in
service class 1 and gamma M 1.3 (EN 1995-1-1, Tables 3.1 and 2.3), kh = (150 / depth)^0.2 (eq. 3.1), kcr 0.67
(6.1.7), load factor 1.5, psi2 0.3 and kdef 0.6. Loads: 0.36 kN/m at 1.2 m, 0.5 kN/m2, 0.25 kN (BS 6180), 200 Pa.
"""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest

import wallcalc as wc

WALL = Path(__file__).resolve().parents[2] / "data" / "walls" / "worked_wall.toml"
PRODUCTS = {"sheet": "1200x2700", "board_a": "standard-12.5", "board_b": "standard-12.5"}
EXACT = wc.Rules.load("uk").with_values({"joint.tolerance": 0})

SPAN, FOOT = 2544.0, 38.0
AREA, MODULUS, INERTIA = 38 * 89.0, 38 * 89.0**2 / 6, 38 * 89.0**3 / 12
EI, GA = 8000 * INERTIA, 500 * AREA / 1.2


def made(wall=None, rules=EXACT, **option) -> wc.Design:
    return wc.design(
        wall or wc.Wall.load(WALL),
        wc.Option(**{**PRODUCTS, **option}),
        rules=rules,
        model="closed form",
        seconds=0.05,
    )


def row(design, check: str, case: str = "", subject: str = ""):
    """The one row of a check whose case and subject hold these texts."""
    c = design.checks
    found = c[
        (c["check"] == check)
        & c["case"].str.contains(case, regex=False)
        & c["subject"].str.contains(subject, regex=False)
    ]
    assert len(found) == 1, found
    return found.iloc[0]


@pytest.fixture(scope="module")
def worked():
    return made()


# --- studs: the middle stud carries 600 of wall, the left jamb stud half the bay beside it and half the door


CARRIED = {
    "stud S": 600.0,
    "jamb stud JS1": (2662 - 2419) / 2 + 38 + (3542 - 2700) / 2,
}


@pytest.mark.parametrize("stud", CARRIED)
def test_line_load(worked, stud):
    force, low = 0.36 * CARRIED[stud], 1200 - FOOT
    moment, shear = force * low * (SPAN - low) / SPAN, force * max(low, SPAN - low) / SPAN
    assert row(worked, "stud bending", "line", stud)["value"] == pytest.approx(
        1.5 * moment / MODULUS, rel=1e-5
    )
    told = row(worked, "stud shear", "line", stud)["value"]
    assert told == pytest.approx(1.5 * 1.5 * shear / (0.67 * AREA), rel=1e-5)
    # bending alone deflects P b (L2 - b2)^1.5 / (9 sqrt(3) L E I) at most, shear adds a little more than P a b / L G A
    near = min(low, SPAN - low)
    bent = force * near * (SPAN**2 - near**2) ** 1.5 / (9 * math.sqrt(3) * SPAN * EI)
    sheared = force * low * (SPAN - low) / (SPAN * GA)
    assert bent < row(worked, "stud deflection", "line", stud)["value"] <= bent + sheared


@pytest.mark.parametrize("stud", CARRIED)
def test_area_load(worked, stud):
    load = 0.5e-3 * CARRIED[stud]
    assert row(worked, "stud bending", "area", stud)["value"] == pytest.approx(
        1.5 * load * SPAN**2 / 8 / MODULUS, rel=1e-5
    )
    assert row(worked, "stud shear", "area", stud)["value"] == pytest.approx(
        1.5 * 1.5 * load * SPAN / 2 / (0.67 * AREA), rel=1e-5
    )
    gives = 5 * load * SPAN**4 / (384 * EI) + load * SPAN**2 / (8 * GA)
    assert row(worked, "stud deflection", "area", stud)["value"] == pytest.approx(gives, rel=1e-5)
    at_last = row(worked, "stud deflection in the end", "area", stud)["value"]
    assert at_last == pytest.approx(gives * (1 + 0.3 * 0.6), rel=1e-5)


@pytest.mark.parametrize("stud", ["stud S", "jamb stud JS1"])
def test_point_load(worked, stud):
    """On one stud whatever it carries."""
    assert row(worked, "stud bending", "point", stud)["value"] == pytest.approx(
        1.5 * 250 * SPAN / 4 / MODULUS, rel=1e-5
    )
    gives = 250 * SPAN**3 / (48 * EI) + 250 * SPAN / (4 * GA)
    assert row(worked, "stud deflection", "point", stud)["value"] == pytest.approx(gives, rel=1e-5)


@pytest.mark.parametrize("stud", CARRIED)
def test_check_pressure(worked, stud):
    load = 200e-6 * CARRIED[stud]
    told = row(worked, "stud deflection", "200 Pa", stud)
    assert told["value"] == pytest.approx(
        5 * load * SPAN**4 / (384 * EI) + load * SPAN**2 / (8 * GA), rel=1e-5
    )
    assert told["limit"] == pytest.approx(SPAN / 240)


def test_what_timber_can_take(worked):
    for load in ("line", "area", "point"):
        for stud in ("stud S", "jamb stud JS1"):
            bending, shear = row(worked, "stud bending", load, stud), row(worked, "stud shear", load, stud)
            assert bending["limit"] == pytest.approx(16 * (150 / 89) ** 0.2 * 0.9 / 1.3, rel=1e-5)
            assert shear["limit"] == pytest.approx(3.2 * 0.9 / 1.3, rel=1e-5)
            assert row(worked, "stud deflection", load, stud)["limit"] == 25
            assert bending["use"] == pytest.approx(bending["value"] / bending["limit"], rel=1e-4)


def test_floor_build_up_lowers_the_line_load_on_the_stud():
    """With 7 of floor to come the load is 1200 above that: 1169 above the stud's foot."""
    design = made(replace(wc.Wall.load(WALL), floor_build_up=70))
    low = 1200 + 7 - FOOT
    moment = 0.36 * 600 * low * (SPAN - low) / SPAN
    told = row(design, "stud bending", "line", "stud S")["value"]
    assert told == pytest.approx(1.5 * moment / MODULUS, rel=1e-5)


# --- the wall as a whole


def test_height_by_the_check_pressure(worked):
    """L^3 = 384 E I / (5 x 240 x w), w on 600 of wall."""
    told = row(worked, "height", "200 Pa")
    assert told["limit"] == pytest.approx((384 * EI / (5 * 240 * 200e-6 * 600)) ** (1 / 3), rel=1e-5)
    assert told["value"] == SPAN


def test_height_by_the_trade_and_tilting_up(worked):
    told = row(worked, "height", "rule of thumb")
    assert (told["value"], told["limit"], told["verdict"]) == (2620, 3000, "ok")
    up = row(worked, "tilting up")
    assert up["value"] == pytest.approx(math.hypot(2620, 89), abs=0.05)
    assert (up["limit"], up["verdict"]) == (2620, "caution")


@pytest.mark.parametrize(("short", "verdict"), [(1.5, "caution"), (1.6, "ok")])
def test_a_frame_packed_down_below_its_diagonal_can_be_tilted_up(short, verdict):
    """The frame is 2620 less the packing tall, 89 deep: hypot(2618.5, 89) is 2620.01, hypot(2618.4, 89) 2619.91."""
    rules = EXACT.with_values({"frame.head_packing": short})
    assert row(made(rules=rules), "tilting up")["verdict"] == verdict


# --- boards


def test_board_span(worked):
    for side in "AB":
        new, old = (row(worked, "board span", e, f"side {side}") for e in ("(2025)", "(2022)"))
        assert (new["value"], new["limit"], new["verdict"]) == (600, 600, "ok")
        assert (old["value"], old["limit"], old["verdict"]) == (600, 600, "ok")  # noggins in every bay


def test_board_span_without_noggins():
    """The edition of 2022 takes a 12.5 board to 450 where there are none."""
    told = row(
        made(rules=EXACT.with_values({"frame.stability_rows": False})), "board span", "(2022)", "side A"
    )
    assert (told["value"], told["limit"], told["verdict"]) == (600, 450, "caution")


def test_narrowest_strip_and_joint_nearest_to_a_jamb(worked):
    strip = row(worked, "narrow strip")
    assert (strip["value"], strip["limit"], strip["verdict"]) == (600, 200, "ok")
    jamb = row(worked, "joint near jamb")  # joint at 3000, jamb line at 2700; 3240 is 302 from 3542
    assert (jamb["value"], jamb["limit"], jamb["verdict"]) == (300, 300, "ok")


def test_edges_on_timber(worked):
    """A bound edge wants 10 to the screw and 6 more of timber, a cut one 13 and 6; half a stud is 19."""
    c = worked.checks[worked.checks["check"] == "edge backing"]
    upright = c[c["subject"].str.contains("vertical")]
    wanted = {"bound-bound": 10 + 6, "bound-cut": 13 + 6, "cut-bound": 13 + 6}
    assert [*upright["limit"]] == [wanted[kind] for kind in upright["case"]]
    assert len(upright) > 1
    assert set(upright["value"]) == {19}
    foot = c[c["subject"].str.contains("lower edge")]
    assert [*zip(foot["value"], foot["limit"], strict=True)] == [(38 - 12, 13 + 6)] * 2
    assert set(c["verdict"]) == {"ok"}


def test_screws_sheets_and_boards(worked):
    screw = row(worked, "screw length", subject="side A")
    assert (screw["value"], screw["limit"]) == (38 - 12.5, 25)
    mass = worked.prices.board("standard-12.5").surface_mass
    sheet = row(worked, "lifting", "as bought")
    assert (sheet["value"], sheet["limit"]) == (pytest.approx(1.2 * 2.7 * mass, rel=1e-5), 16)
    board = row(worked, "lifting", "heaviest as cut")
    assert board["value"] == pytest.approx(1.2 * 2.608 * mass, rel=1e-5)


# --- tiles on side A


def tiled(to: float, mass: float = 18.0, **given) -> wc.Wall:
    wall = wc.Wall.load(WALL)
    return replace(wall, room_a=replace(wall.room_a, tiled_to=round(to * 10), tile_mass=mass), **given)


@pytest.mark.parametrize(
    ("mass", "finish", "limit", "verdict"),
    # with 5 of adhesive and grout, against 32 on board and 20 on skim (BS 5385-1)
    [
        (27, "taped", 32, "ok"),
        (27.1, "taped", 32, "fail"),
        (15, "skim", 20, "ok"),
        (15.1, "skim", 20, "fail"),
    ],
)
def test_mass_of_tiles(mass, finish, limit, verdict):
    options = (
        {} if finish == "taped" else {"board_a": "standard-12.5-square", "board_b": "standard-12.5-square"}
    )
    told = row(made(tiled(1300, mass, finish=finish), **options), "tile mass")
    assert (told["value"], told["limit"], told["verdict"]) == (pytest.approx(mass + 5), limit, verdict)


def test_board_and_height_behind_tiles():
    told = row(made(tiled(1300)), "tile board")
    assert (told["value"], told["limit"], told["verdict"]) == (12.5, 12.5, "ok")
    high = row(made(tiled(1300)), "tiled wall height")
    assert (high["value"], high["limit"], high["verdict"]) == (2620, 3600, "ok")


@pytest.mark.parametrize(
    ("to", "spacing", "limit", "verdict"),
    [
        (1300, 1200, 450, "caution"),  # rows' lower edges at 854 and 1728: 874 apart
        (1300, 600, 600, "ok"),  # 505, 1029, 1553: 524 apart
        (2620, 600, 600, "ok"),  # and 2077, 543 under the ceiling
        (1300, 655, 450, "caution"),  # three rows, at 655: 636 to the first
    ],
)
def test_studs_behind_tiles(to, spacing, limit, verdict):
    """At 600 centres rows of noggins no more than 600 apart are asked for, else 450."""
    rules = EXACT.with_values({"frame.stability_spacing": spacing})
    told = row(made(tiled(to), rules), "stud centres behind tiles")
    assert (told["value"], told["limit"], told["verdict"]) == (600, limit, verdict)


def test_tiled_walls_are_kept_stiffer_where_the_rules_say_so():
    rules = EXACT.with_values({"loads.deflection_limit_tiled": 360})
    for wall in (tiled(1300), replace(wc.Wall.load(WALL), room_b=tiled(1300).room_a)):
        assert row(made(wall, rules), "stud deflection", "200 Pa", "stud S")["limit"] == pytest.approx(
            SPAN / 360
        )
        limit = row(made(wall, rules), "height", "200 Pa")["limit"]
        assert limit == pytest.approx((384 * EI / (5 * 360 * 200e-6 * 600)) ** (1 / 3), rel=1e-5)
    assert row(made(rules=rules), "stud deflection", "200 Pa", "stud S")["limit"] == pytest.approx(SPAN / 240)
