"""Which table a sheet is, which row its headings stand in, and which column each one means.

Names match without regard to case, blanks, ``_`` and ``-``. A heading equal to a column's own
name beats an everyday word for it; two headings of equal standing for one column are not chosen
between: the table is refused.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass

from wearcast.logbook.columns.cells import Cells, cells_of
from wearcast.logbook.columns.sideways import sideways
from wearcast.logbook.examples import NOTES
from wearcast.logbook.files.sheet import Sheet
from wearcast.logbook.spelling import heading_key, listed, nearest, tidy
from wearcast.logbook.tables import TABLES, Table
from wearcast.told import Problem

_YEAR = re.compile(r"(?<=[a-z])(?:19|20)[0-9]{2}$")
"""Sheets are often named after the year, ``Readings 2026``."""
SEARCHED_ROWS = 30
"""How far down a heading row is looked for."""

Headings = Mapping[tuple[str, str], str]
"""The person's own headings: (table, heading key) -> column."""


@dataclass(frozen=True, slots=True)
class Grid:
    """The rows of one sheet under the columns they belong to."""

    table: Table
    source: str
    origin: int
    """Number of the sheet among all that were read."""
    rows: list[int]
    """Numbers of the rows, as the spreadsheet shows them."""
    cells: dict[str, Cells]
    date1904: bool


@dataclass(frozen=True, slots=True)
class Refusal:
    """A sheet that bears a table's name but cannot be read as one."""

    table: Table
    source: str
    origin: int
    row: int
    read: int
    """Rows that are left out with it."""
    wrong: str
    remedy: str
    column: str = ""


def table_named(name: str) -> tuple[Table | None, bool]:
    """The table that a sheet's name means, and whether by its own name."""
    key = heading_key(name)
    for table in TABLES:
        if key == heading_key(table.name):
            return table, not tidy(name).endswith(")")
    key = _YEAR.sub("", key)
    for table in TABLES:
        if key in {heading_key(other) for other in (table.name, *table.also)}:
            return table, False
    return None, False


def sheet_problems(sheet: Sheet) -> list[Problem]:
    """What a sheet's name and visibility give cause to tell."""
    table, exact = table_named(sheet.name)
    if table is None:
        if not sheet.rows or sheet.name == NOTES:
            return []
        if sheet.hidden:
            wrong = f'the hidden sheet "{sheet.name}" was not read'
            return [_note(sheet, sheet.name, wrong)]
        near = nearest(sheet.name, [one.name for one in TABLES])
        hint = f"If it is {near[0]}, give it that name" if near else ""
        wrong = f'"{sheet.name}" is not the name of a table; it was left out'
        return [_note(sheet, sheet.name, wrong, hint)]
    told = []
    if not exact:
        told.append(_note(sheet, table.name, f'"{sheet.name}" is read as the table {table.name}'))
    if sheet.hidden:
        told.append(_note(sheet, table.name, "the sheet is hidden; it was read all the same"))
    if sheet.hidden_rows:
        wrong = "a hidden or filtered row was read like the others"
        if sheet.hidden_rows > 1:
            wrong = f"{sheet.hidden_rows} hidden or filtered rows were read like the others"
        told.append(_note(sheet, table.name, wrong))
    return told


def lay_out(sheet: Sheet, origin: int, own: Headings) -> tuple[Grid | Refusal, list[Problem]]:
    """The sheet's rows under our columns, or why that cannot be done."""
    table, _ = table_named(sheet.name)
    if table is None:
        raise ValueError(f"{sheet.name} is no table")
    if not sheet.rows:
        return Grid(table, sheet.source, origin, [], {}, sheet.date1904), []
    at, meant = _heading_row(table, sheet, own)
    wrong, remedy = _refused(table, sheet.rows[at], meant)
    if wrong:
        wrong, remedy = sideways(table.name, sheet.rows[at:]) or (wrong, remedy)
        read, row = len(sheet.rows) - at - 1, sheet.row_numbers[at]
        return Refusal(table, sheet.source, origin, row, read, wrong, remedy), []
    places = {name: place for place, (name, _) in meant.items()}
    body = sheet.rows[at + 1 :]
    cells = {
        column.name: cells_of([row[at] if at < len(row) else None for row in body])
        for column in table.columns
        for at in (places.get(column.name),)
        if at is not None
    }
    grid = Grid(table, sheet.source, origin, sheet.row_numbers[at + 1 :], cells, sheet.date1904)
    return grid, _heading_problems(table, sheet, at, meant)


def _heading_row(
    table: Table, sheet: Sheet, own: Headings
) -> tuple[int, dict[int, tuple[str, int]]]:
    """The row that holds the headings and what each of its places means."""
    best = 0
    best_meant: dict[int, tuple[str, int]] = {}
    needed = {column.name for column in table.columns if column.needed}
    for at, row in enumerate(sheet.rows[:SEARCHED_ROWS]):
        meant = _meanings(table, row, own)
        found = {name for name, _ in meant.values()}
        if needed <= found:
            return at, meant
        if len(found) > len({name for name, _ in best_meant.values()}):
            best, best_meant = at, meant
    return best, best_meant


def _meanings(table: Table, row: list[object], own: Headings) -> dict[int, tuple[str, int]]:
    """For each place in the row: the column meant and how surely (2: its own name).

    A place whose column another heading claims more surely is left out.
    """
    meant: dict[int, tuple[str, int]] = {}
    for place, cell in enumerate(row):
        found = _meaning(table, cell, own)
        if found:
            meant[place] = found
    surest: dict[str, int] = {}
    for name, surely in meant.values():
        surest[name] = max(surely, surest.get(name, 0))
    return {place: found for place, found in meant.items() if found[1] == surest[found[0]]}


def _meaning(table: Table, cell: object, own: Headings) -> tuple[str, int] | None:
    """The column that one heading means: 3 by the columns table, 2 by its name, 1 by a synonym."""
    if not isinstance(cell, str) or not cell.strip():
        return None
    key = heading_key(cell)
    if (table.name, key) in own:
        return own[table.name, key], 3
    for column in table.columns:
        if key == heading_key(column.name):
            return column.name, 2
    for column in table.columns:
        if key in {heading_key(other) for other in column.also}:
            return column.name, 1
    return None


def _refused(
    table: Table, headings: list[object], meant: dict[int, tuple[str, int]]
) -> tuple[str, str]:
    """Why the table cannot be read and what to do; two empty texts if it can."""
    shown = [str(cell) for cell in headings if cell is not None and str(cell).strip()]
    by_column: dict[str, list[str]] = {}
    for place, (name, _) in meant.items():
        by_column.setdefault(name, []).append(str(headings[place]).strip())
    for name, found in by_column.items():
        if len(found) > 1:
            both = " and ".join(f'"{heading}"' for heading in found)
            return f"{both} both mean {name}", f"Rename the one that is not {name}"
    missing = [column.name for column in table.columns if column.needed]
    missing = [name for name in missing if name not in by_column]
    if not missing:
        return "", ""
    meaningful = {heading for found in by_column.values() for heading in found}
    free = [text for text in shown if text.strip() not in meaningful]
    near = [found for name in missing for found in nearest(name, free, 2, 0.5)] or free
    found_words = ", ".join(f'"{text.strip()}"' for text in list(dict.fromkeys(near))[:6])
    wrong = f"no column for {' and '.join(missing)}"
    wrong += f"; the nearest headings are {found_words}" if found_words else ""
    return wrong, f"Name the column {missing[0]}, or give your heading in a columns table"


def _heading_problems(
    table: Table, sheet: Sheet, at: int, meant: dict[int, tuple[str, int]]
) -> list[Problem]:
    """Synonyms that were read, and headings that are none of ours."""
    row = sheet.row_numbers[at]
    told = []
    headings = sheet.rows[at]
    also = [
        f'"{str(headings[place]).strip()}" as {name}'
        for place, (name, surely) in sorted(meant.items())
        if surely != 2
    ]
    if also:
        told.append(_note(sheet, table.name, f"headings read: {', '.join(also)}", "", row))
    strange = [
        str(cell).strip()
        for place, cell in enumerate(headings)
        if place not in meant and cell is not None and str(cell).strip()
    ]
    if strange:
        told.append(_strange_columns(table, sheet, row, strange))
    return told


def _strange_columns(table: Table, sheet: Sheet, row: int, strange: list[str]) -> Problem:
    """The note on headings that mean none of the table's columns."""
    names = [column.name for column in table.columns]
    near = [(heading, nearest(heading, names)) for heading in strange]
    hints = [f'"{heading}" may be {found[0]}' for heading, found in near if found]
    shown = listed([f'"{heading}"' for heading in strange])
    one = len(strange) == 1
    wrong = f"{shown} is no column of {table.name} and was left out"
    if not one:
        wrong = f"{shown} are no columns of {table.name} and were left out"
    remedy = f"Rename if meant: {', '.join(hints[:5])}" if hints else ""
    column = strange[0] if one else ""
    return _note(sheet, table.name, wrong, remedy, row)._replace(column=column)


def _note(sheet: Sheet, table: str, wrong: str, remedy: str = "", row: int = 0) -> Problem:
    rows = (row,) if row else ()
    return Problem(sheet.source, table, rows, "", "", "note", wrong, remedy, 0.01)
