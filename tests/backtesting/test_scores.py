"""Scores and simple methods against published and recomputed numbers."""

import numpy as np
import pytest

from wearcast.backtesting.scores import (
    croston,
    mean_loss,
    moving_average,
    pinball,
    poisson_loss,
    randomised_rank,
    whole_quantiles,
)


@pytest.mark.parametrize(
    ("quantile", "level", "loss"),
    [
        ([1.25, 0, 1, 4, 0.625], 0.05, 0.16625),
        ([2.5, 0, 2, 8, 1.25], 0.50, 0.275),
        ([3.75, 0, 3, 12, 1.875], 0.95, 0.09625),
    ],
)
def test_pinball_loss_matches_a_time_series_library(quantile, level, loss):
    # Example in the documentation of a time-series library: seen and reproduced.
    actual = np.array([3, -0.5, 2, 7, 2])
    assert pinball(actual, np.array(quantile), level).mean() == pytest.approx(loss, abs=1e-12)


@pytest.mark.parametrize(
    ("quantile", "level", "loss"),
    [
        ([0, 2, 3], 0.1, 0.1 / 3),
        ([0, 2, 3], 0.9, 0.3),
        ([1, 2, 4], 0.1, 0.3),
        ([1, 2, 4], 0.9, 0.1 / 3),
    ],
)
def test_pinball_loss_matches_a_machine_learning_library(quantile, level, loss):
    # Example in the documentation of a machine-learning library (.03.. and .3..): seen and
    # reproduced.
    actual = np.array([1, 2, 3])
    assert pinball(actual, np.array(quantile), level).mean() == pytest.approx(loss, abs=1e-12)


PRODUCT_C = [0, 2, 0, 1, 0, 11, 0, 0, 0, 0, 2, 0, 6, 3, 0, 0, 0, 0, 0, 7, 0, 0, 0, 0, 0, 0, 0, 3,
             1, 0, 0, 1, 0, 1, 0, 0]  # fmt: skip


def test_croston_matches_the_intermittent_series_of_a_forecasting_textbook():
    # Hyndman and Athanasopoulos, Forecasting: Principles and Practice (2nd ed.), section 12.2:
    # the series was seen, the printed answer 2.750 / 2.793 = 0.985 is remembered; recomputed by
    # another library as 0.98459652.
    assert croston(np.array(PRODUCT_C), 0.1) == pytest.approx(0.98459652, abs=1e-8)


def test_a_moving_average_takes_the_newest_weeks():
    assert moving_average(np.array([9.0, 9.0, 1.0, 3.0]), 2) == 2.0
    assert moving_average(np.array([4.0]), 13) == 4.0
    assert moving_average(np.array([]), 13) == 0.0


def test_a_certain_and_right_forecast_loses_nothing():
    assert mean_loss(4.0, np.full(100, 4.0)) == 0.0


def test_the_randomised_rank_is_uniform_for_a_right_forecast_of_a_count():
    rng = np.random.default_rng(3)
    sample = rng.poisson(2.0, 4000)
    ranks = [randomised_rank(rng.poisson(2.0), sample, rng.random()) for _ in range(2000)]
    # A share of 2,000 within a tenth has a standard error of 0.0067; four of them.
    shares = np.histogram(ranks, bins=10, range=(0, 1))[0] / 2000
    assert np.abs(shares - 0.1).max() < 0.027


def test_a_poisson_forecast_loses_the_pinball_of_its_quantiles():
    # Mean 0: every quantile is 0, a truth of 2 loses level x 2, on average 2 x 0.5.
    assert poisson_loss(2.0, 0.0) == pytest.approx(1.0)
    # Mean 0.5: chances of 0 and of 1 or less are .607 and .910, so 12 quantiles are 0, 6 are 1 and
    # the one at 0.95 is 2. A truth of 1: the twelve lose level x 1 (3.9 in all), the last 0.05.
    assert poisson_loss(1.0, 0.5) == pytest.approx((3.9 + 0.05) / 19)


def test_quantiles_are_values_of_the_sample():
    # At least 0.25 of four values do not exceed the first, 0.26 need the second.
    sample = np.array([4.0, 1.0, 3.0, 2.0])
    assert whole_quantiles(sample, np.array([0.05, 0.25, 0.26, 0.5, 1.0])).tolist() == [
        1, 1, 2, 2, 4,
    ]  # fmt: skip


def test_the_loss_of_a_sample_is_the_mean_over_nineteen_levels():
    # All draws are 3: a truth of 5 loses level x 2, of 1 it loses (1 - level) x 2.
    assert (mean_loss(5.0, np.full(7, 3.0)), mean_loss(1.0, np.full(7, 3.0))) == (
        pytest.approx(1.0), pytest.approx(1.0),
    )  # fmt: skip
    # Half the draws are 0, half are 10; a truth of 10 loses level x 10 at the ten levels to 0.5.
    assert mean_loss(10.0, np.array([0.0, 10.0])) == pytest.approx(10 * 0.05 * 55 / 19)


def test_a_rank_counts_what_lies_below_and_its_share_of_what_is_equal():
    sample = np.array([1, 2, 2, 5])
    assert randomised_rank(2, sample, 0.5) == 0.25 + 0.5 * 0.5
    assert randomised_rank(9, sample, 0.5) == 1.0


def test_croston_moves_size_and_interval_at_each_use():
    # Sizes 4, 8 and intervals 2, 3 at weight 0.5: 6 / 2.5.
    assert croston(np.array([0.0, 4, 0, 0, 8]), 0.5) == pytest.approx(6 / 2.5)
    # A tenth by default: 4.4 / 2.1.
    assert croston(np.array([0.0, 4, 0, 0, 8])) == pytest.approx(4.4 / 2.1)
    # Less than a piece is a use, too; a steady use is the use, and none is nothing.
    assert croston(np.array([0.5])) == 0.5
    assert croston(np.full(10, 3.0)) == pytest.approx(3.0)
    assert croston(np.zeros(8)) == 0.0
