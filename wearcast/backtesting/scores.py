"""How good a forecast of a count is: scores, and the simple methods to hold it against.

Arrays only. Quantiles of a method without a spread of its own are those of a Poisson count with
its mean: that is the spread of independent events, the usual first guess.
"""

import numpy as np
from scipy.special import pdtr, pdtrik

from wearcast.outlook.use import sorted_quantile

LEVELS = np.arange(1, 20) / 20
"""The 19 quantiles of the mean pinball loss: 0.05 to 0.95."""


def pinball(
    actual: np.ndarray | float, quantile: np.ndarray | float, level: np.ndarray | float
) -> np.ndarray:
    """Pinball loss of a quantile forecast: level x miss where it was too low, else (1 - level).

    Numbers, or arrays of one shape; the loss is in the unit of what is forecast.

    Notes
    -----
    T. Gneiting and A. E. Raftery, J. Am. Stat. Assoc. 102 (2007) 359-378, section 6.
    """
    miss = np.asarray(actual) - np.asarray(quantile)
    return np.asarray(np.where(miss >= 0, level * miss, (np.asarray(level) - 1) * miss))


def mean_loss(actual: float, sample: np.ndarray) -> float:
    """Mean pinball loss over `LEVELS` of a forecast given as a sample, array (draws,)."""
    return float(pinball(actual, whole_quantiles(sample, LEVELS), LEVELS).mean())


def poisson_quantiles(levels: np.ndarray, mean: float) -> np.ndarray:
    """Fewest counts that a Poisson number exceeds no oftener than asked; arrays (levels,)."""
    if mean <= 0:
        return np.zeros(len(levels))
    above = np.ceil(pdtrik(levels, mean))
    below = np.maximum(above - 1, 0.0)  # the inverse is exact only to rounding
    return np.where(pdtr(below, mean) >= levels, below, above)


def poisson_loss(actual: float, mean: float) -> float:
    """Mean pinball loss over `LEVELS` of a Poisson count with a mean."""
    return float(pinball(actual, poisson_quantiles(LEVELS, mean), LEVELS).mean())


def whole_quantiles(sample: np.ndarray, levels: np.ndarray) -> np.ndarray:
    """The smallest values of the sample that are not exceeded with at least these chances.

    Array (levels,) in the unit of the sample, which is an array (draws,).
    """
    ordered = np.sort(sample)
    return np.array([sorted_quantile(ordered, level) for level in levels])


def randomised_rank(actual: float, sample: np.ndarray, chance: float) -> float:
    """Where the truth lies in the forecast, array (draws,): 0 to 1, uniform if it is right.

    A count meets many draws that equal it: its rank is drawn evenly from theirs (randomised
    probability integral transform), with `chance` from 0 to 1 as the draw.
    """
    below = np.mean(sample < actual)
    return float(below + chance * np.mean(sample == actual))


def moving_average(weekly: np.ndarray, weeks: int) -> float:
    """Mean use a week over the last so many of array (weeks,), or over all of a shorter one."""
    last = weekly[-weeks:]
    return float(last.mean()) if len(last) else 0.0


def croston(weekly: np.ndarray, smoothing: float = 0.1) -> float:
    """Croston's forecast of an intermittent use: smoothed size over smoothed interval.

    Parameters
    ----------
    weekly : array (weeks,), pieces
    smoothing : weight of the newest use

    Returns
    -------
    float
        Pieces a week; 0 where nothing was used.

    Notes
    -----
    J. D. Croston, Operational Research Quarterly 23 (1972) 289-303. Size and interval start at
    their first values and move only in weeks with a use; the first interval is the place of the
    first use.
    """
    used = np.flatnonzero(weekly > 0)
    if len(used) == 0:
        return 0.0
    sizes, intervals = weekly[used], np.diff(used, prepend=-1)
    size, interval = float(sizes[0]), float(intervals[0])
    for newest, gap in zip(sizes[1:], intervals[1:], strict=True):
        size += smoothing * (newest - size)
        interval += smoothing * (gap - interval)
    return size / interval
