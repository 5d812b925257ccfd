"""A design of the worked wall put together by hand, with the tables that a real design has."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pandas as pd
from takeoff_builders import DEPTH, mm, one_bar_each, one_slab_each, worked_wall

from wallcalc.buying.fill import fill_bays, slab_pieces
from wallcalc.buying.order_list import take_off
from wallcalc.buying.waste import board_waste, fill_waste, timber_waste
from wallcalc.carcass.setting_out import setting_out
from wallcalc.designing import tables
from wallcalc.given.option import Option
from wallcalc.given.parts import Opening, Room
from wallcalc.given.wall import Wall
from wallcalc.hanging.backing_list import Held
from wallcalc.records import CheckRow, Cleat, CutPlan, Hole, JoistNoggin, Leftover, Pierce, SheetCut, SheetUse
from wallcalc.trade.prices import PriceBook
from wallcalc.trade.rules import Rules

TAP = Pierce("tap", mm(1000), mm(620), 150, 150, True)


def seven_sheets(frame, stock) -> CutPlan:
    """The worked wall's seven sheets: B1-2's neighbour pieces share as the design notes say."""
    by_mark = {b.mark: b for b in frame.boards}
    groups = [["A1-1", "B1-4"], ["A1-2"], ["A1-3"], ["A1-4"], ["B1-1"], ["B1-2"], ["B1-3"]]
    uses = []
    for marks in groups:
        at, cuts = 0, []
        for mark in marks:
            b = by_mark[mark]
            cuts.append(SheetCut(mark, 0, at, b.along, b.across))
            at += b.across
        left = (Leftover(0, at, stock.length, stock.width - at, 1),) if at < stock.width else ()
        uses.append(SheetUse(stock.code, stock.length, stock.width, tuple(cuts), left))
    cost = stock.price * len(uses)
    return CutPlan("boards standard-12.5", tuple(uses), cost, cost, True, "these boards", "by hand")


def make_design(name="Laundry and practice room", **changes):
    """Return the design; keywords replace attributes."""
    rules, book, frame = Rules.load("uk"), PriceBook.load(), worked_wall()
    wall = Wall(
        name,
        mm(3840),
        ((0, mm(2620)),),
        Room("laundry", "utility", True),
        Room("practice room", "living"),
        (Opening("door", mm(2700), leaf=mm(762)),),
    )
    option = Option(fill="wool-75", sheet="1200x2700")
    sheet = next(s for s in book.sheets("standard-12.5") if (s.length, s.width) == (mm(2700), mm(1200)))
    slab = next(s for s in book.slabs("wool-75") if s.width == mm(570))
    fill = fill_bays(frame, (slab,), book.fill("wool-75"), rules, DEPTH)
    plans = (
        one_bar_each(frame, book.timber("38x89")),
        seven_sheets(frame, sheet),
        one_slab_each(slab_pieces(fill), slab),
    )
    lines = take_off(frame, plans, rules, book)
    frequency = np.array([50 * 2 ** (n / 3) for n in range(21)]).round()
    checks = [
        CheckRow(
            "board span", "A", "12.5 mm at 600", 600.0, 600.0, "mm", 1.0, "ok", "as the table", "NHBC", "seen"
        ),
        CheckRow(
            "narrow strip",
            "B1-4",
            "",
            150.0,
            200.0,
            "mm",
            1.33,
            "caution",
            "narrow",
            "practice",
            "from memory",
        ),
    ]
    design = SimpleNamespace(
        wall=wall,
        option=option,
        rules=rules,
        prices=book,
        frame=frame,
        slab_pieces=tuple(fill),
        members=members_table(frame),
        joist_noggins=tables.joist_noggins((JoistNoggin("JN1", "38x89", 1500, 4030),), {}),
        cleats=tables.cleats((Cleat("CL1", "38x89", 19_000, 11_000, 2000, 710, ("P1",)),), {}),
        board_holes=tables.board_holes([replace(frame.boards[4], pierced=(TAP,))]),
        bored=tables.bored(replace(frame, holes=(Hole("N1.2", "tap", mm(1000), mm(873), 150, "y"),))),
        hung_fixings=tables.hung_fixings((Held("rack", "B", 1, 19_200, 12_000, "N2.4", "noggin", 190),)),
        boards=boards_table(frame),
        joints=pd.DataFrame(
            [
                (
                    j.side,
                    j.layer,
                    j.x1 / 10,
                    j.y1 / 10,
                    j.x2 / 10,
                    j.y2 / 10,
                    j.kind,
                    j.length / 10,
                    j.backed_by,
                )
                for j in frame.joints
            ],
            columns=["side", "layer", "x1", "y1", "x2", "y2", "kind", "length", "backed_by"],
        ),
        fill=pd.DataFrame(
            [
                (
                    f.mark,
                    f.x / 10,
                    f.y / 10,
                    f.width / 10,
                    f.height / 10,
                    f.thickness / 10,
                    len(f.pieces),
                    f.how,
                )
                for f in fill
            ],
            columns=["mark", "x", "y", "width", "height", "thickness", "pieces", "how"],
        ),
        timber_cuts=bars_table(plans[0]),
        sheet_cuts=sheets_table(plans[1]),
        slab_cuts=sheets_table(plans[2]),
        takeoff=pd.DataFrame(
            [
                (
                    o.item,
                    o.code,
                    o.group,
                    o.description,
                    o.unit,
                    o.pack,
                    o.needed,
                    o.bought,
                    o.unit_price / 100,
                    o.cost / 100,
                )
                for o in lines
            ],
            columns=[
                "item",
                "code",
                "group",
                "description",
                "unit",
                "pack",
                "needed",
                "bought",
                "unit_price",
                "cost",
            ],
        ),
        setting_out=pd.DataFrame(
            [
                (m.mark, m.role, m.axis, m.edge, m.from_left / 10, m.from_right / 10)
                for m in setting_out(frame)
            ],
            columns=["mark", "role", "axis", "edge", "from_left", "from_right"],
        ),
        checks=pd.DataFrame(checks),
        bounds=pd.DataFrame(
            [(p.material, p.cost / 100, p.lower_bound / 100, p.proven, p.scope, p.method) for p in plans],
            columns=["material", "cost", "lower_bound", "proven", "scope", "method"],
        ),
        sound=SimpleNamespace(
            frequency=frequency,
            R=20 + 10 * np.log2(frequency / 50),
            Rw=43,
            C=-3,
            Ctr=-9,
            STC=43,
            uncertainty=SimpleNamespace(Rw=1.9, STC=3.0, bands=np.full(len(frequency), 2.5)),
            model="double leaf",
            C_50_5000=-3,
            Ctr_50_5000=-10,
            STC_low=43,
            stc_text="43",
            shortfall=np.zeros(len(frequency)),
            stc_shortfall=np.zeros(len(frequency)),
            with_door=SimpleNamespace(Rw=31, rating_for_one=40.0),
        ),
        cost=sum(o.cost for o in lines) / 100,
        timber_waste=timber_waste(plans[0], rules).share,
        board_waste=board_waste(plans[1], frame.boards, rules).share,
        fill_waste=fill_waste(plans[2], fill, rules, lambda _: slab.per_pack).share,
        mass=251.3,
    )
    for key, value in changes.items():
        setattr(design, key, value)
    return design


def members_table(frame):
    return pd.DataFrame(
        [
            (
                m.mark, m.role, m.section, m.x / 10, m.y / 10, m.width / 10, m.height / 10, m.length / 10,
                m.depth / 10, m.faces, m.serves, "38x89",
            )
            for m in frame.members
        ],
        columns=["mark", "role", "section", "x", "y", "width", "height", "length", "depth", "faces", "serves", "code"],
    )  # fmt: skip


def boards_table(frame):
    return pd.DataFrame(
        [
            (
                b.mark, b.side, b.layer, b.product, [(x / 10, y / 10) for x, y in b.outline], b.area2 / 2e8,
                " ".join(b.bound_edges), b.x / 10, b.y / 10, b.width / 10, b.height / 10, [], "", 8.4 * b.area2 / 2e8,
            )
            for b in frame.boards
        ],
        columns=(
            "mark side layer board_type outline area bound_edges x y width height holes sheet_code mass".split()  # noqa: SIM905
        ),
    )  # fmt: skip


def bars_table(plan):
    return pd.DataFrame(
        [
            (u.code, u.length / 10, [(mark, n / 10) for mark, n in u.cuts], u.offcut / 10, u.kerf_loss / 10)
            for u in plan.uses
        ],
        columns=["stock", "stock_length", "cuts", "offcut", "kerf_loss"],
    )


def sheets_table(plan):
    rows = []
    for u in plan.uses:
        cuts = [(c.mark, c.x / 10, c.y / 10, c.length / 10, c.width / 10, c.parent) for c in u.cuts]
        left = [(f.x / 10, f.y / 10, f.length / 10, f.width / 10, f.bound) for f in u.leftovers]
        rows.append((u.code, u.length / 10, u.width / 10, cuts, 0.0, 0.0, left))
    return pd.DataFrame(
        rows,
        columns=["stock", "sheet_length", "sheet_width", "cuts", "offcut_area", "waste_area", "leftovers"],
    )
