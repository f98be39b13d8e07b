"""Hours and areas ahead: what costs are divided by."""

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from tests.decisions.makers import AS_OF, NOTHING, choices, draws, history
from wearcast.decisions.costing.areas import area_rates, daily_hours, hours_by_floor, months_of

MACHINES = pd.DataFrame({"m2_per_hour": [1500.0, np.nan, np.nan], "width_cm": [70.0, 50.0, np.nan]})


def test_a_given_rate_goes_before_one_reckoned_from_the_width():
    # 0.5 m x 4,000 m/h x 0.6 = 1,200 m2/h.
    rates = area_rates(MACHINES, choices(speed_km_h=4.0, work_share=0.6))
    assert rates.tolist() == pytest.approx([1500.0, 1200.0, np.nan], nan_ok=True)


@pytest.mark.parametrize("known", [{"speed_km_h": 4.0}, {"work_share": 0.6}])
def test_half_of_what_a_width_needs_gives_no_rate(known):
    rates = area_rates(MACHINES, choices(**known))
    assert rates.tolist() == pytest.approx([1500.0, np.nan, np.nan], nan_ok=True)


def made(weekly, machines=("M1", "M2")):
    one = draws({("main", "blade"): [NOTHING] * 2}, days=21, count=2, machine=list(machines))
    return replace(one, weekly_hours=np.asarray(weekly, float), floors=("tile", "vinyl"))


# Machine, week: M1 runs 14, 21, 28 h; M2 stands still, then runs 70 h.
WEEKLY = [[14, 21, 28], [0, 0, 70]]


def test_a_days_hours_are_a_seventh_of_its_weeks_mean():
    daily = daily_hours(made(WEEKLY).weekly_hours, days=15)
    assert daily.shape == (2, 15)
    assert daily[:, [0, 6, 7, 13, 14]].tolist() == [[2, 2, 3, 3, 4], [0, 0, 0, 0, 10]]


def past(mixes):
    return replace(history(machines=("M1", "M2")), mixes=mixes, floors=("tile", "vinyl"))


def test_hours_go_to_the_floors_in_force_on_their_day():
    mixes = pd.DataFrame(
        {
            "machine": ["M1", "M1", "M2"],
            # M1 moves to vinyl with day 9 on; M2 is on both alike.
            "since": [pd.Timestamp.min, AS_OF + pd.Timedelta(days=9), pd.Timestamp.min],
            "tile": [1.0, 0.25, 0.5],
            "vinyl": [0.0, 0.75, 0.5],
        }
    )
    on_floor = hours_by_floor(made(WEEKLY), past(mixes), days=21)
    # M1: 7 x 2 + 1 x 3 all on tile, then 6 x 3 + 7 x 4 = 46 by quarters.
    assert on_floor == pytest.approx(np.array([[17 + 11.5, 34.5], [35.0, 35.0]]))


def test_months_are_those_of_the_days_after_as_of():
    # As-of is 31 December 2026: day 1 is 1 January, day 32 is 1 February.
    months = months_of(AS_OF, 32)
    assert (months[0], months[30], months[31], len(months)) == ("2027-01", "2027-01", "2027-02", 32)
