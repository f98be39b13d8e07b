"""Databases as logbooks: what of them is a sheet, and what cannot run away or be changed."""

import sqlite3
from pathlib import Path

import pytest

from tests.logbook.forge import save
from tests.logbook.sources.test_files import refusal
from wearcast.errors import UnreadableFile
from wearcast.logbook.sources.files import CellError, read_sheets


def database(folder: Path, *statements: str) -> str:
    base = sqlite3.connect(folder / "log.sqlite")
    with base:
        for statement in statements:
            base.execute(statement)
    base.close()
    return "log.sqlite"


def test_tables_and_views_of_a_database_are_sheets(folder: Path):
    name = database(
        folder,
        'create table "my ""readings"" [all]" (machine, date text, hours real)',
        """insert into "my ""readings"" [all]" values (7, '2026-01-05', 1204.5)""",
        "create table plain (machine)",
        'create view readings as select machine, hours from plain, [my "readings" [all]'
        if False
        else "create view readings as select machine from plain",
    )
    sheets, told = read_sheets([name])
    assert [sheet.name for sheet in sheets] == ['my "readings" [all]', "plain", "readings"]
    assert sheets[0].rows == [["machine", "date", "hours"], [7, "2026-01-05", 1204.5]]
    assert sheets[0].row_numbers == [1, 2]
    assert told == []


def test_blobs_and_nulls_are_no_texts(folder: Path):
    name = database(folder, "create table t (a, b)", "insert into t values (x'00ff', null)")
    assert read_sheets([name])[0][0].rows[1] == [CellError("binary data"), None]


@pytest.mark.parametrize(
    "select",
    [
        "with recursive n(x) as (select 1 union all select x + 1 from n) select x from n",
        "with recursive n(x) as (select 1 union all select x + 1 from n) select count(*) from n",
        "select zeroblob(1000000000)",
        "select readfile('/etc/hostname')",
        "select load_extension('x')",
    ],
)
def test_a_view_that_would_run_away_is_left_out_and_told(folder: Path, select: str):
    name = database(folder, "create table readings (machine)", f"create view v as {select}")
    sheets, told = read_sheets([name])
    assert [sheet.name for sheet in sheets] == ["readings"]
    assert told[0].wrong.startswith("this table could not be read (")


@pytest.mark.parametrize(("view", "severity"), [("stock", "set aside"), ("v", "note")])
def test_a_table_of_ours_that_cannot_be_read_counts_as_set_aside(
    folder: Path, view: str, severity: str
):
    name = database(folder, "create table t (a)", f"create view {view} as select missing from t")
    _, (told,) = read_sheets([name])
    assert (told.severity, told.table) == (severity, view)
    assert told.wrong == "this table could not be read (no such column: missing)"


def test_reading_a_database_leaves_it_as_it_was(folder: Path):
    name = database(folder, "create table readings (machine)")
    before = (folder / name).read_bytes()
    read_sheets([name])
    assert (folder / name).read_bytes() == before
    assert [path.name for path in folder.iterdir()] == [name]


def test_a_database_with_rows_not_yet_written_is_refused(folder: Path):
    name = database(folder, "create table readings (machine)")
    save(folder, b"x", f"{name}-wal")
    assert refusal(name) == (
        "log.sqlite: newer rows wait in log.sqlite-wal; close the program that uses it first."
    )


def test_a_damaged_database_is_refused(folder: Path):
    name = database(folder, "create table readings (machine)")
    save(folder, (folder / name).read_bytes()[:3000], name)
    assert refusal(name).startswith("log.sqlite: the database is damaged (")


@pytest.mark.parametrize("start", range(0, 100, 10))
def test_no_byte_of_a_database_can_break_more_than_the_database(folder: Path, start: int):
    name = database(
        folder, "create table readings (machine, hours)", "insert into readings values (1, 2)"
    )
    content = (folder / name).read_bytes()
    places = [place for place, byte in enumerate(content) if byte or place < 100]
    for place in places[start // 10 :: 10]:
        changed = bytearray(content)
        changed[place] ^= 0xFF
        save(folder, bytes(changed), name)
        try:
            sheets, told = read_sheets([name])
        except UnreadableFile:
            continue
        assert all(sheet.rows for sheet in sheets)
        assert len(sheets) + len(told) <= 1
