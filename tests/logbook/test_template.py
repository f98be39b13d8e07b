"""The blank logbook: complete, the same each time, opened by a spreadsheet program, read back."""

import datetime
import io
import re
import zipfile
from pathlib import Path

import openpyxl
import pytest

from tests.reports.workbook.office import converted, needs_office
from wearcast.errors import NothingWritten
from wearcast.logbook.book import read_logbook
from wearcast.logbook.schema.tables import BY_NAME, SETTINGS, TABLES
from wearcast.logbook.sources.files import read_sheets
from wearcast.logbook.template import blank_logbook, describe, describe_setting


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


@needs_office
def test_a_spreadsheet_program_opens_and_saves_it_unharmed(tmp_path: Path):
    made = converted(blank_logbook(), "xlsx", tmp_path)
    ours, theirs = (read_sheets([path])[0] for path in (tmp_path / "order.xlsx", made))
    assert [(sheet.name, sheet.rows) for sheet in theirs] == [
        (sheet.name, sheet.rows) for sheet in ours
    ]
    saved = openpyxl.load_workbook(made)
    assert {"action", "cause", "part", "machine", "date", "hours"} <= set(
        rules_of(saved["changes"])
    )


# How it looks: a line a column, with its width, example, format and limits.


def shown(cell) -> str:
    style = "".join(name[0] for name in ("bold", "italic") if getattr(cell.font, name))
    look = f"{style}{cell.fill.fgColor.rgb[2:]} {cell.border.left.style or ''}".rstrip()
    return f"{cell.value} {look} {cell.number_format}"


def paper(sheet) -> tuple[str, int, int]:
    page = sheet.page_setup
    return page.orientation, page.fitToWidth, page.fitToHeight


def written(cell) -> str:
    marks = {"bold": cell.font.b, "wrapped": cell.alignment.wrap_text}
    return " ".join(
        [name for name, here in marks.items() if here] + [cell.alignment.vertical or ""]
    )


def limits(sheet) -> list[str]:
    """Every limit of a sheet: where, what, from and to, and what is said."""
    return [
        f"{rule.sqref} {rule.type} {rule.formula1} {rule.formula2} {rule.errorStyle}: {rule.error}"
        for rule in sheet.data_validations.dataValidation
    ]


def test_every_sheet_looks_as_it_did(book, golden):
    lines = []
    for sheet in book.worksheets[1:]:
        page = (*paper(sheet), sheet.freeze_panes)
        lines.append(f"{sheet.title} {page} {sheet.print_title_rows}")
        for heading in sheet[1]:
            width = sheet.column_dimensions[heading.column_letter].width
            below = sheet.cell(2, heading.column)
            lines.append(f"  {heading.coordinate} {width:.0f} {shown(heading)} | {shown(below)}")
        lines += [f"  {limit}" for limit in limits(sheet)]
    golden("blank_logbook.txt", "\n".join(lines) + "\n")


def test_the_page_to_read_looks_as_it_did(book, golden):
    sheet = book["Read me"]
    page = (*paper(sheet), sheet.freeze_panes)
    lines = [f"{page}, lines between cells: {sheet.sheet_view.showGridLines}"]
    lines += [f"column {name} {one.width:.0f}" for name, one in sheet.column_dimensions.items()]
    for row in sheet.iter_rows(max_row=16, max_col=3):
        height = sheet.row_dimensions[row[0].row].height
        looks = [f"{cell.font.sz:.0f} {written(cell)}" for cell in row]
        lines.append(f"row {row[0].row}, {height or 'usual'} high: {' | '.join(looks)}")
    golden("blank_logbook_read_me.txt", "\n".join(lines) + "\n")


def test_notes_on_headings_are_wide_enough_to_read():
    with zipfile.ZipFile(io.BytesIO(blank_logbook())) as archive:
        drawn = archive.read("xl/drawings/vmlDrawing1.vml").decode()
    # 1.8 times the usual 96 points, in whole dots of three quarters of a point.
    assert set(re.findall(r"width:([0-9.]+)pt", drawn)) == {"172.5"}


def test_the_words_on_every_sheet_stand_in_three_columns(book):
    sheet = book["Read me"]
    rows = [[cell.value for cell in row] for row in sheet.iter_rows(max_col=3)]
    # A title, a blank row, the first words over three columns, a blank row, then the tables.
    first = [row[0] for row in rows].index("machines")
    merged = sorted(str(area) for area in sheet.merged_cells.ranges)
    assert merged == sorted(f"A{row}:C{row}" for row in range(3, first))
    machines, readings = BY_NAME["machines"], BY_NAME["readings"]
    assert rows[first - 1 : first + len(machines.columns) + 3] == [
        [None, None, None],
        ["machines", "a row says", machines.says],
        *([None, column.name, describe(column)] for column in machines.columns),
        [None, None, None],
        ["readings", "a row says", readings.says],
    ]


def note(table: str, name: str) -> str:
    return describe(next(column for column in BY_NAME[table].columns if column.name == name))


def test_a_note_says_what_may_be_written():
    assert note("changes", "action").endswith(". One of: fit, turn, remove. Needed.")
    assert note("readings", "date").endswith(". A date, such as 2026-11-30. Needed.")
    assert note("readings", "machine").endswith(". Picked from the sheet machines. Needed.")
    assert note("readings", "hours").endswith(". Unit: h. Needed.")
    assert note("machines", "site").endswith(". May stay blank.")


def test_a_setting_says_what_holds_while_it_is_blank():
    words = {setting.name: describe_setting(setting) for setting in SETTINGS}
    assert words["lead_days"].endswith(". Blank: 14.")
    assert words["speed_km_h"].endswith(". May stay blank.")
    assert words["fit"].endswith(". One of: blended, data only. Blank: blended.")
