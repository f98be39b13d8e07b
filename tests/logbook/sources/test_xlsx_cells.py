"""Workbook cells as their spreadsheet shows them."""

import datetime
from pathlib import Path

import pytest

from tests.logbook.forge import READINGS, cell, pack, parts, save
from wearcast.errors import UnreadableFile
from wearcast.logbook.sources.sheet import CellError, Sheet
from wearcast.logbook.sources.xlsx_cells import read_workbook

DATES = (
    '<numFmts><numFmt numFmtId="164" formatCode="dd\\.mm\\.yyyy"/>'
    '<numFmt numFmtId="165" formatCode="0.0&quot; h&quot;"/></numFmts>'
    '<cellStyleXfs><xf numFmtId="14"/></cellStyleXfs><cellXfs><xf numFmtId="0"/>'
    '<xf numFmtId="14"/><xf numFmtId="164"/><xf numFmtId="46"/><xf numFmtId="20"/>'
    '<xf numFmtId="165"/></cellXfs>'
)
DAY = datetime.datetime(2026, 1, 5)
BARE = '<row r="1"><c r="A1" s="1"/></row>'


def only(sheet: Sheet) -> object:
    ((value,),) = sheet.rows
    return value


def row(inside: str) -> str:
    return f'<row r="1">{inside}</row>'


@pytest.mark.parametrize(
    ("inside", "value"),
    [
        pytest.param("<c><v>7</v></c>", 7, id="whole number"),
        pytest.param("<c><v>7.0</v></c>", 7.0, id="number"),
        pytest.param("<c><v>1E3</v></c>", 1000.0, id="power of ten"),
        pytest.param('<c t="s"><v>1</v></c>', "two", id="shared text"),
        pytest.param('<c t="s"><v>9</v></c>', CellError("text is missing"), id="no such text"),
        pytest.param('<c t="s"><v>-1</v></c>', CellError("text is missing"), id="text minus one"),
        pytest.param('<c t="str"><v>a_x000D_b_x005F_x</v></c>', "a\rb_x", id="escaped letters"),
        pytest.param('<c t="str"><v>_x0000__xD800_</v></c>', "��", id="no letters"),
        pytest.param('<c t="b"><v>1</v></c>', True, id="yes"),
        pytest.param('<c t="e"><v>#N/A</v></c>', CellError("#N/A"), id="error"),
        pytest.param('<c t="str"><f>A2</f><v>x</v></c>', "x", id="formula with a text"),
        pytest.param("<c><f>1+1</f><v>2</v></c>", 2, id="formula with a number"),
        pytest.param("<c><f>1+1</f></c>", CellError("formula without a value"), id="formula bare"),
        pytest.param("<c><f>1</f><v></v></c>", CellError("formula without a value"), id="blank"),
        pytest.param('<c t="d"><v>2026-01-05T00:00:00</v></c>', DAY, id="ISO date"),
        pytest.param("<c><v>1e400</v></c>", "1e400", id="beyond numbers"),
        pytest.param("<c><v>nan</v></c>", "nan", id="no number"),
        pytest.param("<c><v>1_000</v></c>", "1_000", id="underscore"),
        pytest.param(f"<c><v>{'9' * 400}</v></c>", "9" * 400, id="400 digits"),
        pytest.param(
            '<c t="inlineStr"><is><r><t>a</t></r><r><t>b</t></r><rPh><t>c</t></rPh></is></c>',
            "ab",
            id="text in runs",
        ),
        pytest.param('<c s="1"><v>46027</v></c>', DAY, id="built-in date format"),
        pytest.param('<c s="2"><v>46027.5</v></c>', DAY.replace(hour=12), id="own date format"),
        pytest.param('<c s="1"><v>60</v></c>', 60, id="the day that never was"),
        pytest.param('<c s="3"><v>50.1875</v></c>', "1204:30", id="elapsed hours"),
        pytest.param('<c s="4"><v>0.25</v></c>', "06:00", id="time of day"),
        pytest.param('<c s="5"><v>1204.5</v></c>', 1204.5, id="an h in quotation marks"),
        pytest.param('<c s="99"><v>5</v></c>', 5, id="no such style"),
    ],
)
def test_a_cell_is_what_the_spreadsheet_shows(sheet_of, inside: str, value: object):
    # Day numbers: 46027 is 5 January 2026 and 60 is 29 February 1900, as ECMA-376 part 1,
    # 18.17.4.1 has it (remembered; the differences are computed here).
    strings = "<si><t>one</t></si><si><r><t>t</t></r><r><t>wo</t></r><rPh><t>zwo</t></rPh></si>"
    found = only(sheet_of(row(inside), styles=DATES, strings=strings))
    assert found == value
    assert type(found) is type(value)


def test_days_count_from_1904_where_the_workbook_says_so(sheet_of):
    # 46027 - 1462 days: the same day in the two date systems.
    sheet = sheet_of(row('<c s="1"><v>44565</v></c>'), styles=DATES, flags='date1904="1"')
    assert only(sheet) == DAY
    assert sheet.date1904
    assert [(problem.severity, problem.wrong) for problem in sheet.told] == [
        ("repaired", "this workbook counts its days from 1904, and its dates were read so")
    ]


@pytest.mark.parametrize(
    ("written", "rows", "numbers"),
    [
        (row('<c r="?"><v>1</v></c>' + cell("C1", 3) + '<c r=""><v>4</v></c>'),
         [[1, None, 3, 4]], [1]),
        (row('<c><v>1</v></c><c r="\u00df1"><v>2</v></c>'), [[1, 2]], [1]),
        (row(cell("C1", 3) + cell("A1", 1) + cell("C1", 4)), [[1, None, 4]], [1]),
        (f'{BARE}<row r="4">{cell("B4", 5)}</row>', [[None, 5]], [4]),
        (f'<row r="5">{cell("A5", 5)}</row><row r="2">{cell("A2", 2)}</row>', [[2], [5]], [2, 5]),
        ("<row><c><v>1</v></c><c><v>2</v></c></row><row><c><v>3</v></c></row>",
         [[1, 2], [3]], [1, 2]),
        ('<row r="5"><c><v>1</v></c></row><row r="0"><c><v>2</v></c></row>', [[1], [2]], [5, 6]),
        (f'<row r="5000">{cell("A5000", "x")}</row>', [["x"]], [5000]),
    ],
)  # fmt: skip
def test_cells_stand_where_they_belong(sheet_of, written, rows, numbers):
    sheet = sheet_of(written)
    assert (sheet.rows, sheet.row_numbers) == (rows, numbers)


def test_hidden_sheets_and_filtered_rows_are_counted(sheet_of):
    rows = READINGS + f'<row r="3" hidden="1">{cell("A3", "M-2")}</row><row r="4" hidden="1"/>'
    sheet = sheet_of(rows, state="veryHidden")
    assert (sheet.hidden, sheet.hidden_rows, len(sheet.rows)) == (True, 1, 3)


def test_whole_rows_far_below_are_data(sheet_of):
    far = f'<row r="9000">{cell("A9000", "M-2")}{cell("B9000", "2026-01-06")}</row>'
    sheet = sheet_of(READINGS + far)
    assert (sheet.row_numbers, sheet.told) == ([1, 2, 9000], ())


def test_a_stray_cell_in_the_last_corner_is_named_and_left_out(sheet_of):
    sheet = sheet_of(READINGS + f'<row r="1048576">{cell("XFD1048576", "x")}</row>')
    assert sheet.row_numbers == [1, 2]
    assert sheet.told[0].wrong == (
        "a stray cell XFD1048576 far to the right of the table was not read"
    )


def test_a_long_text_is_cut_and_told(sheet_of):
    sheet = sheet_of(row(cell("A1", "x" * 200_000)))
    assert len(str(only(sheet))) == 1_000
    assert sheet.told[0].wrong == "a cell of 1,000 or more characters was cut there"


def test_one_sheet_listed_twice_is_refused(tmp_path: Path):
    entries = parts()
    entries["xl/workbook.xml"] = entries["xl/workbook.xml"].replace(
        "<sheets>", '<sheets><sheet name="changes" sheetId="2" r:id="rId1"/>'
    )
    with pytest.raises(UnreadableFile, match="list of sheets does not fit its contents"):
        read_workbook(save(tmp_path, pack(entries)), "book.xlsx")
