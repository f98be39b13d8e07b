"""Shapes, spreads of pace and how far effects differ, with the rates integrated out.

Laplace's approximation of what is left, and the way up it. All move together: the pace of a machine
in a class, what its classes have in common and the shape explain the same lives, so each by itself
would be settled by what the others happened to be.
"""

from collections.abc import Mapping
from dataclasses import replace
from typing import NamedTuple

import numpy as np

from wearcast.wear.arrow import lifted, raised
from wearcast.wear.covariates import MACHINE, OF_QUARTERS
from wearcast.wear.fitting.marginal import STEPS, adjustment_slope, shape_places
from wearcast.wear.fitting.model import WearModel
from wearcast.wear.fitting.prior_at import Settings, kept_of, prior_of, quarters_cov
from wearcast.wear.fitting.spreads import unsure_effects
from wearcast.wear.priors import Centre

ROUNDS = 40
LONGEST = 2.0
"""Largest move of a log in one round."""
SETTLED, TRIFLE = 2e-3, 5e-3
"""A move of a log that is none; a gain of the log-posterior that is none (.07 standard errors)."""
HALVINGS = 5
MOST_SD = 1.0
"""No effect differs by more, as sd of a log: what seems so are levels that nothing tells, which run
away together with the rates they are laid against. Chosen here."""
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

    @property
    def most(self) -> np.ndarray:
        """Array (effects,): what these logs may be at most; odds may be anything."""
        odds = OF_QUARTERS.keys() - OF_QUARTERS.values()
        return np.array([np.inf if name in odds else np.log(MOST_SD) for name in self.effects])


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
    return Asked(model, centres, first, unsure_effects(model))


def settle(
    asked: Asked, params: np.ndarray, settings: Settings
) -> tuple[np.ndarray, Settings, bool]:
    """Shapes, spreads and sds at their marginal maximum, rates given them; whether it was found.

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
        move = bend @ here.slope
        move *= min(1.0, LONGEST / max(np.abs(move).max(), LONGEST))
        there, move = _uphill(asked, here, move)
        bend = _bent(bend, move, here.slope - there.slope)
        gain, here = float(move @ here.slope), there
        if np.abs(move).max() < SETTLED or gain < TRIFLE:
            return here.params, here.settings, True
    return here.params, here.settings, not len(bend)


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
        nothing = np.zeros(shapes.sum() + len(logs))
        return _Point(params, settings, value, nothing, nothing[shapes.sum() :])
    blocks = rates.blocks()
    steep, sharp = _sds(asked, params, blocks, settings)
    slope = (here.gradient - pulled)[: model.size][shapes]
    if shapes.any():
        slope = slope + adjustment_slope(model, params, here, rates, blocks)
    steep = steep - (logs - typical) / unsure**2
    slope = np.concatenate([slope, np.where(logs < asked.most, steep, np.minimum(steep, 0.0))])
    return _Point(params, settings, value, slope, sharp + unsure**-2.0)


def _first_bend(asked: Asked, here: _Point) -> np.ndarray:
    """A first guess of the inverse curvature: array (shapes + effects, shapes + effects).

    Of shapes as if what is common to machines were known: with it open the joint curvature promises
    steps many times too long.
    """
    model, shapes = asked.model, shape_places(asked.model)
    bend = np.diag(1 / np.concatenate([np.ones(shapes.sum()), here.sharp]))
    if shapes.any():
        steep = model.derivatives(here.params, life_scale=True).hessian.minus()
        prior = prior_of(model, asked.centres, here.settings)
        known = lifted(steep, prior.weight.tips).body + prior.weight.body
        bend[: shapes.sum(), : shapes.sum()] = np.linalg.inv(known)[np.ix_(shapes, shapes)]
    return bend


def _sds(
    asked: Asked,
    params: np.ndarray,
    blocks: tuple[np.ndarray, np.ndarray, np.ndarray],
    settings: Settings,
) -> tuple[np.ndarray, np.ndarray]:
    """Slope of the log marginal likelihood by the log of each sd, and about how it bends.

    Levels u of covariance C, of which the data leave the covariance V, have the slope
    tr(C^-1 C' C^-1 (u u' + V) - C^-1 C') / 2 by what moves C by C', and it falls about as
    tr(P C' P C') / 2 with P = C^-1 - C^-1 V C^-1. Arrays (effects,).
    """
    model = asked.model
    cov, _, tips = blocks
    behind = len(cov) - model.size  # the shapes are not in it
    slopes, bends = [], []
    for name in asked.effects:
        if name in OF_QUARTERS:
            slope = bend = 0.0
            for at, quarters in model.quarters[OF_QUARTERS[name]]:
                one = _of_quarters(
                    params[at], cov[np.ix_(at + behind, at + behind)], quarters, name, settings
                )
                slope, bend = slope + one[0], bend + one[1]
        else:
            if name == MACHINE:
                level, left = params[model.size :], tips
            else:
                names, which = model.effect_kinds
                at = model.size - len(which) + np.flatnonzero(which == names.index(name))
                level, left = params[at], np.diag(cov)[at + behind]
            variance = settings.sds[name] ** 2
            slope = float(((level**2 + left) / variance - 1).sum())
            bend = float(2 * ((1 - np.minimum(left / variance, 1)) ** 2).sum())
        slopes.append(slope)
        bends.append(bend)
    return np.array(slopes), np.array(bends)


def _of_quarters(
    level: np.ndarray, left: np.ndarray, quarters: np.ndarray, name: str, settings: Settings
) -> tuple[float, float]:
    """Slope and bend of one block of quarters' levels by the log of its sd or odds."""
    effect = OF_QUARTERS[name]
    whole, kept = quarters_cov(quarters, effect, settings.sds), kept_of(quarters, effect)
    inverse = np.linalg.inv(whole)
    if name == effect:
        moved = 2 * whole
    else:
        share = settings.sds[name] / (1 + sum(settings.sds[one] for one in kept))
        moved = share * (settings.sds[effect] ** 2 * kept[name] - whole)
    pull = inverse @ (np.outer(level, level) + left) @ inverse - inverse
    told = (inverse - inverse @ left @ inverse) @ moved
    return float(0.5 * (pull * moved).sum()), float(0.5 * (told * told.T).sum())


def _uphill(asked: Asked, here: _Point, move: np.ndarray) -> tuple[_Point, np.ndarray]:
    """The next point, and the move to it: shorter where the whole one would go down."""
    shapes = shape_places(asked.model)
    first = int(shapes.sum())
    for halving in range(HALVINGS):
        step = move * 0.5**halving
        params = here.params.copy()
        params[: asked.model.size][shapes] += step[:first]
        sds = np.exp(np.minimum(asked.sds(here.settings) + step[first:], asked.most))
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
