"""The marked copy: the right cells, in words and colour, and never over the original."""

import io
import sqlite3
import zipfile
from pathlib import Path

import openpyxl
import pytest
from openpyxl.comments import Comment

from tests.logbook.forge import pack, parts, save, table_xml
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


def test_a_workbook_that_the_library_cannot_copy_is_copied_cell_by_cell(tmp_path: Path):
    entries = parts(table_xml(*ROWS)) | {"xl/styles.xml": "<styleSheet><fonts/></styleSheet>"}
    path = tmp_path / "odd.xlsx"
    path.write_bytes(pack(entries))
    page = marked(str(path), problem(str(path)))["readings"]
    assert colour(page["C3"]) == FILLS["set aside"]


def test_entities_in_a_part_that_only_the_library_reads_do_no_harm(tmp_path: Path):
    laughs = "".join(f"<!ENTITY a{n} '{f'&a{n - 1};' * 10}'>" for n in range(1, 9))
    core = f"<!DOCTYPE x [<!ENTITY a0 'ha'>{laughs}]><x>&a8;</x>"
    entries = parts(table_xml(*ROWS)) | {"docProps/core.xml": core, "[Content_Types].xml": core}
    path = tmp_path / "laughs.xlsx"
    path.write_bytes(pack(entries))
    content = marked_copy([str(path)], [problem(str(path))])
    assert len(content) < 20_000
    assert (
        colour(openpyxl.load_workbook(io.BytesIO(content))["readings"]["C3"]) == FILLS["set aside"]
    )


def test_a_merged_area_over_the_whole_sheet_does_not_flood_the_copy(tmp_path: Path):
    entries = parts(table_xml(*ROWS))
    name = "xl/worksheets/sheet1.xml"
    merged = '</sheetData><mergeCells><mergeCell ref="A5:XFD1048576"/></mergeCells>'
    entries[name] = entries[name].replace("</sheetData>", merged)
    path = tmp_path / "merged.xlsx"
    path.write_bytes(pack(entries))
    page = marked(str(path), problem(str(path)))["readings"]
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


def test_the_copy_is_never_written_over_the_logbook(workbook: str):
    before = Path(workbook).read_bytes()
    other_way = str(Path(workbook).parent / "." / "book.xlsx")
    with pytest.raises(CannotWrite, match="is the logbook itself; choose another name"):
        write_marked([workbook], [], other_way)
    assert Path(workbook).read_bytes() == before


def test_the_copy_is_never_written_over_another_file(workbook: str, tmp_path: Path):
    other = tmp_path / "other.xlsx"
    other.write_bytes(Path(workbook).read_bytes())
    with pytest.raises(CannotWrite, match="choose another name"):
        write_marked([workbook], [], other)


def test_the_logbook_stays_as_it_was(workbook: str, tmp_path: Path):
    before = Path(workbook).read_bytes()
    write_marked([workbook], [problem(workbook)], tmp_path / "copy.xlsx")
    assert Path(workbook).read_bytes() == before


def test_an_earlier_copy_is_replaced(workbook: str, tmp_path: Path):
    copy = tmp_path / "copy.xlsx"
    write_marked([workbook], [], copy)
    write_marked([workbook], [problem(workbook)], copy)
    assert colour(openpyxl.load_workbook(copy)["Hour meter"]["C3"]) == FILLS["set aside"]


def test_an_earlier_copy_that_somebody_changed_is_left_alone(workbook: str, tmp_path: Path):
    copy = tmp_path / "copy.xlsx"
    write_marked([workbook], [], copy)
    openpyxl.load_workbook(copy).save(copy)
    with pytest.raises(CannotWrite, match="choose another name"):
        write_marked([workbook], [], copy)


def test_a_copy_that_is_no_workbook_is_refused(workbook: str, tmp_path: Path):
    with pytest.raises(CannotWrite, match=r"must end in \.xlsx"):
        write_marked([workbook], [], tmp_path / "copy.csv")


@pytest.mark.parametrize("make", [Path.symlink_to, Path.hardlink_to], ids=["link", "second name"])
def test_the_logbook_under_another_name_is_not_written_over(tmp_path: Path, make):
    save(tmp_path, pack(parts()))
    make(tmp_path / "copy.xlsx", tmp_path / "book.xlsx")
    with pytest.raises(CannotWrite, match="is the logbook itself"):
        write_marked([tmp_path / "book.xlsx"], [], tmp_path / "copy.xlsx")


def test_a_copy_behind_a_link_in_a_circle_is_refused(tmp_path: Path):
    save(tmp_path, pack(parts()))
    (tmp_path / "copy.xlsx").symlink_to("copy.xlsx")
    with pytest.raises(CannotWrite, match="cannot be written"):
        write_marked([tmp_path / "book.xlsx"], [], tmp_path / "copy.xlsx")
