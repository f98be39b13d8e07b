"""A quote's figures, by hand: run hours by contract year, and what is read off the money."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pandas as pd
import pytest

from tests.decisions.makers import choices, draws, history
from wearcast.decisions.quotes import _figures, _on_its_floors
from wearcast.decisions.quoting.proposals import work_by_year

PARTS = "part  kind  price | gum  blade  10 | brush  brush  50"
FLOORS = ("tile", "vinyl")
# Two draws. Gum: day 365, the last of year one, in draw 0; day 366 in both. Brush: day 1, draw 1.
NEEDS = {("main", "gum"): [[(0, 365), (0, 366), (1, 366)]], ("main", "brush"): [[(1, 1)]]}


def walked(number_of_draws=2):
    made = draws(
        NEEDS, days=735, count=2, machine=["M1", "M2"], site=["north", "south"],
        kind=["blade", "brush"], price=[10.0, 50.0],
    )  # fmt: skip
    share = np.array([[0.25, 0.75], [1.0, 0.0]])
    return [(np.arange(number_of_draws), replace(made, floors=FLOORS, wear_share=share))]


def test_hours_of_batches_of_draws_add_up_to_their_mean():
    chosen = choices(draws=4)
    one = walked()[0][1]
    # Machine 1 runs 10 h a week in the first batch (one draw of four) and 18 h in the other three.
    batches = [
        (np.array([0]), replace(one, weekly_hours=np.full((2, 105), 10.0))),
        (np.array([1, 2, 3]), replace(one, weekly_hours=np.full((2, 105), 18.0))),
    ]
    past = history(machines=("M1", "M2"))
    past.machines["m2_per_hour"] = 100.0
    fleet = SimpleNamespace(
        hours=SimpleNamespace(machines=("M1", "M2")), history=past, choices=chosen, days=730
    )
    hours, area = work_by_year(batches, fleet, 2)
    # 16 h a week on average, two machines, 365 days of 7 a week.
    assert hours == pytest.approx([2 * 16 * 365 / 7] * 2)
    assert area == pytest.approx(100 * hours)


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


def test_a_machine_that_stands_still_needs_no_area_rate():
    one = replace(walked()[0][1], weekly_hours=np.zeros((2, 105)))
    one.weekly_hours[0] = 7.0
    past = history(machines=("M1", "M2"))
    past.machines["m2_per_hour"] = [100.0, np.nan]
    fleet = SimpleNamespace(
        hours=SimpleNamespace(machines=("M1", "M2")), history=past, choices=choices(draws=2),
        days=730,
    )  # fmt: skip
    hours, area = work_by_year([(np.arange(2), one)], fleet, 2)
    assert hours == pytest.approx([365.0, 365.0])
    assert area == pytest.approx([36500.0, 36500.0])


def test_parts_are_compared_on_the_proposed_floors_alone():
    choice = pd.DataFrame({"floor": ["tile", "vinyl", "tile"], "part": ["A", "A", "B"]})
    floors = pd.DataFrame({"floor": ["tile", "vinyl"], "share": [1.0, 0.0]})
    kept = _on_its_floors(choice, SimpleNamespace(floors=floors))
    assert kept["part"].tolist() == ["A", "B"]
    assert _on_its_floors(choice, SimpleNamespace(floors=floors[:0])).equals(choice)
