"""Which rows of a sheet are rows of its table at all.

Blank rows, totals, repeated headings, the blank logbook's examples and stray cells are ignored;
all but the blank, example and open setting rows are told.
"""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from wearcast.logbook.columns.cells import is_empty, text_of
from wearcast.logbook.columns.heading_rows import HEADING_KEYS
from wearcast.logbook.columns.headings import Grid
from wearcast.logbook.columns.row_words import EXAMPLES, EXTREMES, RULE, TOTALS, UNIT_WORDS
from wearcast.logbook.examples import MARK
from wearcast.logbook.spelling import fold, heading_key
from wearcast.logbook.tables import Column
from wearcast.told import Severity

GAP = 20
"""A lone cell after so many blank rows is no row of the table."""
LONGEST_WORD = 40
_SEPARATORS = frozenset(";\t|")
"""A text with one of these in it may be a whole row."""
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
    filled = _filled(grid)
    count = np.sum(list(filled.values()), axis=0, dtype=int)
    found: list[tuple[np.ndarray, str, str, Severity]] = [
        (count == 0, "", "", "note"),
        (_examples(grid), "", "", "note"),
        (_open_settings(grid, filled), "", "", "note"),
        (_foreign(grid, filled, count), *_FOREIGN),
        (_at(grid, grid.overlong), *_OVERLONG),
        (_at(grid, grid.split), *_SPLIT),
        (
            _rules(grid, filled, count),
            "a drawn line, not a row of the table; passed over",
            "",
            "note",
        ),
        (_own_examples(grid), "an example, not a row of the table; passed over", "", "note"),
        (_remarks(grid, count), "a remark, not a row of the table; passed over", "", "note"),
        (_units(grid, filled, count), "units, not a row of the table; passed over", "", "note"),
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


def first_names(grids: Iterable[Grid]) -> frozenset[str]:
    """What the first column of any sheet holds in rows with more in them, folded."""
    names: set[str] = set()
    for grid in grids:
        first = grid.table.columns[0].name
        if first in grid.cells:
            company = np.sum(list(_filled(grid).values()), axis=0, dtype=int) > 1
            cells = grid.cells[first]
            for code in np.unique(cells.codes[company & (cells.codes >= 0)]):
                names.add(fold(text_of(cells.distinct[code])))
    return frozenset(names)


def _filled(grid: Grid) -> dict[str, np.ndarray]:
    """Which rows hold something, by column."""
    return {name: (cells.codes >= 0) & ~cells.where(is_empty) for name, cells in grid.cells.items()}


def _columns(grid: Grid, *kinds: str) -> list[Column]:
    return [one for one in grid.table.columns if one.name in grid.cells and one.kind in kinds]


def _holds(grid: Grid, column: Column, words: frozenset[str]) -> np.ndarray:
    """Rows whose cell in that column is one of these words."""

    def is_one(cell: object) -> bool:
        return isinstance(cell, str) and len(cell) < LONGEST_WORD and heading_key(cell) in words

    return grid.cells[column.name].where(is_one)


def _any(grid: Grid, found: Iterable[np.ndarray]) -> np.ndarray:
    return np.asarray(np.any([np.zeros(len(grid.rows), bool), *found], axis=0))


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
    totals = _any(grid, (_holds(grid, one, TOTALS) for one in named))
    subtotals = _any(grid, (grid.cells[one.name].where(is_subtotal) for one in named))
    complete = _complete(grid, filled) & ((count > 1) | (count.max() < 2))
    return np.asarray(totals | (subtotals & ~complete))


def _foreign(grid: Grid, filled: dict[str, np.ndarray], count: np.ndarray) -> np.ndarray:
    """Headings of another table below rows of this one, and every row from there on."""
    rows = np.zeros(len(grid.rows), bool)
    if grid.table.name in ("settings", "columns"):
        return rows

    def is_heading(cell: object) -> bool:
        return (
            isinstance(cell, str) and len(cell) < LONGEST_WORD and heading_key(cell) in HEADING_KEYS
        )

    other = (count > 1) & ~_repeated_headings(grid)
    for name, cells in grid.cells.items():
        if other.any():
            other &= cells.where(is_heading) | ~filled[name]
    before = np.maximum.accumulate(_complete(grid, filled)) if len(rows) else rows
    return np.asarray(np.maximum.accumulate(other & before)) if other.any() else rows


def _complete(grid: Grid, filled: dict[str, np.ndarray]) -> np.ndarray:
    """Rows in which every needed cell is filled."""
    needed = [filled[one.name] for one in grid.table.columns if one.needed]
    return np.asarray(np.all(needed, axis=0))


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


def _examples(grid: Grid) -> np.ndarray:
    """The example rows of a blank logbook."""

    def is_marked(cell: object) -> bool:
        return isinstance(cell, str) and cell.startswith(MARK)

    return _any(
        grid, (grid.cells[column.name].where(is_marked) for column in _columns(grid, "name"))
    )


def _own_examples(grid: Grid) -> np.ndarray:
    """Example rows of a blank table that somebody made: ``e.g. M-001``."""

    def is_example(cell: object) -> bool:
        return isinstance(cell, str) and cell.replace(". ", ".").startswith(EXAMPLES)

    return grid.cells[grid.table.columns[0].name].where(is_example)


def _rules(grid: Grid, filled: dict[str, np.ndarray], count: np.ndarray) -> np.ndarray:
    """Rows that hold nothing but a line drawn with hyphens or the like."""

    def is_rule(cell: object) -> bool:
        return isinstance(cell, str) and RULE.fullmatch(cell.strip()) is not None

    rows = np.asarray(count > 0)
    for name, cells in grid.cells.items():
        if rows.any():
            rows = np.asarray(rows & (cells.where(is_rule) | ~filled[name]))
    return rows


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


def _lone_texts(grid: Grid, filled: dict[str, np.ndarray], count: np.ndarray) -> np.ndarray:
    """Rows of a single text in the first column that is no name: a signature, a hall's name."""

    def is_text(cell: object) -> bool:
        text = text_of(cell)
        return fold(text) not in grid.company and _SEPARATORS.isdisjoint(text)

    needed = [one.name for one in grid.table.columns if one.needed]
    if len(needed) < 2:
        return np.zeros(len(count), bool)
    lone = (count == 1) & filled[needed[0]]
    return np.asarray(lone & grid.cells[needed[0]].where(is_text)) if lone.any() else lone


def _strays(grid: Grid, filled: dict[str, np.ndarray], count: np.ndarray) -> np.ndarray:
    """Rows with a single cell that stand apart, or whose cell is not the row's first."""
    gap = np.diff(np.array(grid.rows), prepend=grid.rows[0]) > GAP
    needed = [column.name for column in grid.table.columns if column.needed]
    elsewhere = ~filled[needed[0]] if len(needed) > 1 else np.zeros(len(count), bool)
    return np.asarray((count == 1) & (gap | elsewhere))
