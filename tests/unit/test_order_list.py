"""Order list, finishing, waste and setting-out of the worked wall, against sums done by hand."""

from __future__ import annotations

import dataclasses
import itertools
import math

import pytest
from takeoff_builders import mm, one_bar_each, one_sheet_each, one_slab_each, worked_wall

from wallcalc.buying import finishing
from wallcalc.buying.fill import fill_bays, slab_pieces
from wallcalc.buying.finishing import Structure
from wallcalc.buying.order_list import (
    cheapest_packs,
    choose_screw,
    cost_columns,
    spare_stock,
    take_off,
    totals,
)
from wallcalc.buying.waste import board_waste, fill_waste, timber_waste
from wallcalc.carcass.setting_out import setting_out, stud_marks
from wallcalc.given.parts import Joists
from wallcalc.records import Bar, CutPlan, Leftover, SheetCut, SheetUse, SlabPiece
from wallcalc.trade.prices import Item, PriceBook
from wallcalc.trade.rules import Rules


@pytest.fixture(scope="module")
def uk():
    return Rules.load("uk")


@pytest.fixture(scope="module")
def book():
    return PriceBook.load()


@pytest.fixture(scope="module")
def plans(uk, book):
    frame = worked_wall()
    sheet = next(s for s in book.sheets("standard-12.5") if (s.length, s.width) == (mm(2700), mm(1200)))
    slab = next(s for s in book.slabs("wool-75") if s.width == mm(570))
    fill = fill_bays(frame, (slab,), book.fill("wool-75"), uk, 890)
    return (
        one_bar_each(frame, book.timber("38x89")),
        one_sheet_each(frame, sheet),
        one_slab_each(slab_pieces(fill), slab),
    )


@pytest.fixture(scope="module")
def lines(plans, uk, book):
    return take_off(worked_wall(), plans, uk, book, structure=Structure(floor="solid", left_end="masonry"))


def only(lines, **wanted):
    return [ln for ln in lines if all(getattr(ln, k) == v for k, v in wanted.items())]


def test_timber_needed_is_the_net_length_computed_by_hand(lines):
    """The worked wall takes 34,448 mm of timber net (design notes)."""
    assert sum(ln.needed for ln in only(lines, group="timber")) == pytest.approx(34.448)


def test_board_needed_is_the_area_computed_by_hand(lines):
    """8.3156 m2 a face (design notes)."""
    (boards,) = only(lines, group="sheet")
    assert boards.needed == pytest.approx(2 * 8.3156, abs=1e-4)
    assert boards.pack == pytest.approx(1.2 * 2.7)
    assert boards.bought == 8


def test_totals_reconcile_to_the_cent(lines, plans):
    assert all(ln.cost == ln.bought * ln.unit_price for ln in lines)
    by_group = totals(lines)
    assert sum(by_group.values()) == sum(ln.cost for ln in lines) == sum(cost_columns(lines).values())
    assert by_group["timber"] == plans[0].cost
    assert by_group["sheet"] == plans[1].cost
    assert by_group["slab"] == plans[2].cost
    assert cost_columns(lines)["board"] == plans[1].cost
    assert list(cost_columns(())) == ["timber", "board", "fill", "fixings"]


def test_every_line_buys_enough_and_not_a_pack_too_many_of_one_size(lines):
    for ln in lines:
        assert ln.bought * ln.pack >= ln.needed - 1e-6, ln
        same = only(lines, item=ln.item)
        if ln.group not in ("timber", "sheet", "slab") and len(same) == 1:
            assert (ln.bought - 1) * ln.pack < ln.needed, ln


def test_tape_is_the_length_of_real_joints_and_angles(uk):
    """By hand, m: A joints 2.608 + 2.608 + 0.59; B 2.608 + 2.608 + 0.59; each side two ends 2.608 and ceiling 3.84."""
    frame = worked_wall()
    flat = 2 * (2.608 + 2.608 + 0.59)
    angles = 2 * (2.608 + 2.608 + 3.84)
    assert finishing.tape_length(frame, uk) == pytest.approx(flat + angles)
    no_angles = uk.with_values({"finish.tape_angles": False})
    assert finishing.tape_length(frame, no_angles) == pytest.approx(flat)


def test_compound_and_sealant_by_hand(uk):
    frame = worked_wall()
    assert finishing.face_area(frame) == pytest.approx(2 * 8.3156, abs=1e-4)
    # perimeter 2 x (3.84 + 2.62) - 0.842 = 12.078 m, a bead each side at 36 ml/m
    assert finishing.perimeter(frame) == mm(12078)
    assert finishing.sealant_volume(frame, uk) == pytest.approx(2 * 12.078 * 36)
    assert finishing.adhesive_volume(frame, uk) == 0
    glued = uk.with_values({"adhesive.per_metre": 20})
    assert finishing.adhesive_volume(frame, glued) == pytest.approx(2 * 34.448 * 20)


def test_two_fixings_at_each_framing_joint(uk):
    """2 per joint (NHBC Standards 6.3.9): 8 uprights, 1 door head, 2 short studs and 12 noggins, two ends each."""
    assert finishing.frame_fixings(worked_wall(), uk) == 2 * 2 * (8 + 1 + 2 + 12)


def test_plate_fixings_within_150_of_the_ends_and_600_apart(uk):
    """3840: 3540 between the end fixings, 6 spaces of 590, 7; 2700: 2400 in 4 spaces, 5; 298: two, the least."""
    plates = {m.length: m for m in worked_wall().members if m.role.endswith("plate")}
    counts = {length: finishing.plate_fixings(m, uk) for length, m in plates.items()}
    assert counts == {mm(3840): 7, mm(2700): 5, mm(298): 2}


def test_a_plate_across_joists_takes_one_in_each(uk):
    """Joists at 210 and every 450: 210 to 3810 are 9 (ceiling of 3840)."""
    head = next(m for m in worked_wall().members if m.role == "head plate")
    joists = Joists("across", mm(210), mm(450))
    assert finishing.plate_fixings(head, uk, joists) == 9


def test_a_heated_screed_is_never_drilled(uk, plans, book):
    found = finishing.structure_fixings(worked_wall(), uk, Structure(floor="heated screed"))
    assert found[("", "sole plate")] == 7
    assert ("plate-anchor", "sole plate") not in found
    solid = finishing.structure_fixings(worked_wall(), uk, Structure(floor="solid"))
    assert solid[("plate-anchor", "sole plate")] == 7


def test_the_list_says_that_a_heated_screed_is_not_drilled(uk, plans, book):
    found = take_off(worked_wall(), plans, uk, book, structure=Structure(floor="heated screed"))
    (screws,) = only(found, item="plate-screw")
    assert "sole plate not drilled into the heated screed" in screws.description
    assert not only(found, item="plate-anchor")


def test_fixings_to_structure_are_on_the_list(lines):
    (anchors,) = only(lines, item="plate-anchor")
    # sole plates 5 + 2 on a solid floor, one end stud to masonry: 2544 - 300 in 4 spaces, 5; + 5 %
    assert anchors.needed == math.ceil((7 + 5) * 1.05)
    assert "sole plate 7" in anchors.description


def test_cheapest_packs_against_brute_force():
    def item(code, pack, price):
        return Item(code, "screw", "s", "", "box", pack, price, 380, "both")

    for needed, big, small in itertools.product(
        (1, 199, 200, 201, 999, 1001, 1400, 2350), (1160, 900), (345, 200)
    ):
        items = [item("big", 1000, big), item("small", 200, small)]
        found = cheapest_packs(needed, items)
        cost = sum(i.price * n for i, n in found)
        brute = min(a * big + b * small for a in range(4) for b in range(14) if a * 1000 + b * 200 >= needed)
        assert cost == brute
        assert sum(i.pack * n for i, n in found) >= needed


def test_the_shortest_screw_that_is_long_enough(book):
    """12.5 board: 38 (37.5 needed); 15: 42 (40); 12.5 + 12.5: 50 (50) (BS 8212, from memory)."""
    metric = [i for i in book.items("screw") if i.sizes == "metric"]
    for least, length in ((375, 380), (400, 420), (500, 500)):
        assert {i.length for i in choose_screw(metric, least)} == {length}
    assert choose_screw(metric, 10_000) == []


def test_spares_are_bought_and_said(plans, uk, book):
    more = uk.with_values({"spare.timber": 1, "spare.board": 2, "spare.fill": 1})
    spares = spare_stock(plans, more, book)
    assert sorted(spares.values()) == [1, 1, 2]
    before = take_off(worked_wall(), plans, uk, book)
    after = take_off(worked_wall(), plans, more, book)
    sheet, plain = only(after, group="sheet")[0], only(before, group="sheet")[0]
    assert sheet.bought == plain.bought + 2
    assert sheet.needed == plain.needed
    assert "2 spare" in sheet.description
    slab, slab_plain = only(after, group="slab")[0], only(before, group="slab")[0]
    assert slab.bought == -(-(slab_plain.needed + 1) // slab_plain.pack)


def test_skim_takes_plaster_and_no_compound(plans, uk, book):
    skim = take_off(worked_wall(), plans, uk, book, finish="skim")
    assert only(skim, item="skim-plaster")
    assert not only(skim, item="joint-compound")


def test_us_order_list_uses_inch_screws(plans, book):
    us = Rules.load("us")
    found = [ln for ln in take_off(worked_wall(), plans, us, book) if ln.group == "screw"]
    assert found
    assert all("in" in ln.code for ln in found)


# --- waste


def bar(length, *cuts, kerf=30):
    loss = kerf * len(cuts)
    return Bar("T", "38x89", length, tuple(cuts), length - sum(n for _, n in cuts) - loss, loss)


def test_timber_waste_by_hand(uk):
    """One 3.0 m: 2.4 fixed, 0.597 left (scrap under 0.6); one 3.0 m: 1.2 fixed, 1.797 left (kept)."""
    plan = CutPlan("timber", (bar(30_000, ("a", 24_000)), bar(30_000, ("b", 12_000))), 0, 0, False, "", "")
    waste = timber_waste(plan, uk)
    assert waste.share == pytest.approx(1 - 3.6 / 6.0)
    assert waste.kept == pytest.approx(1.797)
    assert waste.scrap == pytest.approx(0.597 + 0.006)
    assert waste.share == pytest.approx(waste.kept_share + waste.scrap_share)
    assert timber_waste(plan, uk, spare=(30_000,)).kept == pytest.approx(4.797)


def test_board_waste_of_the_worked_wall_with_seven_sheets(uk, book):
    """Seven 1200x2700 sheets, 8.3156 m2 a face: 26.7 % (design notes)."""
    frame = worked_wall()
    uses = tuple(SheetUse("B", mm(2700), mm(1200), (SheetCut(f"x{i}", 0, 0, 1, 1),)) for i in range(7))
    plan = CutPlan("boards", uses, 0, 0, False, "", "")
    assert board_waste(plan, frame.boards, uk).share == pytest.approx(0.267, abs=0.0005)


def test_a_hole_in_a_board_is_waste(uk):
    """A hole given by its corners (700, 100) to (900, 200) takes 2 dm2 off a board."""
    frame = worked_wall()
    whole = frame.boards[1]
    holed = dataclasses.replace(whole, holes=((mm(700), mm(100), mm(900), mm(200)),))
    plan = CutPlan("boards", (SheetUse("B", mm(2700), mm(1200), ()),), 0, 0, False, "", "")
    assert board_waste(plan, [whole], uk).fixed - board_waste(plan, [holed], uk).fixed == pytest.approx(0.02)


def test_a_cut_out_that_nothing_comes_from_is_kept(uk):
    """A1-3's notch is 300 wide and 2018 high (12 off the floor to 2030): 0.6054 m2, kept unless a board comes of it."""
    board = next(b for b in worked_wall().boards if b.mark == "A1-3")
    cut = SheetCut(board.mark, 0, 0, board.along, board.across)
    child = SheetCut("X", 0, mm(900), mm(500), mm(300), parent=board.mark)
    alone = CutPlan("boards", (SheetUse("B", mm(2700), mm(1200), (cut,)),), 0, 0, False, "", "")
    shared = CutPlan("boards", (SheetUse("B", mm(2700), mm(1200), (cut, child)),), 0, 0, False, "", "")
    assert board_waste(alone, [board], uk).kept == pytest.approx(0.3 * 2.018)
    assert board_waste(shared, [board], uk).kept == 0


def test_board_leftovers_are_kept_when_both_sides_are_long_enough(uk):
    left = (Leftover(0, 0, mm(2000), mm(300), 1), Leftover(0, 0, mm(2000), mm(299), 1))
    plan = CutPlan("boards", (SheetUse("B", mm(2400), mm(1200), (), left),), 0, 0, False, "", "")
    assert board_waste(plan, (), uk).kept == pytest.approx(0.6)


def test_fill_waste_counts_the_whole_pack(uk):
    """One 0.6 m2 bay 50 thick from a pack of four 0.72 m2 slabs: 0.144 m3 bought, 0.030 fixed, 3 slabs kept."""
    fill = (SlabPiece("C1", 0, 0, 6000, 10_000, 500, ((10_050, 6000),), "friction"),)
    use = SheetUse(
        "F", 12_000, 6000, (SheetCut("C1/1", 0, 0, 10_050, 6000),), (Leftover(10_050, 0, 1950, 6000, 0),)
    )
    plan = CutPlan("fill", (use,), 0, 0, False, "", "")
    waste = fill_waste(plan, fill, uk, pack_of=lambda _: 4)
    assert waste.bought == pytest.approx(4 * 0.72 * 0.05)
    assert waste.fixed == pytest.approx(0.6 * 0.05)
    assert waste.kept == pytest.approx(3 * 0.72 * 0.05)
    assert fill_waste((), (), uk).share == 0


# --- setting out


def test_running_dimensions_to_both_edges_and_the_centre_of_every_stud():
    marks = stud_marks(worked_wall())
    second = [(m.edge, m.from_left, m.from_right) for m in marks if m.mark == "S2"]
    assert second == [
        ("left", mm(1181), mm(2659)),
        ("centre", mm(1200), mm(2640)),
        ("right", mm(1219), mm(2621)),
    ]
    assert len({m.mark for m in marks}) == 10  # 2 ends, 4 studs, 2 jambs, 2 short studs
    assert [m.from_left for m in marks if m.edge == "centre"] == sorted(
        m.from_left for m in marks if m.edge == "centre"
    )


def test_heights_joints_and_openings_are_marked():
    frame = worked_wall()
    marks = setting_out(frame)
    assert all(m.from_left + m.from_right == (frame.length if m.axis == "x" else frame.height) for m in marks)
    noggin = [(m.edge, m.from_left) for m in marks if m.mark == "N1.1"]
    assert noggin == [("bottom", mm(854)), ("top", mm(892))]
    assert sorted(m.from_left for m in marks if m.role == "joint") == [
        mm(v) for v in (600, 1200, 1800, 2400, 3000, 3240)
    ]
    opening = [(m.axis, m.edge, m.from_left) for m in marks if m.role == "opening"]
    assert opening == [
        ("x", "left", mm(2700)),
        ("x", "right", mm(3542)),
        ("y", "bottom", 0),
        ("y", "top", mm(2030)),
    ]
