"""Pieces counted from draws, by group and period."""

import numpy as np
import pandas as pd
import pytest

from tests.conftest import assert_table
from tests.outlook.makers import AS_OF, history_of, positions, same_wear, steady_hours
from wearcast.outlook.records import Draws
from wearcast.outlook.use import count_pieces, periods, sorted_quantile, use_by_period
from wearcast.outlook.walk import walk_slots


def two_sites(draws: int = 200) -> Draws:
    rows = [
        {"machine": "M1", "site": "north", "depot": "east"},
        {"machine": "M1", "site": "north", "depot": "east", "position": "deck", "part": "pad"},
        {"machine": "M2", "site": "south", "depot": "west", "pieces": 2.0},
    ]
    wear = same_wear(3, draws, rate=0.02, shape=2.0, damage=0.001)
    hours = steady_hours(30.0, draws, 56, ("M1", "M2"))
    return walk_slots(wear, hours, history_of(positions(rows)), seed=4, days=390)


DRAWS = two_sites()


def test_pieces_are_counted_in_the_window_only():
    by_hand = np.zeros(DRAWS.draws)
    for slot, draw, day in zip(DRAWS.slot, DRAWS.draw, DRAWS.day, strict=True):
        if slot == 2 and 10 <= day <= 40:
            by_hand[draw] += 2.0
    assert np.array_equal(count_pieces(DRAWS, np.array([-1, -1, 0]), 10, 40)[0], by_hand)


def test_windows_side_by_side_add_up_to_the_whole():
    groups = np.array([0, 0, 1])
    whole = count_pieces(DRAWS, groups, 1, 390)
    pieces = sum(count_pieces(DRAWS, groups, first, first + 38) for first in range(1, 391, 39))
    assert np.array_equal(whole, pieces)


def test_periods_are_inclusive_and_months_clipped():
    shown = periods(AS_OF, 400)
    assert_table(
        shown.iloc[[0, 1, 2, -1]],
        """
        period   first_day  last_day  start       end
        quarter  1          91        2026-11-01  2027-01-30
        year     1          364       2026-11-01  2027-10-30
        2026-11  1          30        2026-11-01  2026-11-30
        2027-10  335        364       2027-10-01  2027-10-30
        """,
    )


@pytest.fixture(scope="module")
def tables() -> tuple[pd.DataFrame, pd.DataFrame]:
    return use_by_period(DRAWS, None, None)


def test_forecast_has_a_row_for_each_level_place_part_and_period(tables):
    forecast, _ = tables
    spread = ["mean", "p05", "p10", "p50", "p90", "p95"]
    assert list(forecast.columns) == ["level", "where", "part", "period", "start", "end", *spread]
    pairs = forecast.loc[forecast["period"] == "year", ["level", "where", "part"]]
    assert_table(
        pairs,
        """
        level    where  part
        fleet    fleet  all
        fleet    fleet  blade
        fleet    fleet  pad
        depot    east   all
        depot    east   blade
        depot    east   pad
        depot    west   all
        depot    west   blade
        site     north  all
        site     north  blade
        site     north  pad
        site     south  all
        site     south  blade
        machine  M1     all
        machine  M1     blade
        machine  M1     pad
        machine  M2     all
        machine  M2     blade
        """,
    )


def test_means_add_up_from_part_to_all_and_from_months_to_the_year(tables):
    forecast, _ = tables
    fleet = forecast[forecast["level"] == "fleet"]
    year = fleet[fleet["period"] == "year"].set_index("part")["mean"]
    assert year["all"] == pytest.approx(year["blade"] + year["pad"])
    months = fleet[(fleet["part"] == "all") & fleet["period"].str.startswith("20")]
    assert months["mean"].sum() == pytest.approx(year["all"])


def test_rows_agree_with_pieces_counted_directly(tables):
    forecast, _ = tables
    row = forecast.query("level == 'site' and where == 'south' and part == 'all'")
    row = row[row["period"] == "quarter"].iloc[0]
    counted = count_pieces(DRAWS, np.array([-1, -1, 0]), 1, 91)[0]
    assert row["mean"] == pytest.approx(counted.mean())
    assert row["p90"] == np.quantile(counted, 0.9, method="inverted_cdf")


def test_quantiles_stand_for_fleet_and_site_and_never_fall(tables):
    _, quantiles = tables
    assert set(quantiles["level"]) == {"fleet", "site"}
    assert set(quantiles["period"]) == {"quarter", "year"}
    sizes = quantiles.groupby(["level", "where", "part", "period"])
    assert (sizes.size() == 19).all()
    assert sizes["pieces"].apply(lambda pieces: pieces.is_monotonic_increasing).all()


def test_quantile_of_a_count_is_the_smallest_count_with_that_chance():
    ordered = np.array([0.0, 1.0, 1.0, 2.0, 5.0, 5.0, 6.0, 7.0, 8.0, 9.0])
    assert sorted_quantile(ordered, 0.1) == 0.0
    assert sorted_quantile(ordered, 0.11) == 1.0
    assert sorted_quantile(ordered, 0.9) == 8.0
