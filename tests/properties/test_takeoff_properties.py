"""Properties of what follows framing, on random frames: geometry checked by shapely, counts by brute force."""

from __future__ import annotations

import math
import sys
from itertools import pairwise
from pathlib import Path

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

sys.path.insert(0, str(Path(__file__).parents[1] / "unit"))

from takeoff_builders import DEPTH, T, board, frame_of, one_bar_each

from wallcalc.buying.fill import bays, fill_bays, slab_pieces
from wallcalc.buying.order_list import cost_columns, take_off, totals
from wallcalc.buying.screws import Spacing, board_screws
from wallcalc.buying.waste import timber_waste
from wallcalc.records import Frame
from wallcalc.trade.prices import PriceBook
from wallcalc.trade.rules import Rules

UK = Rules.load("uk")
BOOK = PriceBook.load()


@st.composite
def frames(draw):
    """Frames 1 to 8 m long and 2.1 to 4 m high with studs anywhere, noggin rows, and a door or none."""
    length = draw(st.integers(10_000, 80_000))
    height = draw(st.integers(24_500, 40_000))
    studs = draw(st.lists(st.integers(T, length - 2 * T), max_size=12))
    rows = sorted(draw(st.lists(st.integers(2 * T, height - 3 * T), max_size=3)))
    rows = [y for i, y in enumerate(rows) if i == 0 or y - rows[i - 1] > 2 * T]
    door = None
    if length > 20_000 and draw(st.booleans()):
        left = draw(st.integers(3 * T, length - 3 * T - 9_000))
        door = (left, left + draw(st.integers(6_000, 9_000)), draw(st.integers(19_000, 22_000)))
    return frame_of(length, height, studs, rows, door)


def box(m):
    return shapely.box(m.x, m.y, m.x + m.width, m.y + m.height)


@settings(deadline=None, max_examples=150)
@given(frames())
def test_bays_members_and_openings_tile_the_wall(frame):
    found = [shapely.box(x, y, x + w, y + h) for x, y, w, h in bays(frame)]
    timber = shapely.union_all([box(m) for m in frame.members])
    openings = shapely.union_all([shapely.box(c.left, c.bottom, c.right, c.top) for c in frame.clears])
    taken = shapely.union(timber, openings)
    clear = shapely.union_all(found)
    # nothing twice: the areas of the pieces add up to the area of what they cover; nothing left out
    assert sum(f.area for f in found) == pytest.approx(clear.area, abs=1e-6)
    assert shapely.intersection(clear, taken).area == pytest.approx(0, abs=1e-6)
    assert clear.area + taken.area == pytest.approx(frame.length * frame.height, abs=1e-6)


@settings(deadline=None, max_examples=100)
@given(frames(), st.sampled_from(BOOK.fills("metric")[:3]), st.integers(1, 4))
def test_every_bay_is_filled_within_the_friction_range(frame, product, many):
    slabs = BOOK.slabs(product)[:many]
    fill = fill_bays(frame, slabs, BOOK.fill(product), UK, DEPTH)
    assert [(f.x, f.y, f.width, f.height) for f in fill] == list(bays(frame))
    longest, widest = max(s.length for s in slabs), max(s.width for s in slabs)
    for bay in fill:
        area = sum(a * b for a, b in bay.pieces)
        assert all(0 < a <= longest and 0 < b <= widest for a, b in bay.pieces)
        # the pieces cover the bay, with no more than the most oversize each way
        assert bay.width * bay.height <= area <= (bay.width + 200) * (bay.height + 200)
        if bay.how == "friction":
            upright = {b for _, b in bay.pieces}
            turned = {a for a, _ in bay.pieces}
            assert any(
                len(side) == 1 and 20 <= next(iter(side)) - bay.width <= 200 for side in (upright, turned)
            )
    marks = [mark for mark, _, _ in slab_pieces(fill)]
    assert len(set(marks)) == len(marks)


def brute_count(board_, studs, spacing):
    """Screws of one board on upright studs that pass right behind it, set one by one up from the foot."""
    total = 0
    for stud in studs:
        shared = min(board_.right, stud.right) - max(board_.x, stud.x)
        if shared < spacing.edge_bound:
            continue
        at, top = board_.y + spacing.edge_cut, board_.top - spacing.edge_cut
        total += 1
        while at < top:
            at += spacing.most
            total += 1
    return total


@settings(deadline=None, max_examples=100)
@given(
    st.integers(3_000, 12_000),
    st.integers(6_000, 30_000),
    st.lists(st.integers(-300, 12_000), min_size=1, max_size=6, unique=True),
    st.integers(1_500, 4_000),
)
def test_screws_on_studs_against_counting_one_by_one(width, height, xs, most):
    from sites import level_profile
    from takeoff_builders import upright

    spacing = Spacing(most=most, corner=2000, edge_bound=100, edge_cut=130, timber_edge=60)
    studs = [upright(f"S{x}", "stud", x, -500, height + 500) for x in sorted(xs)]
    sheet = board("A1-1", "A", 0, width, 0, height)
    frame = Frame(level_profile(width, height, floor_gap=0), (), tuple(studs), (), ())
    rows = board_screws(sheet, frame, spacing)
    assert sum(r.count for r in rows) == brute_count(sheet, studs, spacing)
    for row in rows:
        points = row.points()
        assert len(points) == row.count
        assert all(math.dist(a, b) <= most + 1e-9 for a, b in pairwise(points))


@settings(deadline=None, max_examples=60)
@given(frames(), st.integers(0, 3))
def test_order_list_reconciles_with_the_plan_and_the_frame(frame, spare):
    rules = UK.with_values({"spare.timber": spare})
    stocks = [s for s in BOOK.timber("38x89") if s.length == 54_000]
    stocks = [
        type(s)(s.code, s.section, s.thickness, s.depth, 90_000, s.price, s.description) for s in stocks
    ]
    plan = one_bar_each(frame, stocks)
    lines = take_off(frame, [plan], rules, BOOK)
    assert sum(totals(lines).values()) == sum(ln.bought * ln.unit_price for ln in lines)
    assert sum(cost_columns(lines).values()) == sum(totals(lines).values())
    timber = [ln for ln in lines if ln.group == "timber"]
    assert sum(ln.needed for ln in timber) == pytest.approx(sum(m.length for m in frame.members) / 1e4)
    assert sum(ln.bought for ln in timber) == len(plan.uses) + spare
    waste = timber_waste(plan, rules)
    assert waste.fixed == pytest.approx(sum(m.length for m in frame.members) / 1e4)
    assert 0 <= waste.kept <= waste.bought - waste.fixed + 1e-9
    assert waste.share == pytest.approx(waste.kept_share + waste.scrap_share)
