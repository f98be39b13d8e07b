"""Faults that meet in one place: each is told once, and what was meant comes out."""

from pathlib import Path

import pytest

from tests.logbook.makers import SOUND, changed, read_tables, told_of, write_folder
from tests.logbook.test_laws import assert_same_facts
from wearcast.logbook.book import read_logbook

BREAKS = "part,name,kind,edges,price,pack,min_order,lead_days,supplier,usual_hours,from_pieces\n"


def test_a_price_break_may_spell_its_part_otherwise(tmp_path: Path):
    parts = BREAKS + "".join(f"{line},\n" for line in SOUND["parts"].splitlines()[1:])
    right = read_tables(tmp_path / "right", {**SOUND, "parts": f"{parts}GB-1,,,,17.5,,,,,,10\n"})
    book = read_tables(tmp_path / "log", {**SOUND, "parts": f'{parts}gb 1,,,,"17,5",,,,,,10\n'})
    assert_same_facts(book, right)
    assert [(one.severity, one.rows, one.column) for one in book.told] == [
        ("repaired", (4,), "part"),
        ("repaired", (4,), "price"),
    ]


def test_the_column_told_is_one_in_which_both_rows_say_something(tmp_path: Path):
    parts = f"{SOUND['parts']}GB-1,,,,19.5,,,,,,\n"
    (told,) = read_tables(tmp_path, {**SOUND, "parts": parts}).told
    assert (told.severity, told.rows, told.column) == ("set aside", (2, 4), "price")


@pytest.mark.parametrize(
    "again", ["service_level,0.95", "Service Level,95 %", 'SERVICE_LEVEL,"0,950"']
)
def test_a_setting_given_twice_in_other_words_is_one(again: str, tmp_path: Path):
    book = read_tables(tmp_path, {**SOUND, "settings": f"{SOUND['settings']}{again}\n"})
    assert book.settings == {"currency": "EUR", "service_level": "0.95"}
    assert [(one.severity, one.rows) for one in book.told if one.severity == "note"] == [
        ("note", (4,))
    ]
    assert not any(one.severity == "set aside" for one in book.told)


def test_the_dates_beside_it_settle_a_setting_with_two_readings(tmp_path: Path):
    tables = {
        name: "\n".join(",".join(map(_day_first, line.split(","))) for line in text.splitlines())
        for name, text in SOUND.items()
    }
    tables["settings"] += "\nas_of,03/02/2026\n"
    assert str(read_tables(tmp_path, tables).as_of.date()) == "2026-02-03"


def _day_first(cell: str) -> str:
    return "/".join(cell.split("-")[::-1]) if cell[:2] == "20" and len(cell) == 10 else cell


def test_a_rate_is_no_hour_meter(tmp_path: Path):
    (told,) = read_tables(tmp_path, changed("readings", "1251.0", "1251 h/week")).told
    assert told.severity == "set aside"


def test_overlapping_files_that_differ_in_writing_are_the_one_logbook(tmp_path: Path):
    kept = ("machines", "readings", "changes", "floors", "parts", "positions")
    other = {name: SOUND[name].replace("M-0", "m_0") for name in kept}
    other["parts"] = SOUND["parts"].replace("18.5", '"18,50"')
    other["floors"] = other["floors"].replace("0.6", "60 %").replace("0.4", "40 %")
    one, two = write_folder(tmp_path / "one", SOUND), write_folder(tmp_path / "two", other)
    assert_same_facts(read_logbook(one, two), read_logbook(one))
    assert not [line for line in told_of(read_logbook(one, two)) if "Set aside" in line]


def test_headings_of_ones_own_are_headings_the_second_time_too(tmp_path: Path):
    head, *rows = SOUND["readings"].replace("machine,date", "Maschine,Tag").splitlines()
    readings = "\n".join([head, *rows[:4], head, *rows[4:]]) + "\n"
    columns = "table,theirs,ours\nreadings,maschine,machine\nreadings,Tag,date\n"
    book = read_tables(tmp_path / "log", {**SOUND, "readings": readings, "columns": columns})
    assert_same_facts(book, read_tables(tmp_path / "sound", SOUND))
    assert [one.rows for one in book.told if "once more" in one.wrong] == [(6,)]


@pytest.mark.parametrize(
    ("table", "old", "new"),
    [
        ("changes", "01-21,front blade,turn", "01-21,front blade,swapped"),
        ("floors", "vinyl,0.6", "vinyl,most"),
        ("settings", "0.95", "much"),
        ("machines", "M-014,North Hall,main,65,,", "M-014,North Hall,main,65,,soon"),
        ("positions", "GB-1,1", "GB-1,one"),
        ("plans", "06,0,2026-08-16", "06,0,autumn"),
    ],
)
def test_what_cannot_be_read_in_a_copy_takes_nothing_from_the_logbook(
    table: str, old: str, new: str, tmp_path: Path
):
    one = write_folder(tmp_path / "one", SOUND)
    copy = write_folder(tmp_path / "two", changed(table, old, new))
    sound = read_tables(tmp_path / "sound", SOUND)
    for book in (read_logbook(one, copy), read_logbook(copy, one)):
        assert_same_facts(book, sound)
        assert [problem.table for problem in book.told if problem.severity == "set aside"] == [
            table
        ]


def test_a_copy_with_shares_in_percent_is_a_copy(tmp_path: Path):
    floors = "machine,floor,share\nM-014,vinyl,60\nM-014,quarry tile,40\nM-015,vinyl,100\n"
    one = write_folder(tmp_path / "one", SOUND)
    copy = write_folder(tmp_path / "two", {**SOUND, "floors": floors})
    book = read_logbook(one, copy)
    assert_same_facts(book, read_tables(tmp_path / "sound", SOUND))
    assert {problem.severity for problem in book.told} == {"note"}


def test_a_percentage_is_the_very_share(tmp_path: Path):
    floors = SOUND["floors"].replace("0.6", "57%").replace("0.4", "43 %")
    book = read_tables(tmp_path, {**SOUND, "floors": floors})
    assert book.floors["share"].tolist()[:2] == [0.43, 0.57]


def test_a_bad_share_beside_shares_that_are_whole_goes_alone(tmp_path: Path):
    floors = f"{SOUND['floors']}M-014,terrazzo,-5,\n"
    book = read_tables(tmp_path / "log", {**SOUND, "floors": floors})
    assert_same_facts(book, read_tables(tmp_path / "sound", SOUND))
    assert [(problem.rows, problem.wrong) for problem in book.told] == [((6,), "negative")]
