"""One number for two machines in two files."""

import pandas as pd
import pytest

from tests.logbook.rules.test_names import drafts
from wearcast.errors import UnusableTable
from wearcast.logbook.rules.two_meters import refuse_two_meters


def readings(*rows):
    lines = [
        {"machine": "7", "date": pd.Timestamp(2025, 1, day), "hours": float(hours)}
        for day, hours, _ in rows
    ]
    made = drafts(readings=lines)["readings"]
    made.frame["source"] = [file for *_, file in rows]
    return made


def test_one_number_for_two_meters_is_refused_once_with_both_files_and_the_cure():
    made = readings(
        (1, 900, "north.csv"), (2, 40, "south.csv"), (8, 950, "north.csv"), (9, 60, "south.csv")
    )
    with pytest.raises(UnusableTable) as stop:
        refuse_two_meters(made)
    assert str(stop.value) == (
        "readings: 7 stands in north.csv and in south.csv with readings that cannot be of one"
        " meter. If it is not one machine, put the file before the number: in a table columns give"
        " machine two rows, [file] and your heading, for readings and for changes; then run again."
    )


@pytest.mark.parametrize(
    "rows",
    [
        [(1, 10, "a"), (8, 20, "a"), (15, 30, "b"), (22, 40, "b")],
        [(1, 10, "a"), (8, 20, "b"), (15, 30, "a"), (22, 40, "b")],
        [(1, 10, "a"), (1, 10, "b"), (8, 20, "a"), (8, 20, "b")],
        [(1, 10, "a"), (8, 200, "b"), (15, 30, "a"), (22, 40, "a")],
        [(1, 910, "a"), (8, 20, "b"), (15, 30, "b"), (22, 40, "b")],
    ],
    ids=["one after the other", "in turn", "a copy", "one slip", "a new meter in a new file"],
)
def test_a_machine_may_be_read_in_two_files(rows):
    refuse_two_meters(readings(*rows))
