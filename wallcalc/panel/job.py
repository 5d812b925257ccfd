"""A design that is being worked out for the panel, a stage at a time."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from wallcalc.designing.pipeline import design_steps
from wallcalc.designing.result import Design
from wallcalc.given.option import Option
from wallcalc.panel.history import Moment


def is_slow(option: Option) -> bool:
    """Return whether an option takes long to work out, so that nobody should wait for it at the controls."""
    return option.stud_layout == "fitted"


class Job:
    """A design to be worked out; it touches nothing of the state, so it may run elsewhere or ahead of time.

    Parameters
    ----------
    moment : Moment
        What is given and chosen.
    told : bool
        Whether a refusal says what would make the option buildable, which takes longer.

    Attributes
    ----------
    slow : bool
        Whether nobody should wait for it at the controls.
    raised : Raised or None
        The wall as it stands, as soon as its frame and boards are known.
    found : Design or Exception or None
        What came of it; None while there is more to do.
    begun : bool
        Whether somebody runs it already.
    """

    def __init__(self, moment: Moment, told: bool = True) -> None:
        self.moment, self.slow = moment, is_slow(moment.option)
        self.raised: Any = None
        self.found: Any = None
        self.begun = False
        self._stages: Iterator[Any] = design_steps(
            moment.wall, moment.option, rules=moment.rules, prices=moment.prices, search_changes=told
        )

    def step(self) -> bool:
        """Work out one stage more; return whether there are more."""
        if self.found is None:
            try:
                made = next(self._stages)
            except Exception as error:
                self.found = error
            else:
                if isinstance(made, Design):
                    self.found = made
                self.raised = made
        return self.found is None

    def run(self) -> Any:
        """Work out all that is left; return the design, or the exception that came instead."""
        while self.step():
            pass
        return self.found
