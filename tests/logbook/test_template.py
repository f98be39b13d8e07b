"""The blank logbook: complete, the same each time, opened by a spreadsheet program, read back."""

import datetime
import io
import shutil
import subprocess
import zipfile
from pathlib import Path

import openpyxl
import pytest

from wearcast.errors import NothingWritten
from wearcast.logbook.book import read_logbook
from wearcast.logbook.schema.tables import SETTINGS, TABLES
from wearcast.logbook.sources.files import read_sheets
from wearcast.logbook.template import blank_logbook


@pytest.fixture(scope="module")
def book():
    return openpyxl.load_workbook(io.BytesIO(blank_logbook()))


def test_two_blank_logbooks_are_the_same_bytes():
    assert blank_logbook() == blank_logbook()


def test_no_date_in_it_is_todays():
    with zipfile.ZipFile(io.BytesIO(blank_logbook())) as archive:
        core = archive.read("docProps/core.xml").decode()
        assert {entry.date_time for entry in archive.infolist()} == {(1980, 1, 1, 0, 0, 0)}
    assert core.count("2000-01-01T00:00:00Z") == 2


def test_there_is_a_sheet_a_table_and_one_to_read(book):
    assert book.sheetnames == ["Read me", *(table.name for table in TABLES)]


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.name)
def test_every_column_has_a_heading_with_a_note(book, table):
    sheet = book[table.name]
    for place, column in enumerate(table.columns, 1):
        heading = sheet.cell(1, place)
        assert heading.value == column.name
        assert column.unit in heading.comment.text
        assert ("Needed." in heading.comment.text) == column.needed


@pytest.mark.parametrize(
    "table", [table for table in TABLES if table.name != "settings"], ids=lambda table: table.name
)
def test_the_one_example_row_is_marked_and_fills_what_is_needed(book, table):
    sheet = book[table.name]
    assert str(sheet.cell(2, 1).value).startswith("EXAMPLE ")
    assert sheet.max_row == 2
    for place, column in enumerate(table.columns, 1):
        assert not column.needed or sheet.cell(2, place).value is not None


def test_all_settings_are_listed_and_blank(book):
    rows = list(book["settings"].iter_rows(min_row=2, values_only=True))
    assert rows == [(setting.name, None) for setting in SETTINGS]


def rules_of(sheet) -> dict[str, object]:
    """Data validations by the heading of their column."""
    return {
        sheet.cell(1, area.min_col).value: rule
        for rule in sheet.data_validations.dataValidation
        for area in rule.sqref.ranges
    }


def test_drop_downs_offer_what_the_tables_declare(book):
    rules = rules_of(book["changes"])
    assert rules["action"].formula1 == '"fit,turn,remove"'
    assert rules["cause"].formula1 == '"worn,damaged,planned,other"'
    assert rules["part"].formula1 == "parts!$A$2:$A$5001"
    assert rules["machine"].formula1 == "machines!$A$2:$A$5001"
    assert rules_of(book["readings"])["new_meter"].formula1 == '"yes,no"'


def test_a_name_that_is_on_no_other_sheet_is_only_warned_about(book):
    assert rules_of(book["readings"])["machine"].errorStyle == "warning"


def test_numbers_and_dates_are_limited_as_declared(book):
    rules = rules_of(book["plans"])
    assert (rules["hours_per_week"].formula1, rules["hours_per_week"].formula2) == ("0", "168")
    assert rules["start"].type == "date"
    assert rules_of(book["parts"])["edges"].type == "whole"


def test_the_notes_name_every_column_and_setting(book):
    told = {cell for row in book["Read me"].iter_rows(values_only=True) for cell in row}
    assert {column.name for table in TABLES for column in table.columns} - told == {
        "setting",
        "value",
    }
    assert {setting.name for setting in SETTINGS} <= told


def test_our_own_reader_finds_nothing_odd_in_it(tmp_path: Path):
    path = tmp_path / "new.xlsx"
    path.write_bytes(blank_logbook())
    sheets, told = read_sheets([path])
    assert told == []
    assert all(sheet.told == () and sheet.hidden_rows == 0 for sheet in sheets)


def test_a_first_row_under_the_examples_is_all_that_is_read(tmp_path: Path):
    book = openpyxl.load_workbook(io.BytesIO(blank_logbook()))
    day = datetime.datetime(2026, 1, 5)
    for place, value in enumerate(("M-1", day, 12.5), 1):
        book["readings"].cell(3, place, value)
    for place, value in enumerate(("M-1", day, "front blade", "fit", None, "planned"), 1):
        book["changes"].cell(3, place, value)
    book.save(tmp_path / "log.xlsx")
    logbook = read_logbook(tmp_path / "log.xlsx")
    assert logbook.told == ()
    assert logbook.settings == {}
    assert list(logbook.readings["machine"]) == ["M-1"]
    assert list(logbook.changes["machine"]) == ["M-1"]
    assert sum(tally.set_aside for tally in logbook.tallies) == 0


def test_nothing_is_written_in_a_blank_logbook(tmp_path: Path):
    path = tmp_path / "new.xlsx"
    path.write_bytes(blank_logbook())
    with pytest.raises(NothingWritten, match="nothing is written in the logbook yet"):
        read_logbook(path)


@pytest.mark.skipif(shutil.which("soffice") is None, reason="LibreOffice is not installed")
def test_a_spreadsheet_program_opens_and_saves_it_unharmed(tmp_path: Path):
    path = tmp_path / "new.xlsx"
    path.write_bytes(blank_logbook())
    subprocess.run(
        [
            "soffice",
            f"-env:UserInstallation=file://{tmp_path}/profile",
            "--headless",
            "--convert-to",
            "xlsx:Calc MS Excel 2007 XML",
            "--outdir",
            str(tmp_path / "saved"),
            str(path),
        ],
        check=True,
        capture_output=True,
        timeout=120,
    )
    ours, _ = read_sheets([path])
    theirs, _ = read_sheets([tmp_path / "saved" / "new.xlsx"])
    assert [(sheet.name, sheet.rows) for sheet in theirs] == [
        (sheet.name, sheet.rows) for sheet in ours
    ]
    saved = openpyxl.load_workbook(tmp_path / "saved" / "new.xlsx")
    assert {"action", "cause", "part", "machine", "date", "hours"} <= set(
        rules_of(saved["changes"])
    )
