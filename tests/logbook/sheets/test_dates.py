"""Dates: one cell, one column, one workbook. Calendar facts; serials as spreadsheets count them."""

import datetime
from collections import Counter

import pytest

from wearcast.logbook.sheets.cells import cells_of
from wearcast.logbook.sheets.date_orders import majority, read_column, values_of
from wearcast.logbook.sheets.dates import order_named, read_date

DAY = datetime.date(2026, 2, 3)


@pytest.mark.parametrize(
    "written",
    [
        "2026-02-03",
        "2026/02/03",
        "2026.2.3",
        "20260203",
        "2026-02-03T14:30:00",
        "2026-02-03 14:30",
        "3 Feb 2026",
        "3-Feb-26",
        "3rd February 2026",
        "February 3, 2026",
        "Tue 3 Feb 2026",
        "46056",
        46056,
        46056.75,
        datetime.datetime(2026, 2, 3, 14, 30),
        DAY,
    ],
    ids=repr,
)
def test_one_day_written_many_ways(written: object):
    assert read_date(written).day == DAY


@pytest.mark.parametrize(
    "written",
    [
        *("31/02/2026", "2026-02-30", "32/01/2026", "2026-00-10", "0", "60", "-3", "2958466"),
        *(0, 60, -3.5, 1e300, float("nan"), float("inf"), True, "soon", "3 Smarch 2026"),
        *("1899-12-31", "2999-01-01", "\uff12026-02-03", "2026-02-03" * 9),
    ],
    ids=repr,
)
def test_what_is_no_date_has_no_reading(written: object):
    dated = read_date(written)
    assert dated.wrong
    assert (dated.day, dated.day_first, dated.month_first) == (None, None, None)


@pytest.mark.parametrize("mark", ["/", ".", "-", " "])
def test_two_numbers_up_to_twelve_have_two_readings(mark: str):
    dated = read_date(f"03{mark}02{mark}2026")
    assert dated.day is None
    assert dated.day_first == datetime.date(2026, 2, 3)
    assert dated.month_first == datetime.date(2026, 3, 2)


def test_equal_numbers_have_one_reading():
    assert read_date("03/03/2026").day == datetime.date(2026, 3, 3)


@pytest.mark.parametrize(
    ("written", "iso"),
    [
        ("1950-01-01", "1950-01-01"), ("2199-12-31", "2199-12-31"), (18264, "1950-01-01"),
        (109574, "2199-12-31"), ("3.2.26", None), ("31.1.26", "2026-01-31"),
        ("31 . 1 . 2026", "2026-01-31"), ("31/01/2026 14:30", "2026-01-31"),
        ("1st of March 2026", "2026-03-01"), ("22nd Jan 26", "2026-01-22"),
        ("3. M\u00e4rz 2026", "2026-03-03"), ("3 de mayo de 2026", "2026-05-03"),
        ("Sept 3, 2026", "2026-09-03"), ("12th Dec. 2026", "2026-12-12"),
        ("Dienstag, 3.2.2026", None), ("Fr. 13.2.2026", "2026-02-13"), ("2026 02 03", "2026-02-03"),
        ("2026-2-3", "2026-02-03"), ("20260203.0", None), (20260203.0, "2026-02-03"),
        (20260203, "2026-02-03"), ("'2026-02-03", "2026-02-03"),
        ("2026\u20112\u20113", "2026-02-03"),
        ("2026-W06-2", "2026-02-03"), ("2026w062", "2026-02-03"), ("2026-W53-7", "2027-01-03"),
        ("46056.9", "2026-02-03"), ("29/02/2028", "2028-02-29"), ("12/12/2026", "2026-12-12"),
    ],
    ids=repr,
)  # fmt: skip
def test_a_cell_is_read_as_a_day(written, iso):
    assert read_date(written).sole == (None if iso is None else datetime.date.fromisoformat(iso))


@pytest.mark.parametrize(
    ("written", "wrong"),
    [
        ("1949-12-31", "a year before 1950 or after 2199"),
        ("2200-01-01", "a year before 1950 or after 2199"),
        ("03/04/1949", "a year before 1950 or after 2199"),
        (18263, "a day number that is no date in these times"),
        (109575, "a day number that is no date in these times"),
        (-1, "a day number that is no date in these times"),
        ("29/02/2026", "there is no such day"),
        ("13/13/2026", "there is no such day"),
        ("2026/31/01", "year, day and month in an order that nobody expects"),
        ("2026-31-01", "there is no such day"),
        ("2025-W53-1", "there is no such day"),
        ("3 Feb", "the year is missing"),
        ("Feb 3", "the year is missing"),
        ("3.2.", "the year is missing"),
        ("February 2026", "the day is missing"),
        ("2026-W05", "the day is missing"),
        ("02/2026", "the day is missing"),
        ("3 Blue", "not a date"),
        ("Blue 2026", "not a date"),
        ("x" * 41, "not a date"),
        (True, "not a date"),
    ],
    ids=repr,
)
def test_what_is_no_day_says_why(written, wrong):
    assert read_date(written).wrong == wrong


def test_a_day_number_says_that_it_was_one():
    assert read_date(46056).serial
    assert not read_date("2026-02-03").serial
    # Half a day before the first of 1904 counts as none.
    assert read_date(0.5, date1904=True).wrong


def test_a_date_with_one_reading_is_the_same_in_every_order():
    sure, both = read_date("25/12/2026"), read_date("03/02/2026")
    assert sure.sole == datetime.date(2026, 12, 25)
    assert (sure.in_order("day first"), sure.in_order("month first")) == (sure.sole, None)
    assert (both.sole, both.in_order(None)) == (None, None)
    assert both.in_order("month first") == datetime.date(2026, 3, 2)
    assert read_date("2026-12-25").in_order("month first") == datetime.date(2026, 12, 25)


def test_the_greater_number_of_dates_tells_the_order():
    assert majority(Counter({"day first": 2, "month first": 1})) == "day first"
    assert majority(Counter({"day first": 1, "month first": 2})) == "month first"
    assert majority(Counter({"day first": 1, "month first": 1})) is None
    assert majority(Counter()) is None


def test_every_row_of_a_column_votes_once():
    column = read_column(
        cells_of(["25/12/2026"] * 2 + [None, "12/25/2026", "03/02/2026", "soon", "2026-01-05"]),
        False,
    )
    assert column.orders() == {"day first": 2, "month first": 1}
    assert (column.open_rows, column.sure_rows) == (4, 1)
    days = values_of(column, "day first").astype("datetime64[D]").astype(str).tolist()
    assert days == ["2026-12-25", "2026-12-25", "NaT", "NaT", "2026-02-03", "NaT", "2026-01-05"]


def test_an_order_is_named_in_any_spelling():
    assert order_named(" Day-First ") == "day first"
    assert order_named("month_first") == "month first"
    assert order_named("year first") is None
