"""Moves between depots."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from wearcast.decisions.ordering.transfers import move_surplus


@pytest.mark.parametrize(
    ("missing", "spare", "moved"),
    [
        pytest.param([0, 3, 8], [10, 0, 0], {(0, 1): 2, (0, 2): 8}, id="most missing first"),
        pytest.param([5], [5], {}, id="no depot serves itself"),
        pytest.param([0, 0, 3], [2, 5, 0], {(1, 2): 3}, id="from the largest surplus"),
        pytest.param([0, 0, 6], [2, 5, 0], {(1, 2): 5, (0, 2): 1}, id="then from the next"),
        pytest.param([2, 2, 0], [0, 0, 3], {(2, 0): 2, (2, 1): 1}, id="alike: the first takes"),
        pytest.param([0, 0, 1], [3, 3, 0], {(0, 2): 1}, id="alike: the first gives"),
    ],
)
def test_a_surplus_goes_where_most_is_missing(missing, spare, moved):
    got = move_surplus(np.array(missing, float), np.array(spare, float))
    assert {(int(a), int(b)): got[a, b] for a, b in np.argwhere(got)} == moved


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
