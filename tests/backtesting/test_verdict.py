"""What looking back says against a forecast: told where it surely fails, and hardly ever else."""

import numpy as np
import pandas as pd
import pytest

from wearcast.backtesting.verdict import verdict


def looked_back(ranks, losses, others, site="Tram Barn"):
    """One row a forecast of a quarter, four parts in turn."""
    return pd.DataFrame(
        {
            "level": "site",
            "where": site,
            "part": [f"part {number % 4}" for number in range(len(ranks))],
            "period": "quarter",
            "rank": ranks,
            "loss": losses,
            "loss_last_year": others,
        }
    )


def even(count):
    """Ranks as a forecast of the right spread gives them."""
    return (np.arange(count) + 0.5) / count


def test_ranges_that_hold_the_truth_in_half_the_cases_are_told_by_site():
    frame = looked_back(np.where(even(16) < 0.5, 0.5, 0.99), np.ones(16), np.full(16, 2.0))
    (found,) = verdict(frame)
    assert found.wrong == (
        "do not rely on the forecast at Tram Barn: looking back, of 16 forecasts of a quarter, "
        "only 8 held the true use in their range (about 14 should), so the ranges are too narrow "
        "there"
    )


def test_misses_twice_those_of_last_year_are_told():
    frame = looked_back(even(16), np.full(16, 2.0), np.ones(16))
    assert [each.wrong.split(":")[1].split(",")[0] for each in verdict(frame)] == [" looking back"]
    assert "(the misses were 2.0 times as large)" in verdict(frame)[0].wrong


@pytest.mark.parametrize("count", [4, 7])
def test_a_few_forecasts_say_nothing(count):
    frame = looked_back(np.full(count, 0.99), np.full(count, 9.0), np.ones(count))
    assert verdict(frame) == ()


def test_sound_forecasts_are_seldom_doubted():
    rng = np.random.default_rng(5)
    frames = [
        pd.concat(
            looked_back(rng.random(16), rng.gamma(2, size=16), rng.gamma(2, size=16), f"S{site}")
            for site in range(5)
        )
        for _ in range(200)
    ]
    doubted = np.mean([bool(verdict(frame)) for frame in frames])
    # Cover is doubted in at most 1 of 1,000 logs; losses that are alike in sum rarely differ by a
    # tenth and in nearly every single forecast: three standard errors over 1 in 20.
    assert doubted < 0.05 + 3 * np.sqrt(0.05 * 0.95 / 200)
