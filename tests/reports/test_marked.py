"""The marked copy: the right cells, in words and colour, and never over the original."""

import io
import shutil
import sqlite3
import zipfile
from collections.abc import Callable
from pathlib import Path

import openpyxl
import pytest
from openpyxl.comments import Comment

from tests.logbook.forge import pack, parts, table_xml
from wearcast.errors import CannotWrite
from wearcast.reports.marked import FILLS, marked_copy, write_marked
from wearcast.told import Problem

ROWS = (("Unit", "date", "Hrs"), ("M-1", "2026-01-05", 100), ("M-2", "2026-01-06", "=1+1"))


def problem(source: str, **more: object) -> Problem:
    usual: dict[str, object] = {
        "source": source,
        "table": "readings",
        "rows": (3,),
        "column": "hours",
        "value": "=1+1",
        "severity": "set aside",
        "wrong": "this is no number",
        "remedy": "Write the number",
    }
    return Problem(**(usual | more))


@pytest.fixture
def workbook(tmp_path: Path) -> str:
    """A person's own workbook, with looks, a formula and a note of theirs."""
    book = openpyxl.Workbook()
    page = book.active
    page.title = "Hour meter"
    for row in ROWS:
        page.append(row)
    page["A1"].font = openpyxl.styles.Font(bold=True)
    page["A3"].comment = Comment("ask Kim", "me")
    book.save(tmp_path / "book.xlsx")
    return str(tmp_path / "book.xlsx")


@pytest.fixture
def folder(tmp_path: Path) -> str:
    (tmp_path / "log").mkdir()
    text = "Readings\n\nUnit,date,Hrs\nM-1,2026-01-05,100\nM-2,2026-01-06,=1+1\n"
    (tmp_path / "log" / "readings.csv").write_text(text)
    (tmp_path / "log" / "stock.csv").write_text("part,on_hand\n@blade,3\n")
    return str(tmp_path / "log")


def marked(logbook: str, *problems: Problem) -> openpyxl.Workbook:
    return openpyxl.load_workbook(io.BytesIO(marked_copy([logbook], problems)))


def colour(cell: object) -> str:
    return str(cell.fill.start_color.rgb)[-6:]


def test_the_cell_in_question_is_coloured_and_explained(workbook: str):
    page = marked(workbook, problem(workbook))["Hour meter"]
    assert colour(page["C3"]) == FILLS["set aside"]
    assert page["C3"].comment.text == "Set aside: this is no number. Write the number."
    assert colour(page["C2"]) == "000000"
    assert page["C2"].comment is None


def test_the_persons_looks_formulas_and_notes_stay(workbook: str):
    page = marked(workbook, problem(workbook, column="machine"))["Hour meter"]
    assert page["A1"].font.bold
    assert page["C3"].value == "=1+1"
    assert page["A3"].comment.text == ("ask Kim\nSet aside: this is no number. Write the number.")


def test_the_graver_finding_colours_the_cell_and_both_are_noted(workbook: str):
    findings = [
        problem(workbook, severity="note", wrong="odd"),
        problem(workbook),
        problem(workbook, severity="repaired", wrong="mended", remedy=""),
    ]
    page = marked(workbook, *findings)["Hour meter"]
    assert colour(page["C3"]) == FILLS["set aside"]
    assert page["C3"].comment.text.splitlines() == [
        "Worth knowing: odd. Write the number.",
        "Set aside: this is no number. Write the number.",
        "Repaired: mended.",
    ]


def test_a_finding_without_a_column_marks_the_first_cell_of_its_rows(workbook: str):
    page = marked(workbook, problem(workbook, column="", value="", rows=(2, 3)))["Hour meter"]
    assert colour(page["A2"]) == colour(page["A3"]) == FILLS["set aside"]


def test_the_sheet_in_front_lists_every_finding_with_a_link(workbook: str):
    findings = [problem(workbook), problem("elsewhere", table="", rows=(), column="", value="")]
    book = marked(workbook, *findings)
    assert book.sheetnames == ["Findings", "Hour meter"]
    page = book["Findings"]
    assert [cell.value for cell in page[2]][1:] == [
        "readings",
        "row 3",
        "hours",
        "=1+1",
        "set aside",
        "this is no number",
        "Write the number",
    ]
    assert page["B2"].hyperlink.location == "'Hour meter'!C3"
    assert page["E2"].data_type == "s"
    assert page["B3"].hyperlink is None


def test_a_folder_becomes_a_sheet_a_table_with_the_rows_in_place(folder: str):
    source = f"{folder}/readings.csv"
    book = marked(folder, problem(source, rows=(5,)))
    assert book.sheetnames == ["Findings", "readings", "stock"]
    assert book["readings"]["A5"].value == "M-2"
    assert colour(book["readings"]["C5"]) == FILLS["set aside"]
    assert book["readings"]["C5"].data_type == "s"
    assert book["stock"]["A2"].data_type == "s"


def test_two_logbooks_stand_side_by_side(folder: str, workbook: str):
    content = marked_copy([folder, workbook], [problem(workbook)])
    book = openpyxl.load_workbook(io.BytesIO(content))
    assert book.sheetnames == ["Findings", "readings", "stock", "Hour meter"]
    assert colour(book["Hour meter"]["C3"]) == FILLS["set aside"]


def test_a_database_becomes_a_workbook(tmp_path: Path):
    base = sqlite3.connect(tmp_path / "log.sqlite")
    with base:
        base.execute("create table readings (machine, date, hours)")
        base.execute("insert into readings values ('M-1', '2026-01-05', 'x' || char(1))")
    base.close()
    name = str(tmp_path / "log.sqlite")
    page = marked(name, problem(name, rows=(2,)))["readings"]
    assert page["C2"].value == "x�"
    assert colour(page["C2"]) == FILLS["set aside"]


LAUGHS = "".join(f"<!ENTITY a{n} '{f'&a{n - 1};' * 10}'>" for n in range(1, 9))
CORE = f"<!DOCTYPE x [<!ENTITY a0 'ha'>{LAUGHS}]><x>&a8;</x>"
SHEET = "xl/worksheets/sheet1.xml"
MERGED = '</sheetData><mergeCells><mergeCell ref="A5:XFD1048576"/></mergeCells>'
ENTRIES = parts(table_xml(*ROWS))
ODD = {
    "that the library cannot copy": {"xl/styles.xml": "<styleSheet><fonts/></styleSheet>"},
    "entities in a part that only the library reads": {
        "docProps/core.xml": CORE,
        "[Content_Types].xml": CORE,
    },
    "merged all over": {SHEET: ENTRIES[SHEET].replace("</sheetData>", MERGED)},
}


@pytest.mark.parametrize("odd", ODD.values(), ids=ODD.keys())
def test_an_odd_workbook_is_copied_cell_by_cell(tmp_path: Path, odd: dict[str, str]):
    path = tmp_path / "odd.xlsx"
    path.write_bytes(pack(ENTRIES | odd))
    content = marked_copy([str(path)], [problem(str(path))])
    assert len(content) < 20_000
    page = openpyxl.load_workbook(io.BytesIO(content))["readings"]
    assert page.merged_cells.ranges == set()
    assert colour(page["C3"]) == FILLS["set aside"]


def test_two_copies_are_the_same_bytes(workbook: str, folder: str):
    for logbook in (workbook, folder):
        findings = [problem(logbook)]
        assert marked_copy([logbook], findings) == marked_copy([logbook], findings)


def test_no_clock_is_in_the_copy(workbook: str):
    with zipfile.ZipFile(io.BytesIO(marked_copy([workbook], []))) as archive:
        assert {entry.date_time[0] for entry in archive.infolist()} == {1980}
        assert b"2000-01-01T00:00:00Z</dcterms:modified>" in archive.read("docProps/core.xml")


def test_the_logbook_stays_as_it_was(workbook: str, tmp_path: Path):
    before = Path(workbook).read_bytes()
    write_marked([workbook], [problem(workbook)], tmp_path / "copy.xlsx")
    assert Path(workbook).read_bytes() == before


def test_an_earlier_copy_is_replaced(workbook: str, tmp_path: Path):
    copy = tmp_path / "copy.xlsx"
    write_marked([workbook], [], copy)
    write_marked([workbook], [problem(workbook)], copy)
    assert colour(openpyxl.load_workbook(copy)["Hour meter"]["C3"]) == FILLS["set aside"]


def edited_copy(book: Path, copy: Path) -> None:
    write_marked([book], [], copy)
    openpyxl.load_workbook(copy).save(copy)


@pytest.mark.parametrize(
    ("make", "name", "told"),
    [
        (lambda *_: None, "./book.xlsx", "is the logbook itself; choose another name"),
        (lambda book, copy: copy.symlink_to(book), "copy.xlsx", "is the logbook itself"),
        (lambda book, copy: copy.hardlink_to(book), "copy.xlsx", "is the logbook itself"),
        (lambda book, copy: shutil.copy(book, copy), "copy.xlsx", "choose another name"),
        (edited_copy, "copy.xlsx", "choose another name"),
        (lambda *_: None, "copy.csv", r"must end in \.xlsx"),
        (lambda _, copy: copy.symlink_to("copy.xlsx"), "copy.xlsx", "cannot be written"),
    ],
    ids=["the logbook", "a link", "a second name", "another file", "an edited copy", "no workbook",
         "a link in a circle"],
)  # fmt: skip
def test_nothing_else_is_written_over(
    workbook: str, tmp_path: Path, make: Callable[[Path, Path], object], name: str, told: str
):
    book = Path(workbook)
    make(book, tmp_path / name)
    before = book.read_bytes()
    with pytest.raises(CannotWrite, match=told):
        write_marked([workbook], [], f"{tmp_path}/{name}")
    assert book.read_bytes() == before
