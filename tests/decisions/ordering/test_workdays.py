"""Working days and gathered order days."""

import pandas as pd
import pytest

from wearcast.decisions.ordering.workdays import first_working_day, gather, last_working_day

SATURDAY = pd.Timestamp("2027-01-09")
FRIDAY = pd.Timestamp("2027-01-08")
MONDAY = pd.Timestamp("2027-01-11")


def test_a_weekend_moves_to_the_friday_before_or_the_monday_after():
    assert last_working_day(SATURDAY, ()) == FRIDAY
    assert first_working_day(SATURDAY, ()) == MONDAY


def test_a_closed_day_is_no_working_day():
    assert last_working_day(SATURDAY, (FRIDAY,)) == pd.Timestamp("2027-01-07")
    assert first_working_day(SATURDAY, (MONDAY,)) == pd.Timestamp("2027-01-12")


def test_a_working_day_stays():
    assert last_working_day(FRIDAY, ()) == first_working_day(FRIDAY, ()) == FRIDAY


@pytest.mark.parametrize(
    ("days", "gathered"),
    [
        pytest.param(0, [4, 10, 25, 6], id="each on its own day"),
        pytest.param(7, [4, 4, 25, 6], id="within a week"),
        # Counted from the first line of the order, not from the line before: 4, 10 | 25.
        pytest.param(16, [4, 4, 25, 6], id="a chain does not stretch"),
        pytest.param(21, [4, 4, 4, 6], id="all of one supplier"),
    ],
)
def test_lines_of_one_supplier_go_out_together(days, gathered):
    order_by = pd.Series(pd.to_datetime([f"2027-01-{day:02d}" for day in (4, 10, 25, 6)]))
    supplier = pd.Series(["north", "north", "north", "south"])
    assert gather(order_by, supplier, days).dt.day.tolist() == gathered


def test_lines_without_a_supplier_are_not_gathered():
    order_by = pd.Series(pd.to_datetime(["2027-01-04", "2027-01-05"]))
    assert gather(order_by, pd.Series(["", ""]), 14).dt.day.tolist() == [4, 5]
