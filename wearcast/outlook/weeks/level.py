"""The level of a machine's hours, week after week: weights that fall off exponentially.

Relative hours of a week = level + season + a slow walk of the level + week noise. The walk and
the noise (autocorrelated, AR(1)) are filtered out (Kalman), all machines at once; in the long run
the filter weights past weeks exponentially, as single exponential smoothing does, with a weight
found from the log itself. A reading that covers several weeks is taken as their mean.
"""

from dataclasses import dataclass

import numpy as np

WALK, NOISE, SUM = 0, 1, 2
READING_NOISE = 0.05
"""Variance that reading a few days off the week's end adds to a weekly rate, in units of the week
noise's variance: two days of seven at either end. Without it the weeks seem to remember less than
they do, and the level to wander; with n weeks between readings it is n^2 times less."""


@dataclass(frozen=True, slots=True)
class Unrest:
    """How unsteady weekly hours are, relative to a machine's usual hours."""

    noise: float
    """Standard deviation of the week noise."""
    memory: float
    """Autocorrelation of the week noise from one week to the next."""
    walk: float
    """Standard deviation of a week's step of the level, as a share of ``noise``."""


@dataclass(frozen=True, slots=True)
class Filtered:
    """What the past says about each machine, in units of the week noise's variance."""

    precision: np.ndarray
    """array (machines, terms, terms)"""
    pull: np.ndarray
    """array (machines, terms): precision times estimate"""
    square: np.ndarray
    """array (machines,) sum of squared one-step errors with all terms 0"""
    log_spread: np.ndarray
    """array (machines,) sum of log variances of the one-step errors"""
    readings: np.ndarray
    """array (machines,)"""
    state: np.ndarray
    """array (machines, 2, 1 + terms) walk and noise at as-of: column 0 less columns 1.. x terms"""
    state_cov: np.ndarray
    """array (machines, 2, 2)"""


def filter_weeks(
    relative: np.ndarray,
    span: np.ndarray,
    first: np.ndarray,
    terms: np.ndarray,
    memory: float | np.ndarray,
    walk: float | np.ndarray,
) -> Filtered:
    """Run the filter over the past; linear in the terms, which are estimated later.

    Parameters
    ----------
    relative : array (machines, weeks)
        Hours a week over usual hours, mean of the ``span`` weeks up to this one; nan: no reading.
    span : int array (machines, weeks)
    first : bool array (machines, weeks)
        Where a machine's first reading stands.
    terms : array (weeks, terms)
        Regressors of the level, a row a week.
    memory, walk : float or array (machines,)
        As in `Unrest`.
    """
    machines, weeks = relative.shape
    columns = 1 + terms.shape[1]
    totals = np.concatenate([np.zeros((1, columns - 1)), np.cumsum(terms, axis=0)])
    mean = np.zeros((machines, 3, columns))
    cov = np.zeros((machines, 3, 3))
    cov[:, NOISE, NOISE] = 1.0
    moments = np.zeros((machines, columns, columns))
    log_spread, seen = np.zeros(machines), span > 0
    memory = np.zeros(machines) + memory
    shock = _shock(memory, np.zeros(machines) + walk)
    for week in range(weeks):
        _let_pass(mean, cov, memory[:, None])
        cov += shock
        _start_anew(mean, cov, np.flatnonzero(first[:, week]))
        now = np.flatnonzero(seen[:, week])
        if now.size:
            length = span[now, week].astype(float)
            since = np.maximum(week + 1 - span[now, week], 0)
            value = np.empty((now.size, columns))
            value[:, 0] = relative[now, week]
            value[:, 1:] = (totals[week + 1] - totals[since]) / length[:, None]
            error, spread = _learn(mean, cov, now, value, length)
            moments[now] += error[:, :, None] * (error / spread[:, None])[:, None, :]
            log_spread[now] += np.log(spread)
    return Filtered(
        precision=moments[:, 1:, 1:],
        pull=moments[:, 1:, 0],
        square=moments[:, 0, 0],
        log_spread=log_spread,
        readings=seen.sum(axis=1),
        state=mean[:, :2],
        state_cov=cov[:, :2, :2],
    )


def _let_pass(mean: np.ndarray, cov: np.ndarray, memory: np.ndarray) -> None:
    """A week goes by, in place: the noise fades, and walk and noise add to the sum.

    `memory`: array (machines, 1).
    """
    mean[:, NOISE] *= memory
    mean[:, SUM] += mean[:, WALK] + mean[:, NOISE]
    for one in (cov, np.swapaxes(cov, 1, 2)):
        one[:, NOISE] *= memory
        one[:, SUM] += one[:, WALK] + one[:, NOISE]


def _shock(memory: np.ndarray, walk: np.ndarray) -> np.ndarray:
    """The variance that comes in with a week, as walk steps and noise renews: (machines, 3, 3)."""
    shock = np.zeros((len(memory), 3, 3))
    for part, variance in ((WALK, walk**2), (NOISE, 1.0 - memory**2)):
        shock[:, part, part] = shock[:, part, SUM] = shock[:, SUM, part] = variance
        shock[:, SUM, SUM] += variance
    return shock


def _start_anew(mean: np.ndarray, cov: np.ndarray, where: np.ndarray) -> None:
    """Empty the sum where a reading stands."""
    mean[where, SUM] = 0.0
    cov[where, SUM, :] = 0.0
    cov[where, :, SUM] = 0.0


def _learn(
    mean: np.ndarray, cov: np.ndarray, now: np.ndarray, value: np.ndarray, length: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Take one reading for the machines ``now``, in place; its error and the error's variance."""
    cross = cov[now, :, SUM] / length[:, None]
    spread = cross[:, SUM] / length + READING_NOISE / length**2
    error = value - mean[now, SUM] / length[:, None]
    # The terms are no part of the state: their columns carry what the filter does to each of them.
    gain = cross / spread[:, None]
    mean[now] += gain[:, :, None] * error[:, None, :]
    cov[now] -= gain[:, :, None] * cross[:, None, :]
    _start_anew(mean, cov, now)
    return error, spread


def left_over(
    precision: np.ndarray, pull: np.ndarray, square: np.ndarray, variance: np.ndarray
) -> np.ndarray:
    """Squared errors of each machine once its terms are fitted: array (machines,).

    ``variance`` (terms,) is the terms' prior variance in units of the week noise's variance.
    """
    spread = np.eye(len(variance)) + variance[:, None] * precision
    fitted = np.linalg.solve(spread, (variance * pull)[:, :, None])[:, :, 0]
    result: np.ndarray = np.maximum(square - np.einsum("mt,mt->m", pull, fitted), 0.0)
    return result


def own_noise(square: np.ndarray, readings: np.ndarray, noise: float) -> np.ndarray:
    """Week noise (sd) of each machine, drawn towards the fleet's as far as machines are alike.

    An inverse-gamma prior of ``worth`` readings about the fleet's variance; ``worth`` from how
    much more the machines' variances scatter than chance would make them. `square` (sum of squared
    errors), `readings` (count) and the result are arrays (machines,), in log hours or its square.
    """
    free = np.maximum(readings - 1, 0)
    if (free > 3).sum() < 3:
        return np.full(len(square), noise)
    ratio = square[free > 3] / free[free > 3] / noise**2
    chance = 2.0 / free[free > 3]
    extra = max(float(np.mean((ratio - 1.0) ** 2 - chance)), 0.02)
    worth = 2.0 / extra
    result: np.ndarray = np.sqrt((worth * noise**2 + square) / (worth + free))
    return result
