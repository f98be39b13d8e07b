"""Rows set aside that are too many to be slips stand before any figure."""

import pytest

from wearcast.history.much_aside import tell_much_aside
from wearcast.told import GRAVE, Problem, Tally


def tally(table, used, aside):
    return Tally(f"{table}.csv", table, used + aside, used, aside, 0)


def test_what_the_meters_contradict_counts_with_what_was_set_aside_before():
    later = [
        Problem("readings.csv", "readings", tuple(range(2, 10)), "hours", "", "set aside", "", "")
    ]
    (found,) = tell_much_aside([tally("readings", 98, 2), tally("changes", 200, 9)], later)
    assert found.wrong.startswith("10 of 100 rows of readings are set aside, so run hours")
    assert found.weight >= GRAVE


@pytest.mark.parametrize(("used", "aside"), [(20, 9), (400, 20), (0, 0)])
def test_a_few_rows_are_no_matter(used, aside):
    assert tell_much_aside([tally("changes", used, aside)], []) == []
