"""Why expected use moved since an earlier order."""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from wearcast.decisions.ordering.compare import CAUSES, order_moves, use_moves


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


BEFORE = {
    "order_pieces": 30.0, "order_up_to": 50.0, "expected_use": 40.0, "on_hand": 20.0,
    "on_order": 0.0, "moved_in": 0.0, "moved_out": 0.0, "used": 100.0, "machines": 5.0,
    "hours_per_week": 70.0, "from": pd.Timestamp("2026-10-01"), "to": pd.Timestamp("2027-01-08"),
}  # fmt: skip


def causes(days=0, **changed):
    """What moved an order since the one of `BEFORE`, so many days later; causes of nothing out."""
    gone = pd.Timedelta(days=days)
    now = {**BEFORE, "from": BEFORE["from"] + gone, "to": BEFORE["to"] + gone, **changed}
    moves = order_moves(pd.DataFrame([now]), pd.DataFrame([BEFORE])).iloc[0].round(6)
    return moves[moves != 0].to_dict()


NOW = {
    "range": ({"order_up_to": 56.0}, {"range": 6.0}),
    "counted fewer, used since the same day is none": ({"on_hand": 13.0}, {"counted": 7.0}),
    "on order": ({"on_order": 8.0}, {"on_order": -8.0}),
    "moved in": ({"moved_in": 4.0}, {"moved": -4.0}),
    "use not known": ({"used": np.nan, "on_hand": 13.0}, {"on_hand": 7.0}),
    "packs": ({}, {"packs": 2.0}),
    "nobody counts now": ({"days": 50, "used": 126.0, "on_hand": np.nan}, {"uncounted": 20.0}),
    # 40 pieces in 100 days: 20 in 50 days were forecast, 26 were used; 1 more is gone.
    "drawn and used since": (
        {"days": 50, "used": 126.0, "on_hand": 20.0 - 26.0 - 1.0},
        {"drawn": 20.0, "ran": 6.0, "counted": 1.0},
    ),
    # 99 fitted since the log began after 100: a log was cut, so nothing is told of the use.
    "use that fell": ({"used": 99.0, "on_hand": 13.0}, {"on_hand": 7.0}),
    "an earlier day": ({"days": -1, "on_hand": 13.0}, {"on_hand": 7.0}),
    "use that cannot be told apart": (
        {"machines": 0.0, "expected_use": 45.0, "order_up_to": 55.0},
        {"use": 5.0},
    ),
}


@pytest.mark.parametrize(("changed", "moved"), NOW.values(), ids=NOW)
def test_what_moved_an_order_is_told_by_cause(changed, moved):
    assert causes(**changed, order_pieces=30.0 + sum(moved.values())) == moved


@given(
    st.fixed_dictionaries(
        {
            name: st.integers(0, 60).map(float)
            for name in ("order_pieces", "order_up_to", "expected_use", "on_hand", "on_order",
                         "moved_in", "moved_out", "used", "machines", "hours_per_week")
        }
    ),
    st.integers(0, 200),
)  # fmt: skip
def test_the_causes_sum_to_the_move_of_the_order(now, days):
    got = causes(days, **now)
    assert set(got) <= set(CAUSES)
    assert sum(got.values()) == pytest.approx(now["order_pieces"] - 30.0, abs=1e-4)


@pytest.mark.parametrize("name", ["order_up_to", "on_order", "moved_in", "moved_out"])
def test_a_figure_that_an_order_does_not_tell_is_nothing(name):
    before = {**BEFORE, name: np.nan}
    now = {**BEFORE, name: 5.0}
    moves = order_moves(pd.DataFrame([now]), pd.DataFrame([before])).iloc[0].round(6)
    sign = {"order_up_to": 1.0, "moved_out": 1.0}.get(name, -1.0)
    assert moves.drop("packs").sum() == pytest.approx(5.0 * sign)


def test_factors_that_cancel_out_still_move():
    # Twice the machines at half the wear: the use has not moved, the logarithmic mean is 20.
    got = moved(line(machines=10.0, hours=140.0), line())
    assert got == pytest.approx(
        {"window": 0.0, "machines": 20 * np.log(2), "hours": 0.0, "wear": -20 * np.log(2)}, abs=1e-8
    )


def test_a_small_use_is_told_apart_too():
    got = moved(line(use=0.5, machines=0.5, hours=0.5), line(use=0.25, machines=0.5, hours=0.25))
    assert got == pytest.approx(
        {"window": 0.0, "machines": 0.0, "hours": 0.25, "wear": 0.0}, abs=1e-8
    )
