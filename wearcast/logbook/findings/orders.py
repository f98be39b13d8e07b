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
    run = np.zeros(len(_rows(columns[0])), np.int64)
    for place, column in enumerate(columns):
        key = _sortable(column)
        begins = np.diff(run, prepend=-1) != 0
        if ((key[1:] < key[:-1]) & ~begins[1:]).any():
            return _within(run, columns[place:])
        begins[1:] |= key[1:] != key[:-1]
        if begins.all():
            break
        run = np.cumsum(begins)
    return None


def _within(run: np.ndarray, columns: Sequence[Coded | np.ndarray]) -> np.ndarray:
    """Places of the rows, those of each run (a number that never falls) in order of the columns.

    Arrays (rows,); a run of one row costs nothing.
    """
    begins = np.diff(run, prepend=-1) != 0
    several = np.flatnonzero(~(begins & np.append(begins[1:], True)))
    keys = [_sortable(_rows(column)[several]) for column in columns]
    order = np.arange(len(run))
    order[several] = several[np.lexsort((*keys[::-1], run[several]))]
    return order


def _rows(column: Coded | np.ndarray) -> np.ndarray:
    """A column's values, or their codes: array (rows,)."""
    return column.codes if isinstance(column, Coded) else column


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
