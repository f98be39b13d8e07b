"""A log-likelihood taken as quadratic around an estimate (Laplace), under one prior or many.

Priors that differ in some terms only are weighed together: once all other terms are eliminated a
prior's chance, means and covariance are those of a Gaussian of these terms alone, and what the
others do follows from what these do.
"""

from typing import NamedTuple

import numpy as np
from scipy.linalg import cho_factor, cho_solve

from wearcast.wear.arrow import Arrow, Solved, factored, lifted, through_tips
from wearcast.wear.fitting.model import Prior
from wearcast.wear.maximise import Derivatives

WIDEST_MACHINES = 1.0
"""No candidate sd of machines is larger."""


class Posterior(NamedTuple):
    """Gaussian posterior of the terms (tips eliminated)."""

    mean: np.ndarray
    cov: np.ndarray


class Candidates(NamedTuple):
    """Priors to choose from, of the same terms and with the same mean."""

    at: np.ndarray
    """int array (some,) places of the terms"""
    weight: np.ndarray
    """array (choices, some, some) precisions"""
    log_det: np.ndarray
    """array (choices,) of the precisions"""


class Along(NamedTuple):
    """What data, and the prior of all other terms, say of some terms."""

    at: np.ndarray
    """int array (some,) places of the terms"""
    follow: np.ndarray
    """array (terms, some) what every term does when these move"""
    curve: np.ndarray
    """array (some, some)"""
    pull: np.ndarray
    """array (some,) slope at their prior mean"""

    def evidence(self, of: Candidates) -> np.ndarray:
        """Log marginal likelihood, but for a constant, under each prior: array (choices,)."""
        root = np.linalg.cholesky(self.curve + of.weight)
        solved = np.linalg.solve(root, np.broadcast_to(self.pull, root.shape[:2])[..., None])
        spread = np.log(np.diagonal(root, axis1=1, axis2=2)).sum(axis=1)
        return np.asarray(0.5 * ((solved[..., 0] ** 2).sum(axis=1) + of.log_det) - spread)

    def mixed(self, of: Candidates, chance: np.ndarray, best: int) -> tuple[np.ndarray, np.ndarray]:
        """What a mixture of priors has beyond the best one: of means and of covariances.

        Parameters
        ----------
        of : Candidates
        chance : array (choices,)
            Sums to 1.
        best : int
            Number of the best choice.

        Returns
        -------
        tuple
            Arrays (terms,) and (terms, terms), by log rates.
        """
        covs = np.linalg.inv(self.curve + of.weight)
        means = covs @ self.pull
        middle = chance @ means
        off = (means - middle).T * np.sqrt(chance)
        more = np.tensordot(chance, covs, 1) - covs[best] + off @ off.T
        return self.follow @ (middle - means[best]), self.follow @ more @ self.follow.T


class Quadratic(NamedTuple):
    """A log-likelihood as it is taken around an estimate, without the prior."""

    params: np.ndarray
    gradient: np.ndarray
    information: Arrow
    """Nowhere less than nothing."""
    explained: dict[bytes, np.ndarray]
    """What the tips explain of the body, by what a prior adds to each; filled as it is asked."""

    def under(self, prior: Prior) -> tuple[Solved, np.ndarray, float]:
        """Posterior precision, the step to the posterior mean, and the log marginal likelihood."""
        whole = self.information.plus(prior.weight.body, prior.weight.tips)
        solved = factored(whole, self._explained(whole, prior.weight.tips))
        off = self.params - prior.mean
        pulled = prior.weight.times(off)
        slope = self.gradient - pulled
        move = solved.solve(slope)
        marginal = 0.5 * (prior.log_det - solved.log_det - off @ pulled + slope @ move)
        return solved, move, float(marginal)

    def along(self, prior: Prior, at: np.ndarray) -> Along:
        """The same as it goes with the prior of some terms: array (some,) of their places."""
        body = prior.weight.body.copy()
        body[np.ix_(at, at)] = 0.0
        start = self.params.copy()
        start[at] = prior.mean[at]
        slope = self.gradient + self.information.times(self.params - start)
        slope -= prior.weight.times(start - prior.mean)
        whole = self.information.plus(body, prior.weight.tips)
        return _along(whole, self._explained(whole, prior.weight.tips), slope, at)

    def _explained(self, whole: Arrow, added: np.ndarray) -> np.ndarray:
        """What the tips explain: most of the priors that are tried add the same to them."""
        key = added.tobytes()
        if key not in self.explained:
            self.explained[key] = through_tips(whole.arms, whole.tips)
        return self.explained[key]

    def posterior(self, prior: Prior) -> Posterior:
        """Of the terms."""
        solved, move, _ = self.under(prior)
        size = len(solved.arms)
        return Posterior(self.params[:size] + move[:size], solved.body_cov())


def quadratic(params: np.ndarray, here: Derivatives) -> Quadratic:
    """A log-likelihood around an estimate.

    `params`: array (terms,) of logs.
    """
    least = np.full(len(here.hessian.tips), WIDEST_MACHINES**-2.0)
    return Quadratic(params, here.gradient, lifted(here.hessian.minus(), least), {})


def _along(arrow: Arrow, through: np.ndarray, slope: np.ndarray, at: np.ndarray) -> Along:
    """The posterior along some terms.

    Parameters
    ----------
    arrow : Arrow
        Curvature of data and prior, the prior of these terms (and of nothing else) left out.
    through : array (terms, terms)
        What its tips explain, see `wearcast.wear.arrow.through_tips`.
    slope : array (terms + tips,)
        At their prior mean, by log rates.
    at : int array (some,)
        Their places.
    """
    size = len(arrow.body)
    rest = np.setdiff1d(np.arange(size), at)
    core = arrow.body - through
    slope = slope[:size] - arrow.arms @ (slope[size:] / arrow.tips)
    across = core[np.ix_(rest, at)]
    solved = cho_solve(cho_factor(core[np.ix_(rest, rest)]), across)
    curve = core[np.ix_(at, at)] - across.T @ solved
    follow = np.zeros((size, len(at)))
    follow[at], follow[rest] = np.eye(len(at)), -solved
    return Along(at, follow, (curve + curve.T) / 2, follow.T @ slope)
