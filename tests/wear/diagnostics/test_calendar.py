"""Changes on a calendar are told; those of any day, and those written late, are not."""

import numpy as np
import pandas as pd
import pytest

from wearcast.told import GRAVE
from wearcast.wear.diagnostics.calendar import tell_calendar, tell_campaigns

BEGIN, AS_OF = pd.Timestamp("2025-01-06"), pd.Timestamp("2025-12-31")


def changes(days, *, each=4, cause="worn", site="Hall"):
    """Parts changed at so many positions on each of some days."""
    rows = [
        (f"M{number}", BEGIN + pd.Timedelta(days=day)) for day in days for number in range(each)
    ]
    frame = pd.DataFrame(rows, columns=["machine", "end"])
    return frame.assign(site=site, position="blade", ended="fit", cause=cause, replaced=True,
                        start=BEGIN)  # fmt: skip


def test_a_site_that_somebody_visits_every_four_weeks_is_told():
    used = pd.concat([changes(range(3, 350, 28)), changes(range(0, 350, 2), site="Yard")])
    (told,) = tell_calendar(used)
    assert told.wrong.startswith("changes at Hall all fall on days about 28 apart")
    assert told.weight >= GRAVE


@pytest.mark.parametrize(
    "used",
    [
        pytest.param(changes(range(0, 350, 7)), id="every week"),
        pytest.param(changes(range(0, 350, 28), each=1), id="one at a time"),
        pytest.param(changes([0, 5, 40, 45, 90, 150, 170, 230, 300]), id="any day"),
        pytest.param(
            pd.concat([changes(range(0, 350, 28))] * 2), id="as often twice: those of writing"
        ),
    ],
)
def test_other_days_are_no_calendar(used):
    assert tell_calendar(used) == []


@pytest.mark.parametrize(("days", "told"), [([130], 1), ([130, 320], 1), (range(30, 350, 91), 0)])
def test_all_replaced_at_once_is_told_where_it_is_seldom(days, told):
    worn = changes(np.arange(0, 350, 9), each=10)
    used = pd.concat([worn, changes(days, each=10, cause="planned")], ignore_index=True)
    assert len(tell_campaigns(used, AS_OF)) == told


def test_a_machine_or_two_renewed_are_no_campaign():
    used = pd.concat([changes(range(0, 350, 9), each=10), changes([130], cause="planned")])
    assert tell_campaigns(used, AS_OF) == []
