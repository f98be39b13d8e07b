"""The filter of the level against slow, obvious algebra, and against exponential smoothing."""

import numpy as np
import pytest

from wearcast.outlook.weeks.level import READING_NOISE, filter_weeks


def covariance(weeks: int, memory: float, walk: float) -> np.ndarray:
    """Covariance of walk + AR(1) noise of unit variance, straight from their definitions."""
    at = np.arange(1, weeks + 1)
    return walk**2 * np.minimum.outer(at, at) + memory ** np.abs(np.subtract.outer(at, at))


def test_filter_agrees_with_generalised_least_squares_on_the_full_covariance():
    rng = np.random.default_rng(1)
    weeks, memory, walk = 30, 0.6, 0.2
    terms = np.column_stack([np.ones(weeks), np.cos(np.arange(weeks) / 5.0)])
    values = rng.normal(1.0, 0.2, weeks)
    # Read after weeks 0, 1, 2, 5, 6, 10, ...: some readings cover several weeks.
    read = np.array([1, 2, 5, 6, 10, 14, 15, 16, 21, 29])
    since = np.array([0, 1, 2, 5, 6, 10, 14, 15, 16, 21])
    mean = np.zeros((len(read), weeks))
    for row, (start, end) in enumerate(zip(since, read, strict=True)):
        mean[row, start + 1 : end + 1] = 1.0 / (end - start)
    relative, span = np.full((1, weeks), np.nan), np.zeros((1, weeks), dtype=int)
    relative[0, read], span[0, read] = mean @ values, read - since
    first = np.zeros((1, weeks), dtype=bool)
    first[0, 0] = True
    found = filter_weeks(relative, span, first, terms, memory, walk)
    off_days = np.diag(READING_NOISE / (read - since) ** 2)
    inverse = np.linalg.inv(mean @ covariance(weeks, memory, walk) @ mean.T + off_days)
    design, observed = mean @ terms, mean @ values
    assert found.precision[0] == pytest.approx(design.T @ inverse @ design, rel=1e-9)
    assert found.pull[0] == pytest.approx(design.T @ inverse @ observed, rel=1e-9)
    assert found.square[0] == pytest.approx(observed @ inverse @ observed, rel=1e-9)


# Oil production 1996-2007, the series of Hyndman & Athanasopoulos, Forecasting: Principles and
# Practice, ch. 7 (values and forecasts seen in the tests of statsmodels, and reproduced).
OIL = [
    446.6565229,
    454.4733065,
    455.662974,
    423.6322388,
    456.2713279,
    440.5880501,
    425.3325201,
    485.1494479,
    506.0481621,
    526.7919833,
    514.268889,
    494.2110193,
]


@pytest.mark.parametrize(("alpha", "expected"), [(0.2, 484.802468), (0.6, 501.837461)])
def test_level_is_simple_exponential_smoothing_where_the_noise_has_no_memory(
    alpha: float, expected: float
):
    # A walk of q = alpha^2 / (1 - alpha) variances of a reading has the steady gain alpha (Harvey,
    # Forecasting, Structural Time Series Models, 1989, sec. 4.1.2, remembered). Smoothing starts
    # from the first value; here it stands 400 times before the series, so the gain is steady.
    series = np.concatenate([np.full(400, OIL[0]), OIL[1:]])
    weeks = len(series)
    first = np.zeros((1, weeks), dtype=bool)
    found = filter_weeks(
        series[None],
        np.ones((1, weeks), dtype=int),
        first,
        np.ones((weeks, 1)),
        0.0,
        alpha * np.sqrt((1.0 + READING_NOISE) / (1.0 - alpha)),
    )
    level = found.pull[0, 0] / found.precision[0, 0, 0]
    walk = found.state[0, 0, 0] - found.state[0, 0, 1] * level
    assert level + walk == pytest.approx(expected, abs=1e-4)
