"""The prior of a model for given spreads: how far floors, sites, machines and quarters differ."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from wearcast.wear.arrow import Arrow
from wearcast.wear.covariates import EFFECTS, MACHINE, RETURNS, STAYS
from wearcast.wear.fitting.model import Prior, WearModel
from wearcast.wear.priors import SHAPE, SPREAD, CellPrior, Centre


@dataclass(frozen=True)
class Settings:
    """The spreads of a prior."""

    cells: Mapping[str, CellPrior]
    """By kind."""
    sds: Mapping[str, float]
    """By effect."""


def prior_of(model: WearModel, centres: Mapping[str, Centre], settings: Settings) -> Prior:
    """The Gaussian prior of a model, on the life scale."""
    size = model.size
    mean, weight = np.zeros(size), np.zeros((size, size))
    log_det = 0.0
    for kind, cells in settings.cells.items():
        at, middle, part, log_det_part = cells_prior(model, kind, centres, cells)
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
            weight[np.ix_(at, at)], log_det_part = quarters_prior(quarters, effect, settings.sds)
            log_det += log_det_part + 2 * len(at) * np.log(settings.sds[effect])
    tip = settings.sds.get(MACHINE, 1.0) ** -2.0
    log_det += float(-2 * np.log(sds).sum() + model.machines * np.log(tip))
    tips = np.full(model.machines, tip)
    return Prior(
        np.concatenate([mean, 0 * tips]),
        Arrow(weight, np.zeros((size, model.machines)), tips),
        log_det,
    )


def quarters_prior(
    quarters: np.ndarray, effect: str, sds: Mapping[str, float]
) -> tuple[np.ndarray, float]:
    """Precision of the levels of some quarters (array (levels, levels)), and its log determinant.

    `quarters`: as for `quarters_cov`; logs, without a unit.
    """
    cov = quarters_cov(quarters, effect, sds)
    return np.linalg.inv(cov), -float(np.linalg.slogdet(cov)[1])


def quarters_cov(quarters: np.ndarray, effect: str, sds: Mapping[str, float]) -> np.ndarray:
    """Covariance of what quarters do: array (levels, levels) of squares of logs.

    Parameters
    ----------
    quarters : int array (levels,)
        Counted back from the newest, which is 0.
    effect : str
    sds : mapping
        By effect: the sd of all that a quarter brings, as a log, and the odds of what stays (a
        step to the next) and of what returns a year later against what is the quarter's own.
    """
    kept = kept_of(quarters, effect)
    whole = np.eye(len(quarters)) + sum(sds[name] * kept[name] for name in kept)
    return np.asarray(sds[effect] ** 2 / (1 + sum(sds[name] for name in kept)) * whole)


def kept_of(quarters: np.ndarray, effect: str) -> dict[str, np.ndarray]:
    """What two quarters have in common, by the name of its odds.

    `quarters`: int array (levels,) as for `quarters_cov`. Arrays (levels, levels): counts of
    steps, and 1 where it is the same season.
    """
    return {
        STAYS[effect]: np.minimum.outer(quarters, quarters).astype(float),
        RETURNS[effect]: np.equal.outer(quarters % 4, quarters % 4).astype(float),
    }


def cells_prior(
    model: WearModel, kind: str, centres: Mapping[str, Centre], cells: CellPrior
) -> tuple[np.ndarray, np.ndarray, np.ndarray, float]:
    """Places, prior mean and precision of the cells of one kind, and its log determinant.

    Arrays (cells,), (cells,) and (cells, cells): logs of rates an hour.
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


def first_settings(
    cells: CellPrior, centres: Mapping[str, Centre], sds: Mapping[str, float] | None = None
) -> Settings:
    """Where the choosing begins; `sds` overrule the typical ones of effects."""
    kinds = sorted({centre.kind for centre in centres.values()})
    typical = {effect.name: effect.typical for effect in EFFECTS}
    return Settings(dict.fromkeys(kinds, cells), {**typical, **(sds or {})})
