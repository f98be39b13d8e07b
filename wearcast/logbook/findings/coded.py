"""Columns of texts as whole numbers, so that no rule compares a million texts with each other."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

MOST_KEYS = 2**62
"""Whole numbers that a key of several columns may take before it is numbered anew."""

MOST_SPAN = 2**31
"""Whole numbers that lie no farther apart are taken as they are."""


@dataclass(frozen=True, slots=True)
class Coded:
    """A column of texts, each distinct one kept once."""

    codes: np.ndarray
    """array (rows,) of int32: place in ``names``"""
    names: np.ndarray
    """array (names,) of str, sorted; one may stand in no row"""

    def seen(self, rows: np.ndarray | None = None) -> np.ndarray:
        """The texts that stand in these rows, sorted; in all where None.

        `rows` is an array (rows,) of bool, True in such a row; what comes back an array (names,).
        """
        return np.asarray(self.names[self.counts(rows) > 0])

    def counts(self, rows: np.ndarray | None = None) -> np.ndarray:
        """How many of these rows hold each name; of all where None.

        `rows` is an array (rows,) of bool, True in such a row; what comes back an array (names,).
        """
        codes = self.codes if rows is None or rows.all() else self.codes[rows]
        return np.bincount(codes, minlength=len(self.names))

    def holds(self, name: str) -> np.ndarray:
        """Array (rows,) of bool: True in the rows that hold this name."""
        place = np.searchsorted(self.names, name) if len(self.names) else 0
        there = place < len(self.names) and self.names[place] == name
        return self.codes == place if there else np.zeros(len(self.codes), bool)

    def places_in(self, names: np.ndarray) -> np.ndarray:
        """Array (names,) of int: place of each name of this column in other ones; -1: not there.

        `names` is an array (others,) of different names.
        """
        own = pd.Index(self.names, dtype=object)
        return np.asarray(pd.Index(names, dtype=object).get_indexer(own), np.int64)


def same_text(text: str, rows: int) -> np.ndarray:
    """A column of one text, array (rows,) of object; `np.full` would copy the text for each row."""
    return np.repeat(np.array([text], object), rows)


def coded(column: np.ndarray) -> Coded:
    """A code for each row of a column of texts, array (rows,)."""
    codes, distinct = pd.factorize(np.asarray(column, object))
    return sorted_codes(codes, distinct)


def sorted_codes(codes: np.ndarray, texts: Sequence[str] | np.ndarray) -> Coded:
    """The column that holds in each row one of these texts, which may repeat.

    `codes` is an array (rows,): place of the row's text.
    """
    places, names = pd.factorize(np.asarray(texts, object), sort=True)
    return Coded(np.asarray(places, np.int32)[codes], np.asarray(names, object))


def key_of(columns: Sequence[Coded | np.ndarray]) -> np.ndarray:
    """A whole number a row, alike where rows are alike in all columns; blanks are alike.

    Array (rows,) of int from arrays (rows,) of numbers, days or codes.
    """
    key, size = np.zeros(0, np.int64), 0
    for column in columns:
        codes, count = _places(column)
        codes = codes.astype(np.int64, copy=False)
        if not size:
            key, size = codes, count
            continue
        if size * count >= MOST_KEYS:
            key, names = pd.factorize(key)
            size = len(names)
        key, size = key * count + codes, size * count
    return key


def _places(column: Coded | np.ndarray) -> tuple[np.ndarray, int]:
    """Codes from 0 and how many there may be."""
    if isinstance(column, Coded):
        return column.codes, max(len(column.names), 1)
    if column.dtype == bool:
        return column.astype(np.int64), 2
    if column.dtype.kind == "M":
        column = column.astype("datetime64[D]").view(np.int64)  # a blank day is a number too
    if column.dtype.kind == "i" and len(column):
        column = column.astype(np.int64, copy=False)
        low, high = int(column.min()), int(column.max())
        if high - low < MOST_SPAN:
            return column - low, high - low + 1
    codes, distinct = pd.factorize(column)
    return codes.astype(np.int64) + 1, len(distinct) + 1


def repeated(key: np.ndarray) -> np.ndarray:
    """Array (rows,) of bool: True where another row has the same key; keys are whole numbers."""
    if len(key) < 2 or (key[1:] > key[:-1]).all():
        return np.zeros(len(key), bool)
    return np.asarray(pd.Series(key).duplicated(keep=False))
