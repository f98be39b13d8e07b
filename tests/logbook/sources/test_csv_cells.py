"""CSV files as people and programs really write them."""

import io
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wearcast.errors import UnreadableFile
from wearcast.logbook.sources.csv_cells import read_csv, read_records
from wearcast.logbook.sources.sheet import Sheet

PLAIN = "machine,date,hours\nM-1,2026-01-05,1204.5\nM-2,2026-01-06,88\n"
CELLS = [["machine", "date", "hours"], ["M-1", "2026-01-05", "1204.5"], ["M-2", "2026-01-06", "88"]]


@pytest.fixture
def sheet_of(tmp_path: Path):
    def read(content: str | bytes, name: str = "readings.csv") -> Sheet:
        path = tmp_path / name
        path.write_bytes(content.encode() if isinstance(content, str) else content)
        return read_csv(path, name)

    return read


def words(sheet: Sheet) -> list[str]:
    return [problem.wrong for problem in sheet.told]


@pytest.mark.parametrize(
    "content",
    [
        pytest.param(PLAIN.encode(), id="utf-8"),
        pytest.param(b"\xef\xbb\xbf" + PLAIN.encode(), id="utf-8 with its mark"),
        pytest.param(PLAIN.encode("utf-16"), id="utf-16 with its mark"),
        pytest.param(b"\xfe\xff" + PLAIN.encode("utf-16-be"), id="utf-16 big end first"),
        pytest.param(PLAIN.encode("utf-32"), id="utf-32 with its mark"),
        pytest.param(PLAIN.replace("\n", "\r").encode(), id="CR alone"),
        pytest.param(PLAIN.replace("\n", "\r\n").encode(), id="CR LF"),
        pytest.param(PLAIN.rstrip("\n").encode(), id="no line end at the end"),
        pytest.param(PLAIN.encode() + b"\x1a", id="Ctrl-Z at the end"),
    ],
)
def test_the_same_cells_come_out_of_every_way_to_write_them(sheet_of, content: bytes):
    sheet = sheet_of(content)
    assert sheet.rows == CELLS
    assert sheet.row_numbers == [1, 2, 3]
    assert sheet.told == ()


@pytest.mark.parametrize(
    ("mark", "name"), [(";", "semicolon"), ("\t", "TAB"), ("|", "upright bar")]
)
def test_another_delimiter_is_found_and_told(sheet_of, mark: str, name: str):
    sheet = sheet_of(PLAIN.replace(",", mark))
    assert sheet.rows == CELLS
    assert words(sheet) == [f"the cells are separated by {name} (decided from the whole file)"]


def test_a_sep_line_is_obeyed_and_not_counted(sheet_of):
    sheet = sheet_of("sep=;\nmachine;date;hours\nM-1;2026-01-05;12,5\n")
    assert sheet.rows == [["machine", "date", "hours"], ["M-1", "2026-01-05", "12,5"]]
    assert sheet.row_numbers == [1, 2]
    assert words(sheet) == ["the cells are separated by semicolon (as its first line says)"]


def test_windows_1252_is_read_and_named_with_an_example(sheet_of):
    sheet = sheet_of("machine,site\nM-1,Café Süd\n".encode("cp1252"))
    assert sheet.rows[1] == ["M-1", "Café Süd"]
    (told,) = sheet.told
    assert told.severity == "repaired"
    assert told.wrong == "the letters are not UTF-8 and were read as Windows-1252 (cp1252)"
    assert told.value == "Café"


def test_rows_are_counted_as_records_through_blank_rows_and_quoted_line_ends(sheet_of):
    sheet = sheet_of('machine,site\n\nM-1,"North\nhall"\n,\nM-2,South\n')
    assert sheet.rows[1:] == [["M-1", "North\nhall"], ["M-2", "South"]]
    assert sheet.row_numbers == [1, 3, 5]


def test_doubled_quotation_marks_stand_for_one_and_an_inch_mark_is_a_letter(sheet_of):
    sheet = sheet_of('part,name\nP-1,pad 20"\nP-2,pad 17"\nP-3,"pad 20"" wide"\n')
    assert sheet.rows[1:] == [["P-1", 'pad 20"'], ["P-2", 'pad 17"'], ["P-3", 'pad 20" wide']]
    assert sheet.told == ()


def test_a_quotation_left_open_costs_its_own_row_alone(sheet_of):
    body = "".join(f"M-{place},site {place}\n" for place in range(100))
    sheet = sheet_of('machine,site\nM-a,"North\n' + body)
    assert len(sheet.rows) == 102
    assert sheet.rows[1] == ["M-a", "North"]
    assert sheet.rows[-1] == ["M-99", "site 99"]
    (told,) = sheet.told
    wrong = "a quotation mark has no partner; in front of a cell it was left out"
    assert told.wrong == wrong
    assert told.rows == (2,)


def test_two_lone_quotation_marks_do_not_swallow_the_rows_between(sheet_of):
    body = "".join(f"M-{place},site {place}\n" for place in range(100))
    sheet = sheet_of(f'machine,site\nM-a,"North\n{body}M-b,"South"\nM-c,West"\n')
    assert len(sheet.rows) == 104
    assert sheet.told[0].rows == (2,)


def test_a_million_blank_cells_say_nothing(sheet_of):
    assert sheet_of("machine,site" + "," * 1_000_000 + "\nM-1,North\n").told == ()


CSV_CURE = "open it in your spreadsheet program and save it as CSV UTF-8."


NUL = f"NUL bytes in it: a binary file, or UTF-16 without its mark; {CSV_CURE}"


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (b"", "the file is empty (0 bytes); save or export it again."),
        (b"machine,hours\nM\x00,3\n", NUL),
        (PLAIN.encode("utf-16-le"), NUL),
        (bytes(range(1, 32)) * 20, f"this is no text file (binary bytes in it); {CSV_CURE}"),
        (b"PK\x03\x04", "this is a workbook or zip called .csv; give it its own ending (.xlsx)."),
        (b"<!DOCTYPE html><x/>", f"this is a web page, not a table of values; {CSV_CURE}"),
        (b"%PDF-1.7 rest", f"this is a PDF, not a table of values; {CSV_CURE}"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1rest",
         f"this is an old or encrypted office file called .csv; {CSV_CURE}"),
        (b"\x1f\x8brest", "this is a packed file (gzip); unpack it first."),
        (b"\x81\x8d\x8f", f"its letters are neither UTF-8 nor Windows-1252; {CSV_CURE}"),
    ],
    ids=["zero bytes", "NUL", "UTF-16 without its mark", "control characters", "workbook",
         "web page", "PDF", "old office file", "packed", "bytes"],
)  # fmt: skip
def test_what_is_no_csv_is_refused_with_its_reason(sheet_of, content: bytes, message: str):
    with pytest.raises(UnreadableFile) as refusal:
        sheet_of(content)
    assert str(refusal.value) == f"readings.csv: {message}"


cells = st.text(st.characters(codec="utf-8", exclude_characters="\0\r", exclude_categories=["Cc"]))


@given(st.lists(st.lists(cells, min_size=2, max_size=4), min_size=1, max_size=6))
def test_quoted_cells_come_back_as_they_went_in(rows: list[list[str]]):
    text = "".join(
        ",".join('"' + cell.replace('"', '""') + '"' for cell in row) + "\n" for row in rows
    )
    assert read_records(list(io.StringIO(text, newline="\n")), ",")[0] == rows


@given(st.text(alphabet='ab",;\n|\t', max_size=200))
def test_every_line_is_in_some_record_whatever_the_quotation_marks(text: str):
    lines = [line + "\n" for line in text.split("\n")]
    records, _ = read_records(lines, ",")
    kept = sum(cell.count("\n") for record in records for cell in record) + len(records)
    assert kept == len(lines)
