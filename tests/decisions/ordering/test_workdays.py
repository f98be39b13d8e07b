"""Working days and gathered order days."""

import pandas as pd
import pytest

from wearcast.decisions.ordering.workdays import first_working_day, gather, last_working_day

JANUARY = {day: pd.Timestamp(2027, 1, day) for day in range(7, 13)}


@pytest.mark.parametrize(
    ("day", "closed", "last", "first"),
    [(9, (), 8, 11), (9, (8, 11), 7, 12), (8, (), 8, 8)],
    ids=["a Saturday", "beside closed days", "a Friday stays"],
)
def test_a_day_moves_to_the_working_day_before_or_after(day, closed, last, first):
    shut = tuple(JANUARY[each] for each in closed)
    assert last_working_day(JANUARY[day], shut) == JANUARY[last]
    assert first_working_day(JANUARY[day], shut) == JANUARY[first]


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
