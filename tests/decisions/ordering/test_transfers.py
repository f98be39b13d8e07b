"""Moves between depots."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from wearcast.decisions.ordering.transfers import move_surplus


def test_a_surplus_goes_where_most_is_missing_first():
    moved = move_surplus(np.array([0.0, 3.0, 8.0]), np.array([10.0, 0.0, 0.0]))
    assert moved[0].tolist() == [0.0, 2.0, 8.0]


def test_a_depot_never_serves_itself():
    assert move_surplus(np.array([5.0]), np.array([5.0])).tolist() == [[0.0]]


numbers = st.lists(st.floats(0, 40), min_size=1, max_size=6)


@given(numbers, st.data())
def test_moves_never_exceed_what_is_missing_or_spare(missing, data):
    spare = data.draw(st.lists(st.floats(0, 40), min_size=len(missing), max_size=len(missing)))
    moved = move_surplus(np.array(missing), np.array(spare))
    assert (moved >= 0).all()
    assert (moved.sum(axis=1) <= np.array(spare) + 1e-9).all()
    assert (moved.sum(axis=0) <= np.ceil(missing) + 1e-9).all()
    assert (moved == np.floor(moved)).all()
