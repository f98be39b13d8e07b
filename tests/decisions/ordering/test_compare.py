"""Why expected use moved since an earlier order."""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from wearcast.decisions.ordering.compare import use_moves


def line(use=20.0, days=100, machines=5.0, hours=70.0):
    start = pd.Timestamp("2027-01-01")
    return pd.DataFrame(
        {"expected_use": [use], "from": [start], "to": [start + pd.Timedelta(days=days - 1)],
         "machines": [machines], "hours_per_week": [hours]}
    )  # fmt: skip


def moved(now, before):
    return use_moves(now, before).iloc[0].round(9).to_dict()


def test_the_same_line_has_not_moved():
    assert moved(line(), line()) == {"window": 0.0, "machines": 0.0, "hours": 0.0, "wear": 0.0}


@pytest.mark.parametrize(
    ("changed", "cause"),
    [
        pytest.param({"use": 30.0, "days": 150}, "window", id="half as many days more"),
        pytest.param({"use": 40.0, "machines": 10.0, "hours": 140.0}, "machines", id="twice"),
        pytest.param({"use": 10.0, "hours": 35.0}, "hours", id="half the hours"),
        pytest.param({"use": 25.0}, "wear", id="more pieces an hour"),
    ],
)
def test_a_single_cause_takes_the_whole_move(changed, cause):
    got = moved(line(**changed), line())
    assert got.pop(cause) == pytest.approx(changed["use"] - 20.0)
    assert all(pieces == pytest.approx(0.0, abs=1e-9) for pieces in got.values())


@given(st.floats(1, 90), st.integers(30, 200), st.integers(1, 9), st.floats(5, 300))
def test_the_causes_sum_to_the_move(use, days, machines, hours):
    got = use_moves(line(use, days, float(machines), hours), line())
    assert got.sum(axis=1).item() == pytest.approx(use - 20.0, abs=1e-6)


def test_causes_that_cannot_be_told_apart_are_blank():
    assert np.isnan(use_moves(line(machines=0.0), line())).all(axis=None)
