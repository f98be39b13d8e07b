"""Hours and days turned into each other, and floor mixes by stretches."""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.outlook.makers import ALWAYS, AS_OF
from wearcast.outlook.walking.clock import (
    FAR,
    cumulate,
    days_at,
    floor_stretches,
    hours_by,
    hours_to_use_up,
)


@given(
    st.lists(st.lists(st.floats(0.5, 168), min_size=4, max_size=4), min_size=1, max_size=4),
    st.floats(0.01, 28.0),
)
def test_days_at_undoes_hours_by(weekly: list[list[float]], day: float):
    path = cumulate(np.array(weekly))
    hours = hours_by(path[:, None, :], np.full((len(path), 1), day))[:, 0, 0]
    assert days_at(path, np.arange(len(path)), hours) == pytest.approx(day, abs=1e-6)


def test_hours_that_are_never_run_have_no_day():
    assert np.isinf(days_at(cumulate(np.array([[10.0, 10.0]])), np.array([0]), np.array([20.1])))


def test_beyond_the_path_hours_are_far():
    assert hours_by(cumulate(np.ones((1, 1, 2))), np.array([[15.0]]))[0, 0, 0] == FAR


def test_a_mix_holds_from_its_date_on_and_the_last_past_one_is_in_force():
    rows = [
        ["A", ALWAYS, 1.0, 0.0],
        ["A", AS_OF - pd.Timedelta(days=400), 0.5, 0.5],
        ["A", AS_OF + pd.Timedelta(days=8), 0.0, 1.0],
        ["B", AS_OF + pd.Timedelta(days=1), 0.2, 0.8],
    ]
    mixes = pd.DataFrame(rows, columns=["machine", "since", "tile", "vinyl"])
    found = floor_stretches(mixes.iloc[::-1], ("A", "B"), ("tile", "vinyl"), AS_OF)
    assert found.until.tolist() == [[7.0, np.inf], [np.inf, np.inf]]
    assert found.mix[0].tolist() == [[0.5, 0.5], [0.0, 1.0]]
    assert found.mix[1].tolist() == [[0.2, 0.8], [0.2, 0.8]]


def test_a_budget_is_used_up_across_stretches():
    # 10 h at 1 an hour, then 4 an hour: 18 units last 10 + 2 h.
    speed, bounds = np.array([[1.0, 4.0]]), np.array([[10.0, FAR]])
    end = hours_to_use_up(np.array([18.0]), np.zeros(1), speed, bounds)
    assert end == pytest.approx([12.0])


def test_a_budget_begun_in_a_later_stretch_does_not_feel_the_earlier_one():
    speed, bounds = np.array([[1.0, 4.0]]), np.array([[10.0, FAR]])
    assert hours_to_use_up(np.array([8.0]), np.array([11.0]), speed, bounds) == pytest.approx(13.0)


def test_a_budget_that_nothing_uses_lasts():
    speed, bounds = np.array([[0.0, 0.0]]), np.array([[10.0, FAR]])
    assert hours_to_use_up(np.ones(1), np.zeros(1), speed, bounds)[0] > 1e9
