"""Small fleets of known truth: the forecast's ranges hold what happens, and it is not biased.

The long versions, with the figures in DEVELOPERS.md, are `tests.studies.forecasts.sharpness` and
`tests.studies.forecasts.service`; these few fleets are here to notice a break.
"""

import numpy as np
import pandas as pd
import pytest
from scipy import stats

from tests import fleets
from tests.studies.forecasts import oracle, scores, service
from tests.studies.forecasts.judging import forecast_of, groups_of, judge
from wearcast.decisions.ordering.prices import Terms

FLEETS = 3
"""Fleets a story; 18 machines on 3 sites each."""


@pytest.fixture(scope="module", params=fleets.STORIES)
def rows(request):
    """What was said and what happened, row by row, for a few fleets of a story."""
    judged = []
    for seed in range(100, 100 + FLEETS):
        fleet = fleets.make_fleet(seed, request.param, machines=18, sites=3)
        judged.append(judge(fleet, forecast_of(fleet, draws=300), oracle_draws=200))
    return pd.concat(judged, ignore_index=True)


def test_the_range_holds_what_happens(rows):
    # Sites of different fleets are independent, parts and periods of one site are not: as many
    # chances as fleets x sites, and three standard errors of a share of 0.9 below it.
    site = rows[(rows["level"] == "site") & (rows["part"] != "all")]
    chances = FLEETS * 3
    assert site["pit"].between(0.05, 0.95).mean() > 0.9 - 3 * np.sqrt(0.09 / chances)


def test_the_mean_is_not_biased_beyond_its_own_spread(rows):
    # Fleets are independent; five standard deviations leave room for a spread that is itself
    # estimated, and is still less than a tenth of the pieces.
    year = rows[(rows["level"] == "fleet") & (rows["part"] == "all") & (rows["period"] == "year")]
    miss = (year["actual"] - year["mean"]).sum() / np.sqrt((year["spread"] ** 2).sum())
    assert abs(miss) < 5


def test_a_forecast_costs_less_than_last_years_use(rows):
    site = rows[(rows["level"] == "site") & (rows["part"] != "all")]
    assert site["loss"].sum() < site["loss_last_year"].sum()


def test_no_forecast_is_believed_to_beat_the_oracle_by_much(rows):
    # The oracle's loss is the least that can be expected; by chance a few fleets come below it.
    site = rows[(rows["level"] == "site") & (rows["part"] != "all")]
    assert site["loss"].sum() > 0.9 * site["loss_oracle"].sum()


@pytest.fixture(scope="module")
def served():
    """Service that orders at 0.95 reached in a year of one fleet, by way of ordering."""
    rows = service.study(
        300, "moved", 150, Terms(1.0, 0.0, ()), False, (0.95,), machines=12, sites=2
    )
    return rows.set_index("policy")["service"]


@pytest.mark.parametrize("way", [service.ONCE, service.BY_DATE])
def test_orders_keep_their_service_at_once_and_by_date(way, served):
    # Some ten shelves over three cycles that end within the year; shelves of one fleet are not
    # independent: three standard errors of a share of 0.95 over half as many.
    assert served[way] > 0.95 - 3 * np.sqrt(0.95 * 0.05 / 15)


@pytest.mark.parametrize("story", fleets.STORIES)
def test_the_oracle_itself_is_honest(story):
    # Randomised integral transform of 12 fleets in 5 equal bins; chance below 0.1 % each story.
    rng = np.random.default_rng(0)
    at = []
    for seed in range(200, 212):
        fleet = fleets.make_fleet(seed, story, machines=12, sites=3)
        ends = fleets.timed(fleet)
        for days, use in zip((91, 364), oracle.use_ahead(fleet, 200), strict=True):
            inside = ends["day"].between(1, days) & ends["replaced"]
            pieces = fleet.slots["pieces"].to_numpy()[ends["slot"]] * inside
            true = np.bincount(ends["slot"], pieces, len(fleet.slots))
            at += [
                float(scores.transform(use[mine].sum(axis=0), np.array(true[mine].sum()), rng))
                for level, _, part, mine in groups_of(fleet)
                if level == "site" and part != "all"
            ]
    assert stats.chisquare(np.histogram(at, 5, (0, 1))[0]).pvalue > 0.001


def test_a_simulated_fleet_is_the_same_each_time():
    first, again = (fleets.log_tables(fleets.make_fleet(7, "growth")) for _ in range(2))
    for name in first:
        pd.testing.assert_frame_equal(first[name], again[name])


def test_the_log_does_not_know_the_future():
    fleet = fleets.make_fleet(7, "moved")
    tables = fleets.log_tables(fleet)
    newest = f"{fleets.AS_OF:%Y-%m-%d}"
    assert max(tables["readings"]["date"]) <= newest
    assert max(tables["changes"]["date"]) <= newest
