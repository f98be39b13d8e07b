"""Workbook cells that few programs write, and the places where a stray cell is told apart."""

import pytest

from tests.logbook.forge import READINGS, cell
from wearcast.errors import UnreadableFile
from wearcast.logbook.files import xlsx_cells, xlsx_parts
from wearcast.logbook.files.sheet import MOST_COLUMNS, letters
from wearcast.logbook.files.xlsx_cells import FAR_ROWS
from wearcast.logbook.files.xlsx_parts import plain, whole

STRUCK = (
    "<fonts><font/><font><strike/></font><font><strike val='0'/></font>"
    "<font><strike val='true'/></font></fonts><cellStyleXfs><xf fontId='1'/></cellStyleXfs>"
    "<cellXfs><xf fontId='0'/><xf fontId='1'/><xf fontId='2'/><xf fontId='3'/><xf fontId='9'/>"
    "</cellXfs><cellStyles/><dxfs><dxf><font><strike/></font></dxf></dxfs>"
)


def styled(*styles: str) -> str:
    return "".join(
        f'<row r="{at}"><c r="A{at}" s="{style}"><v>1</v></c></row>'
        for at, style in enumerate(styles, 1)
    )


def test_rows_with_a_cell_that_is_struck_through_are_told(sheet_of):
    sheet = sheet_of(styled("0", "1", "2", "3", "4", "5"), styles=STRUCK)
    (told,) = sheet.told
    assert told.rows == (2, 4)
    assert told.wrong == "struck through, but read like the others"
    assert len(sheet.rows) == 6


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
    four = sheet_of(READINGS + three + lone("B5003"))
    assert four.row_numbers[-1] == 5003


def test_a_sheet_of_a_lone_cell_is_kept(sheet_of):
    assert sheet_of(lone("A5000")).row_numbers == [5000]


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


def test_too_many_shared_texts_are_refused(sheet_of, monkeypatch):
    monkeypatch.setattr(xlsx_parts, "MOST_TEXTS", 2)
    text = "<si><t>a</t></si>"
    assert sheet_of(READINGS, strings=text * 2).rows
    with pytest.raises(UnreadableFile, match="more than 2 different texts"):
        sheet_of(READINGS, strings=text * 3)


def test_a_row_that_bears_no_number_follows_the_one_before(sheet_of):
    rows = '<row r="5"><c><v>1</v></c></row><row r="0"><c><v>2</v></c></row>'
    assert sheet_of(rows).row_numbers == [5, 6]


@pytest.mark.parametrize(
    ("text", "number"),
    [("0", 0), ("12", 12), ("-1", -1), ("", -1), ("1.0", -1), ("\u0663", -1),
     ("9" * 11, int("9" * 11)), ("9" * 12, -1)],
)  # fmt: skip
def test_a_count_is_a_short_whole_number(text, number):
    assert whole(text) == number


@pytest.mark.parametrize(
    ("stored", "shown"),
    [("a_x0041_b", "aAb"), ("_x0001_", "\x01"), ("_xD7FF_", "\ud7ff"), ("_xDFFF_", "\ufffd"),
     ("_xE000_", "\ue000"), ("x_y", "x_y"), ("_x41_", "_x41_")],
)  # fmt: skip
def test_a_letter_that_xml_cannot_hold_is_shown_as_itself(stored, shown):
    assert plain(stored) == shown


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
    ],
)
def test_a_cell_is_what_it_says(sheet_of, inside, value):
    sheet = sheet_of(f'<row r="1">{inside}</row>', strings="<si><t>one</t></si>")
    assert sheet.rows == [[value]]
    assert type(sheet.rows[0][0]) is type(value)


def test_a_place_in_letters_that_no_column_has_is_counted_instead(sheet_of):
    read = sheet_of('<row><c><v>1</v></c><c r="\u00df1"><v>2</v></c></row>')
    assert read.rows == [[1, 2]]
