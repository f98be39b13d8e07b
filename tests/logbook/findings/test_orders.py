"""Rows are put in the order that pandas gives them, and left alone where they have it."""

import numpy as np
import pandas as pd
from hypothesis import given
from hypothesis import strategies as st

from wearcast.logbook.findings.coded import coded, key_of, repeated
from wearcast.logbook.findings.orders import order_of, with_columns

DAYS = st.sampled_from([pd.NaT, *pd.date_range("2026-01-01", periods=3)])
ROWS = st.lists(
    st.tuples(
        st.sampled_from(["", "M-1", "m1", "\u00e9"]),
        DAYS,
        st.sampled_from([np.nan, -0.0, 0.0, 7.5]),
        st.booleans(),
    ),
    max_size=8,
)


def table(rows) -> pd.DataFrame:
    frame = pd.DataFrame(rows, columns=["name", "day", "hours", "mark"])
    kinds = {"name": object, "day": "datetime64[ns]", "hours": float, "mark": bool}
    return frame.astype(kinds)


def columns(frame: pd.DataFrame):
    return [
        coded(frame["name"].to_numpy()),
        *(frame[name].to_numpy() for name in frame.columns[1:]),
    ]


@given(ROWS)
def test_the_order_is_that_of_pandas(rows):
    frame = table(rows)
    order = order_of(columns(frame))
    sorted_rows = frame.sort_values([*frame.columns], kind="stable")
    assert (frame if order is None else frame.take(order)).equals(sorted_rows)


@given(ROWS)
def test_rows_that_have_their_order_are_left_alone(rows):
    frame = table(rows).sort_values(["name", "day", "hours", "mark"], ignore_index=True)
    assert order_of(columns(frame)) is None


@given(ROWS)
def test_rows_have_one_key_where_they_are_alike(rows):
    frame = table(rows)
    twice = frame.duplicated(keep=False)
    assert repeated(key_of(columns(frame))).tolist() == twice.tolist()


def test_keys_of_many_columns_are_numbered_anew():
    column = np.arange(2**16)
    key = key_of([column, column, column, column, column])
    assert len(np.unique(key)) == len(column)
    assert key.min() >= 0


def test_a_column_that_is_set_leaves_the_frame_before_as_it_was():
    frame = table([("a", pd.NaT, 1.0, True)])
    after = with_columns(frame, {"hours": 2.0})
    assert (frame["hours"].tolist(), after["hours"].tolist()) == ([1.0], [2.0])
    assert after.columns.tolist() == frame.columns.tolist()
