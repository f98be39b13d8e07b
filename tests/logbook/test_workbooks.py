"""A whole workbook, read to a logbook: typed cells, hidden sheets, 1904, headings under titles."""

import datetime
from pathlib import Path

import openpyxl
import pytest
from openpyxl.utils.datetime import CALENDAR_MAC_1904

from tests.logbook.makers import SOUND, read_tables, told_of
from tests.logbook.test_laws import assert_same_facts
from wearcast.logbook.book import read_logbook


def typed(text: str) -> object:
    """A cell as a spreadsheet would keep it: a number, a date or a text."""
    try:
        return datetime.datetime.fromisoformat(text) if text.count("-") == 2 else float(text)
    except ValueError:
        return text or None


def workbook(tables: dict[str, str]) -> openpyxl.Workbook:
    book = openpyxl.Workbook()
    book.remove(book.active)
    for name, text in tables.items():
        sheet = book.create_sheet(name)
        for line in text.splitlines():
            sheet.append([typed(cell) for cell in line.split(",")])
    return book


@pytest.fixture
def sound(tmp_path: Path) -> openpyxl.Workbook:
    return workbook(SOUND)


def test_a_workbook_and_a_folder_give_the_same_logbook(sound: openpyxl.Workbook, tmp_path: Path):
    sound.save(tmp_path / "log.xlsx")
    book = read_logbook(tmp_path / "log.xlsx")
    assert told_of(book) == []
    assert_same_facts(book, read_tables(tmp_path / "folder", SOUND))


def test_a_workbook_that_counts_from_1904_gives_the_same_dates(
    sound: openpyxl.Workbook, tmp_path: Path
):
    sound.epoch = CALENDAR_MAC_1904
    sound.save(tmp_path / "log.xlsx")
    book = read_logbook(tmp_path / "log.xlsx")
    assert_same_facts(book, read_tables(tmp_path / "folder", SOUND))


def test_hidden_sheets_and_rows_are_told(sound: openpyxl.Workbook, tmp_path: Path):
    sound["stock"].sheet_state = "hidden"
    sound["readings"].row_dimensions[4].hidden = True
    sound.create_sheet("scratch").append(["a", 1])
    sound["scratch"].sheet_state = "hidden"
    sound.save(tmp_path / "log.xlsx")
    book = read_logbook(tmp_path / "log.xlsx")
    assert sorted(line.removeprefix(f"{tmp_path}/") for line in told_of(book)) == [
        "log.xlsx, readings: a hidden or filtered row was read like the others.",
        'log.xlsx, scratch: the hidden sheet "scratch" was not read.',
        "log.xlsx, stock: the sheet is hidden; it was read all the same.",
    ]
    assert len(book.stock) == 2


def test_a_true_or_false_cell_is_no_number_but_a_yes(sound: openpyxl.Workbook, tmp_path: Path):
    sound["readings"]["D3"].value = True
    sound["readings"]["C4"].value = True
    sound.save(tmp_path / "log.xlsx")
    book = read_logbook(tmp_path / "log.xlsx")
    assert [line.removeprefix(f"{tmp_path}/") for line in told_of(book)] == [
        'log.xlsx, readings, row 4, hours "TRUE": not a number. Write a plain number. Set aside'
        " for now."
    ]
    assert book.readings["new_meter"].sum() == 1
