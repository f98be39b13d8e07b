"""Readings laid out with a column a machine or a column a day are recognised."""

import datetime

import pytest

from wearcast.logbook.sheets.sideways import sideways

BY_MACHINE = [["date", "M1", "M2"], ["2026-01-05", 100.5, "310"], ["2026-01-12", 120.0, None]]
BY_DAY = [
    ["machine", datetime.datetime(2026, 1, 5), "2026-01-12"],
    ["M1", 100.5, 120.0],
    ["M2", 310.0, 330.0],
]
CURE = (
    "Have it turned by a table columns: name your sheet there, [heading] for {} and [cell] for {}"
)
MARKS = [["machine", "date", "front blade", "left brush"], ["M1", "2026-01-05", "X", None]]


def test_a_column_a_machine_and_a_column_a_day_are_told():
    assert sideways("readings", BY_MACHINE) == (
        "each machine has a column of its own",
        CURE.format("machine", "hours"),
    )
    assert sideways("readings", BY_DAY) == (
        "each day has a column of its own",
        CURE.format("date", "hours"),
    )


def test_titles_above_hide_no_layout():
    titles = [["Hour meters 2026", "", ""], ["North Hall", None, None]]
    assert sideways("readings", titles + BY_MACHINE) == sideways("readings", BY_MACHINE)
    assert sideways("readings", titles + BY_DAY) == sideways("readings", BY_DAY)


def test_only_readings_are_laid_out_so():
    assert sideways("changes", BY_MACHINE) is None
    assert sideways("stock", MARKS) is None


def test_marks_by_position_are_told_with_their_cure():
    assert sideways("changes", MARKS) == (
        "each position has a column of its own",
        CURE.format("position", "action") + "; a table words says what your marks mean",
    )


def test_remarks_under_positions_are_no_marks():
    rows = [MARKS[0], ["M1", "2026-01-05", "looks all right to me", None]]
    assert sideways("changes", rows) is None


def test_a_heading_alone_is_laid_out_in_no_way():
    assert sideways("readings", BY_DAY[:1]) is None
    assert sideways("readings", BY_DAY[:2]) is not None


@pytest.mark.parametrize(
    "rows",
    [
        pytest.param([row[:2] for row in BY_MACHINE], id="one machine"),
        pytest.param([row[:2] for row in BY_DAY], id="one day"),
        pytest.param([["no", "a", "b"], [1, 2, 3]], id="numbers beside a number"),
        pytest.param([["no", "a", "b"], ["x", 2, 3]], id="numbers beside a word"),
        pytest.param([["date", None, "M2"], ["2026-01-05", 1, 2]], id="a column without a heading"),
        pytest.param([["date", "M1", "M2"], ["2026-01-05", "-", "x"]], id="no numbers"),
        pytest.param([["date", "M1", "M2"], ["2026-01-05"]], id="short rows"),
    ],
)
def test_anything_else_is_not(rows):
    assert sideways("readings", rows) is None


def test_half_the_cells_of_a_column_must_be_numbers_and_one_more():
    half = [["date", "M1", "M2"], ["2026-01-05", 1, 2], ["2026-01-12", "x", 3]]
    assert sideways("readings", half) is None
    assert sideways("readings", [*half, ["2026-01-19", 4, ""]]) is not None


def test_only_the_first_nineteen_rows_are_looked_at():
    head = [["date", "M1", "M2"]]
    words = [["2026-01-05", "x", "y"]]
    numbers = [["2026-01-05", 1, 2]]
    assert sideways("readings", head + 10 * numbers + 9 * words) is not None
    assert sideways("readings", head + 9 * numbers + 10 * words + 99 * numbers) is None


def test_a_day_s_number_in_a_heading_is_no_day():
    assert sideways("readings", [["machine", 46027, 46034], ["M1", 1, 2]]) is None
    assert sideways("readings", [["machine", "46027", "46034"], ["M1", 1, 2]]) is None
