"""Which rows of a sheet are rows of its table at all.

Blank rows, totals, repeated headings, the blank logbook's examples and stray cells are ignored;
all but the blank, example and open setting rows are told.
"""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from wearcast.logbook.columns.cells import is_empty
from wearcast.logbook.columns.headings import Grid
from wearcast.logbook.examples import MARK
from wearcast.logbook.spelling import heading_key
from wearcast.logbook.tables import Column

TOTALS = frozenset({"total", "totals", "sum", "subtotal", "grandtotal", "average", "mean"})
GAP = 20
"""A lone cell after so many blank rows is no row of the table."""
LONGEST_WORD = 40
UNIT_WORDS = frozenset(
    (
        *("h", "hr", "hrs", "hours", "d", "days", "min", "cm", "mm", "m", "m2/h", "m\u00b2/h"),
        *("pcs", "pieces", "%", "eur", "usd", "gbp", "text", "name", "number", "date", "id", "no"),
        *("yes/no", "y/n", "-", "yyyy-mm-dd", "dd/mm/yyyy", "mm/dd/yyyy", "dd.mm.yyyy"),
    )
)
"""What the row under the headings says where it gives units and formats."""


@dataclass(frozen=True, slots=True)
class Passed:
    """Rows that are passed over for one reason."""

    places: np.ndarray
    """Places in the grid, from 0."""
    wrong: str
    """Empty: not told."""
    remedy: str = ""


def passed_rows(grid: Grid) -> list[Passed]:
    """The rows of the grid that are no rows of its table, by reason."""
    filled = {name: cells.codes >= 0 for name, cells in grid.cells.items()}
    for name, cells in grid.cells.items():
        filled[name] &= ~cells.where(is_empty)
    count = np.sum(list(filled.values()), axis=0, dtype=int)
    found = [
        (count == 0, "", ""),
        (_examples(grid), "", ""),
        (_open_settings(grid, filled), "", ""),
        (_remarks(grid, count), "a remark, not a row of the table; passed over", ""),
        (_units(grid, filled, count), "units, not a row of the table; passed over", ""),
        (_totals(grid), "a total, not a row of the table; passed over", ""),
        (_repeated_headings(grid), "the headings once more; passed over", ""),
        (
            _strays(grid, filled, count),
            "a lone cell outside the table; passed over",
            "Remove it, or complete the row",
        ),
    ]
    seen = np.zeros(len(grid.rows), bool)
    passed = []
    for rows, wrong, remedy in found:
        places = np.flatnonzero(rows & ~seen)
        seen |= rows
        if places.size:
            passed.append(Passed(places, wrong, remedy))
    return passed


def _columns(grid: Grid, *kinds: str) -> list[Column]:
    return [one for one in grid.table.columns if one.name in grid.cells and one.kind in kinds]


def _holds(grid: Grid, column: Column, words: frozenset[str]) -> np.ndarray:
    """Rows whose cell in that column is one of these words."""

    def is_one(cell: object) -> bool:
        return isinstance(cell, str) and len(cell) < LONGEST_WORD and heading_key(cell) in words

    return grid.cells[column.name].where(is_one)


def _any(grid: Grid, found: Iterable[np.ndarray]) -> np.ndarray:
    return np.asarray(np.any([np.zeros(len(grid.rows), bool), *found], axis=0))


def _totals(grid: Grid) -> np.ndarray:
    """Rows whose name or date says that they are a total."""
    needed = [one for one in _columns(grid, "name", "date") if one.needed]
    return _any(grid, (_holds(grid, column, TOTALS) for column in needed))


def _open_settings(grid: Grid, filled: dict[str, np.ndarray]) -> np.ndarray:
    """Settings that a blank logbook lists and nobody has given a value."""
    if grid.table.name != "settings":
        return np.zeros(len(grid.rows), bool)
    return np.asarray(filled["setting"] & ~filled["value"])


def _examples(grid: Grid) -> np.ndarray:
    """The example rows of a blank logbook."""

    def is_marked(cell: object) -> bool:
        return isinstance(cell, str) and cell.startswith(MARK)

    return _any(
        grid, (grid.cells[column.name].where(is_marked) for column in _columns(grid, "name"))
    )


def _remarks(grid: Grid, count: np.ndarray) -> np.ndarray:
    """Rows of a single cell that begins like a comment."""

    def is_remark(cell: object) -> bool:
        return isinstance(cell, str) and cell.lstrip().startswith(("#", "//"))

    said = _any(grid, (cells.where(is_remark) for cells in grid.cells.values()))
    return np.asarray(said & (count == 1))


def _units(grid: Grid, filled: dict[str, np.ndarray], count: np.ndarray) -> np.ndarray:
    """The row under the headings that gives units and formats only."""

    def is_unit(cell: object) -> bool:
        return isinstance(cell, str) and cell.strip("[]() ").casefold() in UNIT_WORDS

    rows = np.asarray((count > 0) & (np.cumsum(count > 0) == 1))
    for name, cells in grid.cells.items():
        if rows.any():
            rows = np.asarray(rows & (cells.where(is_unit) | ~filled[name]))
    return rows


def _repeated_headings(grid: Grid) -> np.ndarray:
    """Rows in which every needed column holds a heading of its own."""
    needed = [column for column in grid.table.columns if column.needed]
    rows = np.full(len(grid.rows), len(needed) > 1)
    for column in needed:
        if rows.any():
            names = map(heading_key, (column.name, *column.also))
            rows &= _holds(grid, column, frozenset(names))
    return rows


def _strays(grid: Grid, filled: dict[str, np.ndarray], count: np.ndarray) -> np.ndarray:
    """Rows with a single cell that stand apart, or whose cell is not the row's first."""
    gap = np.diff(np.array(grid.rows), prepend=grid.rows[0]) > GAP
    needed = [column.name for column in grid.table.columns if column.needed]
    elsewhere = ~filled[needed[0]] if len(needed) > 1 else np.zeros(len(count), bool)
    return np.asarray((count == 1) & (gap | elsewhere))
