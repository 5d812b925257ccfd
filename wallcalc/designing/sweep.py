"""A study: many options of one wall, one row each."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import Executor
from os import PathLike
from typing import Any

import pandas as pd

from wallcalc.designing.pipeline import SECONDS, design, prices_of, rules_of
from wallcalc.designing.result import SUMMARY_COLUMNS
from wallcalc.errors import OptionError
from wallcalc.given.option import OPTION_FIELDS, Option
from wallcalc.given.wall import Wall
from wallcalc.sound import DEFAULT
from wallcalc.trade.prices import PriceBook
from wallcalc.trade.rules import Rules

CHUNK = 64
"""Options handed to an executor at a time."""


def study(
    wall: Wall,
    options: Iterable[Option],
    *,
    rules: Rules | str | PathLike[str] | None = None,
    prices: PriceBook | str | PathLike[str] | None = None,
    executor: Executor | None = None,
    progress: Callable[[int, int], None] | None = None,
    seconds: float = SECONDS,
    model: str = DEFAULT,
) -> pd.DataFrame:
    """Return one row for each option: its keywords, cost, waste, counts, sound and checks.

    Options that cannot be built stay as rows: ``buildable`` is False, ``reason`` says why, numbers are NaN. For
    the nearest change that works ask :func:`wallcalc.design` for that option.

    Parameters
    ----------
    wall : Wall
        The given wall.
    options : iterable of Option
        What to compare, in order; :func:`wallcalc.options` makes grids.
    rules, prices
        As for :func:`wallcalc.design`.
    executor : concurrent.futures.Executor, optional
        Runs the options in chunks elsewhere; in this process when left out.
    progress : callable, optional
        Called with (options done, options in all).
    seconds : float
        Time that each cutting plan may take.
    model : str
        Sound model.

    Returns
    -------
    pandas.DataFrame
        Index 0, 1, ... in the order of the options. Money in the price book's currency, lengths in m (``joint_length``
        and its parts, ``timber_kept``), mass in kg, waste as shares.

    Raises
    ------
    WallError
        When an opening does not fit the wall.
    """
    law = rules_of(rules)
    book = prices_of(prices, law)
    chosen = list(options)
    rows: list[dict[str, Any]] = []
    chunks = (
        [chosen[i : i + CHUNK] for i in range(0, len(chosen), CHUNK)] if executor else [[o] for o in chosen]
    )
    job = (law, book, seconds, model)
    done = (
        executor.map(_rows, [wall] * len(chunks), chunks, [job] * len(chunks))
        if executor
        else (_rows(wall, chunk, job) for chunk in chunks)
    )
    for found in done:
        rows += found
        if progress is not None:
            progress(len(rows), len(chosen))
    return pd.DataFrame(rows, columns=[*OPTION_FIELDS, *SUMMARY_COLUMNS])


def _rows(
    wall: Wall, options: Sequence[Option], job: tuple[Rules, PriceBook, float, str]
) -> list[dict[str, Any]]:
    law, book, seconds, model = job
    rows = []
    for option in options:
        try:
            made = design(
                wall, option, rules=law, prices=book, seconds=seconds, model=model, search_changes=False
            )
            rows.append(made.summary())
        except OptionError as error:
            row: dict[str, Any] = {name: getattr(option, name) for name in OPTION_FIELDS}
            row.update(dict.fromkeys(SUMMARY_COLUMNS, float("nan")))
            row.update(buildable=False, reason=str(error), proven=False)
            rows.append(row)
    return rows
