"""The law of life: what a Weibull says of wear, hours and ends. The only place with its algebra.

An edge outlives wear ``D`` (dimensionless) with chance ``exp(-z D^k)``; ``k`` is the shape, ``z``
the pace of its machine. Its hours at wear rate ``r`` [1/h] are ``D / r``. Functions take and give
arrays that broadcast; logs are natural.

What sums of hazards become when machines are faster, all else knows by the law's `steepness`
alone. A log shape of 0 stands for a constant hazard; the ages at which edges are taken off follow a
power, whatever the law of wear is.
"""

from typing import NamedTuple

import numpy as np
from scipy.special import digamma, gammaincc, gammaln, polygamma

MOST_LOG_LOAD = 300.0
"""Logs of a load beyond this stand for it: an edge that far gone is gone."""
GONE = 14.0
"""A cumulative hazard after which an edge is gone for practical purposes: exp(-14) = 8e-7."""
_STEPS, _STEP_WEIGHTS = np.polynomial.legendre.leggauss(48)
_STEPS, _STEP_WEIGHTS = (_STEPS + 1) / 2, _STEP_WEIGHTS / 2
NO_WEAR = 1e-300
"""Wear below this stands for none."""
_NO_HAZARD = 1e-12
"""Hazards below this [1/h] stand for none; it keeps a division from failing."""


class Load(NamedTuple):
    """Cumulative hazard ``H(D)`` at pace 1, with derivatives by ``x = log D`` and ``s = log k``."""

    value: np.ndarray
    x: np.ndarray
    xx: np.ndarray
    s: np.ndarray
    ss: np.ndarray
    xs: np.ndarray


class LogHazard(NamedTuple):
    """Log of ``dH/dD`` with its derivatives by ``x`` and ``s``; numbers where all are alike."""

    value: np.ndarray
    x: float
    xx: float
    s: np.ndarray
    ss: np.ndarray
    xs: float


def load_of(log_wear: np.ndarray, log_shape: float) -> Load:
    """Cumulative hazard of wear, ``D^k``.

    Arrays of one shape: dimensionless.
    """
    shape = np.exp(log_shape)
    power = np.minimum(shape * log_wear, MOST_LOG_LOAD)
    load = np.exp(power)
    by_x, by_s = shape * load, power * load
    return Load(
        load, by_x, shape * by_x, by_s, power * (1 + power) * load, shape * (1 + power) * load
    )


def log_hazard_of(log_wear: np.ndarray, log_shape: float) -> LogHazard:
    """Log hazard by wear, ``log k + (k - 1) log D``.

    Arrays of one shape: dimensionless.
    """
    shape = float(np.exp(log_shape))
    by_s = shape * log_wear
    return LogHazard(log_shape + by_s - log_wear, shape - 1, 0.0, 1 + by_s, by_s, shape)


def load(log_wear: np.ndarray, log_shape: np.ndarray) -> np.ndarray:
    """Cumulative hazard alone, for many shapes at once.

    Arrays of any shape that broadcast: log wear, log shape, load (dimensionless).
    """
    return load_at(log_wear, np.exp(log_shape))


def load_at(log_wear: np.ndarray, shape: np.ndarray) -> np.ndarray:
    """The same of shapes as they are.

    Arrays of any shape that broadcast: dimensionless.
    """
    return np.asarray(np.exp(np.minimum(shape * log_wear, MOST_LOG_LOAD)))


def steepness(log_shape: float | np.ndarray) -> np.ndarray:
    """By how many per cent a cumulative hazard grows when wear grows by one: ``k`` at any age.

    Arrays of one shape: dimensionless. A law that has another one at each age gives that of usual
    ages, and what follows from it (how fast machines are) is as near as that.
    """
    return np.asarray(np.exp(log_shape))


def log_mean_factor(log_shape: float | np.ndarray) -> np.ndarray:
    """Log of Gamma(1 + 1/k): mean life = exp of this, over the rate.

    Arrays of one shape: dimensionless.
    """
    return np.asarray(gammaln(1 + np.exp(-np.asarray(log_shape))))


def mean_factor_slopes(log_shape: float) -> tuple[float, float]:
    """First and second derivative of `log_mean_factor` by log k."""
    inverse = np.exp(-log_shape)
    first = -inverse * digamma(1 + inverse)
    return float(first), float(-first + inverse**2 * polygamma(1, 1 + inverse))


def mean_life(log_rate: np.ndarray, log_shape: np.ndarray | float) -> np.ndarray:
    """Mean hours to wear-out at pace 1: Gamma(1 + 1/k) / r [h]; arrays of any shape."""
    return np.asarray(np.exp(log_mean_factor(log_shape) - log_rate))


def wear_at(log_load: np.ndarray, one_over_shape: np.ndarray) -> np.ndarray:
    """Wear at which the cumulative hazard is as given, ``H^(1/k)``.

    Arrays of any shape that broadcast: log of the hazard (dimensionless), ``1/k``.
    exp(log) in single precision runs many times faster than a power, and is as good to 1e-6.
    """
    return np.asarray(np.exp(log_wear_at(log_load, one_over_shape)))


def log_wear_at(log_load: np.ndarray, one_over_shape: np.ndarray | float) -> np.ndarray:
    """Log of `wear_at`.

    Arrays of any shape that broadcast: dimensionless.
    """
    return np.asarray(one_over_shape * log_load)


def median_wear(shape: np.ndarray, pace: np.ndarray) -> np.ndarray:
    """Wear (dimensionless) that half of the edges outlive; arrays of any shape."""
    return wear_at(np.log(np.log(2.0) / pace), 1.0 / shape)


def power_at(log_load: np.ndarray, one_over_shape: np.ndarray) -> np.ndarray:
    """The same of a power, for ages at which edges are taken off.

    Arrays of any shape that broadcast: dimensionless.
    """
    return np.asarray(np.exp(one_over_shape * log_load))


def speed_of(hazard: np.ndarray, steep: np.ndarray | float) -> np.ndarray:
    """Wear speed of a pace: how many times faster edges wear, ``z^(1/k)``.

    Arrays of any shape that broadcast: dimensionless.
    """
    return np.asarray(hazard ** (1 / np.asarray(steep)))


def mean_hazard(variance: float, steep: np.ndarray | float) -> np.ndarray:
    """Log rate of the machine of mean hazard, against the one in the middle.

    Arrays of one shape: logs.

    Machines whose log rates are normal with some variance have hazards exp(k m), of mean
    exp(k^2 variance / 2): the machine of that hazard wears k variance / 2 faster.
    """
    return np.asarray(np.asarray(steep) * variance / 2)


def hazard_variance(variance: float, steep: float, spread: float) -> float:
    """Variance of the hazards of machines, of mean 1: of the pace and of what classes share."""
    return float((1 + spread) * np.exp(steep**2 * variance) - 1)


def worn_out_at(
    so_far: np.ndarray, wait: np.ndarray, pace: np.ndarray, one_over_shape: np.ndarray
) -> np.ndarray:
    """Wear at which edges that have `so_far` are worn out, given unit exponential waits.

    Arrays of any shape that broadcast: dimensionless.
    """
    whole = one_over_shape.astype(float)
    return np.asarray((so_far ** (1.0 / whole) + wait / pace) ** whole)


def power_left(so_far: np.ndarray, wait: np.ndarray, one_over_shape: np.ndarray) -> np.ndarray:
    """What is left until edges of some age are taken off by a power of it, in units of its scale.

    Arrays of any shape that broadcast: dimensionless; `wait`: unit exponentials.
    """
    whole = one_over_shape.astype(float)
    return np.asarray((so_far ** (1.0 / whole) + wait) ** whole - so_far)


def log_chance_older(log_wear: np.ndarray, log_shape: np.ndarray | float) -> np.ndarray:
    """Log chance that an edge met at any time is older than some wear, in the long run.

    Arrays of any shape that broadcast: log wear, log shape, log chance.

    The age has the density S / mean life [1]_, so the chance is an incomplete gamma function of
    the load.

    References
    ----------
    .. [1] D. R. Cox, Renewal Theory, Methuen, London (1962), ch. 5 (remembered).
    """
    shape = np.asarray(log_shape)
    chance = gammaincc(np.exp(-shape), load(log_wear, shape))
    return np.asarray(np.log(np.maximum(chance, 1e-300)))


class Watched(NamedTuple):
    """Log density of what was seen of edges met at any time, with derivatives as in `Load`.

    The rate at the end [1/h] is not in it.
    """

    value: np.ndarray
    x: np.ndarray
    xx: np.ndarray
    s: np.ndarray
    ss: np.ndarray
    xs: np.ndarray


def watched(log_wear: np.ndarray, log_shape: float, ended: np.ndarray) -> Watched:
    """What an edge of unknown age tells: wear until its end, or wear without an end.

    The time from when watching begins to the next end has the density S / mean life, whatever the
    age was then (forward recurrence) [1]_; if no end was seen, it is longer.

    Parameters
    ----------
    log_wear : array (spells,)
        Log of the wear while it was watched.
    log_shape : float
    ended : array (spells,)
        More than 0 where an end was seen.

    References
    ----------
    .. [1] D. R. Cox, Renewal Theory, Methuen, London (1962), ch. 5 (remembered).
    """
    seen = np.asarray(ended) > 0
    if seen.all():
        return _ended(log_wear, log_shape)
    out = Watched(*(np.empty(len(log_wear)) for _ in Watched._fields))
    for which, tells in ((seen, _ended), (~seen, _unended)):
        for all_of, some in zip(out, tells(log_wear[which], log_shape), strict=True):
            all_of[which] = some
    return out


def _ended(log_wear: np.ndarray, log_shape: float) -> Watched:
    """``log S - log Gamma(1 + 1/k)``; over the rate it is the log density."""
    load, factor = load_of(log_wear, log_shape), log_mean_factor(log_shape)
    first, second = mean_factor_slopes(log_shape)
    return Watched(
        -factor - load.value, -load.x, -load.xx, -first - load.s, -second - load.ss, -load.xs
    )


_SHAPE_STEP = 1e-3


def _unended(log_wear: np.ndarray, log_shape: float) -> Watched:
    """Log chance of no end; slopes by the shape by central differences."""
    shapes = log_shape + np.array([[0.0], [_SHAPE_STEP], [-_SHAPE_STEP]])
    here, up, down = zip(*_older(log_wear, shapes), strict=True)
    step = _SHAPE_STEP
    return Watched(
        *here,
        (up[0] - down[0]) / (2 * step),
        (up[0] - 2 * here[0] + down[0]) / step**2,
        (up[1] - down[1]) / (2 * step),
    )


def _older(
    log_wear: np.ndarray, log_shape: np.ndarray
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """`log_chance_older` with its first and second slope by log wear."""
    value = log_chance_older(log_wear, log_shape)
    shape, spent = np.exp(log_shape), load(log_wear, log_shape)
    slope = -shape * np.exp(log_wear - spent - gammaln(1 / shape) - value)
    return value, slope, slope * (1 - shape * spent) - slope**2


class FirstEnd(NamedTuple):
    """Mean hours to the first of several ends, and the chance that it is each; arrays."""

    hours: np.ndarray
    worn: np.ndarray
    torn: np.ndarray
    taken_off: np.ndarray


class Laws(NamedTuple):
    """What ends an edge at work on one floor mix; arrays that broadcast against each other."""

    rate: np.ndarray
    """Wear a run hour [1/h]."""
    shape: np.ndarray
    pace: np.ndarray
    """Hazard multiplier of wear."""
    torn: np.ndarray
    """Damage a run hour [1/h]."""
    off_rate: np.ndarray
    """The cumulative hazard of being taken off after ``h`` hours is ``(off_rate h)^off_shape``."""
    off_shape: np.ndarray

    def hazard(self, hours: np.ndarray) -> np.ndarray:
        """Cumulative hazard of all ends after some hours."""
        log_wear = np.log(np.maximum(self.rate * hours, NO_WEAR))
        return np.asarray(
            self.pace * load_at(log_wear, self.shape)
            + self.torn * hours
            + (self.off_rate * hours) ** self.off_shape
        )

    def span(self) -> np.ndarray:
        """Hours after which hardly any edge is still at work [h]."""
        first = np.minimum(
            np.minimum(
                wear_at(np.log(GONE / self.pace), 1 / self.shape)
                / np.maximum(self.rate, _NO_HAZARD),
                GONE / np.maximum(self.torn, _NO_HAZARD),
            ),
            GONE ** (1 / self.off_shape) / np.maximum(self.off_rate, _NO_HAZARD),
        )
        return np.asarray(first)


def first_end(laws: Laws) -> FirstEnd:
    """Mean hours to the first end and the chance of each kind.

    The mean is the integral of the chance to be still at work (Gauss-Legendre, denser at short
    hours); a constant hazard times it is that end's chance.
    """
    span = laws.span()
    hours = np.zeros(np.shape(span))
    off = np.zeros(np.shape(span))
    for step, weight in zip(_STEPS, _STEP_WEIGHTS, strict=True):
        at = span * step**2
        good = np.exp(-laws.hazard(at)) * (2 * step * weight * span)
        hours += good
        off += good * laws.off_shape * laws.off_rate * (laws.off_rate * at) ** (laws.off_shape - 1)
    torn = np.clip(laws.torn * hours, 0.0, 1.0)
    off = np.clip(off, 0.0, 1.0 - torn)
    return FirstEnd(hours, np.asarray(1.0 - torn - off), torn, np.asarray(off))
