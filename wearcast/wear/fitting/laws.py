"""One law of ends, all wear classes together under one prior.

What the floors do to one class they partly do to its siblings, and what a site or a machine does
it does to all; how much is estimated from the data (`wearcast.wear.fitting.spreads`).
"""

from collections.abc import Mapping
from typing import Literal, NamedTuple

import numpy as np

from wearcast.wear.fitting.marginal import (
    bias_correction,
    rate_doubt,
    shape_places,
)
from wearcast.wear.fitting.model import Prior, WearModel
from wearcast.wear.fitting.prior_at import Settings, first_settings, prior_of
from wearcast.wear.fitting.quadratic import Posterior, Quadratic, quadratic
from wearcast.wear.fitting.results import Estimate
from wearcast.wear.fitting.settling import asked_of, settle
from wearcast.wear.fitting.spreads import axes_of, chances_of, choose_cells, spreads_of, widened
from wearcast.wear.priors import CellPrior, Centre
from wearcast.wear.records import Block, Spread

Way = Literal["blended", "data only", "rough"]
"""How to fit; rough: blended, but only as far as doubtful spells can be found."""

KNOWN = 1e9
"""Information on a log that is as good as known."""


class LawFit(NamedTuple):
    """One block, and what the words about it need."""

    block: Block
    estimates: dict[str, Estimate]
    """By wear class; classes that were fitted together share one."""
    prior_variance: dict[str, float]
    """By name of a rate term: variance of log mean life before the data; empty when data only."""
    not_converged: tuple[str, ...] = ()
    """Classes whose estimate did not converge."""
    unknown: frozenset[str] = frozenset()
    """Rate terms that the data cannot tell (data only): their values come from typical lives."""
    paceless: tuple[str, ...] = ()
    """Classes where the data show no difference between machines (data only)."""
    settled: dict[str, float] | None = None
    """Parameters on the life scale by name: where a fit of nearly the same spells may begin."""
    settings: Settings | None = None
    """The spreads of the prior that the fit settled on; None when data only."""


class _Settled(NamedTuple):
    """Where a fit came to rest, on the life scale."""

    posterior: Posterior
    settings: Settings
    spreads: dict[str, Spread]
    tips: np.ndarray
    converged: bool


def fit_law(
    name: str,
    model: WearModel,
    cells: CellPrior,
    centres: Mapping[str, Centre],
    sds: Mapping[str, float] | None = None,
    begin: Mapping[str, float] | None = None,
    *,
    rough: bool = False,
) -> LawFit:
    """The block of one law.

    Parameters
    ----------
    name : str
        The block's name.
    model : WearModel
        Of the classes that have a spell.
    cells : CellPrior
        The prior of class x floor to begin with; with several floors the data may move it.
    centres : mapping of Centre
        By wear class; also of classes without a spell.
    sds : mapping of float, optional
        By effect: typical spreads of this law where they are not those of wear.
    begin : mapping of float, optional
        Parameters on the life scale from an earlier fit, see `LawFit.settled`.
    rough : bool
        Stop at the joint maximum under the given prior: enough to find spells to doubt.
    """
    seen = model.only_seen()
    first = first_settings(cells, centres, sds)
    settled = _settle(seen, centres, first, begin or {}, rough=rough)
    prior = prior_of(model, centres, settled.settings)
    posterior = _with_unseen_classes(model, seen, settled.posterior, prior)
    jacobian = model.rates_jacobian(posterior.mean)
    cov = jacobian @ posterior.cov @ jacobian.T
    mean = model.to_rates(posterior.mean)
    whole = np.concatenate([mean, settled.tips])
    block = Block(
        name,
        model.terms,
        mean,
        (cov + cov.T) / 2,
        model.loglike(whole),
        model.shaped,
        model.paced,
        dict(settled.settings.cells),
        dict(centres),
        settled.spreads,
    )
    results = dict.fromkeys(model.spells, Estimate(model, whole, block.cov))
    stuck = () if settled.converged else tuple(seen.spells)
    values = dict(zip(seen.terms, settled.posterior.mean.tolist(), strict=True))
    variance = _prior_variances(model, prior)
    return LawFit(block, results, variance, stuck, settled=values, settings=settled.settings)


def _with_unseen_classes(
    model: WearModel, seen: WearModel, posterior: Posterior, prior: Prior
) -> Posterior:
    """The posterior with the classes that have no spell: their prior, given their siblings.

    They move nothing, so they need not be fitted: a long catalogue costs one step of algebra.
    """
    if seen is model:
        return posterior
    place = {term: at for at, term in enumerate(model.terms)}
    old = np.array([place[term] for term in seen.terms], dtype=int)
    new = np.setdiff1d(np.arange(model.size), old)
    before, cov = prior.mean[: model.size], np.linalg.inv(prior.weight.body)
    follow = np.linalg.solve(cov[np.ix_(old, old)], cov[np.ix_(old, new)])
    mean, whole = before.copy(), np.zeros_like(cov)
    mean[old] = posterior.mean
    mean[new] += (posterior.mean - before[old]) @ follow
    whole[np.ix_(old, old)] = posterior.cov
    whole[np.ix_(old, new)] = posterior.cov @ follow
    whole[np.ix_(new, old)] = whole[np.ix_(old, new)].T
    left = cov[np.ix_(new, new)] - cov[np.ix_(new, old)] @ follow
    whole[np.ix_(new, new)] = left + follow.T @ posterior.cov @ follow
    return Posterior(mean, whole)


def _prior_variances(model: WearModel, prior: Prior) -> dict[str, float]:
    """Variance of each term before the data."""
    cov = np.linalg.inv(prior.weight.body)
    return dict(zip(model.terms, np.diag(cov).tolist(), strict=True))


def _settle(
    model: WearModel,
    centres: Mapping[str, Centre],
    settings: Settings,
    begin: Mapping[str, float],
    *,
    rough: bool,
) -> _Settled:
    """Posterior on the life scale, the prior it settled on, and whether the search converged."""
    prior = prior_of(model, centres, settings)
    if not model.spells:
        return _Settled(Posterior(prior.mean, np.zeros((0, 0))), settings, {}, np.zeros(0), True)
    start = prior.mean.copy()
    start[: model.size] = [begin.get(term, start[at]) for at, term in enumerate(model.terms)]
    shapes = shape_places(model)
    if rough:
        best = model.optimum(start, prior)
        around = _around(model, best.params, prior)
        return _Settled(
            around.posterior(prior), settings, {}, best.params[model.size :], best.converged
        )
    # Shapes are held: where a machine has an end or two, what is common to it could be fitted to
    # these exactly, and the joint maximum would have ever sharper shapes.
    first, best = settings, model.optimum(start, prior, shapes)
    asked = asked_of(model, centres, first)
    settings = choose_cells(model, _around(model, best.params, prior), centres, settings)
    params, settings, found = settle(asked, best.params, settings)
    return _at_rest(model, params, centres, first, settings, converged=best.converged and found)


def _at_rest(
    model: WearModel,
    params: np.ndarray,
    centres: Mapping[str, Centre],
    first: Settings,
    settings: Settings,
    *,
    converged: bool,
) -> _Settled:
    """The Gaussian posterior around what is settled."""
    prior = prior_of(model, centres, settings)
    around = _around(model, params, prior)
    axes = axes_of(model, centres, first, settings)
    chances = chances_of(model, _held(around, model), centres, axes, settings)
    posterior = widened(model, around, centres, axes, settings, chances)
    bias = bias_correction(model, params, prior, shape_places(model))
    doubt = rate_doubt(model, params, prior)
    posterior = Posterior(posterior.mean + bias, posterior.cov + doubt)
    return _Settled(posterior, settings, spreads_of(axes, chances), params[model.size :], converged)


def _around(model: WearModel, params: np.ndarray, prior: Prior) -> Quadratic:
    """The log-likelihood around an estimate whose shapes are off the joint maximum on purpose.

    No slope may pull them back.
    """
    here = model.derivatives(params, life_scale=True)
    shapes = np.concatenate([shape_places(model), np.zeros(model.machines, dtype=bool)])
    held = np.where(shapes, prior.weight.times(params - prior.mean), here.gradient)
    return quadratic(params, here._replace(gradient=held))


def _held(around: Quadratic, model: WearModel) -> Quadratic:
    """The same with the shapes known: far from where it holds it would drag them along."""
    shapes, known = shape_places(model), around.information
    body, arms = known.body.copy(), known.arms.copy()
    body[shapes, :] = body[:, shapes] = 0.0
    body[shapes, shapes] = KNOWN
    arms[shapes] = 0.0
    return around._replace(information=known._replace(body=body, arms=arms), explained={})
