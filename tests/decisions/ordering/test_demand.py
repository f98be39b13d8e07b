"""Need by depot and part, read off the draws."""

import numpy as np
import pandas as pd
from hypothesis import given
from hypothesis import strategies as st

from tests.decisions.makers import draws
from wearcast.decisions.ordering.demand import pieces_needed, shelf_work, uses_by_shelf

EVENTS = {
    ("main", "blade"): [np.array([[0, 3], [1, 5]]), np.array([[0, 3]])],
    ("north", "blade"): [np.array([[1, 2]])],
}
SHELVES = pd.MultiIndex.from_tuples(list(EVENTS), names=["depot", "part"])


def test_a_shelf_that_nothing_draws_on_needs_nothing():
    needed = pieces_needed(uses_by_shelf(draws(EVENTS, days=6)), "main", "pad")
    assert needed.shape == (2, 7)
    assert not needed.any()


def test_machines_and_hours_behind_a_shelf_are_counted_once():
    made = draws(EVENTS, machine=["M1", "M1", "M2"])
    work = shelf_work(made, pd.Series(100, index=SHELVES))
    assert work.loc[("main", "blade"), "machines"] == 1
    # 1,000 h in 52 weeks.
    assert abs(work.loc[("north", "blade"), "hours_per_week"] - 1000 / 52) < 1e-4


def test_hours_behind_a_shelf_are_those_up_to_its_last_day():
    made = draws(EVENTS, days=28, machine=["M1", "M1", "M2"])
    made.weekly_hours[:] = np.array([10.0, 20.0, 60.0, 90.0])
    work = shelf_work(made, pd.Series([15, 400], index=SHELVES))
    # Day 15 lies in the third week: (10 + 20 + 60) / 3; beyond the walk its whole mean, 180 / 4.
    assert work["hours_per_week"].tolist() == [30.0, 45.0]


def test_a_shelf_without_machines_has_no_hours():
    nowhere = pd.MultiIndex.from_tuples([("south", "pad")], names=["depot", "part"])
    work = shelf_work(draws(EVENTS), pd.Series(100, index=nowhere))
    assert work.to_numpy().tolist() == [[0.0, 0.0]]


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


def test_uses_of_a_shelf_are_those_of_its_own_slots_wherever_they_stand():
    made = draws(
        {
            ("main", "blade"): [np.array([[0, 1], [1, 1]])],
            ("main", "pad"): [np.array([[0, 2], [0, 3], [1, 2]])],
            ("main", "gum"): [np.array([[1, 3]])],
        },
        days=3,
        pieces=[1.0, 2.0, 5.0],
    )
    uses = uses_by_shelf(made)
    assert uses.shape == (2, 4)
    assert pieces_needed(uses, "main", "blade").tolist() == [[0, 1, 1, 1], [0, 1, 1, 1]]
    assert pieces_needed(uses, "main", "pad").tolist() == [[0, 0, 2, 4], [0, 0, 2, 2]]
    assert pieces_needed(uses, "main", "gum").tolist() == [[0, 0, 0, 0], [0, 0, 0, 5]]


def test_the_hours_of_every_machine_of_a_shelf_add_up():
    made = draws({("main", "blade"): EVENTS["main", "blade"]}, days=28, machine=["M1", "M2"])
    made.weekly_hours[:] = np.array([[10.0], [20.0]])
    shelf = pd.MultiIndex.from_tuples([("main", "blade")], names=["depot", "part"])
    for day in (0, 7, 28):
        assert shelf_work(made, pd.Series(day, index=shelf)).to_numpy().tolist() == [[2.0, 30.0]]


def test_the_seventh_day_belongs_to_the_first_week():
    made = draws({("main", "blade"): EVENTS["main", "blade"][:1]}, days=28)
    made.weekly_hours[:] = np.array([10.0, 20.0, 60.0, 90.0])
    shelf = pd.MultiIndex.from_tuples([("main", "blade")], names=["depot", "part"])
    hours = [
        shelf_work(made, pd.Series(day, index=shelf))["hours_per_week"].item() for day in (7, 8, 14)
    ]
    assert hours == [10.0, 15.0, 15.0]
