"""CSV files without any oddity, read by columns, as most files are.

A file goes through here if its cells can be read in one way only: one delimiter, no quotation
marks, records of one width, none blank. Its cells are those that `sources/csv_cells.py` finds
record by record; each distinct one is kept once, so that nothing below looks at a million cells.
"""

import csv
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from io import BytesIO
from typing import overload

import numpy as np
import pandas as pd

from wearcast.logbook.sources.sheet import LONGEST_TEXT, MOST_COLUMNS

DELIMITERS = (",", ";", "\t", "|")
FEWEST_ROWS = 50
"""Shorter files are read as quickly record by record."""

HEAD, HEAD_ROWS = 100_000, 1_000
"""Letters and rows from whose cells a column is judged."""
FEW = 0.3
"""Different texts a row, at most, of a column that is read a distinct one at a time."""


@dataclass(frozen=True, slots=True)
class Lane:
    """One column of texts, each distinct one kept once."""

    codes: np.ndarray
    """array (rows,) of int32: place in ``distinct``"""
    distinct: np.ndarray
    """array of str, in any order"""

    def texts(self) -> np.ndarray:
        """The cells, array (rows,) of str."""
        return np.asarray(self.distinct[self.codes])

    def in_order(self) -> tuple[np.ndarray, tuple[str, ...]]:
        """Codes and distinct texts, in the order in which these first stand in the rows."""
        codes, used = pd.factorize(self.codes)
        return codes.astype(np.int32), tuple(self.distinct[used].tolist())


@dataclass(frozen=True, slots=True)
class CleanRows(Sequence[list[object]]):
    """Rows of a sheet that are kept by column, all of one width."""

    lanes: tuple[Lane, ...]

    def __len__(self) -> int:
        """How many rows there are."""
        return len(self.lanes[0].codes)

    @overload
    def __getitem__(self, place: int) -> list[object]: ...
    @overload
    def __getitem__(self, place: slice) -> "CleanRows": ...
    def __getitem__(self, place: int | slice) -> "list[object] | CleanRows":
        """One row's cells, or some of the rows."""
        if isinstance(place, slice):
            return CleanRows(tuple(Lane(one.codes[place], one.distinct) for one in self.lanes))
        return [one.distinct[one.codes[place]] for one in self.lanes]

    def __iter__(self) -> Iterator[list[object]]:
        """Row by row."""
        return map(list, zip(*(one.texts().tolist() for one in self.lanes), strict=True))


def widest(rows: Sequence[Sequence[object]]) -> int:
    """Cells of the longest row."""
    if isinstance(rows, CleanRows):
        return len(rows.lanes) if len(rows) else 0
    return max(map(len, rows), default=0)


def is_even(content: bytes) -> bool:
    """Whether a file's cells can only be read in one way, and are worth reading by columns.

    Lines are parted by a line feed alone, the last one without.
    """
    marks = [mark for mark in DELIMITERS if mark.encode() in content]
    if len(marks) != 1 or b'"' in content or content[:4].lower() == b"sep=":
        return False
    # Counted before any place is listed: some files are nothing but commas.
    letters, delimiter = np.frombuffer(content, np.uint8), ord(marks[0])
    ends, between = letters == ord("\n"), letters == delimiter
    records = int(np.count_nonzero(ends)) + 1
    width, rest = divmod(int(np.count_nonzero(between)), records)
    if records < FEWEST_ROWS or rest or not 1 <= width < MOST_COLUMNS:
        return False
    last = np.append(np.flatnonzero(ends), len(letters))
    return _even(last, np.flatnonzero(between).reshape(records, width))


def read_clean(text: str) -> tuple[CleanRows, str] | None:
    """The rows of a text of separated values and its delimiter; None if it has to be looked at.

    Lines are parted by a line feed alone, the last one without.
    """
    content = text.encode()
    if not is_even(content):
        return None
    delimiter = next(mark for mark in DELIMITERS if mark in text)
    few = _few_different(text, delimiter)
    if not _categories_are_texts():
        few = [False] * len(few)
    table = pd.read_csv(
        BytesIO(content),
        sep=delimiter,
        header=None,
        dtype={place: "category" if here else str for place, here in enumerate(few)},
        na_filter=False,
        quoting=csv.QUOTE_NONE,
        skip_blank_lines=False,
        encoding="utf-8",
    )
    return CleanRows(tuple(_lane(table[place]) for place in table)), delimiter


@cache
def _categories_are_texts() -> bool:
    """Whether this pandas leaves the texts of a categorical column alone; some make numbers."""
    table = pd.read_csv(BytesIO(b"007"), header=None, dtype="category")
    return list(table[0].cat.categories) == ["007"]


def _few_different(text: str, delimiter: str) -> list[bool]:
    """Which columns seem to have few different texts; that saves time, and settles nothing."""
    records = [line.split(delimiter) for line in text[:HEAD].split("\n", HEAD_ROWS)[:-1]]
    return [len(set(column)) <= FEW * len(column) for column in zip(*records, strict=False)]


def _lane(column: pd.Series) -> Lane:
    if isinstance(column.dtype, pd.CategoricalDtype):
        distinct = column.cat.categories.to_numpy(object)
        return Lane(column.cat.codes.to_numpy(np.int32), distinct)
    codes, distinct = pd.factorize(column.to_numpy(object))
    return Lane(codes.astype(np.int32), np.asarray(distinct, object))


def _even(ends: np.ndarray, between: np.ndarray) -> bool:
    """Whether all records have as many delimiters, and none is long or blank.

    Places of the ends of records, array (records,), and of the delimiters if each has its own,
    array (records, width).
    """
    before = np.append(-1, ends[:-1])
    lengths = ends - before - 1
    return bool(
        (between[:, 0] > before).all()
        and (between[:, -1] < ends).all()
        and lengths.min() > between.shape[1]
        and lengths.max() < LONGEST_TEXT
    )
