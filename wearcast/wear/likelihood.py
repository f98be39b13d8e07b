"""The likelihood of one wear class: value, gradient and Hessian; arrays in, arrays out.

Wear of a spell is ``D = exp(X u + m) sum_f r_f h_f`` (cumulative exposure), an edge outlives it
with chance ``exp(-z D^k)`` and ``z``, the machine's pace in this class, is Gamma with mean 1 and
variance ``v``. ``u`` are effects that classes share or not, ``m`` is what all classes of a machine
have in common. Own parameters of the class stand in one vector: ``log r`` (floors), ``log k``,
``log v``.
"""

from typing import NamedTuple

import numpy as np

from wearcast.wear.arrow import gram
from wearcast.wear.life import Load, load_of, log_hazard_of, steepness, watched
from wearcast.wear.pace_term import PaceTerm, pace_term
from wearcast.wear.spells import Spells


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
    wear_sum, rate_sum = spells.hours @ rates, spells.end_mix @ rates
    machine = tips[spells.tip][spells.machine] if len(tips) else 0.0
    return Path(
        np.log(wear_sum) + spells.effects @ effects + machine,
        wear / wear_sum[:, None],
        np.log(rate_sum) + spells.end_effects @ effects + machine,
        rate / rate_sum[:, None],
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
    for one in load if len(spells.sums.firsts) else ():
        one[spells.sums.firsts] = 0.0
    return load


def _rows(path: Path, own: Own, spells: Spells, load: Load, by_load: np.ndarray) -> _Rows:
    """Log densities of the ends but for their rate, loads weighted as `by_load` says."""
    hazard = log_hazard_of(path.log_wear, own.log_shape)
    ended = spells.ended
    pull: float | np.ndarray = by_load[spells.machine] if own.spread else -1.0
    rows = _Rows(
        ended * hazard.value,
        *(ended * a + pull * b for a, b in zip(hazard[1:], load[1:], strict=True)),
    )
    at = spells.sums.firsts
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
    term = pace_term(own.spread, spells.sums, spells.sums.by_machine(load.value))
    rows = _rows(path, own, spells, load, term.by_load)
    return float(rows.value.sum() + spells.ended @ path.log_rate + term.value)


def class_part(own: Own, effects: np.ndarray, spells: Spells, tips: np.ndarray) -> ClassPart:
    """Log-likelihood, gradient and Hessian of a class, see `ClassPart`; shapes as there.

    `effects`: array (effects,) of logs; `tips`: array (machines,) of logs.
    """
    path = wear_path(own, effects, spells, tips)
    load = _own_load(path, own, spells)
    term = pace_term(own.spread, spells.sums, spells.sums.by_machine(load.value))
    rows = _rows(path, own, spells, load, term.by_load)
    floors = spells.hours.shape[1]
    gradient = np.concatenate(
        [
            path.share.T @ rows.x + path.end_share.T @ spells.ended,
            [rows.s.sum(), own.spread * term.by_spread],
            spells.effects.T @ rows.x + spells.sums.ends,
        ]
    )
    hessian = _spell_bends(path, spells, rows.xx, rows.x)
    hessian[floors, :] = hessian[:, floors] = _columns(path, spells, rows.xs)
    hessian[floors, floors] = rows.ss.sum()
    value = float(rows.value.sum() + spells.ended @ path.log_rate + term.value)
    if not own.spread and not len(spells.tip):  # machines are all alike: none is asked
        none = np.zeros(0)
        return ClassPart(value, gradient, hessian, none, np.zeros((len(gradient), 0)), none)
    reach = _reach(path, spells, load)
    hessian += gram(reach, term.by_load2)
    row = own.spread * (term.by_spread_load @ reach)
    hessian[floors + 1, :] += row
    hessian[:, floors + 1] += row
    hessian[floors + 1, floors + 1] = own.spread**2 * term.by_spread2 + own.spread * term.by_spread
    tip_parts = _tip_parts(path, spells, rows, own, term, reach, load)
    return ClassPart(value, gradient, hessian, *tip_parts)


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
    exposed = np.maximum(spells.sums.by_machine(load.value), 1e-300)
    steep = steepness(own.log_shape)
    grown = 1 + own.spread * exposed
    part = own.spread * exposed / grown
    pull = (1 + own.spread * spells.sums.counts) * exposed / grown
    weighted = spells.sums.by_machine(path.share * load.x[:, None])
    reach = (
        np.hstack([weighted, spells.sums.effects_by_machine(load.x)]) / (steep * exposed)[:, None]
    )
    return -(steep**3) * pull * (1 - part) * (1 - 2 * part), reach


def _columns(path: Path, spells: Spells, weight: np.ndarray) -> np.ndarray:
    """Weighted sum over spells of the slopes of log D: array (own + effects,)."""
    return np.concatenate([path.share.T @ weight, [0.0, 0.0], spells.effects.T @ weight])


def _spell_bends(path: Path, spells: Spells, bend_x: np.ndarray, by_x: np.ndarray) -> np.ndarray:
    """Second derivatives that come spell by spell, by floors and effects."""
    floors, effects = path.share.shape[1], spells.effects.shape[1]
    hessian = np.zeros((floors + 2 + effects,) * 2)
    weighted = path.share * bend_x[:, None]
    # A mix's log of a sum of exponentials bends by its shares less their products.
    hessian[:floors, :floors] = (
        np.diag(by_x @ path.share + spells.ended @ path.end_share)
        + path.share.T @ (weighted - path.share * by_x[:, None])
        - path.end_share.T @ (spells.ended[:, None] * path.end_share)
    )
    if effects:
        across = (spells.effects.T @ weighted).T
        hessian[:floors, floors + 2 :] = across
        hessian[floors + 2 :, :floors] = across.T
        hessian[floors + 2 :, floors + 2 :] = spells.sums.gram(bend_x)
    return hessian


def _reach(path: Path, spells: Spells, load: Load) -> np.ndarray:
    """How each machine's exposure moves: array (machines, own + effects), the spread's column 0."""
    dense = np.column_stack([path.share * load.x[:, None], load.s, np.zeros_like(load.s)])
    return np.hstack([spells.sums.by_machine(dense), spells.sums.effects_by_machine(load.x)])


def _tip_parts(
    path: Path,
    spells: Spells,
    rows: _Rows,
    own: Own,
    term: PaceTerm,
    reach: np.ndarray,
    load: Load,
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Gradient, arms and bend by what each machine's classes have in common."""
    floors = path.share.shape[1]
    exposure = spells.sums.by_machine(load.x)
    dense = np.column_stack([path.share * rows.xx[:, None], rows.xs, np.zeros_like(rows.xs)])
    arms = np.hstack([spells.sums.by_machine(dense), spells.sums.effects_by_machine(rows.xx)])
    arms += (term.by_load2 * exposure)[:, None] * reach
    arms[:, floors + 1] += own.spread * term.by_spread_load * exposure
    bend = spells.sums.by_machine(rows.xx) + term.by_load2 * exposure**2
    return spells.sums.by_machine(rows.x + spells.ended), arms.T, bend
