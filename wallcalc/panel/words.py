"""Words, units and tables of the panel: how a choice and a result read, always escaped for HTML."""

from __future__ import annotations

import html
import math
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from wallcalc.given.option import Option

NOT_COMPARABLE = "not comparable"
LONG = 16
"""Letters beyond which a cell of a table may break into lines."""

LAYOUTS = {"module": "on the centres (module)", "fitted": "fitted to the wall"}
ORIENTATIONS = {"vertical": "upright", "horizontal": "on their side"}

CHOICES = {
    "section": "stud section, mm",
    "stud_centres": "stud centres, mm",
    "set_out_from": "set out from",
    "stud_layout": "stud layout",
    "board_orientation": "boards",
    "sheet": "sheet, mm",
    "layers_a": "layers, side A",
    "layers_b": "layers, side B",
    "board_a": "board, side A",
    "board_b": "board, side B",
    "course_from": "courses from",
    "fill": "cavity fill",
}
"""Every keyword of an option and the label it carries."""


@dataclass(frozen=True, slots=True)
class Measure:
    """A column of the study as the panel shows it.

    ``digits`` after the point, ``factor`` from the study's value to the one shown, ``better`` is "low", "high" or
    "" where neither is, ``down_to`` the column of a lower value that is shown with it where it is less.
    """

    column: str
    label: str
    unit: str
    digits: int = 0
    factor: float = 1.0
    better: str = ""
    down_to: str = ""

    def value(self, row: dict[str, Any]) -> float:
        """Return the value shown, nan when there is none."""
        found = row.get(self.column)
        return math.nan if found is None else float(found) * self.factor

    def least(self, row: dict[str, Any]) -> float:
        """Return the lower value that is shown with the value; the value itself where there is none."""
        low = row.get(self.down_to)
        return self.value(row) if low is None or math.isnan(low) else float(low) * self.factor

    @property
    def title(self) -> str:
        """Label and unit for an axis; where only the upper end of a range is drawn, it says so."""
        return (
            f"{self.label}{f', {self.unit}' if self.unit else ''}"
            f"{', upper figure where centres are wide' if self.down_to else ''}"
        )

    def text(self, row: dict[str, Any], unit: bool = True) -> str:
        """Return the value as text, with its unit when asked."""
        value = self.value(row)
        if math.isnan(value):
            return "none"
        low = f"{self.least(row):,.{self.digits}f} to " if self.least(row) < value else ""
        return f"{low}{value:,.{self.digits}f}{' ' + self.unit if unit and self.unit else ''}"


def measures(currency: str) -> tuple[Measure, ...]:
    """Return the measures of an option, in the order they are shown."""
    return (
        Measure("cost", "cost, net of tax", currency, 2, better="low"),
        Measure("timber_cost", "timber", currency, 2, better="low"),
        Measure("board_cost", "boards", currency, 2, better="low"),
        Measure("fill_cost", "fill", currency, 2, better="low"),
        Measure("fixings_cost", "fixings and finishing", currency, 2, better="low"),
        Measure("timber_waste", "timber waste", "%", 1, 100.0, "low"),
        Measure("board_waste", "board waste", "%", 1, 100.0, "low"),
        Measure("fill_waste", "fill waste", "%", 1, 100.0, "low"),
        Measure("Rw", "Rw", "dB", 0, better="high"),
        Measure("C", "C", "dB", 0, better="high"),
        Measure("Ctr", "Ctr", "dB", 0, better="high"),
        Measure("STC", "STC", "", 0, better="high", down_to="STC_low"),
        Measure("Rw_with_door", "Rw with the door", "dB", 0, better="high"),
        Measure("door_Rw_needed", "Rw the door would need", "dB", 0, better="low"),
        Measure("stiffness_use", "stud stiffness used", "%", 0, 100.0, "low"),
        Measure("studs", "studs", ""),
        Measure("noggins", "noggins", ""),
        Measure("sheets", "sheets bought", "", better="low"),
        Measure("cuts", "cuts", "", better="low"),
        Measure("joint_length", "board joints", "m", 1, better="low"),
        Measure("cut_joint_length", "joints with a cut edge", "m", 1, better="low"),
        Measure("mass", "mass", "kg", 0, better="low"),
        Measure("cautions", "cautions", "", better="low"),
        Measure("fails", "fails", "", better="low"),
    )


def choice_text(name: str, value: Any) -> str:
    """Return an option's value in words."""
    if name == "board_orientation":
        return ORIENTATIONS[value]
    if name == "stud_layout":
        return LAYOUTS[value]
    if name == "stud_centres" and not value:
        return "fitted"
    if value is None or (isinstance(value, float) and math.isnan(value)):
        return {"sheet": "cheapest mix", "fill": "none"}.get(name, "by the room")
    if isinstance(value, float):
        return f"{value:g}"
    return str(value)


def option_words(option: Option) -> str:
    """Return an option in plain words, all that tells it from others."""
    o = option
    words = [
        o.section,
        "fitted" if o.stud_layout == "fitted" else f"{o.stud_centres:g} from {o.set_out_from}",
        o.board_orientation,
        o.sheet or "any sheet",
    ]
    words += [f"layers {o.layers_a} {o.layers_b}", o.fill or "no fill"]
    words += [f"side {side} {board}" for side, board in (("A", o.board_a), ("B", o.board_b)) if board]
    if o.course_from != "ceiling":
        words.append(f"courses from {o.course_from}")
    return " ".join(words)


def difference(measure: Measure, now: dict[str, Any], then: dict[str, Any]) -> tuple[str, str]:
    """Return how a measure differs between two rows: text, and "better", "worse" or "".

    A change that depends on which end of a range is read is given from end to end.
    """
    a, b = measure.value(now), measure.value(then)
    if math.isnan(a) or math.isnan(b):
        return ("same", "") if math.isnan(a) and math.isnan(b) else (NOT_COMPARABLE, "")
    change = round(a, measure.digits) - round(b, measure.digits)
    lower = round(measure.least(now), measure.digits) - round(measure.least(then), measure.digits)
    nothing = 10 ** -(measure.digits + 6)
    if abs(change) < nothing and abs(lower) < nothing:
        return "same", ""
    unit = {"%": " points"}.get(measure.unit, f" {measure.unit}" if measure.unit else "")
    verdict = ""
    if measure.better and change * lower > 0:
        verdict = "better" if (change < 0) == (measure.better == "low") else "worse"
    ends = sorted((change, lower)) if abs(change - lower) > nothing else [change]
    return f"{' to '.join(_signed(end, measure.digits) for end in ends)}{unit}", verdict


def _signed(change: float, digits: int) -> str:
    sign = "+" if change > 0 else "−" if change < 0 else ""
    return f"{sign}{abs(change):,.{digits}f}"


def table(
    heads: Sequence[str],
    rows: Iterable[Sequence[Any]],
    caption: str,
    *,
    numbers: Sequence[int] = (),
    classes: Sequence[str] = (),
    scroll: bool = False,
    marked: Collection[tuple[int, int]] = (),
) -> str:
    """Return an HTML table, every text escaped."""
    right = set(numbers)
    head = "".join(
        f'<th scope="col"{" class=wallcalc-number" if k in right else ""}>{html.escape(h)}</th>'
        for k, h in enumerate(heads)
    )
    body = []
    for n, row in enumerate(rows):
        cells = "".join(_cell(str(cell), k in right, (n, k) in marked) for k, cell in enumerate(row))
        body.append(f'<tr class="{html.escape(classes[n]) if n < len(classes) else ""}">{cells}</tr>')
    text = (
        f'<table class="wallcalc-table"><caption>{html.escape(caption)}</caption>'
        f"<thead><tr>{head}</tr></thead><tbody>{''.join(body)}</tbody></table>"
    )
    extra = ' style="max-height:420px"' if scroll else ""
    name = html.escape(caption, quote=True)
    return f'<div class="wallcalc-scroll" tabindex="0" role="region" aria-label="{name}"{extra}>{text}</div>'


def _cell(text: str, right: bool, best: bool = False) -> str:
    kind = "wallcalc-number" if right else "wallcalc-long" if len(text) > LONG else ""
    kind += " best" if best else ""
    return f'<td class="{kind}">{html.escape(text)}</td>'
