"""Finding one's place within groups, against a plain search."""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from wearcast.history.steps import EVER, codes_of, day_numbers, last_at_or_before, last_true

rows = st.lists(st.tuples(st.integers(0, 3), st.integers(-5, 5)), max_size=20).map(sorted)
asked = st.lists(st.tuples(st.integers(0, 4), st.integers(-7, 7)), max_size=10)


@pytest.mark.parametrize("kind", [np.int64, np.float64], ids=["days", "hours"])
@given(rows, asked)
def test_the_last_row_at_or_before_is_that_of_a_plain_search(kind, rows, asked):
    group, value = (np.array([row[side] for row in rows], dtype=np.int64) for side in (0, 1))
    where, what = (np.array([ask[side] for ask in asked], dtype=np.int64) for side in (0, 1))
    got = last_at_or_before(group, value.astype(kind), where, what.astype(kind))
    plain = [
        max((at for at, (g, v) in enumerate(rows) if g == group_ and v <= value_), default=-1)
        for group_, value_ in asked
    ]
    assert list(got) == plain


@given(st.lists(st.tuples(st.integers(0, 3), st.booleans()), max_size=20))
def test_the_last_true_row_is_that_of_a_plain_search(rows):
    rows = sorted(rows, key=lambda row: row[0])
    group = np.array([row[0] for row in rows], dtype=np.int64)
    flag = np.array([row[1] for row in rows], dtype=bool)
    plain = [
        max((k for k in range(at + 1) if flag[k] and group[k] == group[at]), default=-1)
        for at in range(len(rows))
    ]
    assert list(last_true(flag, group)) == plain


def test_names_are_coded_by_their_place_in_a_sorted_index():
    assert list(codes_of(pd.Series(["b", "a", "x"]), pd.Index(["a", "b"]))) == [1, 0, -1]


def test_a_blank_date_lies_before_any_day():
    assert list(day_numbers(pd.Series(pd.to_datetime(["1970-01-03", None])))) == [2, EVER]
