"""Module and fitted layouts of one wall side by side: what each costs, and what had to be added to it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from os import PathLike
from typing import Any

import pandas as pd

from wallcalc.buying.cut_plans import count_cuts
from wallcalc.designing.choices import resolve
from wallcalc.designing.pipeline import SECONDS, design, prices_of, rules_of
from wallcalc.designing.result import Design, summary
from wallcalc.errors import OptionError
from wallcalc.fitting.terms import terms_of
from wallcalc.fitting.words import counts
from wallcalc.given.option import SET_OUT_FROM, Option
from wallcalc.given.wall import Wall
from wallcalc.records import FOR_SERVICES, NEEDED_ANYWAY, Member
from wallcalc.sound import DEFAULT
from wallcalc.trade.prices import PriceBook
from wallcalc.trade.rules import Rules
from wallcalc.units.lengths import MM
from wallcalc.units.money import CENTS

COLUMNS = (
    "layout", "stud_layout", "stud_centres", "set_out_from", "buildable", "reason", "timber_and_boards", "cost",
    "timber_cost", "board_cost", "timber_length", "sheets", "members", "studs", "noggins", "pattresses",
    "added_for_joints", "added_for_items", "added_for_services", "cuts", "cautions", "fails", "lower_bound", "proven",
    "notes",
)  # fmt: skip
"""Columns of :func:`layouts`."""

ADDED = ("stud", "double stud", "short stud", "noggin", "pattress")
"""Roles of members that a layout may have more of for joints, hung items or services."""


def layouts(
    wall: Wall,
    option: Option | None = None,
    *,
    rules: Rules | str | PathLike[str] | None = None,
    prices: PriceBook | str | PathLike[str] | None = None,
    centres: Iterable[float] | None = None,
    ends: Iterable[str] = SET_OUT_FROM,
    seconds: float = SECONDS,
    model: str = DEFAULT,
) -> pd.DataFrame:
    """Return the fitted layout of a wall beside its modules, one row each, the fitted one first, then by cost.

    ``layout`` names the layout in words; ``timber_and_boards`` is what the fitted layout is sought by (money
    in the price book's currency, as ``cost``, the total, and its parts); ``timber_length`` is m of timber
    cut; ``members``, ``studs`` (every upright), ``noggins``, ``pattresses`` and ``sheets`` are counts, of
    which ``added_for_joints``, ``added_for_items`` and ``added_for_services`` are pieces of timber that would
    not be there without board joints, hung items and services; ``cuts`` in timber and board. ``lower_bound``
    and ``proven`` are those of the stud layout (NaN and False for modules), ``notes`` says what was done.
    Layouts that cannot be built stay, with ``buildable`` False and the reason. Units: ``centres`` mm. Raises
    WallError: when an opening does not fit the wall. Raises OptionError: when the option's other choices
    cannot be had at all.
    """
    law = rules_of(rules)
    book = prices_of(prices, law)
    option = Option() if option is None else option
    wanted = [replace(option, stud_layout="fitted")]
    if centres is None:
        terms = terms_of(resolve(wall, wanted[0], law, book).carcass, law, book)
        centres = [c / MM for c in terms.usual]
    if option.stud_layout == "module":
        wanted.append(option)
    wanted += [
        replace(option, stud_layout="module", stud_centres=c, set_out_from=end)
        for c in centres
        for end in ends
    ]
    rows: list[dict[str, Any]] = []
    for one in dict.fromkeys(wanted):
        row: dict[str, Any] = {
            "layout": "fitted" if one.stud_layout == "fitted" else _name(one),
            "stud_layout": one.stud_layout,
            "stud_centres": one.stud_centres if one.stud_layout == "module" else float("nan"),
            "set_out_from": one.set_out_from if one.stud_layout == "module" else "",
        }
        try:
            made = design(wall, one, rules=law, prices=book, seconds=seconds, model=model)
        except OptionError as error:
            row |= {"buildable": False, "reason": str(error), "proven": False}
        else:
            row |= {"buildable": True, "reason": "", **layout_row(made)}
        rows.append(row)
    table = pd.DataFrame(rows, columns=list(COLUMNS))
    order = table.assign(first=table["stud_layout"] != "fitted").sort_values(
        ["first", "timber_and_boards", "cuts", "members"], kind="stable", na_position="last"
    )
    return order.drop(columns="first").reset_index(drop=True)


def _name(option: Option) -> str:
    end = "the middle" if option.set_out_from == "middle" else f"the {option.set_out_from}"
    return f"{option.stud_centres:g} mm from {end}"


def layout_row(made: Design) -> dict[str, Any]:
    """Return what :func:`layouts` tells of a design, by column."""
    cents, cut, fitted = made.cost_cents, made.parts.cut, made.parts.fitted
    row = summary(made)
    added = added_members(made)
    timber = (*(m for m in made.frame.members if m.role != "pattress"), *made.frame.loose)
    return {
        "timber_and_boards": (cents["timber"] + cents["board"]) / CENTS,
        **{name: row[name] for name in ("cost", "timber_cost", "board_cost", "cautions", "fails")},
        "timber_length": sum(piece.length for piece in timber) / MM / 1000,
        "members": len(made.frame.members),
        **counts(cut),
        **{f"added_for_{what}": number for what, number in added.items()},
        "cuts": count_cuts(cut),
        "lower_bound": fitted.lower_bound / CENTS if fitted is not None else float("nan"),
        "proven": fitted is not None and fitted.proven,
        "notes": "; ".join(made.notes),
    }


def added_members(made: Design) -> dict[str, int]:
    """Return how many pieces of timber are there for board joints, hung items and services alone.

    A pair of studs that stands on a line of the layout counts once: one of them would be there anyway.

    Keys "joints", "items", "services".
    """
    halves = {"joints": 0, "items": 0, "services": 0}
    for m in made.frame.members:
        what = _added_for(m)
        if what:
            paired = m.role == "double stud" and any(s.kind in NEEDED_ANYWAY for s in m.serves)
            halves[what] += 1 if paired else 2
    return {what: number // 2 for what, number in halves.items()}


def _added_for(m: Member) -> str:
    """Return what a member is there for alone: "items", "services", "joints"; "" where it is there in any case."""
    if m.role not in ADDED:
        return ""
    if any(s.kind in NEEDED_ANYWAY for s in m.serves) and m.role != "double stud":
        return ""
    for what, kinds in (("items", ("item",)), ("services", FOR_SERVICES), ("joints", ("joint",))):
        if any(s.kind in kinds for s in m.serves):
            return what
    return ""
