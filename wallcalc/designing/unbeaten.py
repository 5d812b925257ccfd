"""Which options no other option beats on everything that matters."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pandas as pd


def trade_offs(table: pd.DataFrame, low: Sequence[str] = (), high: Sequence[str] = ()) -> pd.DataFrame:
    """Return the rows that no other row beats.

    One row beats another when it is at least as good on every named column and better on one. Rows with a missing
    value in a named column (unbuildable options among them) are left out; of rows alike in all named columns every
    one stays.

    Parameters
    ----------
    table : pandas.DataFrame
        A study.
    low, high : sequence of str
        Columns wanted low, and wanted high.

    Returns
    -------
    pandas.DataFrame
        Rows of the table in its order, with its index.

    Raises
    ------
    KeyError
        Naming the columns that the table does not have, or when no column is named.
    """
    names = [*low, *high]
    missing = [name for name in names if name not in table.columns]
    if missing or not names:
        raise KeyError(f"name columns of the table; not there: {', '.join(missing) or 'none named'}")
    values = np.column_stack(
        [
            table[name].to_numpy(dtype=float) * sign
            for group, sign in ((low, 1.0), (high, -1.0))
            for name in group
        ]
    )
    complete = ~np.isnan(values).any(axis=1)
    kept = np.flatnonzero(complete)
    points = values[kept]
    unbeaten = [
        row
        for row, point in zip(kept, points, strict=True)
        if not ((points <= point).all(axis=1) & (points < point).any(axis=1)).any()
    ]
    return table.iloc[unbeaten]
