"""Which rows of a sheet are rows of its table at all.

Blank rows, totals, repeated headings, the blank logbook's examples and stray cells are ignored;
all but the blank and example rows are told.
"""

from dataclasses import dataclass

import numpy as np

from wearcast.logbook.cells import empty_cells, text_of
from wearcast.logbook.examples import MARK
from wearcast.logbook.headings import Grid
from wearcast.logbook.spelling import heading_key
from wearcast.logbook.tables import Column

TOTALS = frozenset({"total", "totals", "sum", "subtotal", "grandtotal", "average", "mean"})
GAP = 20
"""A lone cell after so many blank rows is no row of the table."""


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
    empty = {name: empty_cells(cells) for name, cells in grid.cells.items()}
    filled = np.sum([~cells for cells in empty.values()], axis=0, dtype=int)
    found = [
        Passed(np.flatnonzero(filled == 0), ""),
        Passed(_marked(grid), ""),
        Passed(
            _totals(grid),
            "a total, not a row of the table; it was passed over",
        ),
        Passed(_repeated_headings(grid), "the headings once more; passed over"),
        Passed(
            _strays(grid, empty, filled),
            "a lone cell outside the table; it was passed over",
            "Remove it, or complete the row",
        ),
    ]
    seen = np.zeros(len(grid.rows), bool)
    passed = []
    for one in found:
        places = one.places[~seen[one.places]]
        seen[places] = True
        if places.size:
            passed.append(Passed(places, one.wrong, one.remedy))
    return passed


def _columns(grid: Grid, *kinds: str) -> list[Column]:
    return [one for one in grid.table.columns if one.name in grid.cells and one.kind in kinds]


def _where(cells: list[object], holds: frozenset[str]) -> np.ndarray:
    """Places of texts whose key is one of these."""
    keys: dict[str, bool] = {}
    found = []
    for place, cell in enumerate(cells):
        if not isinstance(cell, str) or len(cell) > 40:
            continue
        if cell not in keys:
            keys[cell] = heading_key(cell) in holds
        if keys[cell]:
            found.append(place)
    return np.array(found, int)


def _totals(grid: Grid) -> np.ndarray:
    """Rows whose name or date says that they are a total."""
    needed = [one for one in _columns(grid, "name", "date") if one.needed]
    return _join([_where(grid.cells[column.name], TOTALS) for column in needed])


def _marked(grid: Grid) -> np.ndarray:
    """The example rows of a blank logbook."""
    found = [
        np.array(
            [
                place
                for place, cell in enumerate(grid.cells[column.name])
                if isinstance(cell, str) and cell.startswith(MARK)
            ],
            int,
        )
        for column in _columns(grid, "name")
    ]
    return _join(found)


def _repeated_headings(grid: Grid) -> np.ndarray:
    """Rows in which every needed column holds its own heading."""
    needed = [column for column in grid.table.columns if column.needed]
    places = [set(_where(grid.cells[one.name], _heading_keys(one)).tolist()) for one in needed]
    return np.array(sorted(set.intersection(*places)) if len(places) > 1 else [], int)


def _heading_keys(column: Column) -> frozenset[str]:
    return frozenset(heading_key(name) for name in (column.name, *column.also))


def _strays(grid: Grid, empty: dict[str, np.ndarray], filled: np.ndarray) -> np.ndarray:
    """Rows with a single cell that stand apart, or whose cell is not the row's first."""
    if not len(filled):
        return np.array([], int)
    gap = np.diff(np.array(grid.rows), prepend=grid.rows[0]) > GAP
    needed = [column.name for column in grid.table.columns if column.needed]
    elsewhere = empty[needed[0]] if len(needed) > 1 else np.zeros(len(filled), bool)
    return np.flatnonzero((filled == 1) & (gap | elsewhere))


def _join(places: list[np.ndarray]) -> np.ndarray:
    return np.unique(np.concatenate([np.array([], int), *places]))


def cell_words(grid: Grid, place: int) -> str:
    """The first filled cell of a row, as written."""
    texts = (text_of(cells[place]).strip() for cells in grid.cells.values())
    return next((text for text in texts if text), "")
