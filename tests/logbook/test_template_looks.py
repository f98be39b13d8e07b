"""How the blank logbook looks: a line a column, with its width, example, format and limits."""

import io
import re
import zipfile

import openpyxl
import pytest

from wearcast.logbook.schema.tables import BY_NAME, SETTINGS
from wearcast.logbook.template import blank_logbook, describe, describe_setting


@pytest.fixture(scope="module")
def book():
    return openpyxl.load_workbook(io.BytesIO(blank_logbook()))


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


def test_words_of_more_than_a_line_have_a_higher_row(book):
    sheet = book["Read me"]
    long = {len(sheet.cell(row, 1).value) > 140: sheet.row_dimensions[row].height for row in (3, 8)}
    # 15 points a line; None is a spreadsheet's own, of one line.
    assert long == {True: 30.0, False: None}


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
