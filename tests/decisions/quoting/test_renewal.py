"""A quote against renewal theory: replacement by age or at the end of life, at known wear.

Barlow and Proschan, Mathematical Theory of Reliability (1965), ch. 3 (remembered): replacing at age
T or at failure costs in the long run, an hour, the cost of a renewal over the mean time between
them, the integral of the survival from 0 to T.
"""

import numpy as np
import pandas as pd
import pytest
from scipy.integrate import quad

from tests.decisions.makers import book, choices
from tests.outlook.makers import history_of, positions, same_wear, steady_hours
from wearcast.decisions.parts import part_life
from wearcast.decisions.quoting.proposals import Fleet, walk_fleet
from wearcast.decisions.quoting.spent import by_year, spent_in
from wearcast.decisions.quoting.spread import spread_sources

DRAWS, YEARS, HOURS_A_WEEK, PRICE = 1500, 4, 42.0, 12.0
RATE, SHAPE, DAMAGE, AGE, SHARP = 1 / 90, 2.4, 1 / 700, 70.0, 40.0
"""Worn at about 80 h, torn at random, taken off at 70 h by a schedule that is kept to some 3 %."""


def survival(hours: float, rate: float = RATE, damage: float = DAMAGE) -> float:
    """Chance that none of the three has ended an edge."""
    return float(np.exp(-((rate * hours) ** SHAPE) - damage * hours - (hours / AGE) ** SHARP))


def mean_life(rate: float = RATE) -> float:
    return float(quad(survival, 0, 2 * AGE, args=(rate,), limit=200)[0])


def fleet(rate: np.ndarray | float = RATE, draws: int = DRAWS) -> Fleet:
    wear = same_wear(1, draws, shape=SHAPE, damage=DAMAGE, removal=1 / AGE, off_shape=SHARP)
    wear.rate[:] = np.reshape(rate, (1, -1, 1))
    past = history_of(positions([{"pieces": 2.0}]), machines=pd.DataFrame(index=["M1"]))
    return Fleet(
        book=book(f"part   kind   price\n blade  blade  {PRICE}"),
        history=past,
        wear=wear,
        hours=steady_hours(HOURS_A_WEEK, draws, 53 * YEARS),
        mixes=[past.mixes],
        choices=choices(draws=draws),
        days=365 * YEARS,
    )


def test_a_year_in_the_long_run_costs_what_renewal_theory_says():
    made = fleet()
    walked = walk_fleet(made)
    spent = [(at, spent_in(one, made.book, made.choices, YEARS)) for at, one in walked]
    parts, _ = by_year(spent, DRAWS)
    expected = 2 * PRICE * HOURS_A_WEEK * 365 / 7 / mean_life()
    # From new the first year has half a part less; the later ones are in the long run.
    later = parts[1:].mean(axis=0)
    error = later.std(ddof=1) / np.sqrt(DRAWS)
    assert later.mean() == pytest.approx(expected, abs=4.5 * error)
    assert 2 * PRICE * 0.3 < expected - parts[0].mean() < 2 * PRICE * 0.6


def test_the_hours_of_a_part_are_the_mean_time_between_renewals():
    made = fleet(draws=1)
    assert part_life(made.wear, np.ones(1))[0].item() == pytest.approx(mean_life(), rel=2e-3)


def test_a_rate_that_is_not_known_moves_the_money_as_renewal_theory_says():
    rate = RATE * np.exp(np.random.default_rng(3).normal(0, 0.3, 300))
    cost = np.array([1 / mean_life(one) for one in rate])
    # The money is exactly the long run's, so that all of its spread is the rates'.
    shares = spread_sources(fleet(rate, 300), np.zeros(300, int), cost).set_index("source")["share"]
    assert shares["wear rates"] == pytest.approx(1.0, abs=2e-3)
