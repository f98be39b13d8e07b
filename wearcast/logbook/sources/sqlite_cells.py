"""The cells of a SQLite file, opened so that nothing in it can run for long or be changed.

Read-only and immutable; no extension, no attached file, no trigger; a view may compute, within
a budget of rows and steps that grows with the file. The heading counts as row 1, so that a
table's first record is row 2.
"""

import sqlite3
from contextlib import closing
from pathlib import Path

from wearcast.errors import UnreadableFile
from wearcast.logbook.schema.names import table_named
from wearcast.logbook.sources.sheet import (
    LONGEST_TEXT,
    MOST_COLUMNS,
    CellError,
    Sheet,
    cut_told,
    note,
    shorten,
)
from wearcast.told import Problem

LEAST_ROW = 4
"""Bytes that one row takes in a file; a view with more rows than that allows makes them up."""
_HOT = bytes.fromhex("d9d505f920a163d7")
"""How a journal with pages to put back begins (the file format of SQLite; remembered)."""
_ALLOWED = {
    sqlite3.SQLITE_SELECT,
    sqlite3.SQLITE_READ,
    sqlite3.SQLITE_FUNCTION,
    sqlite3.SQLITE_RECURSIVE,
}


def read_database(path: Path, source: str) -> tuple[list[Sheet], list[Problem]]:
    """Every table and view of a SQLite file, by name; those that fail are told.

    Raises
    ------
    UnreadableFile
        If it is damaged, or a program has not yet written all of it.
    """
    waiting = path.with_name(path.name + "-wal")
    if waiting.exists() and waiting.stat().st_size:
        raise UnreadableFile(
            f"{source}: newer rows wait in {waiting.name}; close the program that uses it first."
        )
    journal = path.with_name(path.name + "-journal")
    if journal.exists() and _begins_hot(journal):
        raise UnreadableFile(
            f"{source}: a change was not finished and waits in {journal.name}; open the database"
            " with its own program and close it, then run again."
        )
    try:
        with closing(sqlite3.connect(_address(path), uri=True)) as base:
            found = _read_tables(base, source, path.stat().st_size)
    except (sqlite3.Error, UnicodeError) as error:
        raise UnreadableFile(
            f"{source}: the database is damaged ({error}); export it again."
        ) from error
    if not any(found):
        raise UnreadableFile(f"{source}: the database holds no table; export the logbook again.")
    return found


def _begins_hot(journal: Path) -> bool:
    with journal.open("rb") as file:
        return file.read(len(_HOT)) == _HOT


def _address(path: Path) -> str:
    return f"{path.resolve().as_uri()}?mode=ro&immutable=1"  # a drive's letter too


def _names_of(base: sqlite3.Connection) -> list[str]:
    """Tables and views, after which nothing but reading is allowed."""
    base.execute("pragma trusted_schema = off")
    base.setlimit(sqlite3.SQLITE_LIMIT_LENGTH, 2_000_000)
    base.text_factory = _text
    found = base.execute(
        "select name from sqlite_master where type in ('table', 'view')"
        " and name not like 'sqlite^_%' escape '^'"
        " and sql not like 'create virtual%' order by name"
    )
    names = [str(name) for (name,) in found]
    base.set_authorizer(
        lambda action, *_: sqlite3.SQLITE_OK if action in _ALLOWED else sqlite3.SQLITE_DENY
    )
    return names


def _read_tables(
    base: sqlite3.Connection, source: str, size: int
) -> tuple[list[Sheet], list[Problem]]:
    sheets: list[Sheet] = []
    told: list[Problem] = []
    for name in _names_of(base):
        try:
            sheets.append(_read_table(base, source, name, size))
        except (sqlite3.OperationalError, sqlite3.DataError, UnicodeError) as error:
            words = f"this table could not be read ({error})"
            found = note(source, shorten(name), words, "Export it as a plain table")
            missed, _ = table_named(name)
            told.append(found._replace(severity="set aside") if missed else found)
    return sheets, told


def _read_table(base: sqlite3.Connection, source: str, name: str, size: int) -> Sheet:
    steps = iter(range(1_000 + size // 100))
    base.set_progress_handler(lambda: int(next(steps, None) is None), 10_000)
    most = 1_000 + size // LEAST_ROW
    quoted = name.replace('"', '""')
    found = base.execute(f'select * from "{quoted}" limit {most + 1}')
    heading: list[object] = [column[0] for column in found.description[:MOST_COLUMNS]]
    rows = [heading, *([_cell(cell) for cell in row[:MOST_COLUMNS]] for row in found)]
    if len(rows) > most + 1:
        raise sqlite3.DataError("it has more rows than the file can hold")
    long = [
        number
        for number, row in enumerate(rows, 1)
        if any(isinstance(cell, str) and len(cell) == LONGEST_TEXT for cell in row)
    ]
    told = (cut_told(source, name, long),) if long else ()
    return Sheet(source, name, rows, list(range(1, len(rows) + 1)), told=told)


def _cell(value: object) -> object:
    if isinstance(value, bytes):
        return CellError("binary data")
    return shorten(value) if isinstance(value, str) else value


def _text(content: bytes) -> str:
    try:
        return content.decode("utf-8")
    except UnicodeDecodeError:
        return content.decode("cp1252", "replace")
