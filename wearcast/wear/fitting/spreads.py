"""How far floors, sites, machines and quarters differ, by the data: empirical Bayes on small grids.

Around an estimate the log-likelihood is taken as quadratic (Laplace), so that each candidate prior
costs one step of linear algebra. What one *axis* (a kind's floors, one effect) cannot settle stays
in: the posterior is widened by the mixture over its candidates, the other axes held at their best.
"""

from collections.abc import Mapping
from dataclasses import replace
from typing import NamedTuple

import numpy as np

from wearcast.wear.covariates import EFFECTS, MACHINE, OF_QUARTERS
from wearcast.wear.fitting.model import WearModel
from wearcast.wear.fitting.prior_at import Settings, cells_prior, prior_of, quarters_prior
from wearcast.wear.fitting.quadratic import Candidates, Posterior, Quadratic
from wearcast.wear.priors import CellPrior, Centre, candidates
from wearcast.wear.records import Spread

NODES, FAR = 11, 2.5
"""Candidates of the log of an effect's sd, and how far they reach at least, in its own sds."""


class Axis(NamedTuple):
    """Settings to choose from, all else being the same."""

    name: str
    choices: list[CellPrior] | list[float]
    plausible: np.ndarray
    """array (choices,) log of how plausible each is before the data"""

    def settings(self, base: Settings, number: int) -> Settings:
        """The base with one of the choices."""
        choice = self.choices[number]
        if isinstance(choice, CellPrior):
            return replace(base, cells={**base.cells, self.name: choice})
        return replace(base, sds={**base.sds, self.name: float(choice)})

    def only(self, numbers: np.ndarray, base: Settings) -> "Axis":
        """Some of the choices (int array), and behind them what the base has."""
        own = {**base.sds, **base.cells}[self.name]
        choices = [*(self.choices[number] for number in numbers.tolist()), own]
        return Axis(self.name, choices, np.append(self.plausible[numbers], 0.0))


def axes_of(
    model: WearModel, centres: Mapping[str, Centre], base: Settings, settled: Settings
) -> list[Axis]:
    """What the data may choose: the floors of each kind, the spread of each effect.

    Sds reach beyond what is settled, however implausible that was beforehand.
    """
    axes = _cell_axes(model, centres, base)
    for name, unsure in unsure_effects(model).items():
        top = max(FAR, np.log(settled.sds[name] / base.sds[name]) / unsure + 1)
        nodes = np.linspace(-FAR, top, NODES)
        sds = base.sds[name] * np.exp(unsure * nodes)
        axes.append(Axis(name, sds.tolist(), -0.5 * nodes**2))
    return axes


def unsure_effects(model: WearModel) -> dict[str, float]:
    """The effects of which a model's data may tell the sd, and how unsure its log is before."""
    named = set(model.effect_kinds[0])
    odds = {name for name, effect in OF_QUARTERS.items() if effect in named}
    present = named | odds | ({MACHINE} if model.machines else set())
    return {one.name: one.unsure for one in EFFECTS if one.unsure and one.name in present}


def _cell_axes(model: WearModel, centres: Mapping[str, Centre], base: Settings) -> list[Axis]:
    """The floors of each kind; nothing to choose where there is but one floor."""
    if len(model.floors) < 2:
        return []
    kinds = sorted({centres[name].kind for name in model.places})
    tried = {kind: candidates(base.cells[kind]) for kind in kinds}
    return [
        Axis(kind, [one for one, _ in pairs], np.array([p for _, p in pairs]))
        for kind, pairs in tried.items()
    ]


def choose_cells(
    model: WearModel, around: Quadratic, centres: Mapping[str, Centre], settings: Settings
) -> Settings:
    """The settings with the likeliest prior of each kind's cells."""
    for axis in _cell_axes(model, centres, settings):
        logs = _log_chances(model, around, centres, axis, settings)
        settings = axis.settings(settings, int(np.argmax(logs)))
    return settings


def chances_of(
    model: WearModel,
    around: Quadratic,
    centres: Mapping[str, Centre],
    axes: list[Axis],
    settings: Settings,
) -> dict[str, np.ndarray]:
    """The chance of each choice of each axis, the others as they are: arrays (choices,)."""
    chances = {}
    for axis in axes:
        logs = _log_chances(model, around, centres, axis, settings)
        weights = np.exp(logs - logs.max())
        chances[axis.name] = weights / weights.sum()
    return chances


def _log_chances(
    model: WearModel,
    around: Quadratic,
    centres: Mapping[str, Centre],
    axis: Axis,
    settings: Settings,
) -> np.ndarray:
    """Array (choices,): log of how plausible each choice is, but for a constant."""
    few = _candidates(model, centres, axis, settings)
    if few is not None:
        logs = around.along(prior_of(model, centres, settings), few.at).evidence(few)
    else:
        tried = (axis.settings(settings, number) for number in range(len(axis.choices)))
        logs = np.array([around.under(prior_of(model, centres, one))[2] for one in tried])
    return np.asarray(axis.plausible + logs)


def _candidates(
    model: WearModel, centres: Mapping[str, Centre], axis: Axis, settings: Settings
) -> Candidates | None:
    """The priors that an axis chooses from; None where they are not of the terms."""
    if axis.name == MACHINE:
        return None
    if axis.name in OF_QUARTERS:
        return _quarter_candidates(model, axis, OF_QUARTERS[axis.name], settings)
    names, which = model.effect_kinds
    if axis.name in names:
        at = model.size - len(which) + np.flatnonzero(which == names.index(axis.name))
        precision = np.array(axis.choices, dtype=float) ** -2.0
        weight = precision[:, None, None] * np.eye(len(at))
        return Candidates(at, weight, len(at) * np.log(precision))
    cells = [cells_prior(model, axis.name, centres, each) for each in axis.choices]  # type: ignore[arg-type]
    weight, log_det = (np.array([each[number] for each in cells]) for number in (2, 3))
    return Candidates(cells[0][0], weight, log_det)


def _quarter_candidates(
    model: WearModel, axis: Axis, effect: str, settings: Settings
) -> Candidates:
    """The priors of an effect of quarters, its other sd as it is."""
    blocks = model.quarters[effect]
    at = np.concatenate([spots for spots, _ in blocks])
    weight = np.zeros((len(axis.choices), len(at), len(at)))
    log_det = np.zeros(len(axis.choices))
    for number in range(len(axis.choices)):
        sds = axis.settings(settings, number).sds
        begin = 0
        for spots, quarters in blocks:
            mine = slice(begin, begin + len(spots))
            weight[number, mine, mine], own = quarters_prior(quarters, effect, sds)
            log_det[number] += own
            begin += len(spots)
    return Candidates(at, weight, log_det)


def widened(
    model: WearModel,
    around: Quadratic,
    centres: Mapping[str, Centre],
    axes: list[Axis],
    settings: Settings,
    chances: Mapping[str, np.ndarray],
) -> Posterior:
    """The posterior at the likeliest settings, widened by what each axis leaves open.

    The chances are arrays (choices,), one an axis; each sums to 1: a chance a choice.
    """
    best = around.posterior(prior_of(model, centres, settings))
    mean, cov = best.mean.copy(), best.cov.copy()
    for axis in axes:
        weights = chances[axis.name]
        used = np.flatnonzero(weights > 1e-3)
        share = weights[used] / weights[used].sum()
        few = _candidates(model, centres, axis.only(used, settings), settings)
        if few is not None:
            way = around.along(prior_of(model, centres, settings), few.at)
            more = way.mixed(few, np.append(share, 0.0), len(used))
            mean, cov = mean + more[0], cov + more[1]
            continue
        under = [
            around.posterior(prior_of(model, centres, axis.settings(settings, number)))
            for number in used.tolist()
        ]
        middle = np.sum([w * one.mean for w, one in zip(share, under, strict=True)], axis=0)
        mean += middle - best.mean
        cov -= best.cov
        for weight, one in zip(share, under, strict=True):
            off = one.mean - middle
            cov += weight * (one.cov + np.outer(off, off))
    return Posterior(mean, definite(cov, best.cov))


def definite(cov: np.ndarray, least: np.ndarray) -> np.ndarray:
    """A covariance kept from falling below a tenth of another in any direction.

    Arrays (terms, terms) of squares of log rates and the like.
    """
    floor = 0.1 * least
    values, vectors = np.linalg.eigh((cov + cov.T) / 2 - floor)
    return np.asarray((vectors * np.clip(values, 0, None)) @ vectors.T + floor)


def spreads_of(axes: list[Axis], chances: Mapping[str, np.ndarray]) -> dict[str, Spread]:
    """How much the levels of each effect differ, with the doubt about it.

    The chances are arrays (choices,), one an axis; each sums to 1: a chance a choice.
    """
    return {
        axis.name: Spread(tuple(map(float, axis.choices)), tuple(chances[axis.name].tolist()))
        for axis in axes
        if not isinstance(axis.choices[0], CellPrior)
    }
