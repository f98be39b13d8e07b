"""Run-out days, order-by days, and the order-up-to level against published inventory numbers."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from wearcast.decisions.ordering.runout import (
    latest_order_day,
    missing_pieces,
    need_by,
    owed_days,
    pieces_to_start_with,
    run_out_days,
    services,
    whole_quantile,
)


def sample_of(distribution, size):
    """A sample that is a distribution: its quantiles at evenly spaced chances."""
    return distribution.ppf((np.arange(size) + 0.5) / size)


def test_order_up_to_matches_the_newsvendor_of_snyder_and_shen_example_4_3():
    # Snyder and Shen (2nd ed., 2019), example 4.3: holding 0.18, penalty 0.70, N(50, 8):
    # S = 56.60395592743389. Seen in the doctests of an inventory library, reproduced.
    need = sample_of(stats.norm(50, 8), 200_000)
    # Neighbouring values of the sample lie 8 / (200,000 x 0.28) = 0.00014 apart there.
    assert whole_quantile(need, 0.70 / 0.88) == pytest.approx(56.60395592743389, abs=3e-4)


@pytest.mark.parametrize(
    ("holding", "penalty", "mean", "expected"),
    [
        # Snyder and Shen: Poisson newsvendor, F(55) = .784470 < .795455 <= F(56) = .822117.
        pytest.param(0.18, 0.70, 50, 56, id="mean 50"),
        # Their example 4.7's newsvendor: F(7) = .743980 < .8 <= F(8) = .847237.
        pytest.param(1, 4, 6, 8, id="mean 6"),
    ],
)
def test_order_up_to_matches_published_poisson_quantiles(holding, penalty, mean, expected):
    # Both seen in the doctests of an inventory library and reproduced by a sum over the chances.
    need = sample_of(stats.poisson(mean), 20_000)
    assert whole_quantile(need, penalty / (holding + penalty)) == expected


@pytest.mark.parametrize(
    ("pieces", "no_shortage", "owed"),
    # Poisson need of mean 3: chance of no shortage and mean pieces short; computed here by the
    # sum over the chances, equal to an inventory library's loss function.
    [(5, 0.916082, 0.134621), (6, 0.966491, 0.050703), (7, 0.988095, 0.017194)],
)
def test_the_two_services_of_a_poisson_need_differ(pieces, no_shortage, owed):
    counts = np.arange(40)
    need = np.repeat(counts, np.round(1e6 * stats.poisson.pmf(counts, 3)).astype(int))
    cycle, shelf = services(need, pieces)
    assert cycle == pytest.approx(no_shortage, abs=2e-6)
    assert shelf == pytest.approx(1 - owed / 3, abs=3e-6)


def owed_pieces(need, pieces):
    """Mean pieces short, as the share served from the shelf tells them."""
    return (1 - services(need, pieces)[1]) * need.mean()


@pytest.mark.parametrize(
    ("need", "pieces", "holding", "penalty", "cost"),
    [
        # Snyder and Shen, examples 4.1 and 4.3, the Poisson newsvendor, and 4.7's: all seen in the
        # doctests of an inventory library and reproduced by the loss function.
        pytest.param(stats.norm(50, 8), 60.0, 0.18, 0.70, 2.156131552870387, id="4.1"),
        pytest.param(
            stats.norm(50, 8), 56.60395592743389, 0.18, 0.70, 1.9976051931766445, id="4.3"
        ),
        pytest.param(stats.poisson(50), 56.0, 0.18, 0.70, 1.797235211809178, id="mean 50"),
        pytest.param(stats.poisson(6), 8.0, 1.0, 4.0, 3.5701069457709416, id="4.7"),
    ],
)
def test_what_the_shelf_serves_gives_the_published_newsvendor_costs(
    need, pieces, holding, penalty, cost
):
    sample = sample_of(need, 200_000)
    short = owed_pieces(sample, pieces)
    left = pieces - sample.mean() + short
    # A sample of 200,000 quantiles cuts the tails: about 1e-5 of the spread.
    assert holding * left + penalty * short == pytest.approx(cost, abs=2e-3)


def test_nothing_needed_is_served_in_full():
    assert services(np.zeros(4), 0.0) == (1.0, 1.0)


def test_a_shelf_runs_out_on_the_first_day_with_an_unmet_need():
    needed = np.array([[0, 1, 1, 3, 3], [0, 0, 2, 2, 2], [0, 1, 1, 1, 1]])
    assert run_out_days(needed, 1.0, np.zeros(5)).tolist() == [3.0, 2.0, np.inf]


def test_a_delivery_serves_from_the_day_after_it_arrives():
    needed = np.array([[0, 0, 1]])
    assert run_out_days(needed, 0.0, np.array([0, 0, 1])).tolist() == [2.0]
    assert run_out_days(needed, 0.0, np.array([0, 1, 1])).tolist() == [np.inf]


def test_a_delivery_ordered_on_the_latest_day_arrives_before_the_shelf_is_empty():
    run_out = np.full(100, 30.0)
    run_out[:4] = 10.0  # four draws of a hundred may be missed at 95 %
    assert latest_order_day(run_out, np.full(100, 12), 0.95) == 30 - 1 - 12


def test_nothing_need_be_ordered_while_nothing_runs_out():
    assert latest_order_day(np.full(10, np.inf), np.full(10, 5), 0.95) == np.inf


@given(
    st.lists(st.integers(0, 30), min_size=1, max_size=60),
    st.floats(0.5, 0.999),
    st.floats(0.5, 0.999),
)
def test_order_up_to_rises_with_the_service_level(need, one, other):
    low, high = sorted([one, other])
    assert whole_quantile(np.array(need), low) <= whole_quantile(np.array(need), high)


@given(st.lists(st.integers(0, 30), min_size=1, max_size=60), st.floats(0.5, 0.999))
def test_order_up_to_is_the_smallest_that_meets_the_service_level(need, level):
    values = np.array(need, float)
    chosen = whole_quantile(values, level)
    assert services(values, chosen)[0] >= level - 1e-9
    assert services(values, chosen - 1)[0] < level


@given(st.lists(st.integers(0, 4), min_size=2, max_size=30), st.integers(0, 20))
def test_a_shelf_runs_out_when_a_piece_is_owed(daily, stock):
    # Held against a plain loop, day by day.
    needed = np.cumsum([0, *daily])[None, :]
    left, expected = stock, np.inf
    for day, pieces in enumerate(daily, start=1):
        left -= pieces
        if left < 0:
            expected = day
            break
    assert run_out_days(needed, stock, np.zeros(needed.shape[1]))[0] == expected
    owed = missing_pieces(needed, stock, np.zeros(needed.shape[1]))
    assert (owed > 0).any() == np.isfinite(expected)


def test_a_late_delivery_spares_nothing_on_the_shelf():
    needed = np.array([[0, 2, 2, 5, 5], [0, 0, 0, 4, 4]])
    # Delivered at the end of day 2: day 1's need comes from the shelf, day 3's in part.
    assert pieces_to_start_with(needed, np.array([0, 0, 3, 3, 3])).tolist() == [2, 1]
    assert pieces_to_start_with(needed, np.array([0, 0, 9, 9, 9])).tolist() == [2, 0]


@given(st.lists(st.integers(0, 4), min_size=2, max_size=30), st.integers(0, 20), st.integers(0, 30))
def test_that_many_pieces_to_start_with_never_run_out_and_one_less_does(daily, pieces, day):
    needed = np.cumsum([0, *daily])[None, :]
    delivered = np.where(np.arange(needed.shape[1]) >= day, pieces, 0)
    enough = pieces_to_start_with(needed, delivered)[0]
    assert run_out_days(needed, enough, delivered)[0] == np.inf
    if enough:
        assert run_out_days(needed, enough - 1, delivered)[0] < np.inf


def test_need_after_the_last_day_of_the_walk_is_that_of_its_last_day():
    needed = np.array([[0.0, 1, 2, 5], [0, 0, 4, 7]])
    assert need_by(needed, np.array([9, 2])).tolist() == [5.0, 4.0]
    assert need_by(needed, np.array([3, 0])).tolist() == [5.0, 0.0]


@pytest.mark.parametrize(("share", "value"), [(0.0, 1.0), (0.2, 1.0), (0.21, 2.0), (1.0, 5.0)])
def test_a_quantile_is_the_first_value_at_the_least_and_the_last_at_the_most(share, value):
    assert whole_quantile(np.array([3.0, 1.0, 5.0, 2.0, 4.0]), share) == value


def test_a_share_that_rounding_lifts_takes_no_further_value():
    # 0.07 x 100 is 7.000000000000001 in floating point.
    assert whole_quantile(np.arange(1.0, 101.0), 0.07) == 7.0


@pytest.mark.parametrize(
    ("needed", "delivered", "pieces", "arrives", "until", "owed"),
    [
        # Days 1, 2 and 3: the delivery of day 3 serves from day 4 on.
        ([0, 1, 1, 1, 1, 1, 1], 0, 5, 3, 6, 3),
        ([0, 1, 1, 1, 1, 1, 1], 0, 5, 6, 2, 2),
        ([0, 1, 1, 1, 1, 1, 1], 0, 5, 6, 5, 5),
        ([0, 0, 0, 0, 0, 0, 1], 0, 5, 6, 5, 0),
        ([0, 0, 0, 0, 0, 0, 1], 0, 5, 6, 6, 1),
        ([0, 1, 1, 1, 1], [0, 0, 1, 1, 1], 5, 9, 4, 2),
        ([0, 3, 3, 3, 3], 0, 2, 1, 4, 4),
    ],
    ids=["until it arrives", "to day 2", "to day 5", "not yet", "the last day", "an open order",
         "an order too small"],
)  # fmt: skip
def test_days_without_stock_are_counted(needed, delivered, pieces, arrives, until, owed):
    came = np.zeros(len(needed)) + delivered
    days = owed_days(np.array([needed]), 0.0, came, pieces, np.array([arrives]), until)
    assert days.tolist() == [owed]


def test_pieces_short_are_those_beyond_stock_and_what_came_before():
    needed = np.array([[0, 3, 3, 9]])
    delivered = np.array([0, 0, 2, 2])
    assert missing_pieces(needed, 1.0, delivered).tolist() == [[0, 2, 2, 6]]


def test_a_need_of_less_than_a_piece_is_served_by_its_share():
    assert services(np.array([0.2, 0.6]), 0.4) == (0.5, pytest.approx(0.75))
