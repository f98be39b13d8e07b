"""What programs, phones and blank forms make of a logbook: names of files, drawn lines, cells.

Cases are common practice, no source; wordings are ours.
"""

import datetime
import re
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest
from openpyxl import Workbook
from openpyxl.styles import Font

from tests.logbook.makers import MACHINES, READINGS, SOUND, read_tables, told_of, write_folder
from tests.logbook.test_messy_layouts import read_workbook, same_readings, saved
from wearcast.errors import UnusableTable
from wearcast.logbook.book import read_logbook

LINE = "a drawn line, not a row of the table; passed over."


@pytest.mark.parametrize("line", ["-----,---,--,-", "====,====,====,====", "__,,,", "\u2014,,,"])
def test_a_line_drawn_across_the_table_is_passed_over(line: str, tmp_path: Path):
    readings = READINGS.replace("new_meter\n", f"new_meter\n{line}\n")
    book = read_tables(tmp_path, {**SOUND, "readings": readings})
    assert told_of(book) == [f"readings.csv, row 2: {LINE}"]
    assert same_readings(book, tmp_path)


def test_errors_right_across_are_no_drawn_line(tmp_path: Path):
    (line,) = told_of(
        read_tables(tmp_path, {**SOUND, "readings": READINGS + "#REF!,#REF!,#REF!,\n"})
    )
    assert line.endswith("Set aside for now.")


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


def test_a_machine_may_be_called_like_the_largest_value(tmp_path: Path):
    tables = {name: text.replace("M-022", "Max") for name, text in SOUND.items()}
    assert told_of(read_tables(tmp_path, tables)) == []


def test_a_count_below_the_machines_is_no_machine(tmp_path: Path):
    tables = {**SOUND, "machines": MACHINES + "Total machines: 3\n"}
    book = read_tables(tmp_path, tables)
    assert told_of(book) == ["machines.csv, row 5: a total, not a row of the table; passed over."]
    assert len(book.machines) == 3


def test_headings_parted_by_another_mark_than_the_rows_are_read(tmp_path: Path):
    headings, rows = READINGS.split("\n", 1)
    readings = headings.replace(",", ";") + "\n" + rows
    book = read_tables(tmp_path, {**SOUND, "readings": readings})
    assert told_of(book) == [
        "readings.csv, rows 2-10: the whole row stood in one cell; its cells are separated by"
        " another mark. Repaired.",
        "readings.csv: the cells are separated by semicolon (decided from the whole file).",
    ]
    assert same_readings(book, tmp_path)


@pytest.mark.parametrize("name", ["Scrubber log - {}.csv", "{}.csv.txt", "{} (1).csv", "{}.tsv"])
def test_a_file_named_by_a_program_is_the_table(name: str, tmp_path: Path):
    folder = write_folder(tmp_path / "log", SOUND)
    (folder / "readings.csv").rename(folder / name.format("readings"))
    book = read_logbook(folder)
    assert all(one.severity == "note" for one in book.told)
    assert same_readings(book, tmp_path)


def test_a_copy_beside_the_table_is_left_out_and_told(tmp_path: Path):
    tables = {**SOUND, "readings - Copy": READINGS.replace("1251.0", "1151.0")}
    book = read_tables(tmp_path, tables)
    assert [line.split('"')[1] for line in told_of(book)] == ["readings - Copy"]
    assert same_readings(book, tmp_path)


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


def _rewritten(path: Path, change: Callable[[bytes], bytes]) -> Path:
    """The workbook with every sheet's XML changed."""
    with zipfile.ZipFile(path) as old:
        entries = {name: old.read(name) for name in old.namelist()}
    with zipfile.ZipFile(path, "w") as new:
        for name, content in entries.items():
            new.writestr(name, change(content) if "/worksheets/" in name else content)
    return path


def test_cells_are_where_they_say_in_small_letters_too(tmp_path: Path):
    def small(content: bytes) -> bytes:
        return re.sub(rb'r="([A-Z])([0-9]+)"', lambda found: found[0].lower(), content)

    book = read_logbook(_rewritten(saved(tmp_path, lambda _: None), small))
    assert told_of(book) == []
    assert same_readings(book, tmp_path)
