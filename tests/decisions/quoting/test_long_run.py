"""Edges and parts in the long run, against closed forms and a plain simulation."""

import numpy as np
import pytest
from scipy.special import gamma

from wearcast.decisions.quoting.long_run import edge_hours, edges_a_part, turn_chance


@pytest.mark.parametrize("shape", [1.0, 1.5, 2.2, 4.0])
def test_without_damage_an_edge_lasts_the_weibull_mean(shape):
    # Closed form: Gamma(1 + 1/k) / r.
    mean = edge_hours(np.array(0.01), np.array(shape), np.array(1.0), np.array(0.0))
    # The rule has 64 nodes; the logarithm at the end costs it a few in 10,000.
    assert mean == pytest.approx(100 * gamma(1 + 1 / shape), rel=5e-4)


def test_a_faster_pace_shortens_by_its_root():
    # Hazard z times as large: life z^(-1/k) as long.
    usual, fast = edge_hours(np.array(0.01), np.array(2.0), np.array([1.0, 4.0]), np.array(0.0))
    assert usual / fast == pytest.approx(2.0, rel=1e-6)


def test_exponential_wear_and_damage_add_up():
    # Two constant hazards: mean 1 / (0.01 + 0.03).
    mean = edge_hours(np.array(0.01), np.array(1.0), np.array(1.0), np.array(0.03))
    assert mean == pytest.approx(25.0, rel=1e-4)


def test_edges_a_part_is_a_broken_geometric_sum():
    # Turned with chance 1/2 each time: 1 + 1/2 + 1/4 + 1/8.
    assert edges_a_part(np.array([4.0, 1.0]), np.array([0.5, 0.5])).tolist() == [1.875, 1.0]


def test_every_edge_is_used_where_every_end_is_a_turn():
    assert edges_a_part(np.array([4.0]), np.array([1.0])).tolist() == [4.0]


def test_the_long_run_agrees_with_a_plain_simulation():
    rng = np.random.default_rng(5)
    rate, shape, damage, removal, early_worn, early_torn, edges = (
        0.01,
        2.0,
        0.002,
        0.001,
        0.2,
        0.6,
        4,
    )
    hours = []
    for _ in range(40_000):
        total, edge = 0.0, 1
        while True:
            ends = np.array([rng.weibull(shape) / rate, rng.exponential(1 / damage),
                             rng.exponential(1 / removal)])  # fmt: skip
            cause, total = int(ends.argmin()), total + ends.min()
            off = rng.random() < (early_worn, early_torn, 1.0)[cause]
            if off or edge == edges:
                break
            edge += 1
        hours.append(total)
    life = edge_hours(np.array([rate]), np.array([shape]), np.ones(1), np.array([damage + removal]))
    goes_on = turn_chance(life, damage, removal, early_worn, early_torn)
    # Standard error of the mean of 40,000 parts of sd about 150 h: 0.75 h; three of them.
    expected = (life * edges_a_part(np.array([float(edges)]), goes_on))[0]
    assert np.mean(hours) == pytest.approx(expected, abs=3 * np.std(hours) / 200)


def test_a_turn_needs_an_end_that_leaves_the_part_on():
    # 50 h at 0.004 and 0.006 an hour: 0.2 torn, 0.3 removed, so 0.5 worn.
    chance = turn_chance(*map(np.array, (50.0, 0.004, 0.006, 0.1, 0.6)))
    assert chance == pytest.approx(0.5 * 0.9 + 0.2 * 0.4)


def test_ends_that_take_up_all_chance_leave_none_worn():
    # Rounded hazards may add up to a little more than 1.
    assert turn_chance(*map(np.array, (100.0, 0.006, 0.005, 0.0, 1.0))) == 0.0
