"""The shipped rules beside the figures that were published.

The figures below are copied from the documents named beside each of them, independently of ``data/rules``:

- NHBC Standards 2025 and 2022, chapter 9.2, clause 9.2.4, Table 5 (board thickness and stud centres); 6.3.9 Table 3.
- UK standard specification, clauses K10/610 and K10/612 (fixing of gypsum board).
- EN 338:2016, Table 1 (C16 and C24).
- EN 1995-1-1:2004, Tables 3.1 and 2.3, clauses 6.3.2 and 6.6, 8.7.2(3); EN 1990 UK National Annex.
- BS 6180:2011, Table 2 (i); SCI AD 535; IBC 2009, 1607.13.
- WAC 296-150C-1000 and IRC 2018, R602.6 (holes and notches).
- BS 5385-1:2018 (mass of tiling); Approved Document E, internal walls; BS 7671, 522.6.202 (cables).
- BC Wall and Ceiling Association standard manual, 9.5 part 3 (joints at openings).
- ADA Standards 2010, 609.8 (grab bars).
- CMHC on Ontario Building Code 9.29.5.3 (gypsum board across its supports).
"""

import csv

import pytest

from wallcalc.checks.boards import span_limits
from wallcalc.shipped import data_folder
from wallcalc.trade.prices import PriceBook
from wallcalc.trade.rules import Rules

PUBLISHED = [
    # rules, key, figure, words that the source must have
    ("uk", "frame.max_centres", 600, "6.3.9"),
    ("uk", "frame.heavy_leaf", 35, "BS 5234-2"),
    ("uk", "frame.timber_moisture_most", 20, "9.2.4"),
    ("uk", "fixing.per_joint", 2, "6.3.9"),
    ("uk", "joint.edge_bound", 10, "610"),
    ("uk", "joint.edge_cut", 13, "610"),
    ("uk", "joint.timber_edge", 6, "610"),
    ("uk", "joint.gap_most", 3, "612"),
    ("uk", "joint.layer_offset", 600, "612"),
    ("uk", "joint.jamb_caution", 300, "BC Wall"),
    ("uk", "screw.spacing", 300, "610"),
    ("uk", "screw.spacing_corner", 200, "610"),
    ("uk", "loads.line", 0.36, "BS 6180"),
    ("uk", "loads.area", 0.5, "BS 6180"),
    ("uk", "loads.point", 0.25, "BS 6180"),
    ("uk", "loads.line_height", 1200, "AD 535"),
    ("uk", "loads.check_pressure", 200, "BS 5234"),
    ("uk", "loads.deflection_limit", 240, "BS 5234"),
    ("uk", "strength.gamma_m", 1.3, "EN 1995-1-1"),
    ("uk", "strength.gamma_g", 1.35, "EN 1990"),
    ("uk", "strength.gamma_q", 1.5, "EN 1990"),
    ("uk", "strength.psi_2", 0.3, "EN 1990"),
    ("uk", "strength.ksys", 1.1, "6.6"),
    ("uk", "strength.beta_c", 0.2, "6.29"),
    ("uk", "hung.penetration_diameters", 6, "8.7.2(3)"),
    ("uk", "tile.mass_most_board", 32, "BS 5385-1"),
    ("uk", "tile.mass_most_skim", 20, "BS 5385-1"),
    ("uk", "tile.height_most", 3600, "NHBC"),
    ("uk", "floor.line_load_most", 1.0, "6.4.8"),
    ("uk", "floor.span_less_percent", 10, "6.4.8"),
    ("uk", "cable.zone_width", 150, "522.6.202"),
    ("uk", "cable.depth", 50, "522.6.202"),
    ("uk", "cable.thin_wall", 100, "522.6.202"),
    ("uk", "cable.protection", 30, "522.6.202"),
    ("uk", "board.sound_mass", 10, "Approved Document E"),
    ("uk", "site.temperature_least", 10, "BC Wall"),
    ("us", "joint.edge_bound", 9.5, "R702.3.6"),
    ("us", "joint.jamb_fail", 152.4, "county"),
    ("us", "screw.spacing_close_studs", 16, "NAVEDTRA 14044"),
    ("us", "screw.penetration", 0.625, "9.29.5.7"),
    ("us", "loads.area", 0.24, "1607.13"),
    ("us", "frame.max_centres", 24, "R602.5"),
]


@pytest.mark.parametrize(("name", "key", "figure", "words"), PUBLISHED, ids=lambda v: str(v))
def test_a_rule_is_what_was_published(name, key, figure, words):
    rule = Rules.load(name).rule(key)
    assert rule.value == figure
    assert words in rule.source
    assert rule.status in ("seen", "seen in part, rest from memory")


# NHBC Standards 2025, 9.2.4 Table 5: walls, most stud centres by board thickness
@pytest.mark.parametrize(("thickness", "centres"), [(9.5, 450), (12.5, 600), (15, 600), (19, 600)])
def test_board_spans_of_2025(thickness, centres):
    rows = [
        r
        for r in Rules.load("uk").rows("board_span")
        if r["edition"] == "2025" and r["thickness"] == thickness
    ]
    assert [r["max_centres"] for r in rows] == [centres]


# NHBC Standards 2022, 9.2.4 Table 5: most centres (without, with intermediate noggings)
@pytest.mark.parametrize(
    ("thickness", "none", "noggins"), [(9.5, 400, 450), (12.5, 450, 600), (15, 600, None)]
)
def test_board_spans_of_2022_are_stricter(thickness, none, noggins):
    rows = [
        r
        for r in Rules.load("uk").rows("board_span")
        if r["edition"] == "2022" and r["thickness"] == thickness
    ]
    found = {r["noggins"]: r["max_centres"] for r in rows}
    assert (found["none"], found.get("intermediate")) == (none, noggins)


# EN 338:2016, Table 1
CLASSES = {
    "bending_n_mm2": (16, 24),
    "tension_0_n_mm2": (8.5, 14.5),
    "tension_90_n_mm2": (0.4, 0.4),
    "compression_0_n_mm2": (17, 21),
    "compression_90_n_mm2": (2.2, 2.5),
    "shear_n_mm2": (3.2, 4.0),
    "modulus_0_mean_n_mm2": (8000, 11000),
    "modulus_0_low_n_mm2": (5400, 7400),
    "shear_modulus_mean_n_mm2": (500, 690),
    "density_low_kg_m3": (310, 350),
    "density_mean_kg_m3": (370, 420),
}


@pytest.mark.parametrize("name", ["C16", "C24"])
def test_timber_classes(name):
    with (data_folder() / "timber_classes.csv").open(newline="", encoding="utf-8") as file:
        row = next(r for r in csv.DictReader(file) if r["class"] == name)
    assert row["edition"] == "EN 338:2016"
    assert row["source"]
    assert row["status"]
    place = ("C16", "C24").index(name)
    assert {c: float(row[c]) for c in CLASSES} == {c: v[place] for c, v in CLASSES.items()}
    # EN 384:2016 (from memory): the mean modulus across the grain of softwood is that along it / 30
    assert float(row["modulus_90_mean_n_mm2"]) == pytest.approx(
        float(row["modulus_0_mean_n_mm2"]) / 30, abs=5
    )


# EN 1995-1-1:2004, Table 3.1, solid timber: permanent, long, medium, short, instantaneous
@pytest.mark.parametrize(
    ("service_class", "values"),
    [(1, [0.6, 0.7, 0.8, 0.9, 1.1]), (2, [0.6, 0.7, 0.8, 0.9, 1.1]), (3, [0.5, 0.55, 0.65, 0.7, 0.9])],
)
def test_modification_factors(service_class, values):
    rows = [r for r in Rules.load("uk").rows("kmod") if r["service_class"] == service_class]
    assert [r["value"] for r in rows] == values
    assert rows[0]["duration"] == "permanent"
    assert rows[-1]["duration"] == "instantaneous"


def test_joint_needs_behind_it_what_the_specification_adds_up_to():
    # K10/610: 10 (bound) or 13 (cut) to the board's edge and 6 to the timber's, on both sides: 32, 35, 38 mm
    uk = Rules.load("uk")
    bound, cut, timber = (uk.tenths(f"joint.{k}") for k in ("edge_bound", "edge_cut", "timber_edge"))
    assert (2 * bound + 2 * timber, bound + cut + 2 * timber, 2 * cut + 2 * timber) == (320, 350, 380)


def test_structural_opening_of_a_762_leaf_is_842_by_2030():
    uk = Rules.load("uk")
    door = {
        k: uk.tenths(f"door.{k}")
        for k in ("gap", "lining", "packing", "under_leaf", "leaf_height", "head_packing")
    }
    assert 7620 + 2 * (door["gap"] + door["lining"] + door["packing"]) == 8420
    height = door["under_leaf"] + door["leaf_height"] + door["gap"] + door["lining"] + door["head_packing"]
    assert height == 20300


# IRC 2018 R602.6 on actual depths: the smaller of 60 % and what leaves 16 mm at both edges; notch 40 %
@pytest.mark.parametrize(("depth", "hole", "notch"), [(63, 31, 25.2), (89, 53.4, 35.6), (140, 84, 56)])
def test_holes_and_notches(depth, hole, notch):
    rows = {r["kind"]: r for r in Rules.load("uk").rows("hole_notch") if r["verdict"] == "fail"}
    by_percent = depth * rows["hole"]["most_percent"] / 100
    by_edge = depth - 2 * rows["hole"]["edge_least"]
    assert min(by_percent, by_edge) == pytest.approx(hole)
    assert depth * rows["notch"]["most_percent"] / 100 == pytest.approx(notch)


def test_sound_minimum_of_approved_document_e():
    rows = {r["room_use"]: r for r in Rules.load("uk").rows("sound_minimum")}
    assert {rows[use]["least"] for use in ("bedroom", "wc")} == {40}
    assert not any(r["with_door"] for r in rows.values())
    assert "en-suite" in rows["bedroom"]["not_beside"]
    buildups = {r["layers"]: r for r in Rules.load("uk").rows("sound_buildup")}
    assert buildups[2]["fill_thickness"] == 0
    assert (buildups[1]["fill_thickness"], buildups[1]["fill_density"]) == (25, 10)


def test_heights_and_grab_rails():
    heights = {r["section"]: r["max_height"] for r in Rules.load("uk").rows("height_limit")}
    assert heights == {"38x63": 2.4, "38x89": 3.0}  # UK warranty technical manual
    us = next(r for r in Rules.load("us").rows("hung_load") if r["kind"] == "grab rail")
    assert us["load"] == pytest.approx(250 * 0.45359237 * 9.80665, abs=0.5)  # ADA 609.8: 250 lbf
    limits = {r["section"]: r["max_height"] for r in Rules.load("us").rows("height_limit")}
    assert limits == {
        s: pytest.approx(ft * 0.3048) for s, ft in {"38x63": 10, "38x89": 14, "38x140": 20}.items()
    }


def test_screws_in_the_price_book_reach_the_penetration():
    # common lengths: 12.5 board 38, 15 board 42, two of 12.5 board 50 (25 mm into the timber)
    uk, book = Rules.load("uk"), PriceBook.load()
    lengths = sorted({i.length for i in book.items("screw") if i.sizes == "metric"})
    for through, screw in ((125, 380), (150, 420), (250, 500)):
        assert next(n for n in lengths if n >= through + uk.tenths("screw.penetration")) == screw


def test_a_standard_sheet_is_for_two_people():
    # 1200 x 2400 of 8.5 kg/m2 is 24.5 kg, over 16 and just under 25 kg (HSE INDG143)
    uk = Rules.load("uk")
    assert uk.value("lifting.caution") < 1.2 * 2.4 * 8.5 < uk.value("lifting.one_person")


@pytest.mark.parametrize(("thickness", "inches"), [(9.5, 16), (12.7, 24), (15.9, 24)])
def test_boards_across_the_studs_as_the_canadian_housing_guide_says(thickness, inches):
    # CMHC on Ontario Building Code 9.29.5.3: 3/8 in across supports at 400 mm (16 in), 1/2 in at 600 mm (24 in)
    limits = {e: most for e, most, *_ in span_limits(Rules.load("us"), thickness, True, False)}
    assert limits["OBC"] == pytest.approx(25.4 * inches)
