"""The fitted layout: what it keeps, what it costs against the modules, what it says of itself."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest
from wall_oracles import design_faults

import wallcalc as wc
from wallcalc.buying.cut_plans import cut_carcass, timber_plan
from wallcalc.carcass.build import build_carcass, carcass
from wallcalc.designing.choices import resolve
from wallcalc.fitting.layout import fit
from wallcalc.fitting.terms import terms_of, usual_centres
from wallcalc.fitting.words import difference
from wallcalc.given.parts import Opening, Service
from wallcalc.shipped import data_folder

WALLS = Path(__file__).resolve().parents[2] / "data" / "walls"
ORIENTATIONS = ("vertical", "horizontal")
FITTED = wc.Option(stud_layout="fitted")


def plain(name: str) -> wc.Wall:
    """A wall file without what hangs on it."""
    return replace(wc.Wall.load(WALLS / f"{name}.toml"), hung=(), services=())


def bought(design) -> int:
    return design.cost_cents["timber"] + design.cost_cents["board"]


@pytest.fixture(scope="module")
def uk():
    return wc.Rules.load("uk")


@pytest.fixture(scope="module")
def book():
    return wc.PriceBook.load()


@pytest.fixture(scope="module", params=[(n, o) for n in ("closet", "laundry_plain") for o in ORIENTATIONS])
def pair(request):
    """A wall, its fitted design, and the designs of every usual module from every end that can be built."""
    name, orientation = request.param
    wall = plain(name)
    option = replace(FITTED, board_orientation=orientation)
    grid = wc.options(
        board_orientation=orientation,
        stud_centres=[600, 540, 480, 450, 400, 300],
        set_out_from=["left", "right", "middle"],
    )
    return wall, wc.design(wall, option), [wc.design(wall, module) for module in grid]


def test_never_dearer_than_a_module(pair):
    _, fitted, modules = pair
    assert bought(fitted) <= min(map(bought, modules))


def test_cost_told_by_the_bound_is_what_is_bought(pair):
    _, fitted, _ = pair
    row = fitted.bounds.set_index("material").loc["stud layout"]
    assert row["cost"] == pytest.approx(bought(fitted) / 100)
    assert row["lower_bound"] <= row["cost"] + 1e-9
    assert bool(row["proven"]) == (row["lower_bound"] >= row["cost"] - 1e-9)
    assert row["scope"]
    assert row["method"]
    assert fitted.summary()["proven"] <= bool(row["proven"])


def test_ground_rules_hold(pair):
    assert design_faults(pair[1]) == []


def test_studs_are_no_further_apart_than_the_rules_allow(pair, uk):
    _, fitted, _ = pair
    most = uk.tenths("frame.max_centres")
    shut = [(c.left, c.right) for c in fitted.frame.clears]
    full = sorted(
        m.x for m in fitted.frame.members if m.role in ("end stud", "stud", "double stud", "jamb stud")
    )
    for a, b in pairwise(full):
        assert b - a <= most or any(a < left and right <= b for left, right in shut)


def test_module_designs_have_no_row_for_the_layout():
    design = wc.design(plain("closet"))
    assert "stud layout" not in set(design.bounds["material"])
    assert not any(note.startswith("fitted") for note in design.notes)


def test_closet_is_proven():
    """One stud in the middle third: few layouts are worth trying, all are tried."""
    row = wc.design(plain("closet"), FITTED).bounds.set_index("material").loc["stud layout"]
    assert row["proven"]


def test_notes_say_what_changed():
    design = wc.design(plain("laundry_plain"), replace(FITTED, board_orientation="horizontal"))
    note = design.notes[0]
    assert note.startswith("fitted: ")
    assert " studs " in note
    assert "less" in note


def test_short_studs_stand_over_a_door_that_is_higher_than_the_wall_is_at_its_ends():
    """The board over a wide door has timber behind it no farther apart than the rules let it span."""
    heights = ((0, 11_500), (11_000, 23_000), (24_000, 23_000))
    wall = wc.Wall("loft", 24_000, heights, openings=(Opening("door", 14_000, leaf=6_860),))
    option = replace(FITTED, board_orientation="horizontal")
    design = wc.design(wall, option, rules="us", model="closed form")
    checks = design.checks
    assert not ((checks["check"] == "board span") & (checks["verdict"] == "fail")).any()
    over = [m for m in design.frame.members if m.role == "short stud"]
    assert over


def test_a_layout_that_costs_the_same_is_not_said_to_cost_less():
    given = resolve(plain("closet"), wc.Option(), wc.Rules.load("uk"), wc.PriceBook.load()).carcass
    cut = wc.design(plain("closet")).parts.cut
    laid = replace(given, lines=(6_000,))
    (same,) = difference(cut, laid, 5_000, cut, given, 5_000)
    assert same.endswith("; at the same cost")
    (less,) = difference(cut, laid, 4_990, cut, given, 5_000)
    assert less.endswith("; timber and boards 0.10 less")


def test_same_wall_same_layout():
    """Upright boards, whose plans are proven without the clock: the layout is the same with nothing kept."""
    wall = wc.Wall.load(WALLS / "laundry_and_practice_room.toml")
    first = wc.design(wall, FITTED).members
    for stage in (carcass, build_carcass, cut_carcass, timber_plan, fit):
        stage.cache_clear()
    assert wc.design(wall, FITTED).members.equals(first)


def test_thin_boards_bring_the_limit_down(uk, book):
    wall = plain("laundry_plain")
    thin = replace(FITTED, board_a="standard-9.5")
    given = resolve(wall, thin, uk, book).carcass
    terms = terms_of(given, uk, book)
    assert terms.most == 4500
    assert max(terms.usual) == 4500
    assert "9.2.4" in terms.source
    fails = wc.design(wall, thin).checks.query("check == 'board span' and verdict == 'fail'")
    assert fails.empty


def test_usual_centres_divide_the_sheets(book):
    metric = usual_centres(book.sheets("standard-12.5", "metric"), 6000, 100.0)
    assert metric == (6000, 5400, 4800, 4500, 4000, 3000)
    inch = usual_centres(book.sheets("standard-12.7", "inch"), 6096, 25.4)
    assert set(inch) >= {6096, 4877, 4064, 3048}  # 24, 19.2, 16 and 12 in


def test_a_height_given_is_kept():
    wall = plain("laundry_plain")
    option = replace(FITTED, board_orientation="horizontal", course_from=1300.0)
    joints = wc.design(wall, option).joints.query("kind != 'corner'")
    level = joints[joints["y1"] == joints["y2"]]
    assert 1300.0 in set(level["y1"])


def test_refused_with_the_reasons_of_an_attempt():
    wall = replace(plain("laundry_plain"), heights=((0, 60_000),))
    with pytest.raises(wc.OptionError) as told:
        wc.design(wall, FITTED)
    assert "stud length" in str(told.value)


def test_the_study_has_fitted_and_module_rows():
    table = wc.study(plain("closet"), wc.options(stud_layout=["module", "fitted"], stud_centres=[400, 600]))
    assert table["buildable"].all()
    fitted = table[table["stud_layout"] == "fitted"]
    assert len(fitted) == 1
    cost = table["timber_cost"] + table["board_cost"]
    assert cost[fitted.index[0]] <= cost.min() + 1e-9


def test_of_equal_layouts_the_one_that_slabs_fit_is_taken(uk, book):
    """Loose bays counted from the members' table; they only decide between layouts equal in all else."""
    wall, option = plain("closet"), replace(FITTED, fill="wool-75")
    with_fill, without = wc.design(wall, option), wc.design(wall, FITTED)
    assert bought(with_fill) == bought(without)
    widths = [s.width / 10 for s in book.slabs("wool-75", "metric")]
    least, most = uk.value("fill.friction_least"), uk.value("fill.friction_most")
    studs = with_fill.members.query("role in ('end stud', 'stud', 'double stud')").sort_values("x")
    edges = [(row.x, row.x + row.width) for row in studs.itertuples()]
    gaps = [b - a for (_, a), (b, _) in pairwise(edges) if b > a]
    loose = sum(not any(least <= w - gap <= most for w in widths) for gap in gaps)
    assert with_fill.parts.fitted.rank[3] == loose
    assert without.parts.fitted.rank[3] == 0


def test_refused_for_a_service_with_a_move_that_works(uk, book):
    """A duct as wide as the largest bay lets no noggin pass: told as for a module, with what would help."""
    wall = wc.Wall(
        name="riser",
        length=12_000,
        heights=((0, 24_000),),
        services=(Service("duct", "A", (6000, 12_000), 5200, 100, "other", goes="down"),),
    )
    with pytest.raises(wc.OptionError) as told:
        wc.design(wall, FITTED)
    assert all(r.nearest_change.strip() for r in told.value.refusals)
    assert "duct" in str(told.value)


def test_under_us_rules_the_demo_wall_is_no_dearer_than_its_module_at_600():
    wall = wc.Wall.load(data_folder() / "walls" / "laundry_and_practice_room.toml")
    cents = [
        sum(wc.design(wall, option, rules="us").cost_cents[k] for k in ("timber", "board"))
        for option in (wc.Option(stud_layout="fitted"), wc.Option(stud_centres=600))
    ]
    assert cents[0] <= cents[1]
