"""A meter that goes on under another name is asked about."""

import pandas as pd
import pytest

from tests.logbook.rules.test_names import drafts
from wearcast.logbook.rules.successors import renamed_machines


def book(*rows, **more):
    lines = [
        {"machine": name, "date": pd.Timestamp(2025, 1, 1) + pd.Timedelta(days=day), "hours": hours}
        for name, day, hours in rows
    ]
    return drafts(readings=lines, **more)


OLD = [("7", 0, 900.0), ("7", 7, 930.0)]


def test_a_machine_that_goes_on_under_another_name_is_asked_about():
    (told,) = renamed_machines(book(*OLD, ("M-7", 14, 955.0), ("M-7", 21, 980.0)))
    assert list(told.rows) == [2, 3]
    assert told.severity == "note"
    assert told.wrong == (
        "the meter of M-7 begins where that of 7 ends; one may have become the other"
    )


@pytest.mark.parametrize(
    "later",
    [("M-7", 14, 905.0), ("M-7", 14, 2000.0), ("M-7", 80, 955.0), ("M-7", 3, 955.0)],
    ids=["less than the old one", "far more", "long after", "beside it"],
)
def test_another_machine_is_no_new_name(later):
    assert renamed_machines(book(*OLD, later)) == []


def test_a_new_machine_is_no_new_name_of_an_old_one():
    new = [("7", 0, 20.0), ("7", 7, 50.0), ("8", 14, 60.0)]
    assert renamed_machines(book(*new)) == []


def test_a_machine_that_is_known_to_have_retired_has_no_new_name():
    machines = [{"machine": "7", "retired": pd.Timestamp(2025, 1, 8)}]
    assert renamed_machines(book(*OLD, ("M-7", 14, 955.0), machines=machines)) == []
