"""Where edges stand at as-of: known, new, or drawn as they are found in the long run."""

import numpy as np
import pytest
from scipy import integrate, stats

from tests.outlook.makers import positions, same_wear
from wearcast.outlook.walking.start import laws_at, long_run_age, long_run_edge, start_states
from wearcast.wear.life import Laws

DRAWS = 20_000
EVEN = (np.arange(DRAWS) + 0.5) / DRAWS
"""Dice that fall everywhere alike."""


def laws(rate=0.01, shape=2.4, pace=1.3, damage=0.0, removal=0.0, off_shape=1.0):
    return Laws(
        *(np.full(DRAWS, value) for value in (rate, shape, pace, damage, removal, off_shape))
    )


def started(row, floors, wear):
    """State of one position with hours on each floor."""
    running, exposure = positions([row]), positions([{}])[[]].assign(**floors)
    here = laws_at(wear, np.full((1, len(floors)), 1 / len(floors)))
    return start_states(running, exposure, wear, here, seed=1)


def test_known_wear_is_hours_on_each_floor_times_their_rates():
    start = started(
        {"age": "known", "edges": 4, "edge": 3.0}, {"a": 20.0, "b": 5.0},
        same_wear(1, 3, rate=[0.01, 0.04]),
    )  # fmt: skip
    assert start.wear == pytest.approx(0.4)
    assert start.hours == pytest.approx(25.0)
    assert (start.edge == 3).all()


@pytest.mark.parametrize("age", ["new", "empty"])
def test_a_part_that_has_not_run_starts_at_nothing(age):
    start = started({"age": age, "edges": 4, "edge": 1.0}, {"a": 20.0}, same_wear(1, 3))
    assert not start.wear.any()
    assert not start.hours.any()
    assert (start.edge == 1).all()


ANY_TIME = {"damage": 1 / 300, "removal": 1 / 900}
SCHEDULE = {"removal": 1 / 60, "off_shape": 12.0}


@pytest.mark.parametrize(
    ("given", "watched"),
    [(ANY_TIME, 0.0), (ANY_TIME, 45.0), (ANY_TIME, 150.0), (SCHEDULE, 0.0), (SCHEDULE, 65.0)],
)
def test_long_run_age_follows_the_chance_to_be_still_good(given, watched):
    # Density S(h) / mean life (Cox, Renewal Theory, 1962, ch. 5, remembered) from the watched
    # hours on; integrated by scipy.
    one = laws(**given)
    age = long_run_age(one, EVEN, watched)

    def good(hours: float) -> float:
        return float(
            np.exp(one.hazard(np.full(DRAWS, watched)) - one.hazard(np.full(DRAWS, hours)))[0]
        )

    until = watched + 400.0
    assert age.min() >= watched
    cuts = {"points": [watched + 10, watched + 60], "limit": 200}
    whole = integrate.quad(good, watched, until, **cuts)[0]
    for share in (0.1, 0.5, 0.9):
        upto = integrate.quad(good, watched, np.quantile(age, share), limit=200)[0]
        # A grid of 65 places.
        assert upto / whole == pytest.approx(share, abs=5e-3)


def test_long_run_age_of_exponential_lives_is_exponential():
    # Memoryless: the age has the law of the life itself.
    dice = np.random.default_rng(1).random(DRAWS)
    age = long_run_age(laws(0.02, 1.0, 1.0), dice)
    assert stats.kstest(age, stats.expon(scale=50).cdf).pvalue > 1e-4


def test_an_edge_watched_for_some_hours_is_at_least_so_old():
    dice = np.random.default_rng(1).random(DRAWS)
    every, seen = long_run_age(laws(), dice), long_run_age(laws(), EVEN, 60.0)
    # Brute force: of all ages met at any time, those of 60 h and more.
    assert stats.ks_2samp(every[every > 60], seen).pvalue > 1e-3


def test_hours_watched_without_an_end_are_the_least_age_at_the_start():
    wear = same_wear(1, 2000, rate=0.01)
    start = started({"age": "unknown"}, {"a": 80.0}, wear)
    assert start.hours.min() >= 80.0
    assert start.wear == pytest.approx(0.01 * start.hours)


def edges_of(early):
    edge = long_run_edge(np.broadcast_to(np.array(early)[:, None], (3, DRAWS)), EVEN)
    return np.bincount(edge, minlength=5)[1:] / DRAWS


def test_unknown_edge_is_any_edge_alike_where_nothing_is_thrown_away():
    assert edges_of([0.0, 0.0, 0.0]) == pytest.approx([0.25] * 4, abs=1e-3)


def test_unknown_edge_is_mostly_the_first_where_parts_are_thrown_away_early():
    # Parts that reach edge j: 1, .5, .25, .125 of all; over their sum 1.875.
    expected = np.array([1, 0.5, 0.25, 0.125]) / 1.875
    assert edges_of([0.5, 0.5, 0.5]) == pytest.approx(expected, abs=1e-3)


def test_a_fourth_edge_that_is_never_used_is_never_met():
    assert edges_of([0.0, 0.0, 1.0]) == pytest.approx([1 / 3, 1 / 3, 1 / 3, 0], abs=1e-3)


def test_an_unknown_edge_takes_habits_by_why_the_edges_end():
    # Constant hazards, half worn and turned, half taken off with the part: as thrown away half.
    wear = same_wear(1, DRAWS, rate=0.01, shape=1.0, removal=0.01)
    start = started({"age": "unknown", "edges": 4, "edge": np.nan}, {"a": 0.0}, wear)
    share = np.bincount(start.edge[0], minlength=5)[1:] / DRAWS
    # 20,000 draws: four standard errors of a share.
    assert share == pytest.approx(np.array([1, 0.5, 0.25, 0.125]) / 1.875, abs=4 * 0.5 / DRAWS**0.5)
