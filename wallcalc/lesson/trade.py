"""What the lesson takes its values from: the trade rules and the price book, read once into plain numbers."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Any

from wallcalc.checks.strength_values import section_of
from wallcalc.designing.pipeline import prices_of, rules_of
from wallcalc.given.option import SECTIONS
from wallcalc.panel.offers import Offers
from wallcalc.site.frame_rules import FrameRules, frame_rules
from wallcalc.trade.prices import PriceBook
from wallcalc.trade.rules import Rules
from wallcalc.units.lengths import MM
from wallcalc.units.quantities import format_length

LEAST_CENTRES, MOST_CENTRES = 300.0, 610.0
"""The centres that the lesson's sliders run over, mm."""
SECTION = SECTIONS[1]
"""The stud section that a step uses where it leaves none to choose."""


@dataclass(frozen=True)
class Trade:
    """Rules and prices in force.

    Attributes
    ----------
    rules : Rules
        Trade rules.
    prices : PriceBook
        What can be bought.
    """

    rules: Rules
    prices: PriceBook

    @property
    def frame(self) -> FrameRules:
        """The framing rules as plain numbers, 0.1 mm."""
        return frame_rules(self.rules)

    @cached_property
    def offers(self) -> Offers:
        """What can be chosen under the rules and prices."""
        return Offers(self.rules, self.prices)

    @property
    def inches(self) -> bool:
        """Whether sheets and lumber come in inch sizes."""
        return self.offers.sizes == "inch"

    @property
    def board(self) -> str:
        """The ordinary board."""
        return str(self.rules.value("board.default"))

    @property
    def sheet_widths(self) -> tuple[int, ...]:
        """Widths of the ordinary board's sheets on offer, 0.1 mm, the commonest first."""
        widths = [s.width for s in self.prices.sheets(self.board, self.offers.sizes)]
        return tuple(sorted(set(widths), key=lambda w: (-widths.count(w), w)))

    def length(self, tenths: int) -> str:
        """Return a length as the tape of these rules reads it."""
        if self.inches:
            return f"{format_length(tenths, 'ft-in')} ({mm(tenths)})"
        return mm(tenths)


@lru_cache(maxsize=8)
def trade(name: str = "uk") -> Trade:
    """Return the shipped rules of a name ("uk" or "us") with the demo prices."""
    return Trade(rules_of(name), prices_of(None))


def mm(tenths: float) -> str:
    """Return 0.1 mm as text in mm."""
    return f"{round(tenths / MM, 1):g} mm"


def stud_size(section: str = SECTION) -> tuple[int, int]:
    """Return thickness and depth of a stud section, 0.1 mm."""
    found: Any = section_of(section)
    return round(found.width * MM), round(found.depth * MM)
