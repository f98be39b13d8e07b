"""Shares of weeks at work and planned hours."""

import pandas as pd
import pytest

from tests.conftest import table
from tests.outlook.makers import AS_OF
from wearcast.outlook.weeks.plans import weeks_ahead


def ahead(plans: str, in_service: str = "", retired: str = "", weeks: int = 4):
    machines = pd.DataFrame(
        {
            "in_service": [pd.Timestamp(in_service or None)],
            "retired": [pd.Timestamp(retired or None)],
        },
        index=["M1"],
    ).astype("datetime64[ns]")
    frame = table(plans).astype({"start": "datetime64[ns]", "end": "datetime64[ns]"})
    return weeks_ahead(machines, frame, AS_OF, weeks)  # as-of: Saturday 31 October 2026


NONE = "machine  start  hours_per_week  end | M9  2026-11-01  1  -"


def test_without_plans_every_week_is_free():
    work = ahead(NONE)
    assert work.free[0].tolist() == [1.0, 1.0, 1.0, 1.0]
    assert not work.planned[0]


def test_a_plan_in_the_middle_of_a_week_takes_its_days():
    work = ahead("machine  start  hours_per_week  end | M1  2026-11-05  35  2026-11-09")
    assert work.free[0] == pytest.approx([4 / 7, 5 / 7, 1, 1])
    assert work.short[0] == pytest.approx([3 * 5, 2 * 5, 0, 0])
    assert work.long[0] == pytest.approx([0, 0, 0, 0])


HEAD = "machine  start  hours_per_week  end | "


@pytest.mark.parametrize(
    ("plans", "here", "hours"),
    [
        ("M1  2026-03-01  35  -", {}, [35, 35, 35, 35]),
        ("M1  2026-11-08  0  2026-11-14 | M1  2026-11-01  35  -", {}, [35, 0, 35, 35]),
        ("M1  2026-11-01  35  -", {"in_service": "2026-11-08", "retired": "2026-11-21"},
         [0, 35, 35, 0]),
    ],
    ids=["began in the past", "the later start holds until its end", "only in service"],
)  # fmt: skip
def test_weeks_of_a_plan_have_its_hours(plans, here, hours):
    work = ahead(HEAD + plans, **here)
    assert work.long[0].tolist() == hours
    assert not work.free[0].any()
