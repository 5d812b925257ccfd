"""A part of the page that opens and closes under a button, and costs nothing while it is closed."""

from __future__ import annotations

from collections.abc import Callable
from itertools import count
from typing import Any

import ipywidgets as w

from wallcalc.draw.turns import in_turn
from wallcalc.panel.spoken import BODY, FOLD, HEAD, OPEN

_numbers = count(1)


class Fold:
    """A head that is a button, and a body that it opens.

    Parameters
    ----------
    name : str
        What is in it, after "Show" or "Hide".
    body : sequence of widgets
        What opens.
    opened : callable, optional
        Called when it opens.
    is_open : bool
        Whether it is open to begin with.
    """

    def __init__(
        self, name: str, body: list[Any], opened: Callable[[], Any] | None = None, *, is_open: bool = False
    ) -> None:
        self._name, self._opened, self.is_open = name, opened, is_open
        self.head = w.Button(layout=w.Layout(width="auto"))
        self.head.add_class(FOLD)
        self.head.on_click(lambda _: self.turn())
        self.body = w.VBox(body, layout=w.Layout(width="100%"))
        self.head.add_class(f"{HEAD}{(number := next(_numbers))}")
        self.body.add_class(f"{BODY}{number}")
        self._follow()

    def stacked(self) -> w.VBox:
        """Return the head with the body under it."""
        made = w.VBox([self.head, self.body], layout=w.Layout(width="100%"))
        made.add_class("wallcalc-fold")
        return made

    @in_turn
    def turn(self, is_open: bool | None = None) -> None:
        """Open or close it; the other way round when not told which."""
        wanted = not self.is_open if is_open is None else is_open
        if wanted == self.is_open:
            return
        self.is_open = wanted
        self._follow()
        if wanted and self._opened is not None:
            self._opened()

    def _follow(self) -> None:
        self.head.description = f"{'Hide' if self.is_open else 'Show'}: {self._name}"
        (self.head.add_class if self.is_open else self.head.remove_class)(OPEN)
        self.body.layout.display = "flex" if self.is_open else "none"
