"""Rows of a sheet that say something beside its table: examples, units, remarks, drawn lines.

Each function marks such rows of a grid: array of bool (rows,).
"""

from collections.abc import Callable, Iterable
from functools import partial

import numpy as np

from wearcast.logbook.schema.examples import MARK, example_of
from wearcast.logbook.schema.tables import Column
from wearcast.logbook.schema.vocabulary import EXAMPLES, RULE, UNIT_WORDS
from wearcast.logbook.sheets.headings import Grid
from wearcast.logbook.sources.cell_texts import is_empty, says_missing, text_of


def filled_cells(grid: Grid) -> dict[str, np.ndarray]:
    """Which rows hold something, by column.

    Arrays (rows,) of bool: True where the cell is filled.
    """
    return {name: (cells.codes >= 0) & ~cells.said(is_empty) for name, cells in grid.cells.items()}


def count_of(grid: Grid, filled: dict[str, np.ndarray]) -> np.ndarray:
    """How many columns are filled in each row: arrays (rows,) of bool, and of int8."""
    count = np.zeros(len(grid.rows), np.int8)  # there are `MOST_COLUMNS` at most
    for column in filled.values():
        count += column
    return count


def columns_of(grid: Grid, *kinds: str) -> list[Column]:
    """The columns of these kinds that a heading was found for."""
    return [one for one in grid.table.columns if one.name in grid.cells and one.kind in kinds]


def any_of(grid: Grid, found: Iterable[np.ndarray]) -> np.ndarray:
    """Rows that are marked in any of these arrays.

    Arrays (rows,) of bool: True in the rows that are marked.
    """
    return np.asarray(np.any([np.zeros(len(grid.rows), bool), *found], axis=0))


def complete_rows(grid: Grid, filled: dict[str, np.ndarray]) -> np.ndarray:
    """Rows in which every needed cell is filled.

    Arrays (rows,) of bool: True in such a row.
    """
    needed = [filled[one.name] for one in grid.table.columns if one.needed]
    return np.asarray(np.all(needed, axis=0))


def only(
    grid: Grid, filled: dict[str, np.ndarray], rows: np.ndarray, test: Callable[[object], bool]
) -> np.ndarray:
    """Of these rows, those whose every filled cell passes the test of words.

    `rows` and what comes back: arrays (rows,) of bool, True in such a row.
    """
    for name, cells in grid.cells.items():
        if rows.any():
            rows = np.asarray(rows & (cells.said(test) | ~filled[name]))
    return rows


def examples(grid: Grid) -> np.ndarray:
    """The example rows of a blank logbook.

    Array (rows,) of bool: True in such a row.
    """

    def is_marked(cell: object) -> bool:
        return isinstance(cell, str) and cell.startswith(MARK)

    return any_of(
        grid, (grid.cells[column.name].said(is_marked) for column in columns_of(grid, "name"))
    )


def untouched(grid: Grid, filled: dict[str, np.ndarray]) -> np.ndarray:
    """Rows that hold what the blank logbook's example holds, but for dates, or nothing.

    Arrays (rows,) of bool: True in such a row.
    """
    rows = np.ones(len(grid.rows), bool)
    for column in grid.table.columns:
        if column.kind != "date" and column.name in grid.cells:
            same = partial(_reads, text_of(example_of(grid.table.name, column)))
            rows &= grid.cells[column.name].where(same) | ~filled[column.name]
    return rows


def _reads(text: str, cell: object) -> bool:
    return text_of(cell) == text


def own_examples(grid: Grid) -> np.ndarray:
    """Example rows of a blank table that somebody made: ``e.g. M-001``.

    Array (rows,) of bool: True in such a row.
    """

    def is_example(cell: object) -> bool:
        return isinstance(cell, str) and cell.replace(". ", ".").startswith(EXAMPLES)

    return grid.cells[grid.table.columns[0].name].said(is_example)


def drawn_lines(grid: Grid, filled: dict[str, np.ndarray], count: np.ndarray) -> np.ndarray:
    """Rows that hold nothing but a line drawn with hyphens or the like.

    Arrays (rows,): `count` of filled cells; True in such a row.
    """

    def is_rule(cell: object) -> bool:
        return isinstance(cell, str) and RULE.fullmatch(cell.strip()) is not None

    return only(grid, filled, count > 0, is_rule)


def remarks(grid: Grid, filled: dict[str, np.ndarray], count: np.ndarray) -> np.ndarray:
    """Rows of a single cell that begins like a comment, and such as ``Checked by: | K``.

    Arrays (rows,): `count` of filled cells; True in such a row.
    """

    def is_remark(cell: object) -> bool:
        return isinstance(cell, str) and cell.lstrip().startswith(("#", "//"))

    def is_label(cell: object) -> bool:
        return isinstance(cell, str) and cell.rstrip().endswith(":")

    said = any_of(grid, (cells.said(is_remark) for cells in grid.cells.values()))
    label = grid.cells[grid.table.columns[0].name].said(is_label)
    return np.asarray((said & (count == 1)) | (label & ~complete_rows(grid, filled)))


def units(grid: Grid, filled: dict[str, np.ndarray], count: np.ndarray) -> np.ndarray:
    """The row under the headings that gives units and formats only.

    Arrays (rows,): `count` of filled cells; True in that row.
    """

    def is_unit(cell: object) -> bool:
        return isinstance(cell, str) and cell.strip("[]() ").casefold() in UNIT_WORDS

    return only(grid, filled, _first_filled(count), is_unit)


def _first_filled(count: np.ndarray) -> np.ndarray:
    """The first row that holds something."""
    return np.asarray((count > 0) & (np.cumsum(count > 0) == 1))


def other_headings(grid: Grid, filled: dict[str, np.ndarray], count: np.ndarray) -> np.ndarray:
    """The row under the headings that puts them otherwise: kinds of cells, another language.

    Arrays (rows,): `count` of filled cells; True in that row.

    It has words alone where dates and numbers belong, and its name stands nowhere else.
    """

    def is_word(cell: object) -> bool:
        return isinstance(cell, str) and not any(map(str.isdigit, cell)) and not says_missing(cell)

    measures = columns_of(grid, "date", "number", "count", "share")
    words = {one.name: filled[one.name] & grid.cells[one.name].said(is_word) for one in measures}
    several = np.sum(list(words.values()), axis=0, dtype=int) > 1
    numbers = any_of(grid, (filled[name] & ~said for name, said in words.items()))
    names = grid.cells[grid.table.columns[0].name].codes
    lone = np.bincount(names + 1, minlength=2)[names + 1] == 1
    return np.asarray(_first_filled(count) & several & ~numbers & lone)
