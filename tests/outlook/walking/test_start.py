"""Where edges stand at as-of: known, new, or drawn as they are found in the long run."""

import numpy as np
import pytest
from scipy import integrate, stats

from tests.outlook.makers import positions, same_wear
from wearcast.outlook.walking.start import Speeds, long_run_age, long_run_edge, start_states

DRAWS = 20_000


def speeds(rate: float, damage: float = 0.0, removal: float = 0.0) -> Speeds:
    return Speeds(*(np.full((1, DRAWS), value) for value in (rate, damage, removal)))


def test_known_wear_is_hours_on_each_floor_times_their_rates():
    wear = same_wear(1, 3, rate=[0.01, 0.04])
    start = start_states(
        positions([{"age": "known", "edges": 4, "edge": 3.0}]),
        positions([{}])[[]].assign(a=[20.0], b=[5.0]),
        wear,
        Speeds(*(np.full((1, 3), 0.01) for _ in range(3))),
        seed=1,
    )
    assert start.wear == pytest.approx(0.4)
    assert (start.edge == 3).all()


def test_long_run_age_follows_the_chance_to_be_still_good():
    # Density S(h) / mean life (Cox, Renewal Theory, 1962, ch. 5, remembered); integrated by scipy.
    rate, shape, pace, damage, removal = 0.01, 2.4, 1.3, 1 / 300, 1 / 900
    dice = (np.arange(DRAWS) + 0.5) / DRAWS
    wear = same_wear(1, DRAWS, rate, shape, pace, damage, removal)
    age, mean_life = long_run_age(wear, speeds(rate, damage, removal), 0, dice)

    def good(hours: float) -> float:
        return np.exp(-pace * (rate * hours) ** shape - (damage + removal) * hours)

    life = integrate.quad(good, 0, 1000)[0]
    assert mean_life[0] == pytest.approx(life, rel=1e-3)
    for share in (0.1, 0.5, 0.9):
        until = np.quantile(age, share)
        assert integrate.quad(good, 0, until)[0] / life == pytest.approx(share, abs=2e-3)


def test_long_run_age_of_exponential_lives_is_exponential():
    # Memoryless: the age has the law of the life itself.
    dice = np.random.default_rng(1).random(DRAWS)
    age, _ = long_run_age(same_wear(1, DRAWS, 0.02, shape=1.0), speeds(0.02), 0, dice)
    assert stats.kstest(age, stats.expon(scale=50).cdf).pvalue > 1e-4


def test_unknown_edge_is_any_edge_alike_where_nothing_is_thrown_away():
    edge = long_run_edge(np.zeros(DRAWS), 4, (np.arange(DRAWS) + 0.5) / DRAWS)
    assert np.bincount(edge, minlength=5)[1:] / DRAWS == pytest.approx([0.25] * 4, abs=1e-3)


def test_unknown_edge_is_mostly_the_first_where_parts_are_thrown_away_early():
    # Parts that reach edge j: 1, .5, .25, .125 of all; over their sum 1.875.
    edge = long_run_edge(np.full(DRAWS, 0.5), 4, (np.arange(DRAWS) + 0.5) / DRAWS)
    expected = np.array([1, 0.5, 0.25, 0.125]) / 1.875
    assert np.bincount(edge, minlength=5)[1:] / DRAWS == pytest.approx(expected, abs=1e-3)
