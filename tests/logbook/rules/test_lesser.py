"""A row that says less than another about the same thing is a copy of it, not a contradiction."""

from pathlib import Path

import pytest

from tests.logbook.makers import SOUND, changed, read_tables, told_of, write_folder
from tests.logbook.test_laws import assert_same_facts
from wearcast.logbook.book import read_logbook

LESSER = "another row says the same and more; it was counted once."


@pytest.mark.parametrize(
    ("table", "row", "place"),
    [
        ("parts", "GB-1,,,,,,,,,", 4),
        ("parts", "GB-1,gum blade,blade,4,,2,2,14,Northrubber,100", 4),
        ("machines", "M-014,,,,,,", 5),
        ("positions", "M-014,front blade,GB-1,", 5),
    ],
    ids=["a bare part", "a part without its price", "a bare machine", "pieces of one left blank"],
)
def test_a_row_that_says_less_is_counted_once(table: str, row: str, place: int, tmp_path: Path):
    book = read_tables(tmp_path / "log", {**SOUND, table: f"{SOUND[table]}{row}\n"})
    assert told_of(book) == [f"{table}.csv, row {place}: {LESSER}"]
    assert_same_facts(book, read_tables(tmp_path / "sound", SOUND))


def test_a_cell_that_cannot_be_read_contradicts_no_other_row(tmp_path: Path):
    row = "GB-1,gum blade,blade,4,18..5,2,2,14,Northrubber,100"
    book = read_tables(tmp_path / "log", {**SOUND, "parts": f"{SOUND['parts']}{row}\n"})
    assert [(one.severity, one.rows) for one in book.told] == [("set aside", (4,)), ("note", (4,))]
    assert_same_facts(book, read_tables(tmp_path / "sound", SOUND))


def test_a_blank_end_of_a_plan_is_no_less_than_a_day(tmp_path: Path):
    plans = f"{SOUND['plans']}M-015,2026-07-06,0,\n"
    (told,) = read_tables(tmp_path, {**SOUND, "plans": plans}).told
    assert (told.severity, told.rows) == ("set aside", (2, 3))


def test_a_row_that_says_less_but_one_thing_otherwise_is_no_copy(tmp_path: Path):
    parts = f"{SOUND['parts']}GB-1,gum blade,blade,4,,2,2,14,Northrubber,120\n"
    (told,) = read_tables(tmp_path, {**SOUND, "parts": parts}).told
    assert (told.severity, told.rows, told.column) == ("set aside", (2, 4), "usual_hours")


CAUSED = changed("changes", "fit,BR-2,worn", "fit,BR-2,damaged")
BARE = {
    "readings": SOUND["readings"],
    "changes": "machine,date,position,action\n"
    + "".join(",".join(line.split(",")[:4]) + "\n" for line in SOUND["changes"].splitlines()[1:]),
}


def test_a_deed_that_two_files_tell_in_more_and_in_fewer_words_is_one(tmp_path: Path):
    one, other = write_folder(tmp_path / "one", CAUSED), write_folder(tmp_path / "two", BARE)
    assert_same_facts(read_logbook(one, other), read_logbook(one))


def test_two_lines_of_one_file_are_two_deeds_though_one_says_less(tmp_path: Path):
    changes = f"{SOUND['changes']}M-022,2026-02-09,left brush,fit,,,\n"
    book = read_tables(tmp_path, {**SOUND, "changes": changes})
    assert len(book.changes) == 8
