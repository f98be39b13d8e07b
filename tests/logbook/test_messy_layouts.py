"""Sheets laid out by people: headings in two rows, merged cells, two tables on one sheet, copies.

Cases are common practice, no source; wordings are ours.
"""

import datetime
from collections.abc import Callable
from pathlib import Path

from openpyxl import Workbook

from tests.logbook.makers import READINGS, SOUND, read_tables, told_of
from wearcast.logbook.book import Logbook, read_logbook
from wearcast.reports.marked import marked_copy

HEADINGS = READINGS.splitlines()[0]


def saved(folder: Path, change: Callable[[Workbook], object]) -> Path:
    """The sound logbook as a workbook, changed."""
    book = Workbook()
    book.remove(book.worksheets[0])
    for name, text in SOUND.items():
        sheet = book.create_sheet(name)
        for line in text.splitlines():
            sheet.append([_cell(text) for text in line.split(",")])
    change(book)
    path = folder / "log.xlsx"
    book.save(path)
    return path


def _cell(text: str) -> object:
    if text.count("-") == 2 and text[:2] == "20":
        return datetime.date.fromisoformat(text)
    return float(text) if text.replace(".", "", 1).isdecimal() else text or None


def read_workbook(folder: Path, change: Callable[[Workbook], object]) -> Logbook:
    """The changed workbook, read."""
    return read_logbook(saved(folder, change))


def same_readings(book: Logbook, folder: Path) -> bool:
    """Whether the readings are those of the sound logbook."""
    sound = read_tables(folder / "sound", SOUND).readings.drop(columns=["source", "row"])
    return bool(book.readings.drop(columns=["source", "row"]).equals(sound))


def test_a_second_table_below_the_first_is_set_aside_as_one(tmp_path: Path):
    below = "\nmachine,floor,share,\nM-014,vinyl,0.6,\nM-014,quarry tile,0.4,\n"
    book = read_tables(tmp_path, {**SOUND, "readings": READINGS + below})
    assert told_of(book) == [
        "readings.csv, rows 12-14: the headings of another table; it and all rows below"
        " were left out. Put it on a sheet of its own. Set aside for now."
    ]
    assert same_readings(book, tmp_path)


def test_merged_cells_count_for_every_row_they_cover(tmp_path: Path):
    def merge(book: Workbook) -> None:
        for first in (2, 5, 8):
            book["readings"].merge_cells(f"A{first}:A{first + 2}")

    book = read_workbook(tmp_path, merge)
    assert [line.split("/")[-1] for line in told_of(book)] == [
        "log.xlsx, readings, rows 3-4, 6-7, 9-10: the value of merged cells was taken for every row"
        " that they cover. Repaired."
    ]
    assert same_readings(book, tmp_path)


def _continued(book: Workbook) -> None:
    """The last four readings on a sheet that goes on, one of them no number."""
    first, second = book["readings"], book.create_sheet("readings (2)")
    second.append(HEADINGS.split(","))
    for row in list(first.iter_rows(min_row=7, values_only=True)):
        second.append(row)
    second["C3"] = "abc"
    first.delete_rows(7, 4)


def test_a_finding_on_a_sheet_that_goes_on_names_that_sheet(tmp_path: Path):
    path = saved(tmp_path, _continued)
    book = read_logbook(path)
    lines = [line.split("/")[-1] for line in told_of(book)]
    assert lines == [
        'log.xlsx[readings (2)], row 3, hours "abc": not a number. Write a plain number.'
        " Set aside for now.",
        'log.xlsx[readings (2)]: "readings (2)" is read as the table readings.',
    ]
    assert book.sources == (str(path),)
    assert len(book.readings) == 8
    assert marked_copy([path], book.told)


def test_a_signature_beside_a_name_makes_no_machine(tmp_path: Path):
    book = read_tables(tmp_path, {**SOUND, "readings": READINGS + "Signed:,K. O.,,\n"})
    assert set(book.machines["machine"]) == {"M-014", "M-015", "M-022"}
