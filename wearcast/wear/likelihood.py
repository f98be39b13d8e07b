"""The likelihood of one wear class: value, gradient and Hessian; arrays in, arrays out.

Wear of a spell is ``D = exp(X u + m) sum_f r_f h_f`` (cumulative exposure), an edge outlives it
with chance ``exp(-z D^k)`` and ``z``, the machine's pace in this class, is Gamma with mean 1 and
variance ``v``. ``u`` are effects that classes share or not, ``m`` is what all classes of a machine
have in common. Own parameters of the class stand in one vector: ``log r`` (floors), ``log k``,
``log v``.
"""

from typing import NamedTuple

import numpy as np
from scipy.sparse import csr_array
from scipy.special import digamma, gammaln, polygamma

from wearcast.wear.arrow import Columns, gram
from wearcast.wear.life import Load, load_of, log_hazard_of, watched

DENSE_CELLS = 400_000
"""Effects that are dense where that is small: sparse products cost a lot more to begin."""


def fit_columns(columns: csr_array) -> Columns:
    """The columns in the form that multiplies faster."""
    small = columns.shape[0] * columns.shape[1] <= DENSE_CELLS
    return np.asarray(columns.toarray()) if small else columns


class Spells(NamedTuple):
    """What the likelihood needs of the spells, sorted by machine."""

    hours: np.ndarray
    """array (spells, floors) [h]; every row has some hours"""
    end_mix: np.ndarray
    """array (spells, floors) share of each floor when the spell ended"""
    ended: np.ndarray
    """array (spells,) 1.0 where the edge ended for the reason that is fitted, else 0.0; between
    them where that is not known for sure"""
    machine: np.ndarray
    """array (spells,) int, ascending from 0 without gaps"""
    effects: Columns
    """array (spells, effects) how far each effect acts on the wear of a spell"""
    end_effects: Columns
    """the same at its end"""
    tip: np.ndarray
    """array (machines of the class,) place of each machine among all machines"""
    first: np.ndarray = np.zeros(0, dtype=bool)
    """array (spells,) bool, or empty for none: of unknown start; hours are those it was watched.
    What it tells is taken at the usual pace of its machine's class"""


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


class Own(NamedTuple):
    """Parameters of one class."""

    log_rates: np.ndarray
    """array (floors,)"""
    log_shape: float
    spread: float
    """Variance v of the pace; 0: all machines are alike."""


class ClassPart(NamedTuple):
    """A class's part of the log-likelihood and of its derivatives.

    Own parameters come first (floors, log k, log v), effects behind them.
    """

    value: float
    gradient: np.ndarray
    """array (own + effects,)"""
    hessian: np.ndarray
    """array (own + effects, own + effects)"""
    tips: np.ndarray
    """array (machines of the class,) gradient by what a machine's classes have in common"""
    arms: np.ndarray
    """array (own + effects, machines of the class)"""
    tip_bend: np.ndarray
    """array (machines of the class,)"""


def wear_path(own: Own, effects: np.ndarray, spells: Spells, tips: np.ndarray) -> Path:
    """Wear at the end of each spell and the rate it then ran at.

    `effects`: array (effects,) of logs; `tips`: array (machines,) of logs.
    """
    rates = np.exp(own.log_rates)
    wear, rate = spells.hours * rates, spells.end_mix * rates
    wear_sum, rate_sum = wear.sum(axis=1), rate.sum(axis=1)
    machine = tips[spells.tip][spells.machine] if len(tips) else 0.0
    return Path(
        np.log(wear_sum) + spells.effects @ effects + machine,
        wear / wear_sum[:, None],
        np.log(rate_sum) + spells.end_effects @ effects + machine,
        rate / rate_sum[:, None],
    )


def sum_by(machine: np.ndarray, values: np.ndarray) -> np.ndarray:
    """Sums over the spells of each machine; spells are sorted by machine.

    Arrays (spells,) or (spells, columns) become (machines,) or (machines, columns): counts,
    wear or what else is summed.
    """
    starts = np.flatnonzero(np.diff(machine, prepend=-1))
    return np.add.reduceat(values, starts, axis=0)


def machine_counts(spells: Spells) -> np.ndarray:
    """Array (machines,): how many spells of the machine ended for the fitted reason."""
    ended = np.where(spells.first, 0.0, spells.ended) if spells.first.any() else spells.ended
    return sum_by(spells.machine, ended)


class _PaceTerm(NamedTuple):
    """Machines' part of the log-likelihood, and derivatives by exposure L and spread v."""

    value: float
    by_load: np.ndarray
    by_load2: np.ndarray
    by_spread: float
    by_spread2: float
    by_spread_load: np.ndarray


def _counts_term(spread: float, counts: np.ndarray) -> tuple[float, float, float]:
    """``lgamma(1/v + d) - lgamma(1/v) + d log v`` summed, with two derivatives by v.

    For whole counts it is a sum of ``log1p(j v)``, which is exact for any v; counts in between
    (masked causes) take the gamma functions.
    """
    if not np.any(counts % 1):
        above = np.cumsum(np.bincount(counts.astype(int))[::-1])[::-1][1:].astype(float)
        step = np.arange(len(above))
        slope = step / (1 + step * spread)
        value = float(above @ np.log1p(step * spread))
        return value, float(above @ slope), -float(above @ slope**2)
    a = 1 / spread
    value = gammaln(a + counts) - gammaln(a) - counts * np.log(a)
    by_a = digamma(a + counts) - digamma(a) - counts / a
    by_a2 = polygamma(1, a + counts) - polygamma(1, a) + counts / a**2
    return (
        float(value.sum()),
        float(-(a**2) * by_a.sum()),
        float((a**4 * by_a2 + 2 * a**3 * by_a).sum()),
    )


def _pace_term(spread: float, counts: np.ndarray, load: np.ndarray) -> _PaceTerm:
    """Gamma pace integrated out: sum log1p(j v) - (1/v + d) log(1 + v L); v = 0 is no pace."""
    if spread == 0:
        none = np.zeros_like(load)
        return _PaceTerm(-load.sum(), none - 1, none, 0.0, 0.0, none)
    x = spread * load
    grown = 1 + x
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
    counted, slope, bend = _counts_term(spread, counts)
    return _PaceTerm(
        counted - (log_grown / spread + counts * log_grown).sum(),
        -pace,
        spread * pace / grown,
        slope + (first / spread**2 - counts * load / grown).sum(),
        bend + (second / spread**3 + counts * (load / grown) ** 2).sum(),
        -(counts - load) / grown**2,
    )


class _Rows(NamedTuple):
    """What the spells say one by one, given the machines' paces; derivatives by log D and log k."""

    value: np.ndarray
    x: np.ndarray
    xx: np.ndarray
    s: np.ndarray
    ss: np.ndarray
    xs: np.ndarray


def _own_load(path: Path, own: Own, spells: Spells) -> Load:
    """Loads of the spells; nothing for first ones, which are no part of a machine's exposure."""
    load = load_of(path.log_wear, own.log_shape)
    return Load(*(np.where(spells.first, 0.0, one) for one in load)) if spells.first.any() else load


def _rows(path: Path, own: Own, spells: Spells, load: Load, by_load: np.ndarray) -> _Rows:
    """Log densities of the ends but for their rate, loads weighted as `by_load` says."""
    hazard = log_hazard_of(path.log_wear, own.log_shape)
    ended, pull = spells.ended, by_load[spells.machine]
    rows = _Rows(
        ended * hazard.value,
        *(ended * a + pull * b for a, b in zip(hazard[1:], load[1:], strict=True)),
    )
    at = np.flatnonzero(spells.first)
    if len(at):
        first = watched(path.log_wear[at], own.log_shape, ended[at])
        for mine, all_rows in zip(first, rows, strict=True):
            all_rows[at] = mine
    return rows


def log_likelihood(own: Own, effects: np.ndarray, spells: Spells, tips: np.ndarray) -> float:
    """Log-likelihood of a class's spells, the machines' pace in it integrated out.

    Parameters
    ----------
    own : Own
    effects : array (effects,)
    spells : Spells
    tips : array (all machines,) or empty
        What all classes of a machine have in common, as a log rate.
    """
    path = wear_path(own, effects, spells, tips)
    load = _own_load(path, own, spells)
    term = _pace_term(own.spread, machine_counts(spells), sum_by(spells.machine, load.value))
    rows = _rows(path, own, spells, load, term.by_load)
    return float(rows.value.sum() + spells.ended @ path.log_rate + term.value)


def class_part(own: Own, effects: np.ndarray, spells: Spells, tips: np.ndarray) -> ClassPart:
    """Log-likelihood, gradient and Hessian of a class, see `ClassPart`; shapes as there.

    `effects`: array (effects,) of logs; `tips`: array (machines,) of logs.
    """
    path = wear_path(own, effects, spells, tips)
    load = _own_load(path, own, spells)
    term = _pace_term(own.spread, machine_counts(spells), sum_by(spells.machine, load.value))
    rows = _rows(path, own, spells, load, term.by_load)
    floors = spells.hours.shape[1]
    gradient = np.concatenate(
        [
            path.share.T @ rows.x + path.end_share.T @ spells.ended,
            [rows.s.sum(), own.spread * term.by_spread],
            spells.effects.T @ rows.x + spells.end_effects.T @ spells.ended,
        ]
    )
    hessian = _spell_bends(path, spells, rows.xx, rows.x)
    hessian[floors, :] = hessian[:, floors] = _columns(path, spells, rows.xs)
    hessian[floors, floors] = rows.ss.sum()
    reach = _reach(path, spells, load)
    hessian += gram(reach, term.by_load2)
    row = own.spread * (term.by_spread_load @ reach)
    hessian[floors + 1, :] += row
    hessian[:, floors + 1] += row
    hessian[floors + 1, floors + 1] = own.spread**2 * term.by_spread2 + own.spread * term.by_spread
    value = rows.value.sum() + spells.ended @ path.log_rate + term.value
    tip_parts = _tip_parts(path, spells, rows, own, term, reach, load)
    return ClassPart(float(value), gradient, hessian, *tip_parts)


def machine_thirds(
    own: Own, effects: np.ndarray, spells: Spells, tips: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Third derivative of each machine's part, and the direction in which it bends.

    A machine's spells are taken to move together, by the mean of their log wear (weighted by the
    load): what mixes of floors bend beyond that is left out.

    Returns
    -------
    array (machines,)
    array (machines, floors + effects)
        How that mean moves with the log rates and the effects.
    """
    path = wear_path(own, effects, spells, tips)
    load = _own_load(path, own, spells)
    exposed = np.maximum(sum_by(spells.machine, load.value), 1e-300)
    shape = np.exp(own.log_shape)
    grown = 1 + own.spread * exposed
    part = own.spread * exposed / grown
    pull = (1 + own.spread * machine_counts(spells)) * exposed / grown
    weighted = sum_by(spells.machine, path.share * load.x[:, None])
    reach = np.hstack([weighted, _effects_by(spells, load.x)]) / (shape * exposed)[:, None]
    return -(shape**3) * pull * (1 - part) * (1 - 2 * part), reach


def _columns(path: Path, spells: Spells, weight: np.ndarray) -> np.ndarray:
    """Weighted sum over spells of the slopes of log D: array (own + effects,)."""
    return np.concatenate([path.share.T @ weight, [0.0, 0.0], spells.effects.T @ weight])


def _spell_bends(path: Path, spells: Spells, bend_x: np.ndarray, by_x: np.ndarray) -> np.ndarray:
    """Second derivatives that come spell by spell, by floors and effects."""
    floors, effects = path.share.shape[1], spells.effects.shape[1]
    hessian = np.zeros((floors + 2 + effects,) * 2)
    weighted = path.share * bend_x[:, None]
    hessian[:floors, :floors] = (
        path.share.T @ weighted + _mixing(path.share, by_x) + _mixing(path.end_share, spells.ended)
    )
    if effects:
        across = (spells.effects.T @ weighted).T
        hessian[:floors, floors + 2 :] = across
        hessian[floors + 2 :, :floors] = across.T
        hessian[floors + 2 :, floors + 2 :] = gram(spells.effects, bend_x)
    return hessian


def _reach(path: Path, spells: Spells, load: Load) -> np.ndarray:
    """How each machine's exposure moves: array (machines, own + effects), the spread's column 0."""
    dense = np.column_stack([path.share * load.x[:, None], load.s, np.zeros_like(load.s)])
    return np.hstack([sum_by(spells.machine, dense), _effects_by(spells, load.x)])


def _effects_by(spells: Spells, weight: np.ndarray) -> np.ndarray:
    """Weighted sums of the effects over the spells of each machine: array (machines, effects)."""
    columns = spells.effects
    if isinstance(columns, np.ndarray):
        return sum_by(spells.machine, weight[:, None] * columns)
    shape = (int(spells.machine[-1]) + 1, len(weight))
    spells_of = csr_array((weight, (spells.machine, np.arange(len(weight)))), shape=shape)
    return np.asarray((spells_of @ columns).toarray())


def _tip_parts(
    path: Path,
    spells: Spells,
    rows: _Rows,
    own: Own,
    term: _PaceTerm,
    reach: np.ndarray,
    load: Load,
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Gradient, arms and bend by what each machine's classes have in common."""
    floors = path.share.shape[1]
    exposure = sum_by(spells.machine, load.x)
    dense = np.column_stack([path.share * rows.xx[:, None], rows.xs, np.zeros_like(rows.xs)])
    arms = np.hstack([sum_by(spells.machine, dense), _effects_by(spells, rows.xx)])
    arms += (term.by_load2 * exposure)[:, None] * reach
    arms[:, floors + 1] += own.spread * term.by_spread_load * exposure
    bend = sum_by(spells.machine, rows.xx) + term.by_load2 * exposure**2
    return sum_by(spells.machine, rows.x + spells.ended), arms.T, bend


def _mixing(share: np.ndarray, weight: np.ndarray) -> np.ndarray:
    """Weighted sum over spells of the second derivatives of a log of a sum of exponentials."""
    return np.asarray(np.diag(weight @ share) - share.T @ (weight[:, None] * share))
