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
    order: np.ndarray | None = None
    run = np.zeros(len(_rows(columns[0])), np.int64)
    several = np.arange(len(run) if len(run) > 1 else 0)
    for column in columns:
        if not several.size:
            break
        # Rows that stand alone in their run have their place; the others are put in order.
        rows = several if order is None else order[several]
        key = _sortable(_rows(column)[rows])
        here = run[several]
        together = here[1:] == here[:-1]
        if ((key[1:] < key[:-1]) & together).any():
            order = np.arange(len(run)) if order is None else order
            by = np.lexsort((key, here)) if here[-1] else np.argsort(key, kind="stable")
            order[several], key = rows[by], key[by]
        begins = np.append(True, (key[1:] != key[:-1]) | ~together)
        lone = begins & np.append(begins[1:], True)
        run[several] = np.cumsum(begins)
        several = several[~lone]
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
    both = {str(name): column for name, column in frame.items()} | columns
    return pd.DataFrame(both, index=frame.index, copy=False)
