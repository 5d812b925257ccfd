"""Timber behind fixings: studs shifted and added, noggins and pattresses in bays, rows, double studs, plywood."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest

import wallcalc as wc
from wallcalc.buying.pattress_boards import cut_pattresses
from wallcalc.errors import OptionError
from wallcalc.framing.joint_lines import JointLine
from wallcalc.framing.noggin_rows import Row
from wallcalc.given.parts import HungItem, Room
from wallcalc.given.wall import Wall
from wallcalc.hanging.bays import EDGE, FLAT, PATTRESS, BayWork, Piece, Sizes, back_bay
from wallcalc.hanging.doubles import double_studs, keep_lines
from wallcalc.hanging.fixings import Fixing, HungRules, fixings_of, pad_corners
from wallcalc.hanging.studs import StudPlan, lay_studs
from wallcalc.records import MODULE, Member, Upright
from wallcalc.remembered import Remembered
from wallcalc.units.lengths import MM

WALLS = Path(__file__).resolve().parents[2] / "data" / "walls"
T = 38 * MM
RULES = HungRules(180, 420, "ply-18", 180, 2000)
PLAN = StudPlan(T, 6000, 750, {})
SIZES = Sizes(T, 890, 180, 2000, 10, 220)


def upright(middle: float, role: str = "stud") -> Upright:
    x = round(middle * MM) - T // 2
    return Upright(x, x + T, role, -1, (MODULE,) if role == "stud" else ())


def frame(*middles: float, length: float = 3000) -> list[Upright]:
    return [upright(19, "end stud"), *(upright(m) for m in middles), upright(length - 19, "end stud")]


def fixings(*points: tuple[float, float], **given) -> tuple[Fixing, ...]:
    item = HungItem("shelf", "A", tuple((round(x * MM), round(y * MM)) for x, y in points), 10.0)
    return fixings_of([replace(item, **given)], RULES)


def middles(uprights) -> list[float]:
    return [u.line / MM for u in uprights if u.role == "stud"]


# --- studs before the boards


def test_a_fixing_clear_of_every_stud_moves_nothing():
    before = frame(600, 1200, 1800, 2400)
    assert lay_studs(before, (), fixings((900, 1000), (1200, 1500)), PLAN) == before
    assert lay_studs(before, (), fixings((661, 1000)), PLAN) == before  # 42 mm from the stud's face


def test_a_stud_whose_edge_a_fixing_meets_moves_under_it_and_says_for_whom():
    wider = replace(PLAN, centres=6100)
    after = lay_studs(frame(600, 1200, 1800, 2400), (), fixings((1190, 1000)), wider)
    assert middles(after) == [600, 1190, 1800, 2400]
    assert next(u for u in after if u.line == 11_900).serves == ("shelf",)
    # where that would leave more than the centres to the next, another stud stands tight beside it
    after = lay_studs(frame(600, 1200, 1800, 2400), (), fixings((1190, 1000)), PLAN)
    assert middles(after) == [600, 1190, 1228, 1800, 2400]


def test_a_fixing_on_a_stud_is_asked_for_where_no_stud_is_in_reach_one_is_added():
    after = lay_studs(frame(600, 1200, 1800, 2400), (), fixings((900, 1000), backing="stud"), PLAN)
    assert middles(after) == [600, 900, 1200, 1800, 2400]
    kept = lay_studs(
        frame(600, 1200, 1800, 2400), (), fixings((650, 1000), backing="stud"), PLAN, keep_module=True
    )
    assert 650 in middles(kept)
    gaps = [b.x - a.right for a, b in pairwise(kept)]
    assert all(g == 0 or g >= 750 for g in gaps)
    assert all(b.line - a.line <= 6000 for a, b in pairwise(kept))


def test_two_fixings_too_close_for_two_studs_are_refused_by_name():
    with pytest.raises(OptionError) as error:
        lay_studs(frame(600, 1200), (), fixings((900, 1000), (930, 1000), backing="stud"), PLAN)
    assert {r.rule for r in error.value.refusals} == {"backing of hung items"}
    assert "'shelf', fixing at 900, 1000 mm on side A" in [r.place for r in error.value.refusals]


def test_closed_intervals_are_kept():
    shut = replace(PLAN, closed={-1: ((11_700, 12_000),)})
    after = lay_studs(frame(600, 1250, 1800, 2400), (), fixings((1240, 1000)), shut)
    assert not any(u.right > 11_700 and u.x < 12_000 for u in after)
    assert any(u.x + 180 <= 12_400 <= u.right - 180 for u in after) or all(
        not u.x - 420 < 12_400 < u.right + 420 for u in after
    )


def test_joint_lines_keep_off_fixings():
    line = JointLine(9000, -1, False, 25_000, 50_000, False)
    stands = JointLine(6000, -1, True, 0, 25_000, False)
    studs = frame(600, 1200)
    near, far, on = fixings((930, 1000)), fixings((1000, 1000)), fixings((600, 1000))
    assert keep_lines([line], near, studs, (), T) == ()
    assert keep_lines([line], far, studs, (), T) == (line,)
    assert keep_lines([stands], on, studs, (), T) == (replace(stands, pair=None),)


# --- one bay


def bay(points, joints=(), rows=(), blocks=(), free=lambda rect, through: True, **given) -> BayWork:
    return BayWork(6190, 11_810, ((0, T), (23_620, 24_000), *blocks), points, joints, rows, T, free)


def test_one_noggin_on_edge_holds_all_fixings_of_a_height():
    cost, pieces = back_bay(bay(fixings((700, 900), (1000, 900))), SIZES)
    assert pieces == (Piece(EDGE, 8810, 9190, "AB"),)
    assert cost[0] == 0


def test_fixings_less_than_a_noggin_apart_share_one_laid_flat():
    _, pieces = back_bay(bay(fixings((700, 900), (1000, 920))), SIZES)
    (piece,) = pieces
    assert (piece.kind, piece.faces, piece.top - piece.bottom) == (FLAT, "A", 890)
    assert piece.bottom + 180 <= 9000
    assert piece.top - 180 >= 9200


def test_items_on_both_faces_get_flat_noggins_back_to_back():
    both = (*fixings((700, 900)), *fixings((1000, 920), side="B"))
    _, pieces = back_bay(bay(both), SIZES)
    assert sorted((p.kind, p.faces) for p in pieces) == [(FLAT, "A"), (FLAT, "B")]
    shallow = replace(SIZES, depth=630)  # two flat noggins do not fit back to back in 63 mm
    _, pieces = back_bay(bay(both), shallow)
    assert sum(shallow.through(p) for p in pieces) <= 630 or pieces[0].top <= pieces[1].bottom


def test_a_fixing_near_the_noggins_end_takes_a_pattress():
    _, pieces = back_bay(bay(fixings((645, 900))), SIZES)
    assert pieces == (Piece(PATTRESS, 8000, 10_000, "A"),)
    (lost,) = fixings((645, 900), backing="noggin")
    assert back_bay(bay((lost,)), SIZES) == lost


def test_a_pattress_covers_what_it_can_and_is_no_lower_than_the_rule():
    _, pieces = back_bay(bay(fixings((700, 900), (700, 1050), backing="pattress")), SIZES)
    (piece,) = pieces
    assert piece.top - piece.bottom == 2000
    _, pieces = back_bay(bay(fixings((700, 900), (700, 1600), backing="pattress")), SIZES)
    assert [p.top - p.bottom for p in pieces] == [2000, 2000]


def test_a_noggin_behind_a_joint_serves_a_fixing_or_is_laid_afresh():
    row = Row(9000, 380, ((-190, T, False, "AB"),), ("joint",), True, "A")
    joint = Piece(EDGE, 8810, 9190, "AB", 0)
    _, pieces = back_bay(bay(fixings((900, 900)), (joint,), (row,)), SIZES)
    assert pieces == (joint,)
    _, pieces = back_bay(bay(fixings((900, 925)), (joint,), (row,)), SIZES)
    (piece,) = pieces  # one laid flat behind the face backs the joint and the fixing
    assert (piece.kind, piece.row) == (FLAT, 0)
    assert piece.bottom <= 8810
    assert piece.top >= 9250 + 180


def test_services_and_level_timber_are_kept_clear():
    (f,) = fixings((900, 900))
    blocked = bay((f,), free=lambda rect, through: rect[3] <= 9000 or rect[1] >= 9400)
    assert back_bay(blocked, SIZES) == f
    low = bay(fixings((900, 60)))  # the noggin stands on the sole plate
    _, pieces = back_bay(low, SIZES)
    assert pieces[0].bottom >= T
    assert pieces[0].bottom + 180 <= 600


def test_a_pad_wider_than_its_stud_asks_for_timber_at_both_sides():
    (f,) = fixings((600, 900), pad=900)
    assert [(c.x, c.edge, c.end) for c in pad_corners(f, frame(600, 1200))] == [
        (5809, 450, 0),
        (6191, 450, 0),
    ]
    assert pad_corners(fixings((600, 900), pad=300)[0], frame(600, 1200)) == []


# --- double studs


def test_studs_beside_a_heavy_items_bay_are_doubled_on_the_far_side_else_within():
    heavy = tuple(replace(f, heavy=True) for f in fixings((900, 900)))
    after, notes = double_studs(frame(600, 1200, 1800, 2400), (), heavy, PLAN)
    assert [(u.x, u.serves) for u in after if u.role == "double stud"] == [
        (5430, ("shelf",)),
        (12_190, ("shelf",)),
    ]
    assert notes == ()
    tight = frame(600, 690, 1200, 1800, 2400)  # a bay of 52 mm beside: no room on the far side
    heavy = tuple(replace(f, heavy=True) for f in fixings((900, 900)))
    after, _ = double_studs(tight, (), heavy, PLAN)
    assert any(u.role == "double stud" and u.x == 7090 for u in after)
    shut = replace(PLAN, closed={-1: ((5000, 5810), (6190, 7000))})
    _, notes = double_studs(frame(600, 1200, 1800, 2400), (), heavy, shut)
    assert notes == ("no room to double the stud at 600 mm for the shelf",)


def test_light_items_and_wall_ends_are_left_single():
    assert double_studs(frame(600, 1200), (), fixings((900, 900)), PLAN) == (frame(600, 1200), ())
    heavy = tuple(replace(f, heavy=True) for f in fixings((300, 900)))
    after, _ = double_studs(frame(600, 1200), (), heavy, PLAN)
    assert [u.x for u in after if u.role == "double stud"] == [6190]


# --- whole walls


def plain(hung, **given) -> Wall:
    return Wall("plain", 30_000, ((0, 24_000),), room_a=Room(), room_b=Room(), hung=tuple(hung), **given)


def test_the_demo_walls_rows_go_where_its_trough_and_rack_hang():
    wall = replace(wc.Wall.load(WALLS / "laundry_and_practice_room.toml"), services=())
    bare = wc.design(replace(wall, hung=()), wc.Option(), model="closed form")
    design = wc.design(wall, wc.Option(), model="closed form")
    noggins = [m for m in design.frame.members if m.role == "noggin"]
    assert sorted({(m.y + m.top) // 2 for m in noggins}) == [8400, 12_000, 17_000]
    assert len(noggins) == sum(
        m.role == "noggin" for m in bare.frame.members
    )  # nothing added but where they are
    assert {s for m in noggins if m.y == 8210 for s in m.serves} == {"trough", "stability"}
    assert {m.serves for m in noggins if m.y == 11_810} == {("instrument rack", "stability")}


def test_moving_a_row_costs_nothing_and_an_added_noggin_its_timber():
    shelf = HungItem("shelf", "A", ((9000, 12_000),), 8.0)
    bare = wc.design(plain([]), wc.Option(), model="closed form")
    middle = wc.design(plain([shelf]), wc.Option(), model="closed form")
    assert len(middle.members) == len(bare.members)
    high = wc.design(plain([replace(shelf, fixings=((9000, 21_000),))]), wc.Option(), model="closed form")
    added = [m for m in high.frame.members if m.serves == ("shelf",)]
    assert [(m.role, m.y) for m in added] == [("noggin", 20_810)]


def test_a_pattress_is_cut_bought_and_counted_once():
    shelf = HungItem("shelf", "A", ((9000, 12_000),), 8.0, backing="pattress")
    design = wc.design(plain([shelf]), wc.Option(fill="wool-50"), model="closed form")
    (board,) = (m for m in design.frame.members if m.role == "pattress")
    assert (board.mark, board.section, board.depth, board.faces) == ("P1", "ply-18", 180, "A")
    (line,) = design.takeoff[design.takeoff.group == "plywood"].itertuples()
    assert (line.bought, line.unit) == (1, "m2")
    assert line.needed == pytest.approx(board.width * board.height / 1e8)
    assert design.cost == pytest.approx(design.takeoff.cost.sum())
    waste = design.waste["plywood"]
    assert waste.bought == pytest.approx(1.22 * 2.44)
    assert waste.share == pytest.approx(1 - line.needed / (1.22 * 2.44))
    assert "P1" in set(design.members.mark)
    assert design.members.set_index("mark").loc["P1", "code"] == "ply-18-1220x2440"
    assert any("screwed to CL1 and CL2" in note for note in design.frame.notes)
    with_less = design.prices.with_price("ply-18-1220x2440", 100)
    cheaper = wc.design(plain([shelf]), wc.Option(fill="wool-50"), prices=with_less, model="closed form")
    assert design.cost - cheaper.cost == pytest.approx(34.50 - 1.00)


@pytest.mark.parametrize("drop", [0, 900])
def test_a_slab_passes_behind_a_pattress_where_it_fits(drop):
    """Under a level ceiling and a sloping one; areas by the shoelace sum."""
    shelf = HungItem("shelf", "A", ((9000, 12_000),), 8.0, backing="pattress")
    wall = replace(plain([shelf]), heights=((0, 24_000), (30_000, 24_000 - drop)) if drop else ((0, 24_000),))

    def made(fill, section="38x89"):
        return wc.design(wall, wc.Option(fill=fill, section=section), model="closed form")

    thin, full = made("wool-50"), made("wool-75")  # 50 fits into 89 - 18 mm, 75 is cut round the pattress
    thick = made("wool-90", "38x140")
    (board,) = (m for m in full.frame.members if m.role == "pattress")

    def filled(design):
        return sum(p.area for p in design.parts.fill)

    assert filled(thin) == filled(thick) == filled(full) + board.width * board.height


def test_plywood_is_sawn_with_a_kerf_between_pieces():
    stock = wc.PriceBook.load().sheets("ply-18")
    boards = [Member(f"P{i}", "pattress", "ply-18", 0, 0, 8113, 2000, 8113, 180, "A") for i in range(3)]
    plan = cut_pattresses(boards, stock, kerf=30)
    assert plan is not None
    (use,) = plan.uses  # 3 x 811.3 + 2 x 3 = 2439.9
    assert (use.length, use.width) == (24_400, 12_200)
    rows = sorted((c.y, c.x) for c in use.cuts)
    wide = [replace(b, width=8120) for b in boards]  # 3 x 812 + 6 is 2 mm too long for one row
    (use,) = cut_pattresses(wide, stock, kerf=30).uses  # type: ignore[union-attr]
    assert len({y for y, _ in rows}) == 1
    assert len({c.y for c in use.cuts}) == 2
    assert cut_pattresses([], stock, kerf=30) is None


def test_changing_the_rules_changes_the_backing():
    near = HungItem("shelf", "A", ((6600, 12_000),), 8.0)  # 41 mm from the face of the stud at 600
    uk = wc.Rules.load("uk")
    option = wc.Option()
    moved = wc.design(plain([near]), option, rules=uk, model="closed form")
    at = {m.x for m in moved.frame.members if m.role == "stud"}
    assert 5810 not in at
    loose = uk.with_values({"hung.end_distance": 30})
    stays = wc.design(plain([near]), option, rules=loose, model="closed form")
    assert 5810 in {m.x for m in stays.frame.members if m.role == "stud"}


def test_refusals_name_a_move_that_works():
    jamb = wc.Wall.load(WALLS / "worked_wall.toml")
    shelf = HungItem(
        "shelf", "A", ((26_900, 12_000),), 8.0
    )  # 10 mm from the doorway, in the jamb stud's edge
    with pytest.raises(OptionError) as error:
        wc.design(replace(jamb, hung=(shelf,)), wc.Option(), model="closed form")
    (refusal,) = error.value.refusals
    assert refusal.nearest_change == "move 'shelf' 8 mm left"
    there = replace(shelf, fixings=((26_820, 12_000),))
    design = wc.design(replace(jamb, hung=(there,)), wc.Option(), model="closed form")
    assert any("shelf" in m.serves and m.role == "jamb stud" for m in design.frame.members)
    nearer = replace(shelf, fixings=((26_830, 12_000),))
    with pytest.raises(OptionError):
        wc.design(replace(jamb, hung=(nearer,)), wc.Option(), model="closed form")


def test_checks_say_which_studs_carry_an_item():
    wall = replace(wc.Wall.load(WALLS / "laundry_and_practice_room.toml"), services=())
    rows = wc.design(wall, wc.Option(), model="closed form").checks
    (row,) = rows[(rows.check == "studs that carry it") & (rows.subject == "trough")].itertuples()
    assert row.verdict == "ok"
    assert row.value == "DS1+S1, S2+DS2, S3+DS3"
    held = rows[rows.check == "timber behind fixing"]
    assert set(held.verdict) == {"ok"}
    ends = rows[rows.check == "fixing to the noggin's end"]
    assert set(ends.subject) == {"trough", "instrument rack"}
    assert set(ends.verdict) == {"ok"}


def test_what_was_made_and_what_was_refused_is_remembered():
    kept, calls = Remembered(2), []

    def fails():
        calls.append(1)
        raise OptionError([])

    for _ in range(2):
        with pytest.raises(OptionError):
            kept.get("a", fails)
    assert len(calls) == 1
    assert [kept.get(k, lambda k=k: k) for k in "bcd"] == ["b", "c", "d"]
    assert kept.get("d", fails) == "d"
    with pytest.raises(OptionError):
        kept.get("b", fails)  # the oldest is forgotten
    assert len(calls) == 2
