"""Last year's use beside the forecast, and what makes them differ."""

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from tests.conftest import table
from tests.decisions.makers import (
    AS_OF,
    ONE_PART,
    all_counted,
    book,
    choices,
    counted,
    draws,
    history,
)
from wearcast.decisions.orders import order_lines

# Two machines; run hours since long before last year's weeks, 20 h a week each unless said.
YEAR = pd.Timedelta(days=364)
FIRST = AS_OF - 2 * YEAR


def meters(weekly=(20.0, 20.0), began=(FIRST, FIRST)):
    rows = [
        (f"M{at:03d}", day, hours)
        for at, (rate, start) in enumerate(zip(weekly, began, strict=True))
        for day, hours in ((start, 0.0), (AS_OF, rate * (AS_OF - start).days / 7))
    ]
    return pd.DataFrame(rows, columns=["machine", "date", "hours"])


def told(used=10, need=20, plans="machine  start", since=pd.Timestamp.min, **log):
    """The line of a part whose need is known, against so many pieces used a year ago."""
    uses = f"""
        machine  depot  part   date        pieces
        M000     main   blade  {AS_OF - YEAR + pd.Timedelta(days=30):%Y-%m-%d}  {used}
        M000     main   blade  {AS_OF - YEAR - pd.Timedelta(days=30):%Y-%m-%d}  99
    """
    need = {("main", "blade"): [counted(np.full(50, need // 2), day=d) for d in (20, 40)]}
    made = draws(need, count=50)
    # 20 h a week ahead.
    made = replace(made, weekly_hours=np.full((2, 71), 20.0))
    past = history(uses, machines=("M000", "M001"))
    mixes = pd.DataFrame({"machine": ["M000", "M001"], "since": [since, pd.Timestamp.min]})
    past = replace(past, meters=meters(**log), mixes=mixes.assign(unknown=1.0))
    logbook = book(ONE_PART, all_counted("part  on_hand", need))
    planned = table(plans).reindex(columns=["machine", "start", "hours_per_week", "end"])
    for name in ("start", "end"):
        planned[name] = pd.to_datetime(planned[name])
    logbook = replace(logbook, plans=planned)
    frame = order_lines(made, past, logbook, choices(draws=50))
    return frame.iloc[0][["used_last_year", "last_year_why"]].tolist()


PLAN = "machine  start  hours_per_week | M001  2027-01-15  30"


@pytest.mark.parametrize(
    ("log", "expected"),
    [
        ({"used": 20}, [20, ""]),
        ({}, [10, "more pieces an hour (+100%: pace, wear)"]),
        ({"weekly": (10.0, 10.0)}, [10, "hours +100%"]),
        ({"weekly": (10.0, 10.0), "plans": PLAN}, [10, "hours +100% (plans)"]),
        ({"began": (FIRST, AS_OF - pd.Timedelta(days=60))}, [10, "1 new machine"]),
    ],
    ids=["as much", "more use an hour", "hours", "a plan behind them", "a new machine"],
)
def test_what_makes_the_need_differ_from_last_year_is_told(log, expected):
    assert told(**log) == expected


def test_a_log_that_does_not_reach_back_says_nothing():
    used, why = told(began=(AS_OF - YEAR + pd.Timedelta(days=5),) * 2)
    assert np.isnan(used)
    assert why == ""


@pytest.mark.parametrize(("ago", "told_so"), [(100, True), (700, False)])
def test_changed_floors_are_counted_if_they_changed_since(ago, told_so):
    _, why = told(since=AS_OF - pd.Timedelta(days=ago))
    assert ("floors changed on 1 of 2 machines" in why) == told_so
