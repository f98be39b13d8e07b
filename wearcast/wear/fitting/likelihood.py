"""The likelihood of wear: value, gradient and Hessian; arrays in, arrays out.

Wear of a spell is ``D = exp(x gamma) sum_f r_f h_f`` (cumulative exposure), an edge outlives it
with chance ``exp(-z D^k)`` and ``z``, the machine's pace, is Gamma with mean 1 and variance ``v``.
Parameters stand in one vector: ``log r`` (floors), ``gamma`` (effects), ``log k``, ``log v``.
"""

from typing import NamedTuple

import numpy as np


class Spells(NamedTuple):
    """What the likelihood needs of the spells, sorted by machine."""

    hours: np.ndarray
    """array (spells, floors) [h]; every row has some hours"""
    end_mix: np.ndarray
    """array (spells, floors) share of each floor when the spell ended"""
    effects: np.ndarray
    """array (spells, effects)"""
    ended: np.ndarray
    """array (spells,) 1.0 where the edge ended for the reason that is fitted, else 0.0"""
    machine: np.ndarray
    """array (spells,) int, ascending from 0 without gaps"""


class Path(NamedTuple):
    """Wear of each spell at its end, and how it moves with the parameters."""

    log_wear: np.ndarray
    """array (spells,) log D"""
    share: np.ndarray
    """array (spells, floors) share of the wear done on each floor: d log D / d log r"""
    log_rate: np.ndarray
    """array (spells,) log of dD/dh at the end [1/h]"""
    end_share: np.ndarray
    """array (spells, floors) d log_rate / d log r"""


class Pull(NamedTuple):
    """Log-likelihood with its first and second derivatives."""

    value: float
    gradient: np.ndarray
    hessian: np.ndarray


def wear_path(log_rates: np.ndarray, gamma: np.ndarray, spells: Spells) -> Path:
    """Wear at the end of each spell and the rate it then ran at."""
    lift = spells.effects @ gamma
    rates = np.exp(log_rates)
    wear, rate = spells.hours * rates, spells.end_mix * rates
    wear_sum, rate_sum = wear.sum(axis=1), rate.sum(axis=1)
    return Path(
        np.log(wear_sum) + lift,
        wear / wear_sum[:, None],
        np.log(rate_sum) + lift,
        rate / rate_sum[:, None],
    )


def _sum_by(machine: np.ndarray, values: np.ndarray) -> np.ndarray:
    """Sums over the spells of each machine; spells are sorted by machine."""
    starts = np.flatnonzero(np.diff(machine, prepend=-1))
    return np.add.reduceat(values, starts, axis=0)


def machine_counts(spells: Spells) -> np.ndarray:
    """Array (machines,): how many spells of the machine ended for the fitted reason."""
    return _sum_by(spells.machine, spells.ended)


def _more_than(counts: np.ndarray) -> np.ndarray:
    """Array (most,): in how many machines the count exceeds 0, 1, 2 ..."""
    return np.cumsum(np.bincount(counts.astype(int))[::-1])[::-1][1:].astype(float)


class _PaceTerm(NamedTuple):
    """Machines' part of the log-likelihood, and derivatives by exposure L and spread v."""

    value: float
    by_load: np.ndarray
    by_load2: np.ndarray
    by_spread: float
    by_spread2: float
    by_spread_load: np.ndarray


def _pace_term(spread: float, counts: np.ndarray, load: np.ndarray) -> _PaceTerm:
    """Gamma pace integrated out: sum log1p(j v) - (1/v + d) log(1 + v L); v = 0 is no pace."""
    if spread == 0:
        none = np.zeros_like(load)
        return _PaceTerm(-load.sum(), none - 1, none, 0.0, 0.0, none)
    x = spread * load
    grown = 1 + x
    above = _more_than(counts)
    step = np.arange(len(above))
    log_grown = np.log1p(x)
    pace = (1 + spread * counts) / grown
    # log1p(x) - x/(1+x) and the next order cancel for small x: a series serves there.
    small = x < 1e-3
    first = np.where(small, x**2 / 2 - 2 * x**3 / 3 + 0.75 * x**4, log_grown - x / grown)
    second = np.where(
        small,
        -2 / 3 * x**3 + 1.5 * x**4,
        -2 * log_grown + 2 * x / grown + (x / grown) ** 2,
    )
    value = above @ np.log1p(step * spread) - (log_grown / spread + counts * log_grown).sum()
    by_spread = (
        above @ (step / (1 + step * spread)) + (first / spread**2 - counts * load / grown).sum()
    )
    by_spread2 = (second / spread**3 + counts * (load / grown) ** 2).sum() - above @ (
        step / (1 + step * spread)
    ) ** 2
    return _PaceTerm(
        value,
        -pace,
        spread * pace / grown,
        by_spread,
        by_spread2,
        -(counts - load) / grown**2,
    )


def wear_log_likelihood(
    log_rates: np.ndarray, gamma: np.ndarray, log_shape: float, spread: float, spells: Spells
) -> float:
    """Marginal log-likelihood of the spells, the machines' pace integrated out.

    Parameters
    ----------
    log_rates : array (floors,)
        Log of the wear a run hour [1/h].
    gamma : array (effects,)
    log_shape : float
        Log of the Weibull shape k.
    spread : float
        Variance v of the pace; 0 means that all machines are alike.
    spells : Spells
    """
    shape = np.exp(log_shape)
    path = wear_path(log_rates, gamma, spells)
    load = _sum_by(spells.machine, np.exp(np.minimum(shape * path.log_wear, 300.0)))
    ends = spells.ended @ (log_shape + (shape - 1) * path.log_wear + path.log_rate)
    return float(ends + _pace_term(spread, machine_counts(spells), load).value)


def wear_derivatives(
    log_rates: np.ndarray, gamma: np.ndarray, log_shape: float, spread: float, spells: Spells
) -> Pull:
    """Log-likelihood, gradient and Hessian in (log r, gamma, log k, log v), see `Pull`.

    With spread 0 the derivatives by log v are 0.
    """
    shape = np.exp(log_shape)
    path = wear_path(log_rates, gamma, spells)
    ended, floors = spells.ended, spells.hours.shape[1]
    by_wear = np.hstack([path.share, spells.effects])
    by_rate = np.hstack([path.end_share, spells.effects])
    power = np.minimum(shape * path.log_wear, 300.0)
    load = np.exp(power)

    counts = machine_counts(spells)
    term = _pace_term(spread, counts, _sum_by(spells.machine, load))
    pull = term.by_load[spells.machine] * load

    push = np.column_stack([(shape * load)[:, None] * by_wear, power * load])
    by_machine = _sum_by(spells.machine, push)
    spread_row = spread * (term.by_spread_load @ by_machine)

    lean = ended * (shape - 1) + pull * shape
    gradient = np.concatenate(
        [
            by_wear.T @ lean + by_rate.T @ ended,
            [ended @ (1 + shape * path.log_wear) + pull @ power, spread * term.by_spread],
        ]
    )

    size = by_wear.shape[1]
    hessian = np.zeros((size + 2, size + 2))
    hessian[:size, :size] = by_wear.T @ ((pull * shape**2)[:, None] * by_wear)
    hessian[:floors, :floors] += _mixing(path.share, lean) + _mixing(path.end_share, ended)
    cross = by_wear.T @ (ended * shape + pull * shape * (1 + power))
    hessian[:size, size] = hessian[size, :size] = cross
    hessian[size, size] = ended @ (shape * path.log_wear) + pull @ (power * (1 + power))
    hessian[:-1, :-1] += by_machine.T @ (term.by_load2[:, None] * by_machine)
    hessian[-1, :-1] = hessian[:-1, -1] = spread_row
    hessian[-1, -1] = spread**2 * term.by_spread2 + spread * term.by_spread
    value = ended @ (log_shape + (shape - 1) * path.log_wear + path.log_rate) + term.value
    return Pull(float(value), gradient, hessian)


def _mixing(share: np.ndarray, weight: np.ndarray) -> np.ndarray:
    """Weighted sum over spells of the second derivatives of a log of a sum of exponentials."""
    return np.asarray(np.diag(weight @ share) - share.T @ (weight[:, None] * share))
