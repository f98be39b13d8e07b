"""Rows that say something beside their table."""

from pathlib import Path

import pytest

from tests.logbook.makers import READINGS, SOUND, read_tables, told_of

HEADINGS, *BODY = READINGS.splitlines(keepends=True)


@pytest.mark.parametrize(
    "row",
    [
        "string,date,float,bool",
        "Maschine,Datum,Stunden,neu",
        "as on the plate,of the day,as shown,",
    ],
)
def test_words_alone_under_the_headings_are_no_row(row: str, tmp_path: Path):
    readings = "".join([HEADINGS, row, "\n", *BODY])
    book = read_tables(tmp_path, {**SOUND, "readings": readings})
    assert told_of(book) == ["readings.csv, row 2: words about the columns, no row; passed over."]
    assert sorted(book.machines["machine"]) == ["M-014", "M-015", "M-022"]


@pytest.mark.parametrize("row", ["M-014,today,full,", "M-999,today,1300,", "M-999,today,?,"])
def test_a_first_row_that_may_be_a_reading_is_set_aside(row: str, tmp_path: Path):
    readings = "".join([HEADINGS, row, "\n", *BODY])
    told = read_tables(tmp_path, {**SOUND, "readings": readings}).told
    assert {(one.rows, one.severity) for one in told if one.table == "readings"} >= {
        ((2,), "set aside")
    }


def test_a_label_under_the_table_is_no_machine(tmp_path: Path):
    readings = READINGS + "Checked by:,K,,\nDate:,2026-02-17,,\n"
    book = read_tables(tmp_path, {**SOUND, "readings": readings})
    assert told_of(book) == [
        "readings.csv, rows 11-12: a remark, not a row of the table; passed over."
    ]
    assert sorted(book.machines["machine"]) == ["M-014", "M-015", "M-022"]


def test_a_name_over_a_block_of_machines_is_no_machine(tmp_path: Path):
    head, *rows = SOUND["machines"].splitlines(keepends=True)
    machines = "".join([head, "North wing,,,,,,\n", *rows])
    book = read_tables(tmp_path, {**SOUND, "machines": machines})
    assert told_of(book) == [
        "machines.csv, row 2: a lone text that names nothing else in the logbook; passed over as a"
        " remark. Complete the row if it is one."
    ]
    assert sorted(book.machines["machine"]) == ["M-014", "M-015", "M-022"]


def test_a_part_of_which_the_name_alone_is_known_stays_in_the_catalogue(tmp_path: Path):
    parts = SOUND["parts"] + "GB-3,,,,,,,,,\n"
    changes = SOUND["changes"].replace("02-09,left brush,fit,BR-2", "02-09,left brush,fit,GB-3")
    book = read_tables(tmp_path, {**SOUND, "parts": parts, "changes": changes})
    assert "GB-3" in set(book.parts.loc[book.parts["catalogued"], "part"])


def test_an_example_row_that_somebody_filled_in_is_told(tmp_path: Path):
    readings = READINGS + "EXAMPLE M-01,2026-02-17,1321.0,\n"
    book = read_tables(tmp_path, {**SOUND, "readings": readings})
    assert told_of(book) == [
        "readings.csv, row 11: an example, not a row of the table; passed over. Write its own name"
        " if it is a row of yours."
    ]


def test_words_for_headings_under_the_headings_are_no_other_table(tmp_path: Path):
    stock = SOUND["stock"].replace("\n", "\nnumber,pieces,store,\n", 1)
    book = read_tables(tmp_path, {**SOUND, "stock": stock})
    assert sorted(book.stock["part"]) == ["BR-2", "GB-1"]
