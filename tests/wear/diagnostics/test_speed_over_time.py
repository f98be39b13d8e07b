"""Wear speed by quarter: level with what was planted, with ranges that hold it as often as told."""

import numpy as np
import pytest
from scipy.stats import binom

from tests.wear.diagnostics.test_speed_changes import TURN, fleet
from wearcast.wear.diagnostics.speed_over_time import COLUMNS, speed_over_time


def test_quarters_show_the_speed_before_and_after_and_add_up_to_the_ends():
    history, wear = fleet(60, seed=7, faster=1.5)
    names = [f"M{number:03d}" for number in range(60)]
    found = speed_over_time(history, wear, names)
    assert found["ends"].sum() == pytest.approx(found["expected"].sum(), rel=0.03)
    after = found["start"].ge(TURN)
    # Shape 2: so many times the hazard is the root of it in speed.
    pooled = found.groupby(after)[["ends", "expected"]].sum()
    speed = np.sqrt(pooled["ends"] / pooled["expected"])
    assert speed[True] / speed[False] == pytest.approx(1.5, abs=0.08)


def test_nine_ranges_in_ten_hold_a_speed_that_never_changed():
    history, wear = fleet(60, seed=8)
    found = speed_over_time(history, wear, [f"M{number:03d}" for number in range(60)])
    held = int(((found["low"] <= 1) & (found["high"] >= 1)).sum())
    # Exact ranges of counts hold at least as often as they say.
    assert binom.cdf(held, len(found), 0.9) > 0.005


def test_no_machine_gives_no_rows():
    assert list(speed_over_time(*fleet(1, seed=9), []).columns) == COLUMNS
