"""Workbook cells that few programs write, and the places where a stray cell is told apart."""

import datetime
from pathlib import Path

import pytest

from tests.logbook.forge import OFFICE, READINGS, cell, pack, parts, save, sheet_xml
from wearcast.errors import UnreadableFile
from wearcast.logbook.sources import xlsx_cells
from wearcast.logbook.sources.sheet import MOST_COLUMNS, CellError, letters
from wearcast.logbook.sources.xlsx_cells import FAR_ROWS, _Cells, read_workbook
from wearcast.logbook.sources.xlsx_parts import Book, _Texts


def lone(place: str) -> str:
    row = place.lstrip("ABC")
    return f'<row r="{row}">{cell(place, "x")}</row>'


@pytest.mark.parametrize(("row", "kept"), [(2 + FAR_ROWS, True), (3 + FAR_ROWS, False)])
def test_a_lone_cell_is_far_below_after_a_thousand_blank_rows(sheet_of, row, kept):
    sheet = sheet_of(READINGS + lone(f"C{row}"))
    assert (sheet.row_numbers[-1] == row) == kept
    assert bool(sheet.told) != kept


def test_up_to_three_lone_cells_far_below_are_strays(sheet_of):
    three = "".join(lone(f"B{row}") for row in (5000, 5001, 5002))
    sheet = sheet_of(READINGS + three)
    assert sheet.row_numbers == [1, 2]
    assert sheet.told[0].rows == (5000, 5001, 5002)
    assert sheet.told[0].wrong == "a stray cell B5000 far below the table was not read"
    two = sheet_of(READINGS + lone("B5000") + lone("B5001"))
    assert two.row_numbers == [1, 2]
    four = sheet_of(READINGS + three + lone("B5003"))
    assert four.row_numbers[-1] == 5003


def test_a_lone_cell_far_below_the_headings_is_a_stray(sheet_of):
    head = '<row r="1">' + cell("A1", "machine") + cell("B1", "date") + "</row>"
    assert sheet_of(head + lone("A5000")).row_numbers == [1]


@pytest.mark.parametrize(("column", "kept"), [(MOST_COLUMNS, True), (MOST_COLUMNS + 1, False)])
def test_cells_are_kept_up_to_a_hundred_columns(sheet_of, column, kept):
    name = "".join(letters(column))
    sheet = sheet_of(f'<row r="1">{cell("A1", 1)}{cell(f"{name}1", 2)}</row>')
    assert (len(sheet.rows[0]) == MOST_COLUMNS) == kept
    assert [told.wrong for told in sheet.told] == [
        f"a stray cell {name}1 far to the right of the table was not read"
    ] * (not kept)


def test_several_cells_far_to_the_right_are_told_as_one(sheet_of):
    far = "".join(cell(f"{name}1", 2) for name in ("DA", "DB", "DC"))
    (told,) = sheet_of(f'<row r="1">{cell("A1", 1)}{far}</row>').told
    assert told.wrong == "a stray cell DA1 and others far to the right of the table was not read"


def test_a_row_that_goes_on_for_ever_is_refused(sheet_of, monkeypatch):
    monkeypatch.setattr(xlsx_cells, "MOST_FAR", 2)
    far = [cell(f"{name}1", 2) for name in ("DA", "DB", "DC")]
    assert sheet_of(f'<row r="1">{cell("A1", 1)}{"".join(far[:2])}</row>').rows == [[1]]
    with pytest.raises(UnreadableFile, match="row 1 goes on for more than 2 cells"):
        sheet_of(f'<row r="1">{"".join(far)}</row>')
    # Each row by itself.
    two = "".join(far[:2])
    assert sheet_of(f'<row r="1">{two}</row><row r="2">{cell("A2", 1)}{two}</row>').rows == [[1]]


def test_a_workbook_of_too_many_cells_is_refused(sheet_of, monkeypatch):
    monkeypatch.setattr(xlsx_cells, "MOST_CELLS", 6)
    assert len(sheet_of(READINGS).rows) == 2
    with pytest.raises(UnreadableFile, match="more than 6 cells; give one workbook a site"):
        sheet_of(READINGS + f'<row r="3">{cell("A3", 1)}</row>')


@pytest.mark.parametrize(
    ("inside", "value"),
    [
        ('<c t="b"><v>true</v></c>', True),
        ('<c t="b"><v>0</v></c>', False),
        ('<c t="s"><v>0</v></c>', "one"),
        ("<c><v>999999999999999</v></c>", 999_999_999_999_999),
        ("<c><v>1234567890123456</v></c>", 1234567890123456.0),
        ("<c><v>-7</v></c>", -7),
        ("<c><v>7x</v></c>", "7x"),
        ('<c t="d"><v>soon</v></c>', "soon"),
        ('<c s="0"><v>5</v></c>', 5),
        ('<c t="s"><v>1</v></c>', CellError("text is missing")),
        ("<c>\n <v>7</v>\n</c>", 7),
        ('<c t="inlineStr">\n<is>\n<t>a</t>\n</is>\n</c>', "a"),
        ('<c t="str"><f>A2</f><v>x</v>\n</c>', "x"),
        ('<c t="inlineStr"><is><t>a</t><rPh><t>x</t></rPh><t>b</t></is></c>', "ab"),
    ],
)
def test_a_cell_is_what_it_says(sheet_of, inside, value):
    sheet = sheet_of(f'<row r="1">{inside}</row>', strings="<si><t>one</t></si>")
    assert sheet.rows == [[value]]
    assert type(sheet.rows[0][0]) is type(value)


@pytest.mark.parametrize(
    "inside", ['<c t="str"><f>A2</f></c>', '<c t="inlineStr"/>', "<c><v/></c>"]
)
def test_a_cell_that_shows_nothing_is_none(sheet_of, inside):
    assert sheet_of(f'<row r="1">{inside}</row>').rows == []


DAYS = "<cellXfs><xf numFmtId='14'/><xf numFmtId='0'/></cellXfs>"


def test_the_first_and_the_last_style_say_what_a_number_is(sheet_of):
    day, plain_number, no_style = (
        '<c s="0"><v>1</v></c>',
        '<c s="1"><v>1</v></c>',
        "<c><v>1</v></c>",
    )
    beyond = '<c s="2"><v>1</v></c>'
    rows = f"<row>{day}{plain_number}{beyond}{no_style}</row>"
    first = datetime.datetime(1900, 1, 1)
    assert sheet_of(rows, styles=DAYS).rows == [[first, 1, 1, first]]


def two_sheets(folder: Path, first: str, second: str):
    entries = parts(first, styles=DAYS, flags='date1904="true"')
    sheets = "</sheets>", '<sheet name="stock" sheetId="2" r:id="rId9"/></sheets>'
    link = f'<Relationship Id="rId9" Type="{OFFICE}/worksheet" Target="worksheets/s2.xml"/>'
    ends = "</Relationships>", f"{link}</Relationships>"
    for part, change in (("xl/workbook.xml", sheets), ("xl/_rels/workbook.xml.rels", ends)):
        entries[part] = entries[part].replace(*change)
    entries["xl/worksheets/s2.xml"] = sheet_xml(second)
    found = read_workbook(save(folder, pack(entries)), "book.xlsx")
    return [len(sheet.told) for sheet in found]


def test_days_from_1904_are_told_once_and_only_where_there_are_any(tmp_path: Path):
    days, none = '<row><c s="0"><v>1</v></c></row>', '<row><c s="1"><v>1</v></c></row>'
    assert two_sheets(tmp_path, days, days) == [1, 0]
    assert two_sheets(tmp_path, none, days) == [0, 1]
    assert two_sheets(tmp_path, none, none) == [0, 0]


def test_so_many_merged_areas_are_looked_at(sheet_of, monkeypatch):
    areas = '<mergeCell ref="A1:A2"/><mergeCell ref="B1:B2"/>'
    rows = '<row r="1"><c><v>1</v></c><c><v>2</v></c></row><row r="2"><c r="C2"><v>3</v></c></row>'
    assert sheet_of(rows + areas).rows[1] == [1, 2, 3]
    monkeypatch.setattr(xlsx_cells, "MOST_MERGED", 1)
    assert sheet_of(rows + areas).rows[1] == [1, None, 3]


def test_four_million_cells_are_kept_and_one_more_is_refused():
    cells = _Cells("book.xlsx", Book([], False))

    def read_row(reference: str) -> None:
        cells.start("row", {})
        cells.start("c", {"r": reference})
        cells.start("v", {})
        cells.text("7")
        cells.end("c")
        cells.end("row")

    for _ in range(40_000):
        read_row("CV1")  # the hundredth column
    assert len(cells.rows) == 40_000
    with pytest.raises(UnreadableFile, match="more than 4,000,000 cells"):
        read_row("A1")


@pytest.mark.parametrize(
    ("pieces", "kept"),
    [
        (["a", "b"], "ab"),
        (["x" * 1_000], "x" * 1_000),
        (["x" * 1_000, "y"], "x" * 999 + "\u2026"),
        (["x" * 1_001, "y" * 1_000_000], "x" * 999 + "\u2026"),
    ],
    ids=["in two", "of a thousand", "one more", "many more"],
)
def test_a_text_in_pieces_is_one_and_cut_where_no_name_goes_on(pieces, kept):
    cells, texts = _Cells("book.xlsx", Book([], False)), _Texts("book.xlsx")
    for name in ("row", "c", "t"):
        cells.start(name, {"t": "inlineStr"} if name == "c" else {})
    for name in ("si", "t"):
        texts.start(name, {})
    for reader in (cells, texts):
        for piece in pieces:
            reader.text(piece)
    cells.end("c")
    cells.end("row")
    texts.end("si")
    assert cells.rows == [[kept]]
    assert texts.texts == [kept]


def test_a_text_without_end_takes_no_more_memory_than_two_cells():
    cells, texts = _Cells("book.xlsx", Book([], False)), _Texts("book.xlsx")
    for name in ("row", "c", "t"):
        cells.start(name, {})
    for name in ("si", "t"):
        texts.start(name, {})
    for reader in (cells, texts):
        for _ in range(100):
            reader.text("x" * 1_000)
        assert sum(map(len, reader._pieces)) == 2_000
