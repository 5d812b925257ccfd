"""What the panel offers to choose from, under the rules and prices in force."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from wallcalc.units.lengths import MM

LEAST_CENTRES = 300.0
"""Least stud centres the panel offers, mm; the largest come from the rules."""

INCH = 25.4
METRIC_STEP = 50.0
DIVISIONS = (2, 3, 4)
"""Bays a sheet's width is divided into by the usual stud centres."""


class Offers:
    """The choices that rules and prices leave open.

    Parameters
    ----------
    rules : Rules
        Trade rules.
    prices : PriceBook
        Prices.
    """

    def __init__(self, rules: Any, prices: Any) -> None:
        self.sizes = str(rules.value("catalogue.sizes"))
        self.centres = (LEAST_CENTRES, rules.tenths("frame.max_centres") / 10)
        self.boards = tuple(prices.boards(self.sizes))
        self.fills = tuple(prices.fills(self.sizes))
        self._prices = prices
        default = str(rules.value("board.default"))
        self._sheets = {name: prices.sheets(name, self.sizes) for name in {*self.boards, default}}
        self._default = default
        widths = [stock.width / 10 for stock in self._sheets[default]]
        self.usual = usual_centres(widths, *self.centres, INCH if self.sizes == "inch" else METRIC_STEP)

    def sheets(self, product: str | None) -> list[str]:
        """Return the sheet sizes of a board product, width x length in mm, as an option takes them."""
        stocks = self._sheets.get(product or self._default, self._sheets[self._default])
        found = {(stock.width, stock.length) for stock in stocks}
        return [f"{width / 10:g}x{length / 10:g}" for width, length in sorted(found)]

    def board_of_kind(self, kind: str) -> str | None:
        """Return the thinnest board on offer of a kind ("dense", "moisture"); None for no kind or no such board."""
        found = [self._prices.board(name) for name in self.boards] if kind else []
        found = sorted((b for b in found if b.kind == kind), key=lambda b: b.thickness)
        return found[0].product if found else None

    def thickest_fill(self, section: str) -> str | None:
        """Return the thickest slab on offer that goes into studs of a section; None when none does."""
        depth = float(section.split("x")[1])
        found = sorted((self._prices.fill(name) for name in self.fills), key=lambda f: f.thickness)
        found = [f for f in found if f.thickness / MM <= depth]
        return found[-1].product if found else None

    def within(self, option: Any) -> dict[str, Any]:
        """Return the changes that bring an option's choices back into what is on offer."""
        changes: dict[str, Any] = {}
        if option.stud_centres not in self.usual:
            changes["stud_centres"] = min(self.usual, key=lambda centres: abs(centres - option.stud_centres))
        changes.update(
            {n: None for n in ("board_a", "board_b") if getattr(option, n) not in (None, *self.boards)}
        )
        if option.sheet is not None and option.sheet not in self.sheets(
            changes.get("board_a", option.board_a)
        ):
            changes["sheet"] = None
        if option.fill is not None and option.fill not in self.fills:
            changes["fill"] = None
        return changes


def usual_centres(widths: Iterable[float], low: float, high: float, step: float) -> tuple[float, ...]:
    """Return the stud centres that divide the sheet widths, in mm.

    Ascending, to 0.1 mm.
    """
    found = set()
    for width in widths:
        for division in DIVISIONS:
            centres = width / division
            if low - 0.05 <= centres <= high + 0.05 and abs(centres / step - round(centres / step)) < 1e-2:
                found.add(round(centres, 1))
    return tuple(sorted(found))
