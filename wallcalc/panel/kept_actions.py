"""What the panel can do with options that are kept, and the state in words beside them."""

from __future__ import annotations

from typing import Any

from wallcalc.panel.changes import sentence
from wallcalc.panel.compare import summary
from wallcalc.panel.history import Moment
from wallcalc.panel.kept import MOST_KEPT, Kept, KeptOption
from wallcalc.panel.messages import Message


class KeptActions:
    """Part of :class:`wallcalc.panel.state.StudyState`."""

    now: Moment
    kept: Kept
    against: int
    row: dict[str, Any] | None
    messages: list[Message]

    def keep(self) -> bool:
        """Keep the current option for comparison."""
        self.complete()
        if self.pending is not None:
            return self._say("caution", "The option is still being worked out; keep it when it is there.")
        if self.row is None or not self.buildable:
            return self._say("caution", "Only an option that can be built can be kept.")
        already = self.kept.find(self.now)
        if already is not None:
            return self._say("info", f"This option is kept as {already.number} already.")
        made = self.kept.add(self.now, self.row)
        if made is None:
            return self._say("caution", f"{MOST_KEPT} options are kept; drop one of them first.")
        self.against = made.number
        self.messages = [Message("info", f"Kept as {made.number}: {summary(made.row)}.")]
        return True

    def drop_kept(self, number: int | None = None) -> bool:
        """Drop one kept option, or all."""
        for kept in list(self.kept):
            if number in (None, kept.number):
                self.kept.drop(kept.number)
        if self.kept.number(self.against) is None:
            self.against = self.kept.options[-1].number if len(self.kept) else 0
        self._say(
            "info",
            "Nothing is kept for comparison." if number is None else f"Kept option {number} is dropped.",
        )
        return True

    def return_to_kept(self, number: int) -> bool:
        """Go back to a kept option, with the wall, rules and prices it was kept under."""
        kept = self.kept.number(number)
        return False if kept is None else self._move(kept.moment)

    def held_against(self) -> KeptOption | None:
        """Return the kept option that the figures are held against."""
        return self.kept.number(self.against)

    def between(self, then: int, now: int) -> str:
        """Return in words what changes from one state to another; 0 is the current one, others are kept."""
        sides = []
        for number in (then, now):
            kept = self.kept.number(number) if number else None
            if number and kept is None:
                return ""
            sides.append((kept.moment, kept.row) if kept else (self.now, self.row))
        (a, row_a), (b, row_b) = sides
        return sentence(a, b, row_a, row_b, self.prices.currency) or "The two are alike."
