"""The due list: dates read off the draws, and what comes next."""

import numpy as np
import pandas as pd
import pytest

from tests.conftest import assert_table
from tests.outlook.makers import AS_OF, history_of, positions, same_wear, steady_hours
from wearcast.logbook.choices import Choices
from wearcast.logbook.schema.tables import NEXT_ACTIONS
from wearcast.outlook.due import due_dates
from wearcast.outlook.walk import walk_slots

CHOICES = Choices(as_of=AS_OF, order_from=AS_OF, order_to=AS_OF)
FIXED = 5000.0


def due(rows: list[dict[str, object]], shape: float = FIXED, hours: float = 35.0) -> pd.DataFrame:
    history = history_of(positions(rows), exposure=np.full((len(rows), 1), 20.0))
    wear = same_wear(len(rows), 300, rate=1 / 50, shape=shape)
    draws = walk_slots(wear, steady_hours(hours, 300, 8), history, seed=2, days=56)
    return due_dates(draws, history, CHOICES)


def test_soonest_first_with_edge_and_what_comes_next():
    # 5 h a day, life 50 h: a new edge ends on day 10, one with 20 h behind it on day 6.
    frame = due(
        [
            {"position": "deck", "edges": 2, "edge": 2.0},
            {"position": "front blade", "edges": 4, "edge": 3.0, "age": "known"},
            {"position": "rear blade", "age": "empty"},
        ]
    )
    assert_table(
        frame.assign(due=frame["due_p50"]),
        """
        machine  site   position     part   edge  edges  next_action  due
        M1       north  rear blade   blade  1     1      fit          2026-11-01
        M1       north  front blade  blade  3     4      turn         2026-11-06
        M1       north  deck         blade  2     2      change       2026-11-10
        """,
    )


def test_wear_is_one_at_the_median_life():
    frame = due([{"age": "known"}], shape=2.0)
    # 20 h of a scale of 50 h; median life at shape 2: 50 x sqrt(log 2) h.
    assert frame["wear"][0] == pytest.approx(0.4 / np.sqrt(np.log(2)))


def test_dates_are_in_order():
    frame = due([{}, {"position": "deck", "edges": 2}], shape=2.0)
    assert (frame["due_p10"] < frame["due_p50"]).all()
    assert (frame["due_p50"] < frame["due_p90"]).all()
    assert (frame["due_p50"] <= frame["replace_p50"]).all()


def test_what_lies_beyond_the_walk_is_blank():
    frame = due([{}], hours=0.0)
    assert frame[["due_p10", "due_p50", "due_p90", "replace_p50"]].isna().all(axis=None)


@pytest.mark.parametrize(
    ("row", "action"),
    [
        ({"age": "unknown"}, "look"),
        ({"age": "known", "edges": 4, "edge": np.nan}, "look"),
        ({"age": "known", "edges": 4, "edge": 1.0}, "turn"),
        ({"age": "known", "edges": 4, "edge": 4.0}, "change"),
        ({"age": "empty"}, "fit"),
    ],
)
def test_next_action_is_one_of_the_closed_list(row: dict[str, object], action: str):
    assert due([row], shape=2.0)["next_action"].tolist() == [action]
    assert action in NEXT_ACTIONS


def test_an_edge_far_past_its_life_is_to_be_looked_at():
    history = history_of(positions([{"age": "known"}]), exposure=np.array([[400.0]]))
    draws = walk_slots(same_wear(1, 50, rate=1 / 50), steady_hours(35.0, 50, 8), history, 2, 56)
    assert due_dates(draws, history, CHOICES)["next_action"].tolist() == ["look"]
