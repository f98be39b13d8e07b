"""Rows in the order of what stands in their columns, found without sorting where they have it."""

from collections.abc import Sequence
from typing import Any

import numpy as np
import pandas as pd

from wearcast.logbook.findings.coded import Coded, coded


def order_of(columns: Sequence[Coded | np.ndarray]) -> np.ndarray | None:
    """Places of the rows in order of the first column, then the second ...; None: as they stand.

    Array (rows,) of row places; columns are arrays (rows,). Rows that are alike in all stay in
    their order; blanks come last.
    """
    keys = [_sortable(column) for column in columns]
    if not keys or _in_order(keys):
        return None
    unlike = [key for key in keys if (key != key[0]).any()]
    return np.lexsort(unlike[::-1])


def _in_order(keys: Sequence[np.ndarray]) -> bool:
    """Whether no row stands before one that comes before it; keys are arrays (rows,)."""
    tied: np.ndarray | slice = slice(None)
    for key in keys:
        before, after = key[:-1][tied], key[1:][tied]
        if (before > after).any():
            return False
        alike = before == after
        if not alike.any():
            return True
        tied = np.flatnonzero(alike) if isinstance(tied, slice) else tied[alike]
    return True


def _sortable(column: Coded | np.ndarray) -> np.ndarray:
    """The column as numbers in its order, array (rows,): blanks are beyond all others."""
    if isinstance(column, Coded):
        return column.codes
    if column.dtype.kind == "O":
        return coded(column).codes
    if column.dtype.kind == "M":
        days = column.view(np.int64)
        return np.where(np.isnat(column), np.iinfo(np.int64).max, days)
    if column.dtype.kind == "f":
        return np.where(np.isnan(column), np.inf, column)
    return column


def with_columns(frame: pd.DataFrame, columns: dict[str, Any]) -> pd.DataFrame:
    """The frame with some columns set; the others are shared with it, not copied."""
    both = frame.copy(deep=False)
    for name, column in columns.items():
        both[name] = column
    return both
