"""Numbers: what a comma and a point mean is decided for the whole column."""

import re

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from wearcast.logbook.schema.tables import BY_NAME, Column
from wearcast.logbook.sheets.cells import cells_of
from wearcast.logbook.sheets.numbers import read_numbers

HOURS = BY_NAME["readings"].column("hours")
NAN = float("nan")


# cells of one column, what they are read as (nan: set aside)
@pytest.mark.parametrize(
    ("cells", "values"),
    [
        (["1204,5", "1251,0"], [1204.5, 1251.0]),
        (["1204,5", "1,204"], [1204.5, 1.204]),
        (["1204.5", "1,204"], [1204.5, NAN]),
        (["12", "1,204"], [12.0, NAN]),
        (["1,204.5", "1,310"], [1204.5, 1310.0]),
        (["1,204,567.5"[:-2], "1,310"], [NAN, 1310.0]),
        (["1.204,5", "1.310"], [1204.5, 1310.0]),
        (["1204,5", "1.310"], [1204.5, NAN]),
        (["1.204", "1.310"], [NAN, NAN]),
        (["12", "1.310"], [12.0, NAN]),
        (["1.204", "1.3"], [1.204, 1.3]),
        (["1251,", "7"], [1251.0, 7.0]),
        (["1251h30", "7 h 15 min", "8:45", "9:30:00"], [1251.5, 7.25, 8.75, 9.5]),
        (["1204.5", "7,25"], [1204.5, 7.25]),
        (["1,204.5", "7,25"], [1204.5, NAN]),
        (["1 204", "1\u202f310,5"], [1204.0, 1310.5]),
        (["1'204", "1\u2019310"], [1204.0, 1310.0]),
        (["12 04"], [NAN]),
        (["1204h", "1310 hrs", "7 hours"], [1204.0, 1310.0, 7.0]),
        ([".5", "5.", "+5", "1e3"], [0.5, 5.0, 5.0, 1000.0]),
        ([1204, 1310.5, "1311"], [1204.0, 1310.5, 1311.0]),
        (["nan", "inf", "1_000", "0x10", "1e400", "\u0663", "\uff11", "--5"], [NAN] * 8),
        (["1251\u200b.0"], [1251.0]),
        ([True, 1e300, 10**400], [NAN] * 3),
        ([None, "7"], [NAN, 7.0]),
        (["1.204,5", "1,204"], [1204.5, 1.204]),
        (["1,204.5", "1.204"], [1204.5, 1.204]),
        (["7,25", "1,204.5", "1,310"], [NAN, 1204.5, NAN]),
        (["7,25 h", "1,204"], [7.25, 1.204]),
        (["7.25 h", "1.204"], [7.25, 1.204]),
        ([NAN, "7"], [NAN, 7.0]),
    ],
    ids=repr,
)
def test_a_column_of_numbers(cells: list[object], values: list[float]):
    read, _ = read_numbers(cells_of(cells), HOURS)
    np.testing.assert_array_equal(read, values)


@given(st.text(max_size=12))
def test_no_text_raises_and_nothing_reads_as_more_than_it_says(text: str):
    read, _ = read_numbers(cells_of([text]), HOURS)
    digits = int("0" + re.sub("[^0-9]", "", text))
    assert np.isnan(read[0]) or "e" in text.lower() or read[0] <= max(digits, 0)


@given(st.lists(st.floats(0, 1e6), min_size=1))
def test_numbers_of_a_workbook_stay_as_they_are(numbers: list[float]):
    read, faults = read_numbers(cells_of(numbers), HOURS)
    np.testing.assert_array_equal(read, numbers)
    assert faults == []


@given(st.permutations(["1204,5", "1,310", "12", "7,25", "1 400"]))
def test_the_order_of_the_cells_does_not_matter(cells: list[str]):
    read, _ = read_numbers(cells_of(cells), HOURS)
    by_text = dict(zip(cells, read, strict=True))
    assert by_text == {"1204,5": 1204.5, "1,310": 1.31, "12": 12, "7,25": 7.25, "1 400": 1400}


FREE = Column("it", "number", "something")
SOME = Column("it", "count", "something", low=1, high=2000)
COUNT = Column("it", "count", "something", low=0)


def read(cells, column):
    values, faults = read_numbers(cells_of(cells), column)
    told = [(fault.places.tolist(), fault.severity, fault.wrong) for fault in faults]
    return values.tolist(), told, [fault.remedy for fault in faults]


def test_the_ends_of_a_range_belong_to_it():
    values, told, remedies = read([1, 2000, 0, 2001, 1.5, -0.5], SOME)
    assert values == pytest.approx([1, 2000] + [np.nan] * 4, nan_ok=True)
    assert told == [
        ([2, 5], "set aside", "below 1"), ([3], "set aside", "above 2,000"),
        ([4], "set aside", "not a whole number"),
    ]  # fmt: skip
    assert remedies[:2] == ["Write a number of 1 or more", "Correct the number"]


def test_below_nothing_is_negative_and_without_end_not_finite():
    values, told, _ = read([-1, 1e300, 1e299, 0], COUNT)
    assert values == pytest.approx([np.nan, np.nan, 1e299, 0], nan_ok=True)
    assert told == [
        ([0], "set aside", "negative"), ([1], "set aside", "not a finite number"),
    ]  # fmt: skip


def test_a_column_without_limits_takes_any_finite_number():
    values, told, _ = read([-1e9, 0.5, "1e400"], FREE)
    assert values == pytest.approx([-1e9, 0.5, np.nan], nan_ok=True)
    assert [one[0] for one in told] == [[2]]


@pytest.mark.parametrize(
    ("cell", "told"),
    [
        ("1 204", "blanks or apostrophes between thousands are left out"),
        ("7 H", "the unit behind the number is left out"),
        ("7h30", "hours and minutes are read as hours with a decimal point"),
        ("'7", "hidden characters or a mark in front of the number are left out"),
        ("7,5 h", "a comma is read as the decimal mark"),
        ("1.204.567", "points between thousands are left out, the comma is the decimal mark"),
        ("7.5", None),
        ("7", None),
    ],
)
def test_what_was_left_out_of_a_number_is_told(cell, told):
    _, faults, _ = read([cell], Column("it", "number", "something", unit="h"))
    assert [wrong for _, _, wrong in faults] == [told] * (told is not None)


@pytest.mark.parametrize(
    ("cells", "values"),
    [
        (["1,204,567", "1.204"], [1204567, np.nan]),
        (["1.204.567", "1,204"], [1204567, np.nan]),
        (["1.204.567", "1.310"], [1204567, 1310]),
        (["1.204.567", "1.3", "1.310"], [1204567, 1.3, np.nan]),
        (["1,204,567", "1.3", "1.310", "1,310"], [1204567, 1.3, 1.31, 1310]),
    ],
    ids=str,
)
def test_millions_say_what_parts_the_thousands_but_not_the_decimals(cells, values):
    assert read(cells, FREE)[0] == pytest.approx(values, nan_ok=True)


def test_a_number_with_two_readings_asks_for_a_plain_one():
    _, told, remedies = read(["1,204"], FREE)
    assert told == [
        ([0], "set aside",
         "the mark can stand for thousands or for decimals, and the column does not settle it")
    ]  # fmt: skip
    assert remedies == ["Write the number without a thousands mark and with a decimal point"]


@pytest.mark.parametrize(("length", "read_as"), [(100, 7.0), (101, np.nan)])
def test_a_unit_is_looked_for_behind_a_text_of_a_hundred_letters(length, read_as):
    text = "7" + " " * (length - 2) + "h"
    values, _, _ = read([text], Column("it", "number", "something", unit="h"))
    assert values == pytest.approx([read_as], nan_ok=True)


def test_a_cell_that_cannot_be_used_is_not_told_as_repaired():
    _, told, _ = read(["3,5", "7,5"], Column("it", "number", "something", low=5))
    assert told == [
        ([1], "repaired", "a comma is read as the decimal mark"), ([0], "set aside", "below 5"),
    ]  # fmt: skip


def test_what_is_no_number_is_told_together():
    _, told, remedies = read(["x", 7, "y", True, None], FREE)
    assert told == [([0, 2, 3], "set aside", "not a number")]
    assert remedies == ["Write a plain number"]


def test_two_marks_that_contradict_each_other_settle_nothing():
    _, told, _ = read(["1,204.5", "1.204,5", "1,204"], FREE)
    assert ([2], "repaired", "commas between thousands are left out") not in told
