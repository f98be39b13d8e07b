"""How money falls to places."""

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from tests.decisions.makers import NOTHING, choices, draws, history
from wearcast.decisions.costing.divisions import divisions_of_positions, months_ahead


def levels(rates=(1000.0, np.nan), hours=(364.0, 728.0)):
    """Machine M1 in the hall with a blade and a pad, M2 in the shed with a blade."""
    made = draws(
        {("main", "blade"): [NOTHING] * 2, ("main", "pad"): [NOTHING]},
        days=364, count=1, machine=["M1", "M2", "M1"], site=["hall", "shed", "hall"],
    )  # fmt: skip
    weekly = np.repeat(np.array(hours)[:, None] / 52, 52, axis=1)
    share = np.array([[0.5, 0.5], [0.0, 1.0], [1.0, 0.0]])
    made = replace(made, weekly_hours=weekly, floors=("tile", "vinyl"), wear_share=share)
    past = history(machines=("M1", "M2"), site=["hall", "shed"])
    past.machines["m2_per_hour"] = list(rates)
    mixes = pd.DataFrame(
        {"machine": ["M1", "M2"], "since": pd.Timestamp.min, "tile": [1.0, 0.0],
         "vinyl": [0.0, 1.0]}
    )  # fmt: skip
    past = replace(past, mixes=mixes, floors=("tile", "vinyl"))
    chosen = choices(draws=1)
    found = [*divisions_of_positions(made, past, chosen), months_ahead(made, past, chosen)]
    return {each.level: each for each in found}


def split(level, **asked):
    """Money 1, 10 and 100 of the three positions, by place."""
    how = levels(**asked)[level]
    money = np.zeros((len(how.places), 1))
    how.add(money, np.array([[1.0], [10.0]]), slice(0, 2))
    how.add(money, np.array([[100.0]]), slice(2, 3))
    return dict(zip(how.places, money[:, 0].tolist(), strict=True))


@pytest.mark.parametrize(
    ("level", "money"),
    [
        ("fleet", {"fleet": 111.0}),
        ("site", {"hall": 101.0, "shed": 10.0}),
        ("machine", {"M1": 101.0, "M2": 10.0}),
        ("part", {"blade": 11.0, "pad": 100.0}),
        ("floor", {"tile": 100.5, "vinyl": 10.5}),
    ],
)
def test_money_falls_to_the_places_of_a_level(level, money):
    assert split(level) == money


@pytest.mark.parametrize(
    ("level", "hours"),
    [
        ("fleet", [1092.0]),
        ("site", [364.0, 728.0]),
        # The pad is on M1 alone, whose blade and pad run the same hours.
        ("part", [1092.0, 364.0]),
        ("floor", [364.0, 728.0]),
    ],
)
def test_hours_are_those_of_the_machines_there(level, hours):
    assert levels()[level].hours.tolist() == pytest.approx(hours)


@pytest.mark.parametrize(
    ("level", "area"),
    [
        ("site", [364_000.0, np.nan]),
        ("part", [np.nan, 364_000.0]),
        ("floor", [364_000.0, np.nan]),
        ("month", [np.nan] * 12),
    ],
)
def test_an_area_needs_the_rate_of_every_machine_that_runs_there(level, area):
    assert levels()[level].area.tolist() == pytest.approx(area, nan_ok=True)


def test_a_machine_that_stands_still_needs_no_rate():
    still = levels(hours=(364.0, 0.0))
    assert still["fleet"].area.tolist() == pytest.approx([364_000.0])
    assert still["floor"].area.tolist() == pytest.approx([364_000.0, 0.0])


def test_a_month_has_the_hours_and_area_of_its_days():
    months = levels(rates=(1000.0, 500.0))["month"]
    assert months.places[:2] == ("2027-01", "2027-02")
    # 1 h and 2 h a day: 31 days, then 28; the last month of 364 days lacks a day.
    assert months.hours[[0, 1, 11]].tolist() == pytest.approx([93.0, 84.0, 90.0])
    assert months.area[:2].tolist() == pytest.approx([31 * 2000.0, 28 * 2000.0])
    assert np.bincount(months.number).tolist() == [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 30]


def test_part_of_an_hour_cleans_an_area_too():
    assert levels(hours=(0.5, 0.0))["fleet"].area.tolist() == pytest.approx([500.0])
