"""The current option in detail: checks, cautions of the rule file, order list, cutting plans."""

from __future__ import annotations

from typing import Any

import ipywidgets as w

from wallcalc.draw.cutting import cutting_figures
from wallcalc.draw.style import to_img
from wallcalc.draw.turns import in_turn
from wallcalc.panel import page


class DetailsView(w.VBox):
    """Tables of the design, and its cutting plans when asked for.

    Parameters
    ----------
    state : StudyState
        Its design is shown.
    """

    def __init__(self, state: Any) -> None:
        self.state = state
        self.checks, self.rule_cautions, self.order, self.cutting = w.HTML(), w.HTML(), w.HTML(), w.HTML()
        self.show_cuts = w.Checkbox(description="show the cutting plans", value=False, indent=False)
        self.show_cuts.observe(lambda _: self._show_cutting(), "value")
        super().__init__([self.checks, self.rule_cautions, self.order, self.show_cuts, self.cutting])

    def refresh(self) -> None:
        """Show the design."""
        design = self.state.design
        if design is None:
            self.checks.value = self.rule_cautions.value = self.order.value = self.cutting.value = ""
            return
        self.checks.value = page.checks(design)
        self.rule_cautions.value = page.rule_cautions(design)
        self.order.value = page.order_list(design, self.state.prices.currency)
        self._show_cutting()

    @in_turn
    def _show_cutting(self) -> None:
        if not self.show_cuts.value or self.state.design is None:
            self.cutting.value = ""
            return
        self.cutting.value = "".join(
            page.picture(name, to_img(figure, alt))
            for figure, alt, name in cutting_figures(self.state.design)
        )
