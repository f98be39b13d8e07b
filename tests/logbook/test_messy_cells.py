"""One cell is not what it should be: the whole wording of what is told, and its cure."""

import functools
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.logbook.makers import SOUND, cases, changed, read_tables, told_of
from wearcast.logbook.book import Logbook

SET_ASIDE = "Set aside for now."

# table, as it stands in the sound logbook, as the person wrote it, what is told
# (cases from common practice, no source; wordings are ours)
CASES = cases("""
unit behind a number | readings | 1251.0 | 1251.0 h
    readings.csv, row 3, hours "1251.0 h": the unit behind the number is left out. Repaired.
blank between thousands | readings | 1251.0 | 1 251.0
    readings.csv, row 3, hours "1 251.0": blanks or apostrophes between thousands are left out.
    Repaired.
a decimal comma | readings | 1251.0 | "1251,0"
    readings.csv, row 3, hours "1251,0": a comma is read as the decimal mark. Repaired.
a comma with two readings | readings | 1251.0 | "1,251"
    readings.csv, row 3, hours "1,251": the mark can stand for thousands or for decimals, and
    the column does not settle it. Write the number without a thousands mark and with a decimal
    point. Set aside for now.
currency behind a price | parts | 18.5 | 18.50 EUR
    parts.csv, row 2, price "18.50 EUR": the unit behind the number is left out. Repaired.
nan | readings | 1251.0 | nan
    readings.csv, row 3, hours "nan": not a number. Write a plain number. Set aside for now.
beyond all numbers | readings | 1251.0 | 1e400
    readings.csv, row 3, hours "1e400": above 1,000,000. Correct the number. Set aside for now.
negative hours | readings | 1251.0 | -5
    readings.csv, row 3, hours "-5": negative. Write a number of 0 or more. Set aside for now.
fractional stock | stock | GB-1,4 | GB-1,4.5
    stock.csv, row 2, on_hand "4.5": not a whole number. Write a whole number of pieces. Set
    aside for now.
no pieces at all | positions | BR-2,2 | BR-2,0
    positions.csv, row 4, pieces "0": below 1. Write a number of 1 or more. Set aside for now.
a price below nothing | parts | 18.5 | -18.5
    parts.csv, row 2, price "-18.5": negative; the cell counts as blank. Write a number of 0 or
    more. Set aside for now.
hours of a change that are none | changes | 1257.5 | abc
    changes.csv, row 3, hours "abc": not a number; the cell counts as blank. Write a plain
    number. Set aside for now.
blank where needed | readings | 1251.0 | nothing
    readings.csv, row 3, hours: hours is blank. Fill in hours. Set aside for now.
two blanks in one row | readings | M-014,2026-01-19,1251.0 | M-014,,
    readings.csv, row 3, date: date and hours are blank. Fill in date and hours. Set aside for
    now.
an error where needed | readings | 1251.0 | #REF!
    readings.csv, row 3, hours "#REF!": this stands for nothing, and hours is needed. Fill in
    hours. Set aside for now.
n/a where not needed | parts | 18.5 | n/a
    parts.csv, row 2, price "n/a": read as blank.
a day that never was | readings | M-014,2026-01-19 | M-014,31/02/2026
    readings.csv, row 3, date "31/02/2026": there is no such day. Write the date as
    year-month-day, 2026-02-03. Set aside for now.
a month that never was | changes | 2026-01-21 | 2026-13-21
    changes.csv, row 3, date "2026-13-21": there is no such day; as it may lie in any spell
    there, its position is left out of the fit. Write the date as year-month-day, 2026-02-03.
    Set aside for now.
day number 0 | readings | M-014,2026-01-19 | M-014,0
    readings.csv, row 3, date "0": a day number that is no date in these times. Write the date
    as year-month-day, 2026-02-03. Set aside for now.
a day number as text | readings | M-014,2026-01-19 | M-014,46041
    readings.csv, row 3, date "46041": a spreadsheet's day number is read as its date. Repaired.
no date | readings | M-014,2026-01-19 | M-014,soon
    readings.csv, row 3, date "soon": not a date. Write the date as year-month-day, 2026-02-03.
    Set aside for now.
a first day at work that never was | machines | 2025-11-03 | 2025-02-30
    machines.csv, row 4, in_service "2025-02-30": there is no such day; the cell counts as
    blank. Write the date as year-month-day, 2026-02-03. Set aside for now.
a reading a year too late | readings | M-014,2026-01-19 | M-014,2027-01-19
    readings.csv, row 3, date "2027-01-19": later than 2026-02-16, the newest date that other
    rows support. Correct the date; if it is right, give it as as_of. Set aside for now.
a change a year too late | changes | 2026-02-09 | 2027-02-09
    changes.csv, row 8, date "2027-02-09": later than 2026-02-16, the newest date that other
    rows support; as it may lie in any spell there, its position is left out of the fit. Correct
    the date; if it is right, give it as as_of. Set aside for now.
a count after as-of | stock | GB-1,4,main,2026-02-12 | GB-1,4,main,2027-02-12
    stock.csv, row 2, counted "2027-02-12": later than 2026-02-16, the newest date that other
    rows support. Correct the date; if it is right, give it as as_of. Set aside for now.
an end before its start | plans | 2026-08-16 | 2026-06-16
    plans.csv, row 2, end "2026-06-16": end comes before start. Correct one of the two dates.
    Set aside for now.
neither yes nor no | readings | 1251.0, | 1251.0,maybe
    readings.csv, row 3, new_meter "maybe": neither yes nor no; the cell counts as blank. Write
    yes, or leave it blank. Set aside for now.
unknown action | changes | turn,,worn,1257.5 | trun,,worn,1257.5
    changes.csv, row 3, action "trun": no known action. Did you mean turn? Write one of fit,
    turn, remove. Set aside for now.
another word for an action | changes | turn,,worn,1257.5 | turned,,worn,1257.5
    changes.csv, row 3, action "turned": read as turn. Repaired.
unknown cause | changes | damaged | forklift
    changes.csv, row 4, cause "forklift": no known cause (1 row); read as unknown. Write one of
    worn, damaged, planned, other, or say in a table words what it means. Set aside for now.
another word for a cause | changes | damaged | torn
    changes.csv, row 4, cause "torn": read as damaged. Repaired.
unknown kind | parts | gum blade,blade | gum blade,blad
    parts.csv, row 2, kind "blad": no known kind; the cell counts as blank. Did you mean blade?
    Write one of blade, brush, pad, other. Set aside for now.
unknown setting | settings | service_level | servce level
    settings.csv, row 3, setting "servce level": no setting of that name. Did you mean
    service_level? Correct the name. Set aside for now.
a setting out of range | settings | 0.95 | 1.5
    settings.csv, row 3, value "1.5": service_level must be a number from 0.5 to 0.999; 0.95 is
    used. Correct the value. Set aside for now.
""")


@pytest.fixture(scope="module")
def read(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], Logbook]:
    """The sound logbook with one case in it; every case is read once."""

    @functools.cache
    def read_case(case: str) -> Logbook:
        table, sound, written, _ = CASES[case]
        return read_tables(tmp_path_factory.mktemp("log"), changed(table, sound, written))

    return read_case


@pytest.mark.parametrize("case", CASES, ids=str)
def test_one_cell_gives_one_finding_with_its_place_and_cure(
    case: str, read: Callable[[str], Logbook]
):
    assert told_of(read(case)) == [CASES[case][3]]


@pytest.mark.parametrize("case", CASES, ids=str)
def test_only_the_row_that_is_set_aside_is_missing(case: str, read: Callable[[str], Logbook]):
    table, *_, told = CASES[case]
    book = read(case)
    row_is_gone = told.endswith(SET_ASIDE) and not any(
        words in told for words in ("counts as blank", "read as unknown")
    )
    tally = next(tally for tally in book.tallies if tally.table == table)
    assert tally.set_aside == int(row_is_gone)
    if table != "settings":
        rows = getattr(book, table)
        kept = rows["observed"].sum() if table == "changes" else len(rows)
        assert kept == len(SOUND[table].splitlines()) - 1 - int(row_is_gone)


@pytest.mark.parametrize(
    ("case", "column", "value"),
    [
        ("unit behind a number", "hours", 1251.0),
        ("blank between thousands", "hours", 1251.0),
        ("a decimal comma", "hours", 1251.0),
        ("currency behind a price", "price", 18.5),
    ],
)
def test_a_repaired_number_is_the_number_meant(
    case: str, column: str, value: float, read: Callable[[str], Logbook]
):
    assert value in set(getattr(read(case), CASES[case][0])[column])


# What a person would write after reading the remedy, where it is not the sound text itself.
CURES = {
    "a comma with two readings": "1251",
    "blank where needed": "1251.5",
    "unknown cause": "other",
    "neither yes nor no": "1251.0,no",
    "unknown action": "turn,,planned,1257.5",
    "no pieces at all": "BR-2,1",
}


@pytest.mark.parametrize("case", [case for case in CASES if "Repaired" not in CASES[case][3]])
def test_the_remedy_cures(case: str, tmp_path: Path):
    table, sound, *_ = CASES[case]
    assert told_of(read_tables(tmp_path, changed(table, sound, CURES.get(case, sound)))) == []
