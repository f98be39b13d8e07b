"""How far floors, sites, machines and quarters differ, by the data: empirical Bayes on small grids.

Around an estimate the log-likelihood is taken as quadratic (Laplace), so that each candidate prior
costs one step of linear algebra. What one *axis* (a kind's floors, one effect) cannot settle stays
in: the posterior is widened by the mixture over its candidates, the other axes held at their best.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np

from wearcast.wear.arrow import Arrow
from wearcast.wear.covariates import EFFECTS, MACHINE, OF_QUARTERS, STAYS
from wearcast.wear.fitting.model import Prior, WearModel
from wearcast.wear.fitting.quadratic import Candidates, Posterior, Quadratic
from wearcast.wear.priors import SHAPE, SPREAD, CellPrior, Centre, candidates
from wearcast.wear.records import Spread

NODES, FAR = 11, 2.5
"""Candidates of the log of an effect's sd, and how far they reach at least, in its own sds."""


@dataclass(frozen=True)
class Settings:
    """The spreads of a prior."""

    cells: Mapping[str, CellPrior]
    """By kind."""
    sds: Mapping[str, float]
    """By effect."""


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


def prior_of(model: WearModel, centres: Mapping[str, Centre], settings: Settings) -> Prior:
    """The Gaussian prior of a model, on the life scale."""
    size = model.size
    mean, weight = np.zeros(size), np.zeros((size, size))
    log_det = 0.0
    for kind, cells in settings.cells.items():
        at, middle, part, log_det_part = _cells(model, kind, centres, cells)
        weight[np.ix_(at, at)], mean[at] = part, middle
        log_det += log_det_part
    for place in model.places.values():
        for spot, (middle, sd) in ((place.shape, SHAPE), (place.spread, SPREAD)):
            if spot is not None:
                mean[spot], weight[spot, spot] = middle, sd**-2
                log_det -= 2 * np.log(sd)
    names, which = model.effect_kinds
    sds = np.array([settings.sds[name] for name in names])[which]
    behind = np.arange(size - len(model.effects), size)
    weight[behind, behind] = sds**-2.0
    for effect, blocks in model.quarters.items():
        for at, quarters in blocks:
            weight[np.ix_(at, at)], log_det_part = _quarters(quarters, effect, settings.sds)
            log_det += log_det_part + 2 * len(at) * np.log(settings.sds[effect])
    tip = settings.sds.get(MACHINE, 1.0) ** -2.0
    log_det += float(-2 * np.log(sds).sum() + model.machines * np.log(tip))
    tips = np.full(model.machines, tip)
    return Prior(
        np.concatenate([mean, 0 * tips]),
        Arrow(weight, np.zeros((size, model.machines)), tips),
        log_det,
    )


def _quarters(
    quarters: np.ndarray, effect: str, sds: Mapping[str, float]
) -> tuple[np.ndarray, float]:
    """Precision of the levels of some quarters, and its log determinant."""
    cov = quarters_cov(quarters, sds[effect], sds[STAYS[effect]])
    return np.linalg.inv(cov), -float(np.linalg.slogdet(cov)[1])


def quarters_cov(quarters: np.ndarray, sd: float, odds: float) -> np.ndarray:
    """Covariance of what quarters do: array (levels, levels) of squares of logs.

    Parameters
    ----------
    quarters : int array (levels,)
        Counted back from the newest, which is 0.
    sd : float
        Of what is one quarter's own and the step to the next together, as a log.
    odds : float
        Of the step's variance against that of the quarter's own.
    """
    own, step = sd**2 / (1 + odds), sd**2 * odds / (1 + odds)
    return np.asarray(own * np.eye(len(quarters)) + step * stayed(quarters))


def stayed(quarters: np.ndarray) -> np.ndarray:
    """How many steps two quarters are both older than: array (levels, levels) of counts."""
    return np.asarray(np.minimum.outer(quarters, quarters).astype(float))


def _cells(
    model: WearModel, kind: str, centres: Mapping[str, Centre], cells: CellPrior
) -> tuple[np.ndarray, np.ndarray, np.ndarray, float]:
    """Places, prior mean and precision of the cells of one kind, and its log determinant.

    Candidates come up again and again, so each is worked out once a model.
    """
    if (kind, cells) not in model.cells:
        names = [name for name in model.places if centres[name].kind == kind]
        spots = [np.arange(model.size)[model.places[name].rates] for name in names]
        at = np.concatenate([*spots, np.arange(0)])
        owner = np.repeat(np.arange(len(names)), len(model.floors))
        floor = np.tile(np.arange(len(model.floors)), len(names))
        known = [centres[name] for name in names]
        sds = np.repeat([centre.class_sd for centre in known], len(model.floors))
        hours = np.repeat([centre.hours for centre in known], len(model.floors))
        cov = cells.cov(owner[:, None] == owner, floor[:, None] == floor, sds)
        log_det = -float(np.linalg.slogdet(cov)[1]) if len(at) else 0.0
        model.cells[kind, cells] = (at, -np.log(hours), np.linalg.inv(cov), log_det)
    found: tuple[np.ndarray, np.ndarray, np.ndarray, float] = model.cells[kind, cells]
    return found


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
    stay = {drift for effect, drift in STAYS.items() if effect in named}
    present = named | stay | ({MACHINE} if model.machines else set())
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


def first_settings(
    cells: CellPrior, centres: Mapping[str, Centre], sds: Mapping[str, float] | None = None
) -> Settings:
    """Where the choosing begins; `sds` overrule the typical ones of effects."""
    kinds = sorted({centre.kind for centre in centres.values()})
    typical = {effect.name: effect.typical for effect in EFFECTS}
    return Settings(dict.fromkeys(kinds, cells), {**typical, **(sds or {})})


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
    cells = [_cells(model, axis.name, centres, each) for each in axis.choices]  # type: ignore[arg-type]
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
            weight[number, mine, mine], own = _quarters(quarters, effect, sds)
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
