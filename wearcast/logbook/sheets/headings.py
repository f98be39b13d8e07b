"""Which table a sheet is, which row its headings stand in, and which column each one means.

Names match without regard to case, blanks, ``_`` and ``-``. A heading equal to a column's own
name beats an everyday word for it; two headings of equal standing for one column are not chosen
between: the table is refused.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from wearcast.logbook.reshape.heading_rows import HeadingRow, Headings, find_headings
from wearcast.logbook.schema.examples import NOTES
from wearcast.logbook.schema.names import table_named
from wearcast.logbook.schema.spelling import heading_key, listed, nearest
from wearcast.logbook.schema.tables import TABLES, Table
from wearcast.logbook.schema.vocabulary import RUN_HEADINGS
from wearcast.logbook.sheets.cells import Cells, cells_at
from wearcast.logbook.sheets.sideways import sideways
from wearcast.logbook.sources.cell_texts import is_empty, text_of
from wearcast.logbook.sources.clean_csv import widest
from wearcast.logbook.sources.sheet import Mapped, Sheet, letters, source_of, workbook_of
from wearcast.told import Problem


@dataclass(frozen=True, slots=True)
class Grid:
    """The rows of one sheet under the columns they belong to."""

    table: Table
    source: str
    origin: int
    """Number of the sheet among all that were read."""
    rows: Sequence[int]
    """Numbers of the rows, as the spreadsheet shows them."""
    cells: dict[str, Cells]
    date1904: bool
    workbook: str
    """What its dates are settled with: the workbook, or the folder of CSV files."""
    overlong: list[int] = field(default_factory=list)
    """Places of rows with more cells than there are headings."""
    split: list[int] = field(default_factory=list)
    """Places of rows in which a decimal comma seems to have parted a number in two."""
    headed: dict[str, str] = field(default_factory=dict)
    """The key of the heading that each column has here."""
    texts: dict[str, str] = field(default_factory=dict)
    """That heading as it stands in the file."""
    mapped: Mapped | None = None
    """What the sheet remembers of the original, if a mapping made it."""
    company: frozenset[str] = frozenset()
    """What the first column of any sheet holds in rows with more in them, folded."""
    known: dict[str, Any] = field(default_factory=dict, init=False, repr=False, compare=False)
    """What has been found out about the rows, to be found once."""


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
    source, book = source_of(sheet), workbook_of(sheet)
    if not sheet.rows:
        return Grid(table, source, origin, [], {}, sheet.date1904, book), []
    heading = find_headings(table, sheet.rows, own)
    body, numbers = sheet.rows[heading.last + 1 :], sheet.row_numbers[heading.last + 1 :]
    wrong, remedy = _refused(table, heading, body)
    if wrong:
        wrong, remedy = sideways(table.name, sheet.rows[heading.last :]) or (wrong, remedy)
        row = sheet.row_numbers[heading.last]
        return Refusal(table, source, origin, row, len(body), wrong, remedy), []
    places = {name: place for place, (name, _) in heading.meant.items()}
    cells = {
        column.name: cells_at(body, at)
        for column in table.columns
        for at in (places.get(column.name),)
        if at is not None
    }
    overlong, told = _beside_the_headings(table, sheet, heading)
    split = _split_numbers(table, places, cells) if sheet.every_cell else []
    headed = {name: heading_key(heading.texts[place]) for name, place in places.items()}
    texts = {name: heading.texts[place] for name, place in places.items()}
    texts |= sheet.mapped.headings if sheet.mapped else {}
    grid = Grid(
        table,
        source,
        origin,
        numbers,
        cells,
        sheet.date1904,
        book,
        overlong,
        split,
        headed,
        texts,
        sheet.mapped,
    )
    return grid, [*_heading_problems(table, sheet, heading), *told]


def _beside_the_headings(
    table: Table, sheet: Sheet, heading: HeadingRow
) -> tuple[list[int], list[Problem]]:
    """Rows with more cells than headings, and the note on filled cells under no heading.

    Only a text file tells how many cells a row has; there, a cell too many means that the cells
    before it may have moved.
    """
    named = [bool(text) for text in heading.texts]
    body = sheet.rows[heading.last + 1 :]
    width = widest(body)
    bare = [place for place in range(width) if place >= len(named) or not named[place]]
    overlong: list[int] = []
    found: dict[int, tuple[int, ...]] = {}
    for at, row in enumerate(body if bare else []):
        filled = [place for place in bare if place < len(row) and not _nothing(row[place])]
        if filled and filled[-1] >= len(named) and sheet.every_cell:
            overlong.append(at)
        elif filled:
            found[at] = tuple(filled)
    if not found:
        return overlong, []
    columns = sorted({place for filled in found.values() for place in filled})
    rows = tuple(sheet.row_numbers[heading.last + 1 + at] for at in found)
    first = next(iter(found))
    told = _note(
        sheet, table.name, "cells under no heading were left out", "Give the column a heading"
    )
    column = f"column {listed([letters(place + 1) for place in columns], 3)}"
    value = text_of(body[first][found[first][0]]).strip()
    return overlong, [told._replace(rows=rows, column=column, value=value)]


def _split_numbers(table: Table, places: dict[str, int], cells: dict[str, Cells]) -> list[int]:
    """Rows with one digit where yes or no belongs, right of a number: 1251,5 gave two cells.

    A 1 among such digits is no yes; a 0 takes nothing from the number.
    """

    def is_digit(cell: object) -> bool:
        return isinstance(cell, str) and len(cell.strip()) == 1 and cell.strip() in "123456789"

    found: list[int] = []
    numbers = {places[one.name] for one in table.columns if one.unit and one.name in places}
    for column in table.columns:
        if column.kind == "yes_no" and places.get(column.name, 0) - 1 in numbers:
            here = cells[column.name]
            if any(is_digit(cell) and text_of(cell).strip() != "1" for cell in here.distinct):
                found += np.flatnonzero(here.where(is_digit)).tolist()
    return found


def _nothing(cell: object) -> bool:
    return cell is None or is_empty(cell)


def _refused(
    table: Table, heading: HeadingRow, body: Sequence[Sequence[object]]
) -> tuple[str, str]:
    """Why the table cannot be read and what to do; two empty texts if it can."""
    by_column: dict[str, list[int]] = {}
    for place, (name, _) in heading.meant.items():
        by_column.setdefault(name, []).append(place)
    for name, found in by_column.items():
        if len(found) > 1:
            both = " and ".join(f'"{heading.texts[place]}"' for place in found)
            return f"{both} both mean {name}", _which(name, found, body)
    missing = [column.name for column in table.columns if column.needed]
    missing = [name for name in missing if name not in by_column]
    if not missing:
        return "", ""
    free = [text for at, text in enumerate(heading.texts) if text and at not in heading.meant]
    near = [found for name in missing for found in nearest(name, free, 2, 0.5)] or free
    found_words = ", ".join(f'"{text}"' for text in list(dict.fromkeys(near))[:6])
    run = [text for text in free if heading_key(text) in RUN_HEADINGS]
    if run and "hours" in missing:
        wrong = f'"{run[0]}" may be hours run in a period, which are no meter'
        cure = "Name the column hours if it is the meter; if not, give it run in a table columns"
        return wrong, cure
    wrong = f"no column for {' and '.join(missing)}"
    wrong += f"; the nearest headings are {found_words}" if found_words else ""
    return wrong, f"Name the column {missing[0]}, or give your heading in a columns table"


def _which(name: str, places: Sequence[int], body: Sequence[Sequence[object]]) -> str:
    """The cure for columns of one meaning; those that take each other's place may be joined."""
    filled = [
        [place < len(row) and row[place] is not None and not _nothing(row[place]) for row in body]
        for place in places
    ]
    if any(sum(row) > 1 for row in zip(*filled, strict=True)):
        return f"Rename the one that is not {name}, or leave it out by a blank in a table columns"
    return f"If either may hold it, give both to {name} in a table columns; else rename one"


def _heading_problems(table: Table, sheet: Sheet, heading: HeadingRow) -> list[Problem]:
    """Synonyms that were read, and headings that are none of ours."""
    row = sheet.row_numbers[heading.last]
    told = []
    also = [
        f'"{heading.texts[place]}" as {name}'
        for place, (name, surely) in sorted(heading.meant.items())
        if surely != 2
    ]
    if heading.first < heading.last:
        upper = sheet.row_numbers[heading.first]
        wrong = f"the headings stand in rows {upper} and {row}; read: {', '.join(also)}"
        told.append(_note(sheet, table.name, wrong.removesuffix("; read: "), "", row))
    elif also:
        told.append(_note(sheet, table.name, f"headings read: {', '.join(also)}", "", row))
    strange = [text for at, text in enumerate(heading.texts) if text and at not in heading.meant]
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
    return Problem(source_of(sheet), table, rows, "", "", "note", wrong, remedy, 0.01)
