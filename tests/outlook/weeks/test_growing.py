"""Hours that grow from year to year are told; seasons, noise and short logs are not."""

import numpy as np
import pytest

from wearcast.outlook.weeks.growing import tell_growing
from wearcast.outlook.weeks.past import Past

WEEKS = 91


def past(factor, machines=12, weeks=WEEKS, seed=1):
    """Machines of 30 h a week, noise of a tenth, times a factor by week (the last: as-of)."""
    rng = np.random.default_rng(seed)
    rate = 30 * np.exp(0.1 * rng.standard_normal((machines, weeks))) * factor[-weeks:]
    names = tuple(f"M{n}" for n in range(machines))
    ones = np.ones(rate.shape, dtype=int)
    return Past(names, rate, ones, np.zeros(rate.shape, bool), rate.mean(axis=1))


@pytest.mark.parametrize(("monthly", "words"), [(0.03, "% more"), (-0.03, "% fewer")])
def test_a_year_of_growth_is_told_with_what_it_would_come_to(monthly, words):
    (told,) = tell_growing(past(np.exp(monthly * np.arange(WEEKS) / 4.35)))
    # exp(.03 * 12) = 1.43 in a year, 1.2 over the middle of the next.
    assert words in told.wrong
    assert ("about 20%" if monthly > 0 else "about 16%") in told.wrong


@pytest.mark.parametrize("seed", range(5))
def test_a_season_and_noise_are_no_growth(seed):
    assert not tell_growing(past(1 + 0.4 * np.sin(2 * np.pi * np.arange(WEEKS) / 52), seed=seed))


def test_one_machine_that_runs_more_is_not_the_fleet():
    grown = past(np.ones(WEEKS))
    grown.rate[0, -13:] *= 6
    assert not tell_growing(grown)


def test_without_a_year_nothing_is_compared():
    assert not tell_growing(past(np.exp(0.01 * np.arange(WEEKS)), weeks=60))


def second_shift(weeks, factor=1.9, seed=1):
    """Half of the machines run so many times their hours in the newest weeks."""
    fleet = past(np.ones(WEEKS), seed=seed)
    fleet.rate[::2, -weeks:] *= factor
    return fleet


@pytest.mark.parametrize(
    ("weeks", "factor", "words"),
    [(3, 2.2, "more hours in the last 4 weeks"), (9, 1.9, "more hours in the last 8 weeks"),
     (7, 0.3, "fewer hours in the last 8 weeks")],
)  # fmt: skip
def test_hours_that_changed_at_once_are_told_with_the_weeks(weeks, factor, words):
    (told,) = tell_growing(second_shift(weeks, factor))
    assert words in told.wrong


def test_a_holiday_that_was_last_year_too_is_no_change():
    weeks = np.arange(WEEKS)
    closed = (weeks % 52 >= 38) & (weeks % 52 < 46)  # over four weeks before as-of
    assert not tell_growing(past(np.where(closed, 0.3, 1.0)))


def test_a_holiday_in_a_log_of_less_than_a_year_may_be_one():
    weeks = np.arange(40)
    (told,) = tell_growing(past(np.where((weeks >= 25) & (weeks < 35), 0.2, 1.0), weeks=40))
    assert "if they go back (a season, a holiday), they are not" in told.wrong


def test_a_small_step_is_told_where_the_log_holds_none_like_it():
    fleet = past(np.ones(WEEKS))
    fleet.rate[:, -4:] *= 1.17
    (told,) = tell_growing(fleet)
    assert "% more hours in the last 4 weeks" in told.wrong
    fleet.rate[:, 40:44] *= 1.17
    assert tell_growing(fleet) == []
