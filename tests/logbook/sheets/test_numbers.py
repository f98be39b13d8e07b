"""Numbers: what a comma and a point mean is decided for the whole column."""

import re

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from wearcast.logbook.schema.tables import BY_NAME
from wearcast.logbook.sheets.cells import cells_of
from wearcast.logbook.sheets.numbers import read_numbers

HOURS = BY_NAME["readings"].column("hours")
SHARE = BY_NAME["floors"].column("share")
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
        (["1251h30", "7 h 15 min", "8:45"], [1251.5, 7.25, 8.75]),
        (["1204.5", "7,25"], [1204.5, 7.25]),
        (["1,204.5", "7,25"], [1204.5, NAN]),
        (["1 204", "1\u202f310,5"], [1204.0, 1310.5]),
        (["1'204", "1\u2019310"], [1204.0, 1310.0]),
        (["12 04"], [NAN]),
        (["1204h", "1310 hrs", "7 hours"], [1204.0, 1310.0, 7.0]),
        ([".5", "5.", "+5", "1e3"], [0.5, 5.0, 5.0, 1000.0]),
        ([1204, 1310.5, "1311"], [1204.0, 1310.5, 1311.0]),
        (["nan", "inf", "1_000", "0x10", "1e400", "\u0663", "--5"], [NAN] * 7),
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


def test_percentages_are_shares():
    read, faults = read_numbers(cells_of(["60 %", "40%"]), SHARE)
    np.testing.assert_allclose(read, [0.6, 0.4])
    assert [fault.wrong for fault in faults] == ["a percentage is read as a share"]


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
