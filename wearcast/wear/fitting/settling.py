"""Shapes, spreads of pace and how far effects differ, with the rates integrated out.

Laplace's approximation of what is left, and the way up it. All move together: the pace of a machine
in a class, what its classes have in common and the shape explain the same lives, so each by itself
would be settled by what the others happened to be.
"""

from collections.abc import Mapping
from dataclasses import replace
from typing import NamedTuple

import numpy as np

from wearcast.wear.arrow import raised
from wearcast.wear.covariates import EFFECTS, MACHINE
from wearcast.wear.fitting.marginal import STEPS, adjustment_slope, shape_places
from wearcast.wear.fitting.model import WearModel
from wearcast.wear.fitting.spreads import Settings, prior_of
from wearcast.wear.priors import Centre

ROUNDS = 25
LONGEST = 0.5
"""Largest move of a log in one round."""
SETTLED = 2e-3
"""A move of a log that is none."""
HALVINGS = 5
LEVEL = 1e-3
"""What a log-posterior may lose by a move that counts as level: so finely rates are not sought."""


class Asked(NamedTuple):
    """What is settled: shapes and spreads of pace of a model, and how far its effects differ."""

    model: WearModel
    centres: Mapping[str, Centre]
    first: Settings
    """The typical sds of effects, before any data."""
    effects: dict[str, float]
    """Those of which the data may tell the sd, each with how unsure its log is beforehand."""

    def sds(self, settings: Settings) -> np.ndarray:
        """Array (effects,): the sds of the effects, as logs."""
        return np.log([settings.sds[name] for name in self.effects])


class _Point(NamedTuple):
    """Shapes, spreads and sds, with the rates at their best for these."""

    params: np.ndarray
    settings: Settings
    value: float
    """Log-posterior of them, the rates integrated out; but for a constant."""
    slope: np.ndarray
    """array (shapes + effects,) of that, nearly: what sds bend by way of the rates is left out; all
    nothing where the value is less than was asked"""
    sharp: np.ndarray
    """array (effects,): how sharply the sds are told"""


def asked_of(model: WearModel, centres: Mapping[str, Centre], first: Settings) -> Asked:
    """What the data of a model may settle."""
    present = {*model.effect_kinds[0], *([MACHINE] if model.machines else [])}
    unsure = {one.name: one.unsure for one in EFFECTS if one.unsure and one.name in present}
    return Asked(model, centres, first, unsure)


def settle(asked: Asked, params: np.ndarray, settings: Settings) -> tuple[np.ndarray, Settings]:
    """Shapes, spreads and sds at their marginal maximum, rates given them.

    Parameters
    ----------
    asked : Asked
    params : array (terms + machines,)
        On the life scale: log rates are of wear an hour, the rest logs too.
    settings : Settings
        Where to begin.

    Notes
    -----
    Quasi-Newton (BFGS), for the joint posterior's curvature says little of what is settled where
    machines have few ends each.
    """
    here = _point(asked, params, settings)
    bend = _first_bend(asked, here)
    for _ in range(ROUNDS if len(bend) else 0):
        move = np.clip(bend @ here.slope, -LONGEST, LONGEST)
        there, move = _uphill(asked, here, move)
        bend = _bent(bend, move, here.slope - there.slope)
        here = there
        if np.abs(move).max() < SETTLED:
            break
    return here.params, here.settings


def _point(asked: Asked, params: np.ndarray, settings: Settings, least: float = -np.inf) -> _Point:
    """What is asked of some shapes and sds; `params`: array (terms + machines,) of logs."""
    model, shapes = asked.model, shape_places(asked.model)
    prior = prior_of(model, asked.centres, settings)
    params = model.optimum(params, prior, shapes, STEPS).params
    here = model.derivatives(params, life_scale=True)
    off = params - prior.mean
    pulled = prior.weight.times(off)
    rates = raised(here.hessian.minus().without(shapes), prior.weight.without(shapes))
    logs, typical = asked.sds(settings), asked.sds(asked.first)
    unsure = np.array(list(asked.effects.values()))
    value = here.value + 0.5 * (prior.log_det - float(off @ pulled) - rates.log_det)
    value -= 0.5 * float((((logs - typical) / unsure) ** 2).sum())
    if value < least:
        nothing = np.zeros(len(logs))
        return _Point(params, settings, value, np.append(np.zeros(shapes.sum()), nothing), nothing)
    blocks = rates.blocks()
    count, level, sure = _levels(asked, params, blocks, np.exp(2 * logs))
    slope = (here.gradient - pulled)[: model.size][shapes]
    if shapes.any():
        slope = slope + adjustment_slope(model, params, here, rates, blocks)
    slope = np.concatenate([slope, level - count - (logs - typical) / unsure**2])
    return _Point(params, settings, value, slope, 2 * sure + unsure**-2.0)


def _first_bend(asked: Asked, here: _Point) -> np.ndarray:
    """A first guess of the inverse curvature: array (shapes + effects, shapes + effects)."""
    model, shapes = asked.model, shape_places(asked.model)
    bend = np.diag(1 / np.concatenate([np.ones(shapes.sum()), here.sharp]))
    if shapes.any():
        steep = model.derivatives(here.params, life_scale=True).hessian.minus()
        prior = prior_of(model, asked.centres, here.settings)
        cov = raised(steep, prior.weight).body_cov()
        bend[: shapes.sum(), : shapes.sum()] = cov[np.ix_(shapes, shapes)]
    return bend


def _levels(
    asked: Asked,
    params: np.ndarray,
    blocks: tuple[np.ndarray, np.ndarray, np.ndarray],
    variance: np.ndarray,
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Of each effect: levels, sum of their mean squares over the variance, how well they are told.

    `variance`: array (effects,) before the data; so are the arrays that come out.
    """
    model = asked.model
    cov, _, tips = blocks
    size, many = model.size, len(model.effects)
    at = params[size - many : size] ** 2 + np.diag(cov)[len(cov) - many :]
    names, which = model.effect_kinds
    squares, doubts = [], []
    for name in asked.effects:
        mine = which == names.index(name) if name in names else np.zeros(many, dtype=bool)
        tip = name == MACHINE
        squares.append(params[size:] ** 2 + tips if tip else at[mine])
        doubts.append(tips if tip else np.diag(cov)[len(cov) - many :][mine])
    count = np.array([len(one) for one in squares], dtype=float)
    level = np.array([one.sum() for one in squares]) / variance
    sure = [
        ((1 - np.minimum(one / v, 1)) ** 2).sum() for one, v in zip(doubts, variance, strict=True)
    ]
    return count, level, np.array(sure)


def _uphill(asked: Asked, here: _Point, move: np.ndarray) -> tuple[_Point, np.ndarray]:
    """The next point, and the move to it: shorter where the whole one would go down."""
    shapes = shape_places(asked.model)
    first = int(shapes.sum())
    for halving in range(HALVINGS):
        step = move * 0.5**halving
        params = here.params.copy()
        params[: asked.model.size][shapes] += step[:first]
        sds = np.exp(asked.sds(here.settings) + step[first:])
        known = {**here.settings.sds, **dict(zip(asked.effects, sds.tolist(), strict=True))}
        least = here.value - LEVEL
        there = _point(asked, params, replace(here.settings, sds=known), least)
        if there.value >= least:
            return there, step
    return here, 0 * move


def _bent(bend: np.ndarray, move: np.ndarray, slope: np.ndarray) -> np.ndarray:
    """The inverse curvature after a move over which the slope fell by so much (BFGS)."""
    fall = float(move @ slope)
    if fall <= 1e-10:
        return bend
    keep = np.eye(len(move)) - np.outer(move, slope) / fall
    return np.asarray(keep @ bend @ keep.T + np.outer(move, move) / fall)
