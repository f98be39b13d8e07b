"""A machine's pace integrated out: what its ends and its exposure say, whatever its pace is.

The pace ``z`` is Gamma with mean 1 and variance ``v``; of a machine with ``d`` ends under the
exposure ``L`` the integral over ``z`` is closed (gamma-Poisson).
"""

from typing import NamedTuple

import numpy as np
from scipy.special import digamma, gammaln, polygamma

from wearcast.wear.spells import Sums


class PaceTerm(NamedTuple):
    """Machines' part of the log-likelihood, and derivatives by exposure L and spread v."""

    value: float
    by_load: np.ndarray
    """array (machines,), as the others by load"""
    by_load2: np.ndarray
    by_spread: float
    by_spread2: float
    by_spread_load: np.ndarray


def pace_term(spread: float, sums: Sums, load: np.ndarray) -> PaceTerm:
    """Sum of log1p(j v) - (1/v + d) log(1 + v L); v = 0 is no pace.

    Parameters
    ----------
    spread : float
        Variance v of the pace.
    sums : Sums
        Its counts are d.
    load : array (machines,)
        The exposure L of each (cumulative hazard at pace 1).
    """
    if spread == 0:
        none = np.zeros(len(load))
        return PaceTerm(-float(load.sum()), none - 1, none, 0.0, 0.0, none)
    counts = sums.counts
    x = spread * load
    grown = 1 + x
    log_grown = np.log1p(x)
    pace = (1 + spread * counts) / grown
    first, second = _by_spread(x, grown, log_grown)
    counted, slope, bend = _counts_term(spread, sums)
    return PaceTerm(
        counted - (log_grown / spread + counts * log_grown).sum(),
        -pace,
        spread * pace / grown,
        slope + (first / spread**2 - counts * load / grown).sum(),
        bend + (second / spread**3 + counts * (load / grown) ** 2).sum(),
        -(counts - load) / grown**2,
    )


def _by_spread(
    x: np.ndarray, grown: np.ndarray, log_grown: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """How ``log(1 + v L) / v`` moves with v, times v**2 and v**3."""
    part = x / grown
    first, second = log_grown - part, -2 * log_grown + 2 * part + part**2
    small = x < 1e-3
    if small.any():  # log1p(x) - x/(1+x) and the next order cancel there: a series serves
        first = np.where(small, x**2 / 2 - 2 * x**3 / 3 + 0.75 * x**4, first)
        second = np.where(small, -2 / 3 * x**3 + 1.5 * x**4, second)
    return first, second


def _counts_term(spread: float, sums: Sums) -> tuple[float, float, float]:
    """``lgamma(1/v + d) - lgamma(1/v) + d log v`` summed, with two derivatives by v.

    For whole counts it is a sum of ``log1p(j v)``, which is exact for any v; counts in between
    (masked causes) take the gamma functions.
    """
    if sums.above is not None:
        step = np.arange(len(sums.above))
        slope = step / (1 + step * spread)
        value = float(sums.above @ np.log1p(step * spread))
        return value, float(sums.above @ slope), -float(sums.above @ slope**2)
    a, counts = 1 / spread, sums.counts
    value = gammaln(a + counts) - gammaln(a) - counts * np.log(a)
    by_a = digamma(a + counts) - digamma(a) - counts / a
    by_a2 = polygamma(1, a + counts) - polygamma(1, a) + counts / a**2
    return (
        float(value.sum()),
        float(-(a**2) * by_a.sum()),
        float((a**4 * by_a2 + 2 * a**3 * by_a).sum()),
    )
