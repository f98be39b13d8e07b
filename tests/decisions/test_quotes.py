"""A quote's figures, by hand: run hours by contract year, and what is read off the money."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pandas as pd
import pytest

from tests.decisions.makers import choices, history
from tests.decisions.quoting.test_spent import walked
from wearcast.decisions.quotes import _figures, _on_its_floors
from wearcast.decisions.quoting.proposals import work_by_year


@pytest.mark.parametrize(
    ("batches", "rates", "hours", "area"),
    [
        # 10 h a week in the first batch (one draw of four) and 18 h in the other three: 16 h a
        # week on average, two machines, 365 days of 7 a week.
        ({(0,): [10.0, 10.0], (1, 2, 3): [18.0, 18.0]}, [100.0, 100.0], 2 * 16, 100 * 2 * 16),
        # A machine that stands still needs no area rate.
        ({(0, 1, 2, 3): [7.0, 0.0]}, [100.0, np.nan], 7, 700),
    ],
)
def test_hours_of_batches_of_draws_add_up_to_their_mean(batches, rates, hours, area):
    one = walked()[0][1]
    made = [
        (np.array(draws), replace(one, weekly_hours=np.repeat(np.array(weekly)[:, None], 105, 1)))
        for draws, weekly in batches.items()
    ]
    past = history(machines=("M1", "M2"))
    past.machines["m2_per_hour"] = rates
    fleet = SimpleNamespace(
        hours=SimpleNamespace(machines=("M1", "M2")), history=past, choices=choices(draws=4),
        days=730,
    )  # fmt: skip
    worked = work_by_year(made, fleet, 2)
    assert np.array(worked) == pytest.approx(np.outer([hours, area], [365 / 7] * 2))


def test_figures_are_per_hour_and_per_thousand_square_metres():
    money = np.array([[100.0, 200.0, 300.0], [0.0, 0.0, 0.0]])
    frame = _figures(money, np.array([50.0, 0.0]), np.array([4000.0, 0.0]), 0.8, ["1", "2"])
    assert frame["mean"].tolist() == [200.0, 0.0]
    assert frame.loc[0, ["p50", "per_hour", "per_1000m2"]].tolist() == [200.0, 4.0, 50.0]
    # Linear between order statistics: 0.8 of the way over three values is 100 + 1.6 x 100.
    assert frame.loc[0, ["p10", "p80", "p90", "at_risk"]].tolist() == pytest.approx(
        [120.0, 260.0, 280.0, 260.0]
    )
    assert frame.loc[1, ["per_hour", "per_1000m2"]].isna().all()


def test_hours_of_less_than_one_still_have_a_price_each():
    frame = _figures(np.array([[3.0]]), np.array([0.5]), np.array([0.5]), 0.8, ["1"])
    assert frame.loc[0, ["per_hour", "per_1000m2"]].tolist() == [6.0, 6000.0]


def test_parts_are_compared_on_the_proposed_floors_alone():
    choice = pd.DataFrame({"floor": ["tile", "vinyl", "tile"], "part": ["A", "A", "B"]})
    floors = pd.DataFrame({"floor": ["tile", "vinyl"], "share": [1.0, 0.0]})
    kept = _on_its_floors(choice, SimpleNamespace(floors=floors))
    assert kept["part"].tolist() == ["A", "B"]
    assert _on_its_floors(choice, SimpleNamespace(floors=floors[:0])).equals(choice)
