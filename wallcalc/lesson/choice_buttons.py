"""A choice as a row of buttons: in a notebook the arrow keys and letters belong to the cells, Tab and Enter do not."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import ipywidgets as w

from wallcalc.panel.controls import button
from wallcalc.panel.spoken import GROUP, ON, PRESS


class ChoiceButtons(w.HBox):
    """Buttons of which one is chosen; the chosen one carries a tick as well as another colour.

    Parameters
    ----------
    label : str
        What is chosen, shown before the buttons ("" for none).
    options : sequence of (str, object)
        Text and value of each button.
    value : object
        What is chosen at first; a value that is none of the options chooses none.
    act : callable
        Called with the value when a button is pressed.
    """

    def __init__(
        self, label: str, options: Sequence[tuple[str, Any]], value: Any, act: Callable[[Any], Any]
    ) -> None:
        self.options = list(options)
        self.buttons = []
        for text, found in self.options:
            made = button(text, lambda found=found: act(found))
            made.add_class(PRESS)
            made.layout.height = "auto"
            made.layout.min_height = "28px"
            self.buttons.append(made)
        head = [w.Label(label, layout=w.Layout(width="auto"))] if label else []
        super().__init__(
            [*head, *self.buttons],
            layout=w.Layout(flex_flow="row wrap", grid_gap="2px 4px", align_items="center"),
        )
        self.add_class(GROUP)
        self.choose(value)

    def choose(self, value: Any) -> None:
        """Mark the button of a value as chosen, without calling anything."""
        for (_, found), made in zip(self.options, self.buttons, strict=True):
            (made.add_class if found == value else made.remove_class)(ON)

    def disable(self) -> None:
        """Take no more presses."""
        for made in self.buttons:
            made.disabled = True
