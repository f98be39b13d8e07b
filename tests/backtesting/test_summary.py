"""The record of earlier forecasts: who counts where, and what a clerk is told."""

import numpy as np
import pandas as pd
import pytest

from tests.conftest import assert_table, table
from wearcast.backtesting.summary import record_words, summarise

# The fleet's total (part: all), its parts, and a site's part; the ranks stand on the limits.
FRAME = table("""
    period   level  where  part   actual  mean  p05  p95  rank  loss  loss_last_year  loss_croston
    quarter  fleet  fleet  all    10      12    5    15   0.05  2     4               16
    quarter  fleet  fleet  all    20      16    5    20   0.96  1     1               1
    quarter  fleet  fleet  blade  6       9     6    12   0.90  1     2               4
    quarter  fleet  fleet  pad    4       3     5    9    0.04  1     3               4
    quarter  site   hall   pad    4       3     1    9    0.10  5     1               1
""").assign(loss_moving_average=1.0)


def test_the_total_stands_apart_from_the_parts_and_the_sites():
    assert_table(
        summarise(FRAME),
        """
        period   level        forecasts  actual  mean  loss  loss_last_year  loss_croston
        quarter  fleet        2          10      12    2     5               8
        quarter  fleet total  2          30      28    3     5               17
        quarter  site         1          4       3     5     1               1
        """,
    )


def test_a_rank_on_a_limit_is_inside():
    # Fleet: 0.90 and 0.04; total: 0.05 and 0.96; site: 0.10.
    assert_table(
        summarise(FRAME),
        "level  inside_80  inside_90 | fleet  0.5  0.5 | fleet total  0  0.5 | site  1  1",
    )


def test_the_bias_is_the_mean_over_the_truth_less_one():
    bias = summarise(FRAME).set_index("level")["bias"]
    assert bias.to_dict() == pytest.approx({"fleet": 0.2, "fleet total": -1 / 15, "site": -0.25})


def test_where_nothing_was_used_no_bias_is_known():
    assert np.isnan(summarise(FRAME.assign(actual=0))["bias"]).all()


def test_a_use_of_less_than_a_piece_still_has_a_bias():
    few = FRAME.iloc[[4]].assign(actual=0.5, mean=1.0)
    assert summarise(few)["bias"].tolist() == [1.0]


def told(frame):
    return record_words(summarise(frame), frame)


def test_the_fleet_is_told_in_total_and_part_by_part():
    # Losses of the parts: 2 against 5, which is 60 % less.
    assert told(FRAME) == (
        "In 2 of 2 quarters the fleet's true use lay inside the 90 % range.",
        "Part by part: inside in 1 of 2 forecasts of a quarter (of 100, about 90 should be); its "
        "misses were 60 % smaller than those of last year's use.",
    )


def test_larger_misses_are_told_as_such():
    worse = FRAME.assign(loss_last_year=FRAME["loss_last_year"].mask(FRAME["part"] != "all", 0.8))
    # 2 against 1.6.
    assert told(worse)[1].endswith("its misses were 25 % larger than those of last year's use.")


def test_misses_of_less_than_a_piece_are_compared_too():
    few = FRAME.assign(loss=FRAME["loss"] / 10, loss_last_year=FRAME["loss_last_year"] / 10)
    assert told(few)[1].endswith("its misses were 60 % smaller than those of last year's use.")


def test_misses_as_large_as_those_of_last_years_use_are_not_larger():
    equal = FRAME.assign(loss_last_year=FRAME["loss"])
    assert told(equal)[1].endswith("its misses were 0 % smaller than those of last year's use.")


def test_where_last_years_use_was_right_nothing_is_compared():
    assert told(FRAME.assign(loss_last_year=0.0))[1].endswith("(of 100, about 90 should be).")


def test_a_single_quarter_and_the_years_are_told_after_each_other():
    single = FRAME[(FRAME["actual"] == 10) | (FRAME["part"] == "blade")]
    both = pd.concat([single.assign(period="year"), single], ignore_index=True)
    assert [words.partition(" the ")[0] for words in told(both)[::2]] == [
        "In 1 of 1 quarter",
        "In 1 of 1 year",
    ]


def test_without_a_forecast_of_the_total_nothing_is_told():
    assert told(FRAME[FRAME["part"] != "all"]) == ()
