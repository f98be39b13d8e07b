"""The walk from a new one-edged part, at known wear, is a renewal process: its counts are known.

Run hours: 7 a day, so that day d is d x 7 h. A tolerance of 4.5 standard errors of the mean of the
draws is passed by chance alone with 1 in 150,000.
"""

import numpy as np
import pytest

from tests.outlook.makers import history_of, positions, same_wear, steady_hours
from wearcast.outlook.use import count_pieces
from wearcast.outlook.walk import walk_slots

DRAWS = 20_000
HOURS_A_DAY = 7.0
DAYS = 100


def counts(scale_days: float, shape: float, by_day: int) -> np.ndarray:
    """Replacements by the end of a day, for a life with this Weibull scale in days."""
    wear = same_wear(1, DRAWS, rate=1.0 / (scale_days * HOURS_A_DAY), shape=shape)
    hours = steady_hours(7.0 * HOURS_A_DAY, DRAWS, 15)
    draws = walk_slots(wear, hours, history_of(positions([{}])), seed=20261031, days=DAYS)
    return count_pieces(draws, np.array([0]), 1, by_day)[0]


def assert_mean(values: np.ndarray, expected: float, printed: float = 0.0):
    error = values.std(ddof=1) / np.sqrt(len(values))
    assert values.mean() == pytest.approx(expected, abs=4.5 * error + printed)


def test_exponential_lives_give_a_poisson_count():
    # Closed form: M(t) = t / scale, and a Poisson count has variance = mean.
    use = counts(scale_days=25.0, shape=1.0, by_day=100)
    assert_mean(use, 4.0)
    assert use.var() == pytest.approx(4.0, rel=4.5 * np.sqrt(2.0 / DRAWS) * 1.2)


# Tijms, A First Course in Stochastic Models (Wiley 2003), table 8.1.1, p. 312, cv2 = .25, mean 1:
# printed values, seen and reproduced; at t = .8 the print is a digit high, hence the 1e-4.
TIJMS = [(0.4, 0.1087), (0.6, 0.2422), (0.8, 0.4141), (1.0, 0.6091), (1.2, 0.8143)]
TIJMS_FOUR_DIGITS = [(1.5, 1.124), (2.0, 1.627), (2.5, 2.125)]
SHAPE_CV2_QUARTER, SCALE_CV2_QUARTER = 2.101349094688544, 1.129063389539609


@pytest.mark.parametrize(("time", "expected"), TIJMS)
def test_mean_count_matches_tijms_table_8_1_1(time: float, expected: float):
    use = counts(40.0 * SCALE_CV2_QUARTER, SHAPE_CV2_QUARTER, by_day=round(40 * time))
    assert_mean(use, expected, printed=1e-4)


@pytest.mark.parametrize(("time", "expected"), TIJMS_FOUR_DIGITS)
def test_mean_count_matches_tijms_table_8_1_1_further_on(time: float, expected: float):
    use = counts(40.0 * SCALE_CV2_QUARTER, SHAPE_CV2_QUARTER, by_day=round(40 * time))
    assert_mean(use, expected, printed=5e-4)


# Weibull with scale 1, renewal function at t = 1, 2 and 5; computed by three methods that agree
# to 3e-9 (midpoint recursion, power series, collocation), not published.
SCALE_ONE = {
    1.5: (0.841578, 1.945501, 5.269160),
    2.0: (0.753691, 1.894039, 5.278516),
    3.0: (0.672329, 1.801075, 5.165275),
    4.0: (0.644599, 1.746606, 5.055601),
}


@pytest.mark.parametrize("shape", list(SCALE_ONE))
def test_mean_count_matches_the_renewal_function(shape: float):
    for time, expected in zip((1, 2, 5), SCALE_ONE[shape], strict=True):
        assert_mean(counts(20.0, shape, by_day=20 * time), expected)


# Count at t = 2, scale 1: P(N = 0..5); computed by Fourier convolution, not published.
COUNTS = {
    1.5: (0.059106, 0.306672, 0.361128, 0.194654, 0.062390, 0.013578),
    2.0: (0.018316, 0.323800, 0.443920, 0.177454, 0.032780, 0.003479),
    3.0: (0.000335, 0.317931, 0.567894, 0.108123, 0.005594, 0.000120),
    4.0: (0.000000, 0.307247, 0.639580, 0.052495, 0.000675, 0.000003),
}


@pytest.mark.parametrize("shape", list(COUNTS))
def test_count_is_spread_as_a_renewal_count_and_not_as_poisson(shape: float):
    use = counts(50.0, shape, by_day=100)
    share = np.bincount(use.astype(int), minlength=6)[:6] / DRAWS
    expected = np.array(COUNTS[shape])
    error = 4.5 * np.sqrt(expected * (1 - expected) / DRAWS) + 2.0 / DRAWS
    assert np.all(np.abs(share - expected) < error)


def test_an_edge_met_at_any_time_gives_uses_at_the_long_run_rate():
    # A stationary renewal process has mean count t / mean life exactly, from the first day on.
    scale, shape = 60.0 * HOURS_A_DAY, 2.2
    wear = same_wear(1, DRAWS, rate=1.0 / scale, shape=shape)
    running = positions([{"age": "unknown"}])
    hours = steady_hours(7.0 * HOURS_A_DAY, DRAWS, 15)
    draws = walk_slots(wear, hours, history_of(running), seed=5, days=DAYS)
    mean_life = 60.0 * 0.8856  # Gamma(1 + 1/2.2) = 0.88562, computed here
    for day in (5, 30, 100):
        assert_mean(count_pieces(draws, np.array([0]), 1, day)[0], day / mean_life)
