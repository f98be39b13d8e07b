"""A turn that cannot stand without the fit of its day comes after it, with all that it says."""

import numpy as np
import pandas as pd

from wearcast.history.edges import FIT, TURN
from wearcast.history.places.lines import count_lines

PARTS = pd.DataFrame({"part": ["B4"], "edges": [4.0]})
PLACES = pd.DataFrame({"carried": [0, 0], "own": [0, 0]})
ACTIONS = [FIT, TURN, TURN, TURN, TURN, FIT]


def lines(**columns) -> pd.DataFrame:
    """A blade fitted, turned to its last edge, and on one day turned once more and replaced."""
    frame = pd.DataFrame({"action": ACTIONS, "day": [1, 2, 3, 4, 5, 5]})
    return frame.assign(
        place=0,
        machine=0,
        part=np.where(frame["action"] == FIT, 0, -1),
        run=frame["day"] * 10.0,
        observed=True,
        newcomer=False,
        cause="worn",
        outfit=False,
        batch=[False] * 4 + [True, False],
        change=range(2, 8),
    ).assign(**columns)


def test_such_a_turn_comes_last_with_its_own_words():
    counted = count_lines(lines(), PLACES, PARTS)
    assert counted["action"].tolist() == [*ACTIONS[:4], FIT, TURN]
    assert counted["moved"].tolist() == [False] * 5 + [True]
    assert counted["change"].tolist() == [2, 3, 4, 5, 7, 6]
    assert counted["batch"].tolist()[-2:] == [False, True]
    assert counted["edge"].tolist() == [1, 2, 3, 4, 1, 2]
    assert not counted["assumed"].any()


def test_it_stays_where_the_fit_is_of_another_meter_value():
    counted = count_lines(lines(run=[10.0, 20, 30, 40, 50, 51]), PLACES, PARTS)
    assert counted["action"].tolist() == ACTIONS
    assert not counted["moved"].any()
    assert counted["assumed"].tolist() == [False] * 4 + [True, False]


def test_other_places_are_counted_as_they_were():
    both = pd.concat([lines(), lines(place=1, action=TURN, part=-1)], ignore_index=True)
    alone = count_lines(lines(place=1, action=TURN, part=-1), PLACES, PARTS)
    counted = count_lines(both, PLACES, PARTS)
    names = ["part", "edge", "ends", "assumed", "missed", "on", "change"]
    other = counted[counted["place"].eq(1)].reset_index(drop=True)
    pd.testing.assert_frame_equal(other[names], alone[names])
