"""Edges and parts in the long run, against closed forms and a plain simulation."""

import numpy as np
import pytest

from tests.outlook.makers import same_wear
from wearcast.decisions.costing.long_run import edges_a_part
from wearcast.outlook.walking.start import laws_at
from wearcast.wear.life import FirstEnd, first_end


def given(edges, worn, torn, replaced, floors=None):
    """Edges that a part gives; chances of the ends, and that each takes the part with it."""
    shape = (len(edges), 1) if floors is None else (len(edges), 1, floors)
    whole = np.ones(shape)
    end = FirstEnd(50 * whole, worn * whole, torn * whole, (1 - worn - torn) * whole)
    return edges_a_part(np.array(edges), end, same_wear(len(edges), 1, replaced=replaced))


def test_edges_a_part_is_a_broken_geometric_sum():
    # Turned with chance 1/2 each time: 1 + 1/2 + 1/4 + 1/8.
    got = given([4.0, 1.0], 1.0, 0.0, (0.5, 0.0, 1.0))
    assert got[:, 0].tolist() == [1.875, 1.0]


def test_every_edge_is_used_where_every_end_is_a_turn():
    assert given([4.0], 0.5, 0.2, (0.0, 0.0, 0.0)).tolist() == [[4.0]]


def test_a_turn_needs_an_end_that_leaves_the_part_on():
    # Half worn, a fifth torn, the rest taken off: .5 x .9 + .2 x .4 + .3 x .3 go on.
    goes_on = 0.5 * 0.9 + 0.2 * 0.4 + 0.3 * 0.3
    assert given([2.0], 0.5, 0.2, (0.1, 0.6, 0.7)) == pytest.approx(1 + goes_on)


def test_a_habit_of_one_edge_number_counts_at_that_edge():
    wear = same_wear(1, 1)
    wear.habit[0, 0, :, 0] = [0.0, 0.0, 1.0, 1.0]
    end = FirstEnd(*(np.full((1, 1), value) for value in (50.0, 1.0, 0.0, 0.0)))
    # Exactly three of four edges.
    assert edges_a_part(np.array([4.0]), end, wear).item() == 3.0


def test_each_floor_has_edges_of_its_own():
    assert given([4.0, 1.0], 1.0, 0.0, (0.5, 0.0, 1.0), floors=2).tolist() == [
        [[1.875, 1.875]], [[1.0, 1.0]],
    ]  # fmt: skip


def test_the_long_run_agrees_with_a_plain_simulation():
    rng = np.random.default_rng(5)
    wear = {"rate": 0.01, "shape": 2.0, "damage": 0.002, "removal": 1 / 150, "off_shape": 4.0}
    replaced, edges, hours = (0.2, 0.6, 0.4), 4, []
    for _ in range(40_000):
        total, edge = 0.0, 1
        while True:
            ends = np.array([rng.weibull(2.0) / 0.01, rng.exponential(1 / 0.002),
                             150 * rng.weibull(4.0)])  # fmt: skip
            cause, total = int(ends.argmin()), total + ends.min()
            if rng.random() < replaced[cause] or edge == edges:
                break
            edge += 1
        hours.append(total)
    drawn = same_wear(1, 1, replaced=replaced, **wear)
    end = first_end(laws_at(drawn, np.ones((1, 1))))
    expected = (end.hours * edges_a_part(np.array([float(edges)]), end, drawn)).item()
    # Standard error of the mean of 40,000 parts; three of them.
    assert np.mean(hours) == pytest.approx(expected, abs=3 * np.std(hours) / 200)
