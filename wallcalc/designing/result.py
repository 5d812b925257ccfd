"""A design: everything made of a wall and an option, as tables for people and programs.

Tables are built when they are first asked for; lengths in mm, areas in m2, masses in kg, money in the price book's
currency. What they are built from is kept as records in integers.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import pandas as pd

from wallcalc.buying.cut_plans import Cut, count_cuts
from wallcalc.buying.order_list import cost_columns, spare_stock
from wallcalc.buying.screws import ScrewLine
from wallcalc.buying.waste import Waste, board_waste, fill_waste, plywood_waste, timber_waste
from wallcalc.carcass.setting_out import setting_out
from wallcalc.checks import Facts, counted, stiffness_use
from wallcalc.designing import tables
from wallcalc.fitting.layout import Fitted
from wallcalc.given.option import OPTION_FIELDS, Option
from wallcalc.given.wall import Wall
from wallcalc.hanging.backing_list import fixings_held
from wallcalc.records import UPRIGHT, CheckRow, CutPlan, Frame, OrderLine, SheetUse, SlabPiece
from wallcalc.sound import Build, Sound
from wallcalc.trade.prices import PriceBook
from wallcalc.trade.rules import Rules
from wallcalc.units.lengths import MM

CENTS = 100


SUMMARY_COLUMNS = (
    "buildable", "reason", "cost", "timber_cost", "board_cost", "fill_cost", "fixings_cost", "timber_waste",
    "board_waste", "fill_waste", "studs", "noggins", "sheets", "cuts", "joint_length", "mass", "Rw", "C", "Ctr", "STC",
    "stiffness_use", "Rw_with_door", "bound_joint_length", "cut_joint_length", "timber_kept", "cautions", "fails",
    "proven", "STC_low", "door_Rw_needed",
)  # fmt: skip
"""Columns of a study after the option's keywords. ``STC_low`` is what published guidance on stud centres would credit
(``STC`` where that is no less), ``door_Rw_needed`` what doors and hatches would need for a loss of 1 dB."""


@dataclass(frozen=True, slots=True, eq=False)
class Parts:
    """What the stages made, as records.

    ``build`` is the wall as sound meets it, ``seconds`` each plan's time, ``fitted`` what the search over stud layouts
    found (None: the module was kept).
    """

    wall: Wall
    option: Option
    rules: Rules
    prices: PriceBook
    cut: Cut
    fill: tuple[SlabPiece, ...]
    slabs: CutPlan | None
    screws: tuple[ScrewLine, ...]
    order: tuple[OrderLine, ...]
    build: Build
    sound: Sound
    facts: Facts
    seconds: float
    fitted: Fitted | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Raised:
    """A wall as it stands before it is cut and priced: what an elevation shows.

    ``frame`` holds members, boards and joints, ``slab_pieces`` the fill, both as records in 0.1 mm.
    """

    wall: Wall
    option: Option
    rules: Rules
    prices: PriceBook
    frame: Frame
    slab_pieces: tuple[SlabPiece, ...]


class Design:
    """A wall built to an option.

    Attributes
    ----------
    wall, option, rules, prices
        What it was made from.
    frame : Frame
        Members, boards and joints as records, lengths in 0.1 mm.
    slab_pieces : tuple of SlabPiece
        The fill as records, lengths in 0.1 mm.
    parts : Parts
        All records.
    sound : Sound
        The predicted sound reduction.
    """

    def __init__(self, parts: Parts, checks: tuple[CheckRow, ...]) -> None:
        self.parts = parts
        self.check_rows = checks

    wall: Wall = property(lambda self: self.parts.wall)  # type: ignore[assignment]
    option: Option = property(lambda self: self.parts.option)  # type: ignore[assignment]
    rules: Rules = property(lambda self: self.parts.rules)  # type: ignore[assignment]
    prices: PriceBook = property(lambda self: self.parts.prices)  # type: ignore[assignment]
    sound: Sound = property(lambda self: self.parts.sound)  # type: ignore[assignment]
    frame: Frame = property(lambda self: self.parts.cut.frame)  # type: ignore[assignment]
    slab_pieces: tuple[SlabPiece, ...] = property(lambda self: self.parts.fill)  # type: ignore[assignment]

    def __repr__(self) -> str:
        return f"<Design of {self.wall.name!r}: {self.option}>"

    # --- tables

    @cached_property
    def members(self) -> pd.DataFrame:
        """Every piece of timber and every pattress, one a row."""
        codes = self._timber_codes | {c.mark: use.code for use in self._plywood for c in use.cuts}
        return tables.members(self.frame.members, codes)

    @cached_property
    def joist_noggins(self) -> pd.DataFrame:
        """Noggins between joists that run along the wall: cut and bought with the members, outside the wall."""
        return tables.joist_noggins(self.frame.joist_noggins, self._timber_codes)

    @cached_property
    def cleats(self) -> pd.DataFrame:
        """Cleats that hold the ends of pattresses: cut and bought with the members."""
        return tables.cleats(self.frame.cleats, self._timber_codes)

    @cached_property
    def _timber_codes(self) -> dict[str, str]:
        """What each piece of timber is cut from."""
        return {mark: bar.code for bar in self.parts.cut.timber.uses for mark, _ in bar.cuts}  # type: ignore[union-attr]

    @cached_property
    def hung_fixings(self) -> pd.DataFrame:
        """Which piece of timber carries each fixing of what hangs on the wall."""
        return tables.hung_fixings(fixings_held(self.wall.hung, self.frame.members))

    @cached_property
    def boards(self) -> pd.DataFrame:
        """Every board, one a row."""
        codes = {c.mark: use.code for use in self._sheets for c in use.cuts}
        return tables.boards(self.frame.boards, codes, self.prices)

    @cached_property
    def bored(self) -> pd.DataFrame:
        """Every hole to bore in studs, noggins and plates for services, one a row."""
        return tables.bored(self.frame)

    @cached_property
    def board_holes(self) -> pd.DataFrame:
        """Every hole for a service in the boards, measured from their edges."""
        return tables.board_holes(self.frame.boards)

    @cached_property
    def joints(self) -> pd.DataFrame:
        """Every board joint and corner, one a row."""
        return tables.joints(self.frame.joints)

    @cached_property
    def fill(self) -> pd.DataFrame:
        """The fill, one bay a row."""
        return tables.fill(self.parts.fill)

    @cached_property
    def timber_cuts(self) -> pd.DataFrame:
        """Every bought length of timber and what is cut from it."""
        return tables.timber_cuts(self.parts.cut.timber, self.frame.members)

    @cached_property
    def sheet_cuts(self) -> pd.DataFrame:
        """Every bought sheet, plywood for pattresses last, and what is cut from it."""
        return tables.sheet_cuts((*self._sheets, *self._plywood), self.frame.boards)

    @cached_property
    def slab_cuts(self) -> pd.DataFrame:
        """Every slab used and what is cut from it."""
        return tables.sheet_cuts(tuple(self.parts.slabs.uses) if self.parts.slabs else (), ())  # type: ignore[arg-type]

    @cached_property
    def takeoff(self) -> pd.DataFrame:
        """The order list."""
        return tables.takeoff(self.parts.order)

    @cached_property
    def setting_out(self) -> pd.DataFrame:
        """Running dimensions to mark on the floor, the ceiling and the studs."""
        wall = self.wall
        return tables.setting_out(setting_out(self.frame, wall.joists_above, wall.joists_below, wall.hung))

    @cached_property
    def checks(self) -> pd.DataFrame:
        """Every check with its limit, verdict and source."""
        return tables.checks(self.check_rows)

    @cached_property
    def bounds(self) -> pd.DataFrame:
        """How good each cutting plan and the choice of joints is shown to be."""
        rows = [self._bound(plan, material) for material, plan in self.plans()]
        rows.append(tables.boarding_bound(self.parts.cut.carcass.boarding))
        if self.parts.fitted is not None:
            rows.append(self._bound(self.parts.fitted.bound(), "stud layout"))
        return pd.DataFrame(rows)

    @cached_property
    def notes(self) -> tuple[str, ...]:
        """What was done about the layout and the board joints, in words."""
        fitted = self.parts.fitted
        return (*(fitted.notes if fitted is not None else ()), *self.frame.notes)

    def plans(self) -> list[tuple[str, CutPlan]]:
        """Return every cutting plan with the material it cuts."""
        plans = [("timber", self.parts.cut.timber)]
        products = sorted(self.parts.cut.carcass.sheets)
        plans += [(f"boards {p}", plan) for p, plan in zip(products, self.parts.cut.sheets, strict=True)]
        if self.parts.cut.plywood is not None:
            plans.append(("plywood", self.parts.cut.plywood))
        if self.parts.slabs is not None:
            plans.append(("fill", self.parts.slabs))
        return plans

    @staticmethod
    def _bound(plan: CutPlan, material: str) -> dict[str, Any]:
        return {
            "material": material,
            "cost": plan.cost / CENTS,
            "lower_bound": plan.lower_bound / CENTS,
            "proven": plan.proven,
            "scope": plan.scope,
            "method": plan.method,
        }

    # --- numbers

    @property
    def _sheets(self) -> tuple[SheetUse, ...]:
        return tuple(use for plan in self.parts.cut.sheets for use in plan.uses)  # type: ignore[misc]

    @property
    def _plywood(self) -> tuple[SheetUse, ...]:
        plan = self.parts.cut.plywood
        return tuple(plan.uses) if plan is not None else ()  # type: ignore[arg-type]

    @cached_property
    def cost_cents(self) -> dict[str, int]:
        """Cost by column of a study ("timber", "board", "fill", "fixings"), cents."""
        return cost_columns(self.parts.order)

    @property
    def cost(self) -> float:
        """Cost of everything bought, net of tax, in the price book's currency."""
        return sum(self.cost_cents.values()) / CENTS

    @cached_property
    def waste(self) -> dict[str, Waste]:
        """Waste of timber (m), board (m2), plywood (m2) and fill (m3), each with what is kept and what is scrap.

        Plywood, bought for pattresses only, is a material of its own and not among the boards.
        """
        cut, rules = self.parts.cut, self.rules
        plans = [plan for _, plan in self.plans()]
        spares = spare_stock(plans, rules, self.prices)
        sizes = [self.prices.item(code) for code, number in sorted(spares.items()) for _ in range(number)]
        timber = [i.length for i in sizes if i.group == "timber"]
        sheets = [s for code, n in sorted(spares.items()) for s in self._sizes("sheet", code) * n]
        slabs = [s for code, n in sorted(spares.items()) for s in self._sizes("slab", code) * n]
        found = {
            "timber": timber_waste(cut.timber, rules, timber),
            "board": board_waste(cut.sheets, self.frame.boards, rules, sheets),
        }
        if cut.plywood is not None:
            ply = [s for code, n in sorted(spares.items()) for s in self._sizes("plywood", code) * n]
            found["plywood"] = plywood_waste(cut.plywood, rules, ply)
        if self.parts.slabs is not None:
            stock = self.prices.slabs(str(self.option.fill), str(rules.value("catalogue.sizes")))
            per_pack = {s.code: s.per_pack for s in stock}
            found["fill"] = fill_waste(self.parts.slabs, self.parts.fill, rules, per_pack.__getitem__, slabs)
        return found

    def _sizes(self, group: str, code: str) -> list[tuple[int, int]]:
        slabs = self.parts.slabs.uses if self.parts.slabs else ()
        uses = {"sheet": self._sheets, "plywood": self._plywood}.get(group, slabs)
        return [(u.length, u.width) for u in uses if u.code == code][:1]  # type: ignore[union-attr]

    @property
    def timber_waste(self) -> float:
        """Share of the bought timber's length that is not fixed."""
        return self.waste["timber"].share

    @property
    def board_waste(self) -> float:
        """Share of the bought boards' area that is not fixed."""
        return self.waste["board"].share

    @property
    def fill_waste(self) -> float:
        """Share of the bought slabs' volume that is not fixed (NaN with an empty cavity)."""
        return self.waste["fill"].share if "fill" in self.waste else float("nan")

    @cached_property
    def mass(self) -> float:
        """Mass of frame, boards and fill, kg."""
        masses = self.parts.facts.masses
        return masses["frame"] + masses["boards"] + masses["fill"]

    def summary(self) -> dict[str, Any]:
        """Return the design's row of a study: the option's keywords, then cost, waste, counts, sound and checks."""
        row: dict[str, Any] = {name: getattr(self.option, name) for name in OPTION_FIELDS}
        row.update(summary(self))
        return row


def summary(design: Design) -> dict[str, Any]:
    """Return the columns of a study that follow the option's keywords."""
    frame, parts, cents = design.frame, design.parts, design.cost_cents
    waste, sound = design.waste, design.sound
    joined = [j for j in frame.joints if j.kind != "corner"]
    bound = sum(j.length for j in joined if j.kind == "bound-bound")
    total = sum(j.length for j in joined)
    roles = [m.role for m in frame.members]
    cautions, fails = counted(design.check_rows)
    plans = [plan for _, plan in design.plans()]
    values = (
        True,
        "",
        sum(cents.values()) / tables.CENTS,
        cents["timber"] / tables.CENTS,
        cents["board"] / tables.CENTS,
        cents["fill"] / tables.CENTS,
        cents["fixings"] / tables.CENTS,
        waste["timber"].share,
        waste["board"].share,
        waste["fill"].share if "fill" in waste else float("nan"),
        sum(role in UPRIGHT for role in roles),
        roles.count("noggin"),
        sum(len(plan.uses) for plan in parts.cut.sheets),
        cuts(design),
        total / MM / 1000,
        design.mass,
        sound.Rw,
        sound.C,
        sound.Ctr,
        sound.STC,
        stiffness_use(design.check_rows),
        sound.with_door.Rw if sound.with_door is not None else sound.Rw,
        bound / MM / 1000,
        (total - bound) / MM / 1000,
        waste["timber"].kept,
        cautions,
        fails,
        all(plan.proven for plan in plans) and (parts.fitted is None or parts.fitted.proven),
        sound.STC_low,
        sound.with_door.rating_for_one if sound.with_door is not None else float("nan"),
    )
    return dict(zip(SUMMARY_COLUMNS, values, strict=True))


def cuts(design: Design) -> int:
    """Return the number of cuts in timber and board, see :func:`wallcalc.buying.cut_plans.count_cuts`."""
    return count_cuts(design.parts.cut)
