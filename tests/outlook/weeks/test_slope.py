"""A slope of the hours is carried on where the log shows one, and only there."""

import numpy as np
import pandas as pd
import pytest

from wearcast.outlook.weeks.known import learn_hours
from wearcast.outlook.weeks.past import Past

AS_OF = pd.Timestamp("2026-10-31")
MACHINES, SITES, WEEKS = 40, 4, 106


def past_with(slope_a_year: float, seed: int) -> Past:
    """Forty machines for two years: weeks of 25 h with autocorrelated noise (sd 0.18, 0.5)."""
    rng = np.random.default_rng(seed)
    noise = rng.normal(0, 0.18, (MACHINES, WEEKS))
    for week in range(1, WEEKS):
        noise[:, week] = 0.5 * noise[:, week - 1] + np.sqrt(0.75) * noise[:, week]
    years = (np.arange(WEEKS) - WEEKS + 1) / 52
    rate = 25.0 * np.exp(slope_a_year * years) * (1 + noise)
    rate[:, 0] = np.nan
    span = np.where(np.isnan(rate), 0, 1)
    names = tuple(f"M{number:02d}" for number in range(MACHINES))
    return Past(names, rate, span, np.isnan(rate), rate[:, -52:].mean(axis=1))


def fleet_slope_sd(slope_a_year: float, seed: int) -> float:
    """Sd of a machine's slope as the log is taken to show, share of the usual hours a year."""
    site = np.arange(MACHINES) % SITES
    known = learn_hours(past_with(slope_a_year, seed), site, AS_OF)
    return 52 * float(np.sqrt(known.tree.whole[-1]))


@pytest.mark.parametrize("seed", range(4))
def test_noise_alone_is_not_taken_for_a_slope(seed):
    # A mean slope of 40 machines is known to 0.18 sqrt(3) sqrt(2) / sqrt(52 x 40) = 1 % a year.
    assert fleet_slope_sd(0.0, seed) < 0.005


@pytest.mark.parametrize("seed", range(2))
def test_a_slope_of_a_tenth_a_year_is_seen(seed):
    assert fleet_slope_sd(0.10, seed) > 0.02
