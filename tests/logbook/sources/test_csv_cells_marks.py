"""Which mark parts the cells of a CSV file, where several might."""

from pathlib import Path

import pytest

from wearcast.logbook.sources.csv_cells import (
    LONGEST_RECORD,
    _split_again,
    decide_delimiter,
    read_csv,
    read_records,
)
from wearcast.logbook.sources.sheet import LONGEST_TEXT, MOST_COLUMNS, Sheet


@pytest.fixture
def sheet_of(tmp_path: Path):
    def read(content: str) -> Sheet:
        path = tmp_path / "readings.csv"
        path.write_text(content, encoding="utf-8", newline="")
        return read_csv(path, "readings.csv")

    return read


def told(sheet: Sheet):
    return [(one.severity, one.rows, one.wrong) for one in sheet.told]


@pytest.mark.parametrize(
    ("lines", "mark"),
    [
        pytest.param([], ",", id="no line"),
        pytest.param(["a\n", "b\n"], ",", id="no mark"),
        pytest.param(["a|b\n"], "|", id="a single one"),
        pytest.param(["machine;part,site\n", "a;b,c\n"], ",", id="as many headings: the first"),
        pytest.param(["x,y;z\n", "1,5;2\n", "1;2\n"], ";", id="the evener width"),
        pytest.param(
            ["Geraet;Tag;Stand\n", "M1;05.01.2026;4,5\n", "M2;06.01.2026;88,0\n"], ";",
            id="decimal commas are none",
        ),
        pytest.param(
            ["a;b;c;d\n", *["M1;2026-01-05;4,5\n"] * 20, "M1;2026-02-01;3;yes\n"], ";",
            id="ragged rows with decimal commas are no table",
        ),
        pytest.param(
            ["North, all, 2026\n", "\n", "machine\thours\n", "M1\t3,5\n"], "\t",
            id="a title decides nothing",
        ),
        pytest.param(["x;y,z,w\n", "1;2,3,4\n"], ",", id="the greater width"),
        pytest.param(["machine;date;hours\n", *["1,2,3,4\n"] * 9], ";", id="headings go first"),
        pytest.param(["x\n", "y\n", "z|1\n"], "|", id="the only one, wherever it stands"),
        pytest.param(
            ["1;2\n", "3;4\n", "x,y\n", "z\n"], ";", id="rows of a single cell are no table"
        ),
        pytest.param(
            ["x;y\n", "1,5;2\n", *["\n"] * 5], ";", id="blank rows have no width to go by"
        ),
    ],
)  # fmt: skip
def test_the_mark_is_decided_from_headings_then_widths(lines, mark):
    assert decide_delimiter(lines) == mark


def test_headings_are_looked_for_in_the_first_thirty_lines():
    body = ["1,2\n"] * 29
    assert decide_delimiter([*body, "machine;hours\n"]) == ";"
    assert decide_delimiter([*body, "1,2\n", "machine;hours\n"]) == ","


def test_blanks_before_a_quotation_mark_belong_to_no_cell():
    lines = ['machine, "site"\n', 'M1, "North, hall"\n']
    assert read_records(lines, ",")[0] == [["machine", "site"], ["M1", "North, hall"]]
    once = ["machine,site\n", 'M1, "North, hall"\n']
    assert read_records(once, ",")[0] == [["machine", "site"], ["M1", "North, hall"]]
    tabbed = ['machine\t "site"\n']
    assert read_records(tabbed, "\t")[0] == [["machine", ' "site"']]


def test_a_record_may_reach_over_so_many_lines():
    within = ['"' + "x\n" * (LONGEST_RECORD - 1) + '",1\n']
    records, odd = read_records("".join(within).splitlines(keepends=True), ",")
    assert (len(records), odd) == (1, ())
    beyond = ['"' + "x\n" * LONGEST_RECORD + '",1\n']
    records, odd = read_records("".join(beyond).splitlines(keepends=True), ",")
    assert len(records) > 1
    assert odd[0] == 1


def test_a_file_of_quoted_lines_is_split_by_its_headings(sheet_of):
    sheet = sheet_of('"machine;date;hours"\n"M1;2026-01-05;7,5"\n')
    assert sheet.rows == [["machine", "date", "hours"], ["M1", "2026-01-05", "7,5"]]
    assert told(sheet)[0][1] == (1, 2)


def test_a_file_of_single_cells_stays_one(sheet_of):
    assert sheet_of("machine\nM1\n").rows == [["machine"], ["M1"]]
    assert sheet_of("sep=,\nmachine;x\nM1;x\n").rows == [["machine;x"], ["M1;x"]]


def test_rows_are_split_to_the_width_of_the_rest_whatever_its_headings(sheet_of):
    sheet = sheet_of('Geraet,Stand\nM1,7\n\n"M2,8"\n"a;b;c"\n')
    assert sheet.rows == [["Geraet", "Stand"], ["M1", "7"], ["M2", "8"], ["a;b;c"]]


@pytest.mark.parametrize(("above", "split"), [(29, True), (30, False)])
def test_headings_to_split_by_are_looked_for_in_the_first_thirty_rows(above, split):
    rows = [["x"]] * above + [["machine;hours"], ["M1;7"]]
    records, again = _split_again(list(rows))
    assert (records[-1] == ["M1", "7"]) == split
    assert again == ((above + 1, above + 2) if split else ())


def test_a_lone_cell_of_two_lines_is_no_row_in_one_cell(sheet_of):
    sheet = sheet_of('machine,date,hours\nM1,2026-01-05,7\n"North;\nSouth;1"\n')
    assert sheet.rows[-1] == ["North;\nSouth;1"]


def test_a_mark_of_the_person_s_own_is_named_as_it_is(sheet_of):
    sheet = sheet_of("sep=^\nmachine^date^hours\nM1^2026-01-05^7\n")
    assert sheet.rows[1] == ["M1", "2026-01-05", "7"]
    assert told(sheet)[0][2] == 'the cells are separated by "^" (as its first line says)'
    comma = sheet_of("sep=,\nmachine,date,hours\n")
    assert told(comma)[0][2] == "the cells are separated by comma (as its first line says)"


def test_cells_written_as_formulas_of_a_text_are_read_as_it(sheet_of):
    sheet = sheet_of('machine,part\nM1,="007"\nM2,007\n')
    assert sheet.rows[1:] == [["M1", "007"], ["M2", "007"]]
    assert told(sheet) == [
        ("note", (2,),
         'cells written ="like this" are read as the text between the quotation marks')
    ]  # fmt: skip


def test_a_formula_within_a_longer_text_is_left_as_it_was_written(sheet_of):
    sheet = sheet_of('machine,part\nM1,was ="007" before\n')
    assert sheet.rows[1] == ["M1", 'was ="007" before']
    assert told(sheet) == []


def test_a_row_is_wide_with_a_filled_cell_beyond_a_hundred(sheet_of):
    head = "machine" + "," * (MOST_COLUMNS - 1) + "\n"
    assert told(sheet_of(head + "M1" + "," * (MOST_COLUMNS - 1) + "x\n")) == []
    wide = sheet_of(head + "M1" + "," * MOST_COLUMNS + "x\n")
    assert len(wide.rows[1]) == MOST_COLUMNS
    assert told(wide)[-1][1:] == ((2,), "cells beyond the first 100 columns were not read")


def test_a_cell_is_long_from_a_thousand_letters_on(sheet_of):
    assert told(sheet_of("a,b\n" + "x" * (LONGEST_TEXT - 1) + ",1\n")) == []
    long = sheet_of("a,b\n" + "x" * LONGEST_TEXT + "x,1\n")
    assert len(long.rows[1][0]) == LONGEST_TEXT
    assert told(sheet_of("a,b\n" + "x" * LONGEST_TEXT + ",1\n"))[0][1:] == (
        (2,),
        "a cell of 1,000 or more characters was cut there",
    )
