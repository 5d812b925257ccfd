"""The fitted layout beside the modules: worked out away from the controls, then told as a table and two pictures."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

import pandas as pd

import wallcalc as wc
from wallcalc.designing.layouts import layouts
from wallcalc.panel.history import Moment
from wallcalc.panel.words import LAYOUTS, table

ADDED = (
    ("added_for_joints", "joints"),
    ("added_for_items", "hung items"),
    ("added_for_services", "services"),
)
HEADS = (
    "layout",
    "timber and boards",
    "cost in all",
    "timber, m",
    "sheets",
    "studs",
    "noggins",
    "pattresses",
    "put in for joints",
    "for hung items",
    "for services",
    "cuts",
    "cautions",
    "fails",
    "how sure",
)


@dataclass(frozen=True, slots=True, eq=False)
class LayoutsFound:
    """What was found: every layout as a row; the fitted one and the cheapest module as designs under their names."""

    key: Any
    rows: pd.DataFrame
    designs: tuple[tuple[str, Any], ...]
    error: str = ""


def key_of(moment: Moment) -> Any:
    """Return what the layouts depend on: everything but the layout, the centres and where they start."""
    return moment.given, replace(moment.option, stud_layout="fitted")


def work_out(moment: Moment) -> LayoutsFound:
    """Return the layouts of a wall; touches nothing, so it may run elsewhere."""
    key = key_of(moment)
    given = {"rules": moment.rules, "prices": moment.prices}
    try:
        rows = layouts(moment.wall, key[1], **given)
    except (wc.OptionError, wc.WallError) as error:
        return LayoutsFound(key, pd.DataFrame(), (), str(error))
    designs = []
    for fitted in (True, False):
        row = cheapest(rows, fitted)
        if row is not None:
            designs.append((str(row["layout"]), wc.design(moment.wall, option_of(moment, row), **given)))
    return LayoutsFound(key, rows, tuple(designs))


def cheapest(rows: pd.DataFrame, fitted: bool) -> Any:
    """Return the cheapest row that can be built of the fitted layout or of the modules, None when there is none."""
    if not len(rows):
        return None
    kind = "fitted" if fitted else "module"
    found = rows[rows["buildable"].astype(bool) & (rows["stud_layout"] == kind)]
    return found.iloc[0] if len(found) else None


def option_of(moment: Moment, row: Any) -> Any:
    """Return the option that a row of the layouts stands for."""
    if row["stud_layout"] == "fitted":
        return replace(moment.option, stud_layout="fitted")
    return replace(
        moment.option,
        stud_layout="module",
        stud_centres=float(row["stud_centres"]),
        set_out_from=str(row["set_out_from"]),
    )


class LayoutsWork:
    """Keeps what was found for what is given, and hands out the work that is missing.

    Parameters
    ----------
    state : StudyState
        What is given and chosen.
    """

    def __init__(self, state: Any) -> None:
        self.state = state
        self._found: dict[Any, LayoutsFound] = {}

    @property
    def found(self) -> LayoutsFound | None:
        """What is known for the current wall and option, None when it is not worked out."""
        return self._found.get(key_of(self.state.now))

    def slow_work(self) -> tuple[Callable[[], Any], Callable[[Any], None]] | None:
        """Return the missing work and what takes its result; None when nothing is missing."""
        if self.found is not None:
            return None
        return partial(work_out, self.state.now), self.take

    def take(self, found: LayoutsFound) -> None:
        """Keep what was found."""
        self._found[found.key] = found

    def choose(self, fitted: bool) -> bool:
        """Make the fitted layout, or the cheapest module, the current option."""
        found = self.found
        row = cheapest(found.rows, fitted) if found is not None else None
        if row is None:
            return False
        option = option_of(self.state.now, row)
        names = ("stud_layout",) if fitted else ("stud_layout", "stud_centres", "set_out_from")
        return self.state.choose(**{name: getattr(option, name) for name in names})


def sentence(found: LayoutsFound, currency: str) -> str:
    """Return what the comparison comes to in one sentence."""
    fitted, module = cheapest(found.rows, True), cheapest(found.rows, False)
    if found.error:
        return f"Not worked out: {found.error}"
    if fitted is None:
        return "The fitted layout cannot be built here; the table says why."
    sure = (
        "proven the cheapest of the layouts that can be made of its stud lines"
        if fitted["proven"]
        else "a cheaper one is not ruled out"
    )
    if module is None:
        return f"No usual module can be built here; the fitted layout can, {sure}."
    saved = float(module["timber_and_boards"]) - float(fitted["timber_and_boards"])
    if abs(saved) < 0.005:
        same = int(module["cuts"]) - int(fitted["cuts"])
        words = f", with {abs(same)} {'fewer' if same > 0 else 'more'} cuts" if same else ""
        return (
            f"Fitting saves nothing here: the module {module['layout']} costs the same in timber and boards{words} "
            f"({sure})."
        )
    return (
        f"The fitted layout costs {saved:,.2f} {currency} less in timber and boards than the cheapest module, "
        f"{module['layout']}: {_pieces(fitted)} against {_pieces(module)} ({sure})."
    )


def _pieces(row: Any) -> str:
    added = sum(int(row[column]) for column, _ in ADDED)
    return f"{int(row['studs'])} studs, {int(row['sheets'])} sheets, {int(row['cuts'])} cuts, {added} pieces put in"


def layouts_table(found: LayoutsFound) -> str:
    """Return all layouts as an HTML table, the fitted one first."""
    body, classes = [], []
    for row in found.rows.to_dict("records"):
        if not row["buildable"]:
            body.append([_name(row), *[""] * (len(HEADS) - 2), row["reason"]])
            classes.append("cannot")
            continue
        sure = ""
        if row["stud_layout"] == "fitted" and not math.isnan(row["lower_bound"]):
            gap = row["timber_and_boards"] - row["lower_bound"]
            sure = "proven" if row["proven"] else f"at most {gap:,.2f} too dear"
        whole = (
            "sheets",
            "studs",
            "noggins",
            "pattresses",
            *(c for c, _ in ADDED),
            "cuts",
            "cautions",
            "fails",
        )
        money = [f"{row['timber_and_boards']:,.2f}", f"{row['cost']:,.2f}", f"{row['timber_length']:,.1f}"]
        body.append([_name(row), *money, *(f"{int(row[c])}" for c in whole), sure])
        classes.append("current" if row["stud_layout"] == "fitted" else "")
    numbers = range(1, len(HEADS) - 1)
    return table(
        HEADS,
        body,
        "Layouts of this wall, the fitted one first",
        numbers=numbers,
        classes=classes,
        scroll=True,
    )


def _name(row: dict[str, Any]) -> str:
    return LAYOUTS["fitted"] if row["stud_layout"] == "fitted" else str(row["layout"])
