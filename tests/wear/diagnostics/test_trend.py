"""What goes on changing from year to year is told; quarters' scatter and seasons are not."""

import numpy as np
import pytest

from wearcast.wear.diagnostics.months import Cells
from wearcast.wear.diagnostics.trend import tell_trend

MONTHS = np.arange(24)


def cells(speed):
    """Some 200 ends a month at this speed, months back from as-of; two wear classes."""
    worn = np.random.default_rng(1).poisson(100 * np.tile(speed, (2, 1)) ** 3)
    expected = np.full(worn.shape, worn.sum() / worn.size)
    return Cells(np.array(["A", "A"]), np.array(["gum", "pad"]), worn, expected, np.full(2, 3.0), 1)


@pytest.mark.parametrize(("yearly", "words"), [(1.2, "too few by"), (0.85, "too many by")])
def test_a_year_that_wears_faster_than_the_one_before_is_told(yearly, words):
    (told,) = tell_trend(cells(yearly ** (-MONTHS / 12)))
    assert words in told.wrong


@pytest.mark.parametrize(
    "speed",
    [
        pytest.param(np.ones(24), id="as ever"),
        pytest.param(1 + 0.3 * np.cos(MONTHS / 12 * 2 * np.pi), id="a season"),
        pytest.param(1.2 ** -(MONTHS[:15] / 12), id="one quarter seen twice"),
        pytest.param(np.repeat([1.3, 0.9, 1.2, 0.8, 1, 1, 0.9, 1], 3), id="quarters that scatter"),
    ],
)
def test_a_season_scatter_or_a_short_log_is_not(speed):
    assert tell_trend(cells(speed)) == []
