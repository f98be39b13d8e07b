"""Which number formats make a number a day, a time or a span."""

import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wearcast.logbook.files.formats import as_shown, meaning_of


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
        *((13, "amount"), (14, "date"), (17, "date"), (22, "date"), (23, "amount")),
        *((26, "amount"), (27, "date"), (36, "date"), (37, "amount"), (50, "date"), (58, "date")),
        *((59, "amount"), (18, "time"), (21, "time"), (45, "time"), (46, "elapsed"), (47, "time")),
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


def test_a_code_is_looked_at_only_as_far_as_programs_write_one():
    # 255 letters are the most that spreadsheet programs store (remembered).
    assert meaning_of(164, "[" * 100_000 + "]yyyy") == "amount"
    assert meaning_of(164, "yyyy" + "-" * 100_000) == "date"
