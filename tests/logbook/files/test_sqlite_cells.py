"""Databases that a program left half way, or without a table."""

import sqlite3
from pathlib import Path

import pytest

from wearcast.errors import UnreadableFile
from wearcast.logbook.files.sqlite_cells import read_database

HOT = bytes.fromhex("d9d505f920a163d7") + bytes(504)
"""How a rollback journal begins: the format's magic number (its public description)."""


def database(folder: Path, *statements: str) -> Path:
    with sqlite3.connect(folder / "log.sqlite") as base:
        for statement in statements:
            base.execute(statement)
    base.close()
    return folder / "log.sqlite"


@pytest.mark.parametrize("end", [b"", bytes(512)], ids=["cut to nothing", "headed by zeros"])
def test_a_journal_that_was_finished_is_no_matter(end: bytes, tmp_path: Path):
    path = database(tmp_path, "create table readings (machine)")
    (tmp_path / "log.sqlite-journal").write_bytes(end)
    assert [sheet.name for sheet in read_database(path, "log.sqlite")[0]] == ["readings"]


def test_a_change_that_was_not_finished_is_refused(tmp_path: Path):
    path = database(tmp_path, "create table readings (machine)")
    (tmp_path / "log.sqlite-journal").write_bytes(HOT)
    with pytest.raises(UnreadableFile) as stopped:
        read_database(path, "log.sqlite")
    assert str(stopped.value) == (
        "log.sqlite: a change was not finished and waits in log.sqlite-journal; open the database"
        " with its own program and close it, then run again."
    )


def test_a_database_without_a_table_is_refused(tmp_path: Path):
    path = database(tmp_path, "create table t (a)", "drop table t")
    with pytest.raises(UnreadableFile) as stopped:
        read_database(path, "log.sqlite")
    assert str(stopped.value) == (
        "log.sqlite: the database holds no table; export the logbook again."
    )
