"""All wear classes of one kind, fitted together under one prior (or each alone, data only).

What the floors do to one class they partly do to its siblings; how much, and how far floors differ
at all, is estimated from the data (empirical Bayes on the Laplace marginal likelihood).
"""

from dataclasses import asdict
from typing import Any, Literal, NamedTuple

import numpy as np

from wearcast.wear.fitting.marginal import lean, rate_doubt, settle_shapes, shape_places
from wearcast.wear.fitting.model import Prior, WearModel
from wearcast.wear.fitting.priors import FRONT_SD, SHAPE, SPREAD, TURNING_SD, CellPrior, candidates
from wearcast.wear.fitting.sharing import Posterior, mixture, posterior_under
from wearcast.wear.records import Block

Way = Literal["blended", "data only", "rough"]
"""How to fit; rough: blended, but only as far as doubtful spells can be found."""


class Centre(NamedTuple):
    """Where a class's log mean life stands before any data."""

    hours: float
    """[h]"""
    class_sd: float
    """Sd of its log over classes."""


class KindFit(NamedTuple):
    """One block, and what the words about it need."""

    block: Block
    results: dict[str, Any]
    """By wear class: statsmodels results."""
    prior_variance: dict[str, float]
    """By name of a rate term: variance of log mean life before the data; empty when data only."""
    stuck: tuple[str, ...] = ()
    """Classes whose estimate did not converge."""
    unknown: frozenset[str] = frozenset()
    """Rate terms that the data cannot tell (data only): their values come from typical lives."""
    paceless: tuple[str, ...] = ()
    """Classes where the data show no difference between machines (data only)."""


def block_prior(model: WearModel, cells: CellPrior, centres: dict[str, Centre]) -> Prior:
    """The Gaussian prior of a block, on the life scale."""
    size = len(model.terms)
    mean, cov = np.zeros(size), np.zeros((size, size))
    floors = len(model.floors)
    spots = [np.arange(size)[place.rates] for place in model.places.values()]
    rates = np.concatenate([*spots, np.arange(0)])
    owner = np.repeat(np.arange(len(model.places)), floors)
    floor = np.tile(np.arange(floors), len(model.places))
    sds = np.repeat([centres[name].class_sd for name in model.places], floors)
    mean[rates] = -np.log(np.repeat([centres[name].hours for name in model.places], floors))
    same_class, same_floor = owner[:, None] == owner, floor[:, None] == floor
    cov[np.ix_(rates, rates)] = cells.cov(same_class, same_floor, sds)
    for name, place in model.places.items():
        for spot, effect in zip(range(size)[place.effects], model.effects[name], strict=True):
            cov[spot, spot] = {"front": FRONT_SD, "turning": TURNING_SD}.get(effect, 1.0) ** 2
        for at, (middle, sd) in ((place.shape, SHAPE), (place.spread, SPREAD)):
            if at is not None:
                mean[at], cov[at, at] = middle, sd**2
    return Prior(mean, cov)


def prior_numbers(
    model: WearModel, cells: CellPrior, centres: dict[str, Centre]
) -> dict[str, float]:
    """The prior as numbers by name, see `wearcast.wear.records.Block.prior`."""
    return {
        **asdict(cells),
        "shaped": float(model.shaped),
        "paced": float(model.paced),
        **{f"hours[{name}]": centre.hours for name, centre in centres.items()},
        **{f"sd[{name}]": centre.class_sd for name, centre in centres.items()},
    }


def fit_kind(
    name: str,
    model: WearModel,
    cells: CellPrior,
    centres: dict[str, Centre],
    *,
    rough: bool = False,
) -> KindFit:
    """Posterior of a block: mode and Laplace covariance.

    Parameters
    ----------
    name : str
        The block's name.
    model : WearModel
    cells : CellPrior
        The prior of class x floor to begin with; with several floors the data may move it.
    centres : dict of Centre
        By wear class.
    rough : bool
        Stop at the joint maximum under the given prior: enough to find spells to doubt.
    """
    seen = model.only_seen()
    posterior, cells, converged = _settle(seen, cells, centres, rough=rough)
    prior = block_prior(model, cells, centres)
    posterior = _with_unseen_classes(model, seen, posterior, prior)
    jacobian = model.rates_jacobian(posterior.mean)
    cov = jacobian @ posterior.cov @ jacobian.T
    mean = model.to_rates(posterior.mean)
    numbers = prior_numbers(model, cells, centres)
    block = Block(name, model.terms, mean, (cov + cov.T) / 2, model.loglike(mean), numbers)
    variance = dict(zip(model.terms, np.diag(prior.cov).tolist(), strict=True))
    results = model.results(mean, block.cov)
    stuck = () if converged else tuple(seen.spells)
    return KindFit(block, dict.fromkeys(model.spells, results), variance, stuck)


def _settle(
    model: WearModel, cells: CellPrior, centres: dict[str, Centre], *, rough: bool
) -> tuple[Posterior, CellPrior, bool]:
    """Posterior on the life scale, the prior it settled on, and whether the climb did."""
    prior, tried = block_prior(model, cells, centres), [(cells, 0.0)]
    if not model.spells:
        return Posterior(prior.mean, prior.cov, 0.0), cells, True
    summit = model.climb(prior.mean, prior)
    if rough:
        pull = model.pull(summit.params, life_scale=True)
        return posterior_under(summit.params, pull, prior), cells, summit.converged
    if len(model.floors) > 1:
        tried = candidates(cells)
        cells = _likeliest(model, summit.params, tried, centres)
        prior = block_prior(model, cells, centres)
        summit = model.climb(summit.params, prior)
    params = settle_shapes(model, summit.params, prior)
    return _posterior(model, params, cells, tried, centres), cells, summit.converged


def _with_unseen_classes(
    model: WearModel, seen: WearModel, posterior: Posterior, prior: Prior
) -> Posterior:
    """The posterior with the classes that have no spell: their prior, given their siblings.

    They move nothing, so they need not be climbed: a long catalogue costs one step of algebra.
    """
    if len(seen.terms) == len(model.terms):
        return posterior
    place = {term: at for at, term in enumerate(model.terms)}
    old = np.array([place[term] for term in seen.terms], dtype=int)
    new = np.setdiff1d(np.arange(len(model.terms)), old)
    pull = np.linalg.solve(prior.cov[np.ix_(old, old)], prior.cov[np.ix_(old, new)])
    mean, cov = prior.mean.copy(), np.zeros_like(prior.cov)
    mean[old] = posterior.mean
    mean[new] += (posterior.mean - prior.mean[old]) @ pull
    cov[np.ix_(old, old)] = posterior.cov
    cov[np.ix_(old, new)] = posterior.cov @ pull
    cov[np.ix_(new, old)] = cov[np.ix_(old, new)].T
    left = prior.cov[np.ix_(new, new)] - prior.cov[np.ix_(new, old)] @ pull
    cov[np.ix_(new, new)] = left + pull.T @ posterior.cov @ pull
    return Posterior(mean, cov, posterior.log_marginal)


def _likeliest(
    model: WearModel,
    params: np.ndarray,
    tried: list[tuple[CellPrior, float]],
    centres: dict[str, Centre],
) -> CellPrior:
    """The candidate prior under which the data are most plausible."""
    pull = model.pull(params, life_scale=True)

    def score(candidate: tuple[CellPrior, float]) -> float:
        prior = block_prior(model, candidate[0], centres)
        return posterior_under(params, pull, prior).log_marginal + candidate[1]

    return max(tried, key=score)[0]


def _posterior(
    model: WearModel,
    params: np.ndarray,
    cells: CellPrior,
    tried: list[tuple[CellPrior, float]],
    centres: dict[str, Centre],
) -> Posterior:
    """The Gaussian posterior: around the settled shapes, over the candidate priors."""
    pull = model.pull(params, life_scale=True)
    # The settled shapes are off the joint maximum on purpose: no slope may pull them back.
    held = pull.gradient.copy()
    under = [block_prior(model, one, centres) for one, _ in tried]
    weight = np.linalg.inv(block_prior(model, cells, centres).cov)
    shapes = shape_places(model)
    held[shapes] = (weight @ (params - under[0].mean))[shapes]
    posteriors = [posterior_under(params, pull._replace(gradient=held), prior) for prior in under]
    mixed = mixture(posteriors, np.array([plausible for _, plausible in tried]))
    doubt = rate_doubt(model, params, block_prior(model, cells, centres))
    leaning = lean(model, params, mixed.cov)
    return mixed._replace(mean=mixed.mean + leaning, cov=mixed.cov + doubt)
