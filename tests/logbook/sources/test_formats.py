"""Which number formats make a number a day, a time or a span."""

import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wearcast.logbook.sources.formats import as_shown, meaning_of


@pytest.mark.parametrize(
    ("code", "meaning"),
    [
        ("General", "amount"),
        ("0.00", "amount"),
        ("#,##0", "amount"),
        ('0.0" days"', "amount"),
        ("0\\h", "amount"),
        ("[Red]0;[Blue]-0", "amount"),
        ("@", "amount"),
        ("0.00E+00", "amount"),
        ("yyyy-mm-dd", "date"),
        ("dd.mm.yyyy", "date"),
        ("d/m/yy h:mm", "date"),
        ("[$-407]d. mmmm yyyy", "date"),
        ("mmm", "date"),
        ('"on" dd/mm', "date"),
        ("h:mm", "time"),
        ("h:mm:ss AM/PM", "time"),
        ("mm:ss", "time"),
        ("[h]:mm", "elapsed"),
        ("[hh]:mm:ss", "elapsed"),
        ("[mm]", "elapsed"),
    ],
)
def test_a_written_format_means(code: str, meaning: str):
    # The codes' letters: ECMA-376 part 1, 18.8.31, remembered.
    assert meaning_of(164, code) == meaning


@pytest.mark.parametrize(
    ("number", "meaning"),
    [
        *((0, "amount"), (2, "amount"), (49, "amount"), (-1, "amount")),
        *((13, "amount"), *((place, "date") for place in (14, 15, 16, 17, 22)), (23, "amount")),
        *((26, "amount"), (27, "date"), (36, "date"), (37, "amount"), (50, "date"), (58, "date")),
        *((59, "amount"), *((place, "time") for place in (18, 19, 20, 21, 45, 47))),
        (46, "elapsed"),
    ],
)
def test_a_built_in_format_means(number: int, meaning: str):
    # The numbers: ECMA-376 part 1, 18.8.30, remembered.
    assert meaning_of(number) == meaning


@given(st.text(max_size=60))
def test_any_code_means_something(code: str):
    assert meaning_of(164, code).split()[0] in ("date", "time", "elapsed", "amount", "padded")


@pytest.mark.parametrize(
    ("code", "number", "shown"),
    [
        ("0000", 14, "0014"),
        ('"M-"000', 14, "M-014"),
        ("000", 1204, "1204"),
        ("000", 7.5, 7.5),
        ("000", -7, -7),
        ("000", 0, "000"),
        ("0", 14, 14),
        ("00.00", 14, 14),
        ('0000" h"', 14, 14),
    ],
)
def test_zeros_in_front_are_shown_as_the_spreadsheet_shows_them(
    code: str, number: float, shown: object
):
    assert as_shown(number, meaning_of(164, code), False) == shown


@given(st.dates(datetime.date(1900, 3, 1), datetime.date(9999, 12, 31)))
def test_a_day_comes_back_from_its_number(day: datetime.date):
    # Day 61 is 1 March 1900, so day 0 would be 30 December 1899.
    number = (day - datetime.date(1899, 12, 30)).days
    assert as_shown(number, "date", False) == datetime.datetime.combine(day, datetime.time())


@given(st.dates(datetime.date(1904, 1, 1), datetime.date(9999, 12, 31)))
def test_the_two_date_systems_are_1462_days_apart(day: datetime.date):
    number = (day - datetime.date(1904, 1, 1)).days
    assert as_shown(number, "date", True) == datetime.datetime.combine(day, datetime.time())
    if number + 1462 >= 61:
        assert as_shown(number + 1462, "date", False) == as_shown(number, "date", True)


@given(
    st.floats(allow_nan=False, allow_infinity=False), st.sampled_from(["date", "time", "elapsed"])
)
def test_no_number_is_too_odd_to_show(number: float, meaning: str):
    shown = as_shown(number, meaning, False)
    assert isinstance(shown, float | str | datetime.datetime)


@pytest.mark.parametrize(
    ("number", "meaning", "shown"),
    [
        (0, "time", "00:00"),
        (0.75, "time", "18:00"),
        (1 / 1440, "time", "00:01"),
        (0.999, "time", "23:59"),
        (1, "time", datetime.datetime(1900, 1, 1)),
        (0, "elapsed", "0:00"),
        (1.5, "elapsed", "36:00"),
        (100 + 1 / 1440, "elapsed", "2400:01"),
        (-1, "elapsed", -1),
        (7, "amount", 7),
    ],
)
def test_a_span_is_hours_and_minutes_and_a_time_ends_with_its_day(number, meaning, shown):
    assert as_shown(number, meaning, False) == shown


@pytest.mark.parametrize(
    ("number", "date1904", "shown"),
    [
        (0, False, 0),
        (0.5, False, 0.5),
        (1, False, datetime.datetime(1900, 1, 1)),
        (59, False, datetime.datetime(1900, 2, 28)),
        (59.5, False, datetime.datetime(1900, 2, 28, 12)),
        (46041 + 86399.7 / 86400, False, datetime.datetime(2026, 1, 19, 23, 59, 59)),
        (46042 - 1e-9, False, datetime.datetime(2026, 1, 20)),
        (60, False, 60),
        (60.5, False, 60.5),
        (61, False, datetime.datetime(1900, 3, 1)),
        (2_958_465, False, datetime.datetime(9999, 12, 31)),
        (2_958_466, False, 2_958_466),
        (0, True, datetime.datetime(1904, 1, 1)),
        (0.25, True, datetime.datetime(1904, 1, 1, 6)),
        (-1, True, -1),
        (2_957_003, True, datetime.datetime(9999, 12, 31)),
        (2_957_004, True, 2_957_004),
    ],
)
def test_a_day_number_that_is_no_day_stays_a_number(number, date1904, shown):
    # The first and last days of both counts: ECMA-376 part 1, 18.17.4.1, remembered.
    assert as_shown(number, "date", date1904) == shown


def test_a_code_is_looked_at_only_as_far_as_programs_write_one():
    # 255 letters are the most that spreadsheet programs store (remembered).
    assert meaning_of(164, "[" * 100_000 + "]yyyy") == "amount"
    assert meaning_of(164, "yyyy" + "-" * 100_000) == "date"
    assert meaning_of(164, "-" * 254 + "y") == "date"
    assert meaning_of(164, "-" * 255 + "y") == "amount"
    assert meaning_of(164, "0" * 256) == f"padded {'0' * 256}"
