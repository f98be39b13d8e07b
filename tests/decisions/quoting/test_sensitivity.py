"""What moves a price, where the long run is simple: one part of one edge at a constant hazard.

There cost = price x hours x (rate + damage); what is asked otherwise has its effect by hand.
"""

from dataclasses import replace

import numpy as np
import pytest

from tests.decisions.quoting.test_spread import DRAWS, HOURS, PRICE, RATE, factor, fleet, still
from wearcast.decisions.quoting.sensitivity import what_moves

DAMAGE = RATE / 4
COST = PRICE * HOURS * (RATE + DAMAGE)


@pytest.fixture(scope="module")
def moved():
    plain = fleet(RATE * still, still, HOURS * still)
    wear = replace(plain.wear, damage=np.full_like(plain.wear.rate, DAMAGE))
    plain.wear = wear
    money = COST * factor(5, 0.3)
    return what_moves(plain, np.zeros(DRAWS, int), money, 0 * money, 0.8).set_index("step")


@pytest.mark.parametrize(
    ("step", "times"),
    [
        ("20 % more hours", 1.2),
        ("20 % fewer hours", 0.8),
        ("edges wear 20 % faster", (1.2 + 0.25) / 1.25),
        ("edges wear 20 % slower", (0.8 + 0.25) / 1.25),
        ("twice as much damage", (1 + 0.5) / 1.25),
        ("no damage", 1 / 1.25),
        ("every edge used", 1.0),
        ("parts 10 % dearer", 1.1),
    ],
)
def test_each_step_moves_the_price_as_by_hand(moved, step, times):
    # Up to a few in 1,000 by the quadrature of an edge's mean life.
    assert moved.loc[step, "mean"] == pytest.approx(COST * times, rel=5e-3)
    assert moved.loc[step, "mean_change"] == pytest.approx(COST * (times - 1), abs=5e-3 * COST)


def test_the_price_at_risk_moves_with_the_same_draws(moved):
    at_risk = np.quantile(COST * factor(5, 0.3), 0.8)
    assert moved.loc["20 % more hours", "risk_change"] == pytest.approx(0.2 * at_risk)


def test_the_largest_change_comes_first(moved):
    assert moved["mean_change"].abs().is_monotonic_decreasing


def test_labour_does_not_move_with_the_prices_of_parts():
    plain = fleet(RATE * still, still, HOURS * still)
    labour = COST * still
    found = what_moves(plain, np.zeros(DRAWS, int), 0 * still, labour, 0.8).set_index("step")
    assert found.loc["parts 10 % dearer", "mean_change"] == 0
