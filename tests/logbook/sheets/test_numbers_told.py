"""Numbers that a column cannot hold, and what is told of how the others were read."""

import numpy as np
import pytest

from wearcast.logbook.schema.tables import BY_NAME, Column
from wearcast.logbook.sheets.cells import cells_of
from wearcast.logbook.sheets.numbers import looks_like_number, read_numbers

FREE = Column("it", "number", "something")
SOME = Column("it", "count", "something", low=1, high=2000)
COUNT = Column("it", "count", "something", low=0)
PRICE = BY_NAME["parts"].column("price")


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


@pytest.mark.parametrize(
    ("text", "value"),
    [("18.50 EUR", 18.5), ("EUR 18.50", 18.5), ("\u20ac18.50", 18.5), ("18.50\u20ac", 18.5),
     ("18", 18)],
)  # fmt: skip
def test_a_price_may_bear_its_currency(text, value):
    assert read([text], PRICE)[0] == [value]


def test_two_marks_that_contradict_each_other_settle_nothing():
    _, told, _ = read(["1,204.5", "1.204,5", "1,204"], FREE)
    assert ([2], "repaired", "commas between thousands are left out") not in told


@pytest.mark.parametrize("cell", ["7", "1,204", "7,5", 7, 7.5, " 7 "])
def test_some_cells_look_like_numbers(cell):
    assert looks_like_number(cell)


@pytest.mark.parametrize("cell", ["x", "", True, None, "7 x"])
def test_others_do_not(cell):
    assert not looks_like_number(cell)
