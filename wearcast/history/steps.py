"""Finding one's place in columns that rise within each group.

Tables here are sorted by group (a machine, a position) and then by something that never falls
(a day, run hours). Groups are whole numbers from 0.
"""

import numpy as np
import pandas as pd
from numpy.typing import NDArray

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]


def last_at_or_before(
    group: Ints, value: np.ndarray, asked_group: Ints, asked_value: np.ndarray
) -> Ints:
    """Row of the last value at or before each asked one in its group; -1 where there is none.

    Parameters
    ----------
    group, value : arrays (rows,)
        Sorted by group, then by value.
    asked_group, asked_value : arrays (asked,)
        In any order, of the same kinds.
    """
    if len(group) == 0 or len(asked_group) == 0:
        return np.full(len(asked_group), -1, dtype=np.int64)
    value, asked_value = _ranks(value, asked_value)
    span = np.int64(max(value.max(), asked_value.max()) + 1)
    found = np.searchsorted(group * span + value, asked_group * span + asked_value, "right") - 1
    inside = (found >= 0) & (group[np.maximum(found, 0)] == asked_group)
    return np.where(inside, found, -1).astype(np.int64)


def _ranks(value: np.ndarray, asked: np.ndarray) -> tuple[Ints, Ints]:
    """Whole numbers from 0 in the same order as both columns of values together."""
    if value.dtype.kind == "i" and asked.dtype.kind == "i":
        low = min(value.min(), asked.min())
        return value - low, asked - low
    # Ranks keep the comparison exact, where adding a big number to a float would not.
    ranks = np.unique(np.concatenate([value, asked]), return_inverse=True)[1]
    return ranks[: len(value)], ranks[len(value) :]


def starts_of(group: Ints) -> Bools:
    """True on the first row of each group of a sorted column."""
    first = np.ones(len(group), dtype=bool)
    first[1:] = group[1:] != group[:-1]
    return first


def ends_of(group: Ints) -> Bools:
    """True on the last row of each group of a sorted column."""
    last = np.ones(len(group), dtype=bool)
    last[:-1] = group[1:] != group[:-1]
    return last


def per_group(
    group: Ints, chosen: Bools, value: np.ndarray, groups: int, blank: float = np.nan
) -> Floats:
    """Array (groups,): the value in the one row of each group that is chosen; blank without.

    `group`, `chosen` and `value` are arrays (rows,).
    """
    found = np.full(groups, blank, dtype=float)
    found[group[chosen]] = value[chosen]
    return found


def last_true(flag: Bools, group: Ints) -> Ints:
    """Row of the last True at or before each row of its group; -1 where there is none."""
    if len(group) == 0:
        return np.zeros(0, dtype=np.int64)
    rows = np.arange(len(group))
    start = np.maximum.accumulate(np.where(starts_of(group), rows, 0))
    seen = np.maximum.accumulate(np.where(flag, rows, -1))
    return np.where(seen >= start, seen, -1).astype(np.int64)


EVER = -(2**31)
"""A day before any that a log can name: where a date is blank, or from ever."""


def day_numbers(dates: pd.Series) -> Ints:
    """Days since 1970-01-01; `EVER` where a date is blank."""
    days = dates.to_numpy().astype("datetime64[D]").astype(np.int64)
    return np.maximum(days, EVER)


def dates_of(days: Ints) -> NDArray[np.datetime64]:
    """Midnight timestamps of day numbers, arrays of any shape."""
    return np.asarray(days).astype("datetime64[D]").astype("datetime64[ns]")


def codes_of(names: pd.Series, known: pd.Index) -> Ints:
    """Place of each name in a sorted index; -1 where it is not there."""
    codes, seen = pd.factorize(names)
    places = known.get_indexer(pd.Index(seen))
    return np.asarray(np.append(places, -1)[codes], dtype=np.int64)


def placed(column: pd.Series, at: Ints, blank: object) -> np.ndarray:
    """Values of a column at some of its rows, array (rows,); the blank where a row is -1.

    `at` is an array (rows,) of row numbers of the column.
    """
    values = column.to_numpy()
    kind = object if isinstance(blank, str) else type(blank)
    if not len(values):
        return np.full(len(at), blank, dtype=kind)
    out = values[at].astype(kind, copy=False)
    out[at < 0] = blank
    return out
