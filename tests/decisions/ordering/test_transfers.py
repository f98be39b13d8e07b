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


def test_what_is_missing_comes_from_the_largest_surplus():
    moved = move_surplus(np.array([0.0, 0.0, 3.0]), np.array([2.0, 5.0, 0.0]))
    assert moved[:, 2].tolist() == [0.0, 3.0, 0.0]


def test_what_one_surplus_cannot_give_comes_from_the_next():
    moved = move_surplus(np.array([0.0, 0.0, 6.0]), np.array([2.0, 5.0, 0.0]))
    assert moved[:, 2].tolist() == [1.0, 5.0, 0.0]


def test_equal_depots_are_taken_in_their_order():
    to = move_surplus(np.array([2.0, 2.0, 0.0]), np.array([0.0, 0.0, 3.0]))
    assert to[2].tolist() == [2, 1, 0]
    origin = move_surplus(np.array([0.0, 0.0, 1.0]), np.array([3.0, 3.0, 0.0]))
    assert origin[:, 2].tolist() == [1, 0, 0]


def test_only_whole_pieces_move_and_part_of_a_piece_asks_for_a_whole_one():
    assert move_surplus(np.array([0.0, 0.4]), np.array([1.7, 0.0]))[0, 1] == 1.0
    assert move_surplus(np.array([0.0, 2.0]), np.array([1.7, 0.0]))[0, 1] == 1.0
    # Three pieces and a rounding error are three.
    assert move_surplus(np.array([0.0, 30 * 0.1]), np.array([9.0, 0.0]))[0, 1] == 3.0


numbers = st.lists(st.floats(0, 40), min_size=1, max_size=6)


@given(numbers, st.data())
def test_moves_never_exceed_what_is_missing_or_spare(missing, data):
    spare = data.draw(st.lists(st.floats(0, 40), min_size=len(missing), max_size=len(missing)))
    moved = move_surplus(np.array(missing), np.array(spare))
    assert (moved >= 0).all()
    assert (moved.sum(axis=1) <= np.array(spare) + 1e-9).all()
    assert (moved.sum(axis=0) <= np.ceil(missing) + 1e-9).all()
    assert (moved == np.floor(moved)).all()
