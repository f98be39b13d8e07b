"""What programs, phones and blank forms make of a logbook: names of files, drawn lines, cells.

Cases are common practice, no source; wordings are ours.
"""

import datetime
from pathlib import Path

import pytest
from openpyxl import Workbook
from openpyxl.styles import Font

from tests.logbook.makers import READINGS, SOUND, read_tables, told_of
from tests.logbook.test_messy_layouts import read_workbook, same_readings
from wearcast.errors import UnusableTable

LINE = "a drawn line, not a row of the table; passed over."


@pytest.mark.parametrize("line", ["-----,---,--,-", "====,====,====,====", "__,,,", "\u2014,,,"])
def test_a_line_drawn_across_the_table_is_passed_over(line: str, tmp_path: Path):
    readings = READINGS.replace("new_meter\n", f"new_meter\n{line}\n")
    book = read_tables(tmp_path, {**SOUND, "readings": readings})
    assert told_of(book) == [f"readings.csv, row 2: {LINE}"]
    assert same_readings(book, tmp_path)


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ("e.g. M-001,2026-01-05,900,\n", "an example, not a row of the table; passed over."),
        ("Max,,1318,\n", "a total, not a row of the table; passed over."),
    ],
    ids=["example", "largest"],
)
def test_what_people_add_to_a_form_makes_no_machine(rows: str, words: str, tmp_path: Path):
    book = read_tables(tmp_path, {**SOUND, "readings": READINGS + rows})
    assert told_of(book) == [f"readings.csv, row 11: {words}"]
    assert set(book.machines["machine"]) == {"M-014", "M-015", "M-022"}


def test_a_refusal_names_the_file_that_has_the_tables_name_in_it(tmp_path: Path):
    tables = {name: text for name, text in SOUND.items() if name != "readings"}
    with pytest.raises(UnusableTable) as stopped:
        read_tables(tmp_path, {**tables, "readings of the north hall": READINGS})
    seen = (
        'Seen: "readings of the north hall" (machine, date, hours, new_meter): could be readings.'
    )
    assert seen in str(stopped.value)


def test_numbers_are_the_names_that_their_format_shows(tmp_path: Path):
    def numbered(book: Workbook) -> None:
        for cell in next(book["readings"].iter_cols(1, 1, min_row=2)):
            cell.value, cell.number_format = int(cell.value[2:]), '"M-"000'

    book = read_workbook(tmp_path, numbered)
    assert told_of(book) == []
    assert same_readings(book, tmp_path)


def test_a_row_that_is_struck_through_is_read_and_told(tmp_path: Path):
    def strike(book: Workbook) -> None:
        book["readings"]["C3"].font = Font(strike=True)
        book["readings"]["D4"].font = Font(strike=True)  # a blank cell
        book["readings"]["C5"].font = Font(bold=True)

    book = read_workbook(tmp_path, strike)
    assert [line.split("log.xlsx, ")[1] for line in told_of(book)] == [
        "readings, row 3: struck through, but read like the others. Delete what does not count."
    ]
    assert same_readings(book, tmp_path)


def test_a_name_that_a_program_made_a_date_of_is_no_new_machine(tmp_path: Path):
    def dated(book: Workbook) -> None:
        book["readings"]["A3"] = datetime.date(2026, 4, 3)

    book = read_workbook(tmp_path, dated)
    (line,) = told_of(book)
    assert line.split("log.xlsx, ")[1] == (
        'readings, row 3, machine "2026-04-03": a date where a name belongs; spreadsheet programs'
        " make dates of names like 3-4. Format the column as text and write the name once more."
        " Set aside for now."
    )
    assert len(book.machines) == 3
