"""Hours run in a period: summed where they are said to be, refused where they were not."""

import pandas as pd
import pytest

from tests.logbook.rules.test_names import drafts
from wearcast.errors import UnusableTable
from wearcast.logbook.rules.run_hours import refuse_hours_run, summed

WEEKS = [f"{day:%Y-%m-%d}" for day in pd.date_range("2025-01-06", periods=8, freq="7D")]


def readings(hours, machine="A", run=False):
    rows = [
        {"machine": machine, "date": pd.Timestamp(day), "hours": float(one)}
        for day, one in zip(WEEKS, hours, strict=False)
    ]
    made = drafts(readings=rows)["readings"]
    made.frame["run"] = run
    return made


def test_hours_run_are_summed_by_date_to_a_meter():
    made = readings([20, 15, 18], run=True)
    made.frame["date"] = made.frame["date"].to_numpy()[[2, 0, 1]]
    assert summed(made).frame["hours"].tolist() == [53, 15, 33]


def test_hours_run_of_a_machine_with_a_meter_do_not_count():
    made = readings([20, 15, 110], run=True)
    made.frame["run"] = [True, True, False]
    settled = summed(made)
    assert settled.frame["state"].tolist() == ["ignored", "ignored", "used"]
    assert settled.frame["hours"].tolist() == [20, 15, 110]


def test_hours_run_that_stand_where_a_meter_belongs_are_refused_with_both_cures():
    with pytest.raises(UnusableTable) as stop:
        refuse_hours_run(readings([20, 15, 18, 22, 12, 19, 14]))
    assert str(stop.value) == (
        "readings.csv, readings, rows 2-4 and on: these look like hours run, not a meter: the hours"
        " of A fall again and again. If they are hours run, write run for that heading in a table"
        " columns (readings, your heading, run); if they are a meter, correct the readings that"
        " fall, then run again."
    )


@pytest.mark.parametrize(
    "hours",
    [
        [20, 35, 53, 75, 87, 106, 120],
        [1020, 1035, 1053, 1005, 1087, 1070, 1120],
        [90, 99, 4, 12, 20, 28, 36],
        [20, 15, 18],
    ],
    ids=["a meter", "slips of a meter", "a new meter", "too few to tell"],
)
def test_a_meter_is_no_column_of_hours_run(hours):
    refuse_hours_run(readings(hours))
