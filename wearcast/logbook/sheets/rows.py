"""Which rows of a sheet are rows of its table at all.

Blank rows, totals, repeated headings, the blank logbook's examples and stray cells are ignored;
all but the blank, example and open setting rows are told.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from wearcast.logbook.schema.names import HEADING_KEYS
from wearcast.logbook.schema.spelling import fold, heading_key
from wearcast.logbook.schema.tables import ABOUT_OTHERS, Column
from wearcast.logbook.schema.vocabulary import EXTREMES, TOTALS
from wearcast.logbook.sheets.beside import (
    any_of,
    complete_rows,
    count_of,
    drawn_lines,
    examples,
    filled_cells,
    only,
    other_headings,
    own_examples,
    remarks,
    units,
    untouched,
)
from wearcast.logbook.sheets.cells import bears_no_word, numbers_of
from wearcast.logbook.sheets.headings import Grid
from wearcast.logbook.sources.cell_texts import text_of
from wearcast.told import Severity

GAP = 20
"""A lone cell after so many blank rows is no row of the table."""
LONGEST_WORD = 40
FULL = 3
"""Filled cells of the usual row of a catalogue or list of machines that is more than names."""
_SEPARATORS = frozenset(";\t|")
"""A text with one of these in it may be a whole row."""
_OWN_ROW = "Write its own name if it is a row of yours"
_FOREIGN: tuple[str, str, Severity] = (
    "the headings of another table; it and all rows below were left out",
    "Put it on a sheet of its own",
    "set aside",
)
_OVERLONG: tuple[str, str, Severity] = (
    "more cells than there are headings",
    "Put quotation marks around a text or number with the separator in it",
    "set aside",
)
_SPLIT: tuple[str, str, Severity] = (
    "a digit where yes or no belongs: a decimal comma seems to have parted the number before it",
    "Write the number with a decimal point, or put quotation marks around it",
    "set aside",
)
_LONE_TEXT: tuple[str, str, Severity] = (
    "a lone text that names nothing else in the logbook; passed over as a remark",
    "Complete the row if it is one",
    "note",
)
_STRAY: tuple[str, str, Severity] = (
    "a lone cell outside the table; passed over",
    "Remove it, or complete the row",
    "note",
)


@dataclass(frozen=True, slots=True)
class Passed:
    """Rows that are passed over for one reason."""

    places: np.ndarray
    """Places in the grid, from 0."""
    wrong: str
    """Empty: not told."""
    remedy: str = ""
    severity: Severity = "note"
    """``set aside`` where something was lost."""


def passed_rows(grid: Grid) -> list[Passed]:
    """The rows of the grid that are no rows of its table, by reason."""
    if "passed" not in grid.known:
        grid.known["passed"] = _passed_rows(grid)
    passed: list[Passed] = grid.known["passed"]
    return passed


def _passed_rows(grid: Grid) -> list[Passed]:
    if not grid.rows:
        return []  # a mapping left none
    filled = filled_cells(grid)
    count = count_of(grid, filled)
    marked = examples(grid)
    found: list[tuple[np.ndarray, str, str, Severity]] = [
        (count == 0, "", "", "note"),
        (marked & untouched(grid, filled) if marked.any() else marked, "", "", "note"),
        (marked, "an example, not a row of the table; passed over", _OWN_ROW, "note"),
        (_open_settings(grid, filled), "", "", "note"),
        (_foreign(grid, filled, count), *_FOREIGN),
        (_at(grid, grid.overlong), *_OVERLONG),
        (_at(grid, grid.split), *_SPLIT),
        (
            drawn_lines(grid, filled, count),
            "a drawn line, not a row of the table; passed over",
            "",
            "note",
        ),
        (own_examples(grid), "an example, not a row of the table; passed over", "", "note"),
        (
            remarks(grid, filled, count),
            "a remark, not a row of the table; passed over",
            "",
            "note",
        ),
        (units(grid, filled, count), "units, not a row of the table; passed over", "", "note"),
        (
            other_headings(grid, filled, count),
            "words about the columns, no row; passed over",
            "",
            "note",
        ),
        (_totals(grid, filled, count), "a total, not a row of the table; passed over", "", "note"),
        (_repeated_headings(grid), "the headings once more; passed over", "", "note"),
        (_strays(grid, filled, count), *_STRAY),
        (_lone_texts(grid, filled, count), *_LONE_TEXT),
    ]
    seen = np.zeros(len(grid.rows), bool)
    passed = []
    for rows, wrong, remedy, severity in found:
        places = np.flatnonzero(rows & ~seen)
        seen |= rows
        if places.size:
            passed.append(Passed(places, wrong, remedy, severity))
    return passed


def mask_of(grid: Grid, passed: Sequence[Passed]) -> np.ndarray:
    """Rows that these are about: array (rows,) of bool."""
    skip = np.zeros(len(grid.rows), bool)
    for one in passed:
        skip[one.places] = True
    return skip


def first_names(grids: Iterable[Grid]) -> frozenset[str]:
    """What rows with more in them name: first columns, and those that pick from such a one."""
    names: set[str] = set()
    for grid in grids:
        company = count_of(grid, filled_cells(grid)) > 1
        for place, column in enumerate(grid.table.columns):
            cells = grid.cells.get(column.name)
            if cells is not None and (column.refers or not place):
                codes = cells.codes[company & (cells.codes >= 0)]
                for code in np.flatnonzero(np.bincount(codes)):
                    names.add(fold(text_of(cells.distinct[code])))
    return frozenset(names)


def _holds(grid: Grid, column: Column, words: frozenset[str]) -> np.ndarray:
    """Rows whose cell in that column is one of these words."""

    def is_one(cell: object) -> bool:
        return isinstance(cell, str) and len(cell) < LONGEST_WORD and heading_key(cell) in words

    # A heading of the person's own may be a word with a number in it.
    cells = grid.cells[column.name]
    return cells.where(is_one) if any(map(bears_no_word, words)) else cells.said(is_one)


def _totals(grid: Grid, filled: dict[str, np.ndarray], count: np.ndarray) -> np.ndarray:
    """Rows whose name or date says that they are a total, alone or of a name: ``M-014 Total``.

    A name with such a word in it (a pad called Total) is no total where its row is complete; a
    lone text among fuller rows never is.
    """

    def is_subtotal(cell: object) -> bool:
        words = cell.split() if isinstance(cell, str) and len(cell) < LONGEST_WORD else []
        keys = {heading_key(word) for word in (*words[:2], *words[-1:])}
        return not TOTALS.isdisjoint(keys) or (len(words) == 1 and not EXTREMES.isdisjoint(keys))

    needed = [one for one in grid.table.columns if one.needed]
    named = [one for one in needed if one.kind in ("name", "date")]
    totals = any_of(grid, (_holds(grid, one, TOTALS) for one in named))
    subtotals = any_of(grid, (grid.cells[one.name].said(is_subtotal) for one in named))
    complete = complete_rows(grid, filled) & ((count > 1) | (count.max() < 2))
    return np.asarray(totals | (subtotals & ~complete))


def _foreign(grid: Grid, filled: dict[str, np.ndarray], count: np.ndarray) -> np.ndarray:
    """Headings of another table below rows of this one, and every row from there on."""
    rows = np.zeros(len(grid.rows), bool)
    if grid.table.name in ABOUT_OTHERS:
        return rows

    def is_heading(cell: object) -> bool:
        return (
            isinstance(cell, str) and len(cell) < LONGEST_WORD and heading_key(cell) in HEADING_KEYS
        )

    other = (count > 1) & ~_repeated_headings(grid)
    other = only(grid, filled, other, is_heading)
    before = np.maximum.accumulate(complete_rows(grid, filled) & ~other)
    return np.asarray(np.maximum.accumulate(other & before)) if other.any() else rows


def _at(grid: Grid, places: list[int]) -> np.ndarray:
    """The rows at these places."""
    rows = np.zeros(len(grid.rows), bool)
    rows[places] = True
    return rows


def _open_settings(grid: Grid, filled: dict[str, np.ndarray]) -> np.ndarray:
    """Settings that a blank logbook lists and nobody has given a value."""
    if grid.table.name != "settings":
        return np.zeros(len(grid.rows), bool)
    return np.asarray(filled["setting"] & ~filled["value"])


def _repeated_headings(grid: Grid) -> np.ndarray:
    """Rows in which every needed column holds a heading of its own."""
    needed = [column for column in grid.table.columns if column.needed]
    rows = np.full(len(grid.rows), len(needed) > 1)
    for column in needed:
        if rows.any():
            here = grid.headed.get(column.name, column.name)
            names = map(heading_key, (column.name, here, *column.also))
            rows &= _holds(grid, column, frozenset(names))
    return rows


def _lone_texts(grid: Grid, filled: dict[str, np.ndarray], count: np.ndarray) -> np.ndarray:
    """Rows of a single text in the first column that is no name: a signature, a hall's name.

    Where a name is all that is needed, only such as stand among fuller rows.
    """

    def is_text(cell: object) -> bool:
        text = text_of(cell)
        return fold(text) not in grid.company and _SEPARATORS.isdisjoint(text)

    needed = [one.name for one in grid.table.columns if one.needed]
    lone = (count == 1) & filled[needed[0]]
    if len(needed) < 2 and lone.any() and np.median(count[count > 0]) < FULL:
        return np.zeros(len(count), bool)
    return np.asarray(lone & grid.cells[needed[0]].where(is_text)) if lone.any() else lone


def _strays(grid: Grid, filled: dict[str, np.ndarray], count: np.ndarray) -> np.ndarray:
    """Rows with a single cell that stand apart, or whose cell is not the row's first."""
    gap = np.diff(numbers_of(grid.rows), prepend=grid.rows[0]) > GAP
    needed = [column.name for column in grid.table.columns if column.needed]
    elsewhere = ~filled[needed[0]] if len(needed) > 1 else np.zeros(len(count), bool)
    return np.asarray((count == 1) & (gap | elsewhere))
