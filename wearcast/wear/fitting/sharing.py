"""How far floors differ and siblings share, by the data: empirical Bayes on a small grid.

Around an estimate the log-likelihood is taken as quadratic (Laplace), so that each candidate prior
costs one step of linear algebra. The posterior is the mixture over the candidates, as one Gaussian
with the mixture's mean and covariance: where the data cannot choose, the doubt stays in.
"""

from typing import NamedTuple

import numpy as np

from wearcast.wear.fitting.likelihood import Pull
from wearcast.wear.fitting.model import Prior


class Posterior(NamedTuple):
    """Gaussian posterior under one candidate prior, or under the mixture."""

    mean: np.ndarray
    cov: np.ndarray
    log_marginal: float
    """Up to a constant that all candidates share."""


def posterior_under(params: np.ndarray, pull: Pull, prior: Prior) -> Posterior:
    """Posterior under a prior of the quadratic log-likelihood around `params`."""
    weight = np.linalg.inv(prior.cov)
    information = weight + learnt(pull.hessian)
    off = params - prior.mean
    slope = pull.gradient - weight @ off
    log_det = np.linalg.slogdet(information)[1]
    cov = np.linalg.inv(information)
    move = cov @ slope
    log_marginal = 0.5 * (
        np.linalg.slogdet(weight)[1] - log_det - off @ weight @ off + slope @ move
    )
    return Posterior(params + move, cov, float(log_marginal))


def learnt(hessian: np.ndarray) -> np.ndarray:
    """What the data add to the precision, never less than nothing.

    A floor that was only ever part of a mix can bend the log-likelihood the wrong way. Taken as
    it stands, that bend would cancel a wide prior: a variance without bound, which moreover looks
    like the likeliest of all candidates.
    """
    values, vectors = np.linalg.eigh(-hessian)
    return np.asarray((vectors * np.clip(values, 0, None)) @ vectors.T)


def mixture(posteriors: list[Posterior], log_plausible: np.ndarray) -> Posterior:
    """One Gaussian with the mean and covariance of the mixture.

    Parameters
    ----------
    posteriors : list of Posterior
    log_plausible : array (candidates,)
        Log of how plausible each candidate is before the data.
    """
    logs = np.array([one.log_marginal for one in posteriors]) + log_plausible
    weights = np.exp(logs - logs.max())
    weights /= weights.sum()
    used = [(one, weight) for one, weight in zip(posteriors, weights, strict=True) if weight > 1e-6]
    mean = np.sum([weight * one.mean for one, weight in used], axis=0)
    cov = np.sum(
        [weight * (one.cov + np.outer(one.mean - mean, one.mean - mean)) for one, weight in used],
        axis=0,
    )
    return Posterior(mean, cov / sum(weight for _, weight in used), float(logs.max()))
