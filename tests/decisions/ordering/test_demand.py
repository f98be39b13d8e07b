"""Need by depot and part, read off the draws."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from tests.decisions.makers import draws
from wearcast.decisions.ordering.demand import pieces_needed, shelf_work, uses_by_shelf

EVENTS = {
    ("main", "blade"): [np.array([[0, 3], [1, 5]]), np.array([[0, 3]])],
    ("north", "blade"): [np.array([[1, 2]])],
}


def test_need_adds_up_over_positions_and_days():
    needed = pieces_needed(uses_by_shelf(draws(EVENTS, days=6)), "main", "blade")
    assert needed.tolist() == [[0, 0, 0, 2, 2, 2, 2], [0, 0, 0, 0, 0, 1, 1]]


def test_a_change_needs_its_pieces():
    made = draws(EVENTS, days=6, pieces=[2.0, 1.0, 3.0])
    assert pieces_needed(uses_by_shelf(made), "north", "blade")[1, -1] == 3.0


def test_a_shelf_that_nothing_draws_on_needs_nothing():
    needed = pieces_needed(uses_by_shelf(draws(EVENTS, days=6)), "main", "pad")
    assert needed.shape == (2, 7)
    assert not needed.any()


def test_machines_and_hours_behind_a_shelf_are_counted_once():
    work = shelf_work(draws(EVENTS, machine=["M1", "M1", "M2"]))
    assert work.loc[("main", "blade"), "machines"] == 1
    # 1,000 h in 52 weeks.
    assert abs(work.loc[("north", "blade"), "hours_per_week"] - 1000 / 52) < 1e-4


@given(st.lists(st.tuples(st.integers(0, 3), st.integers(1, 9)), max_size=40))
def test_every_use_belongs_to_one_shelf(pairs):
    half = len(pairs) // 2
    needs = {
        ("main", "blade"): [np.array(pairs[:half])],
        ("north", "pad"): [np.array(pairs[half:])],
    }
    uses = uses_by_shelf(draws(needs, days=9, count=4))
    total = sum(pieces_needed(uses, *shelf)[:, -1].sum() for shelf in uses.shelves)
    assert total == len(pairs)
