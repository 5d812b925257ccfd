"""Bays and their fill: the worked wall by hand, and the fit of slabs by the rules."""

from __future__ import annotations

import dataclasses
from time import process_time

import pytest
from sites import level_profile
from takeoff_builders import DEPTH, mm, worked_wall

from wallcalc.buying.fill import bays, fill_bays, runs, slab_pieces
from wallcalc.errors import OptionError
from wallcalc.records import Frame, Member
from wallcalc.trade.prices import PriceBook
from wallcalc.trade.rules import Rules


@pytest.fixture(scope="module")
def uk():
    return Rules.load("uk")


@pytest.fixture(scope="module")
def book():
    return PriceBook.load()


def slab(book, product, *widths):
    found = [s for s in book.slabs(product) if s.width in [mm(w) for w in widths]]
    assert len(found) == len(widths)
    return tuple(found)


def test_bays_of_the_worked_wall_by_hand():
    """Noggins of 543, 562, 562, 562, 243 and 222 in two rows (design notes): three bays of those widths each."""
    found = bays(worked_wall())
    widths = sorted(w for _, _, w, _ in found)
    by_hand = [543, 562, 562, 562, 243, 222] * 3
    # above the door: 2700 to 2981, 3019 to 3221, 3259 to 3542
    by_hand += [281, 202, 283]
    assert widths == sorted(mm(w) for w in by_hand)
    # rows at 873 and 1747: clear heights 38-854, 892-1728, 1766-2582; above the door 2068-2582
    assert {h for _, _, _, h in found} == {mm(816), mm(836), mm(514)}


def bare(length, height, *members):
    """A frame without plates."""
    return Frame(level_profile(length, height, 0), (), members, (), ())


def test_an_empty_frame_is_one_bay():
    assert bays(bare(1000, 500)) == ((0, 0, 1000, 500),)


def test_a_flat_noggin_bounds_a_bay_on_either_face():
    stud = [Member(f"S{i}", "stud", "38x89", x, 0, 380, 10_000, 10_000, 890) for i, x in enumerate((0, 6000))]
    flat = Member("N1", "noggin", "38x89", 380, 4000, 5620, 890, 5620, 380, faces="A", flat=True)
    back = dataclasses.replace(flat, mark="N2", faces="B")
    alone = bays(bare(6380, 10_000, *stud, flat))
    assert alone == ((380, 0, 5620, 4000), (380, 4890, 5620, 5110))
    assert bays(bare(6380, 10_000, *stud, flat, back)) == alone


@pytest.mark.parametrize(
    ("extent", "stock", "need", "wanted"),
    [
        (mm(562), mm(570), 20, (5700,)),  # 8 mm over: friction fit
        (mm(562), mm(600), 20, (5640,)),  # 38 mm over: cut to the bay plus 2
        (mm(550), mm(570), 20, (5700,)),  # 20 mm over, the most
        (mm(549), mm(570), 20, (5510,)),  # 21 mm over: cut
        (mm(568), mm(570), 20, (5700,)),  # 2 mm over, the least
        (mm(569), mm(570), 20, (2855, 2855)),  # 1 mm over: two pieces share the bay plus 2
        (mm(843), mm(600), 20, (6000, 2450)),  # pieced
        (mm(2400), mm(1200), 0, (12_000, 12_000)),  # up a bay: whole slabs that meet
        (mm(2544), mm(1200), 0, (12_000, 12_000, 1460)),
        (mm(2410), mm(1200), 0, (12_000, 6060, 6060)),  # a sliver is shared
        (mm(1190), mm(1200), 0, (12_000,)),
    ],
)
def test_slabs_set_one_after_another(extent, stock, need, wanted):
    assert runs(extent, stock, need=need, most=200, oversize=20, least_piece=750) == wanted


def test_a_bay_of_562_takes_a_570_slab_by_friction(uk, book):
    """At 600 centres a bay is 562 wide; 570 slabs are 8 mm over (design notes)."""
    frame = worked_wall()
    product = book.fill("wool-75")
    fill = fill_bays(frame, slab(book, "wool-75", 570), product, uk, DEPTH)
    by_width = {f.width: f for f in fill}
    assert by_width[mm(562)].how == "friction"
    # up the bay the slab is cut 5 over (fill.friction_height_least)
    assert by_width[mm(562)].pieces == ((by_width[mm(562)].height + mm(5), mm(570)),)
    assert by_width[mm(243)].how == "cut"
    assert by_width[mm(243)].pieces[0][1] == mm(245)
    assert {f.thickness for f in fill} == {mm(75)}
    assert [f.mark for f in fill] == [f"C{i}" for i in range(1, len(fill) + 1)]


def test_a_bay_of_562_is_cut_from_600_or_pieced_from_400(uk, book):
    frame = worked_wall()
    product = book.fill("wool-75")
    cut = {f.width: f for f in fill_bays(frame, slab(book, "wool-75", 600), product, uk, DEPTH)}
    assert cut[mm(562)].how == "cut"
    assert {w for _, w in cut[mm(562)].pieces} == {mm(564)}
    pieced = {f.width: f for f in fill_bays(frame, slab(book, "wool-75", 370), product, uk, DEPTH)}
    # 370 wide cannot cross 562; turned, 1200 can: three rows of 370 up 816, the last cut to 81
    assert pieced[mm(562)].how == "cut"
    assert pieced[mm(562)].pieces == ((mm(564), mm(370)), (mm(564), mm(370)), (mm(564), mm(81)))


def test_a_slab_thicker_than_the_stud_names_a_thinner_one(uk, book):
    others = [book.fill(name) for name in book.fills()]
    with pytest.raises(OptionError) as caught:
        fill_bays(worked_wall(), book.slabs("wool-90"), book.fill("wool-90"), uk, DEPTH, others)
    (refusal,) = caught.value.refusals
    assert refusal.rule == "fill.thickness"
    assert "90 mm thick" in refusal.found
    assert "89 mm deep" in refusal.found
    assert "wool-75" in refusal.nearest_change
    # and as thick as the stud is deep is allowed
    assert fill_bays(worked_wall(), book.slabs("wool-90"), book.fill("wool-90"), uk, mm(90))


def test_studs_at_16_inches_take_a_15_inch_slab_by_friction(book):
    """406.4 - 38 = 368.4 clear; 15 in is 381, 12.6 over: friction, however few slabs the small bays need."""
    us = Rules.load("us")
    members = [Member(f"S{i}", "stud", "38x89", 4064 * i, 0, 380, 23_910, 23_910, 890) for i in range(9)]
    small = Member("N1", "noggin", "38x89", 380, 8000, 3684, 380, 3684, 890)
    frame = Frame(level_profile(4064 * 8 + 380, 23_910), (), (*members, small), (), ())
    fill = fill_bays(frame, book.slabs("wool-75", "inch"), book.fill("wool-75"), us, DEPTH)
    assert {f.how for f in fill} == {"friction"}
    assert {w for f in fill for _, w in f.pieces} == {3810}


def test_pieces_are_marked_once_each(uk, book):
    fill = fill_bays(worked_wall(), book.slabs("wool-50"), book.fill("wool-50"), uk, DEPTH)
    pieces = slab_pieces(fill)
    assert len({mark for mark, _, _ in pieces}) == len(pieces) == sum(len(f.pieces) for f in fill)


def test_the_width_that_holds_by_friction_is_chosen(uk, book):
    """A slab that needs no cut across goes before one that does."""
    frame = worked_wall()
    product = book.fill("wool-75")
    both = fill_bays(frame, book.slabs("wool-75"), product, uk, DEPTH)
    assert {f.how for f in both if f.width == mm(562)} == {"friction"}


def test_filling_is_fast_on_a_wall_not_seen_before(uk, book):
    base = worked_wall()
    product, slabs = book.fill("wool-75"), book.slabs("wool-75")
    taken = []
    for n in range(30):
        frame = dataclasses.replace(base, profile=level_profile(base.length, base.height + 10 * n))
        start = process_time()
        fill_bays(frame, slabs, product, uk, DEPTH)
        taken.append(process_time() - start)
    assert sorted(taken)[len(taken) // 2] < 0.002
