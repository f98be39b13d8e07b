"""Which readings can stand together: planted faults must be found, and nothing else."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from wearcast.history.readings.misreadings import (
    GOES_ON,
    MARKED,
    RESET,
    ROLL_10K,
    Shown,
    possible,
    repair,
)
from wearcast.history.readings.same_day import settle_same_day


def judge(hours, days=None, marked=(), machine=None):
    """Kept and starts of one or more machines read weekly unless days are given."""
    hours = np.asarray(hours, dtype=float)
    days = 7 * np.arange(len(hours)) if days is None else np.asarray(days)
    machine = np.zeros(len(hours), dtype=np.int64) if machine is None else np.asarray(machine)
    start = np.full(len(hours), GOES_ON)
    start[list(marked)] = MARKED
    shown = Shown(machine, days, hours, start)
    return repair(shown, settle_same_day(shown))


# x: set aside. All readings weekly, so that at most 168 h lie between two.
SEQUENCES = {
    "nothing wrong": ([100, 120, 140, 140, 160], ""),
    "a low one in the middle": ([100, 120, 12, 160, 180], "2"),
    "a high one in the middle": ([100, 120, 1400, 160, 180], "2"),
    "a slightly low one, neighbours on a line": ([100, 120, 110, 160, 180], "2"),
    "a slightly high one before a fall": ([100, 120, 175, 160, 180, 200], "2"),
    "a high first one": ([1000, 120, 140, 160], "0"),
    "a low first one": ([10, 1200, 1220, 1240], "0"),
    "a high last one": ([100, 120, 140, 1600], "3"),
    "a low last one": ([100, 120, 140, 16], "3"),
    "two low ones side by side": ([1000, 1020, 10, 12, 1080, 1100], "23"),
    "two high ones side by side": ([100, 120, 1400, 1420, 180, 200, 220], "23"),
    "a high and a low one, apart": ([100, 1200, 140, 160, 180, 20, 220, 240], "15"),
    "only two, falling": ([120, 100], "1"),
}


@pytest.mark.parametrize(("hours", "aside"), SEQUENCES.values(), ids=SEQUENCES.keys())
def test_the_reading_that_makes_the_rest_consistent_is_set_aside(hours, aside):
    kept, start = judge(hours)
    assert "".join(str(place) for place in np.flatnonzero(~kept)) == aside
    assert (start[kept] == GOES_ON).all()


def test_a_misreading_just_after_a_reset_does_not_hide_it():
    kept, start = judge([980, 1000, 5, 999, 45, 65, 85])
    assert list(np.flatnonzero(~kept)) == [3]
    assert list(np.flatnonzero(start == RESET)) == [2]


def test_a_misreading_that_looks_like_a_roll_over_is_none_if_the_meter_goes_on():
    kept, start = judge([9960, 9980, 30, 10020, 10040])
    assert list(np.flatnonzero(~kept)) == [2]
    assert (start == GOES_ON).all()


def test_the_mark_of_a_new_meter_outlives_a_misread_first_figure():
    kept, start = judge([980, 1000, 1700, 8, 28, 48], marked=[2])
    assert list(np.flatnonzero(~kept)) == [2]
    assert list(np.flatnonzero(start == MARKED)) == [2, 3]


def test_faults_of_many_machines_are_settled_at_once():
    one = [100, 120, 1400, 160, 180]
    machine = np.repeat(np.arange(50), len(one))
    kept, _ = judge(one * 50, np.tile(7 * np.arange(5), 50), machine=machine)
    assert kept.sum() == 4 * 50


def test_a_log_of_alternating_meters_comes_to_an_end():
    hours = np.arange(400.0) + np.tile([0.0, 5000.0], 200)
    kept, start = judge(hours)
    assert_possible(hours, 7 * np.arange(400), kept, start)


def assert_possible(hours, days, kept, start):
    run, lasted = np.diff(np.asarray(hours)[kept]), np.diff(np.asarray(days)[kept])
    assert (possible(run, lasted) | (start[kept][1:] != GOES_ON)).all()


readings = st.lists(
    st.tuples(st.integers(0, 3), st.integers(0, 12), st.sampled_from([0, 5, 9990, 20000])),
    min_size=1,
    max_size=40,
)


@given(readings)
def test_whatever_was_read_every_step_that_stays_is_possible(steps):
    days = np.cumsum([day for day, _, _ in steps])
    hours = np.cumsum([hours for _, hours, _ in steps]) + [jump for _, _, jump in steps]
    order = np.lexsort((hours, days))
    kept, start = judge(hours[order], days[order])
    assert_possible(hours[order], days[order], kept, start)


steady = st.lists(st.integers(1, 60), min_size=6, max_size=20)


@given(steady, st.data())
def test_one_planted_misreading_is_found_and_nothing_else(weekly, data):
    hours = 500.0 + np.cumsum(weekly)
    place = data.draw(st.integers(1, len(hours) - 2))
    # Beyond both neighbours by more than a week has, so that no other reading can be to blame.
    hours[place] = data.draw(st.sampled_from([hours[place] - 480, hours[place] + 1500]))
    kept, _ = judge(hours)
    assert list(np.flatnonzero(~kept)) == [place]


@given(steady, st.data())
def test_one_planted_reset_is_found_where_two_later_readings_confirm_it(weekly, data):
    hours = 5000.0 + np.cumsum(weekly)
    place = data.draw(st.integers(2, len(hours) - 3))
    hours[place:] -= hours[place] - data.draw(st.integers(0, 50))
    kept, start = judge(hours)
    assert kept.all()
    assert list(np.flatnonzero(start == RESET)) == [place]


@given(steady, st.data())
def test_one_planted_roll_over_is_found(weekly, data):
    hours = np.cumsum(weekly)
    place = data.draw(st.integers(1, len(hours) - 1))
    hours = (hours + 10_000.0 - hours[place]) % 10_000.0
    kept, start = judge(hours)
    assert kept.all()
    assert list(np.flatnonzero(start == ROLL_10K)) == [place]
