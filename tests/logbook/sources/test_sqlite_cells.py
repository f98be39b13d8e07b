"""Databases that a program left half way, or without a table."""

import sqlite3
from pathlib import Path

import pytest

from wearcast.errors import UnreadableFile
from wearcast.logbook.sources.sqlite_cells import read_database

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


@pytest.mark.parametrize(("more", "read"), [(0, True), (1, False)])
def test_a_view_has_no_more_rows_than_the_file_can_hold(more: int, read: bool, tmp_path: Path):
    view = "create view readings as with recursive n(x) as (select 1 union all select x + 1"
    path = database(tmp_path, "create table t (a)", f"{view} from n limit 9999) select x from n")
    # A row of a table takes four bytes at least; a thousand more are let pass.
    most = 1_000 + path.stat().st_size // 4
    path.unlink()
    path = database(
        tmp_path, "create table t (a)", f"{view} from n limit {most + more}) select x from n"
    )
    sheets, told = read_database(path, "log.sqlite")
    assert [len(sheet.rows) for sheet in sheets if sheet.name == "readings"] == [most + 1] * read
    assert ["more rows than the file can hold" in one.wrong for one in told] == [True] * (not read)


def test_a_table_is_read_to_its_hundredth_column(tmp_path: Path):
    columns = ", ".join(f"c{place}" for place in range(102))
    path = database(tmp_path, f"create table readings ({columns})",
                    f"insert into readings values ({', '.join('1' * 102)})")  # fmt: skip
    ((sheet,), _) = read_database(path, "log.sqlite")
    assert [len(row) for row in sheet.rows] == [100, 100]
    assert sheet.rows[0][:2] == ["c0", "c1"]


def test_an_empty_file_of_rows_to_come_is_no_matter(tmp_path: Path):
    path = database(tmp_path, "create table readings (machine)")
    (tmp_path / "log.sqlite-wal").touch()
    assert len(read_database(path, "log.sqlite")[0]) == 1


def test_a_long_text_of_a_database_is_cut(tmp_path: Path):
    path = database(tmp_path, "create table readings (machine, hours)",
                    "insert into readings values ('M1', 7)",
                    f"insert into readings values ('{'x' * 1_001}', 8)")  # fmt: skip
    ((sheet,), _) = read_database(path, "log.sqlite")
    assert sheet.rows[2] == ["x" * 999 + "…", 8]
    (told,) = sheet.told
    assert (told.rows, told.wrong) == ((3,), "a cell of 1,000 or more characters was cut there")


def test_a_virtual_table_is_none_of_the_tables(tmp_path: Path):
    path = database(
        tmp_path, "create table readings (machine)", "create virtual table v using fts4(a)"
    )
    names = [sheet.name for sheet in read_database(path, "log.sqlite")[0]]
    assert "v" not in names
    assert "readings" in names


def test_a_text_that_is_not_utf_8_is_read_as_windows_1252(tmp_path: Path):
    path = database(
        tmp_path, "create table readings (machine text)",
        "insert into readings values (cast(x'4dfc6c' as text))",
        "insert into readings values (cast(x'4d81' as text))",
    )  # fmt: skip
    ((sheet,), _) = read_database(path, "log.sqlite")
    # 0x81 is no letter there (the code page, remembered).
    assert sheet.rows[1:] == [["Mül"], ["M\ufffd"]]
