"""The wear classes of one kind as one likelihood model, on statsmodels' base.

Each class brings its own parameters (log rates by floor, effects, log shape, log spread); the
likelihoods of the classes add, and only the prior ties them. `WearModel.fit` climbs by Newton and
hands back statsmodels' results: params, bse, cov_params, conf_int, llf, summary.
"""

from collections.abc import Mapping
from typing import NamedTuple

import numpy as np
from scipy.special import digamma, gammaln, polygamma
from statsmodels.base.model import (
    GenericLikelihoodModel,
    GenericLikelihoodModelResults,
    LikelihoodModelResults,
)

from wearcast.wear.fitting.climb import Summit, climb
from wearcast.wear.fitting.likelihood import Pull, Spells, wear_derivatives, wear_log_likelihood


class Place(NamedTuple):
    """Where a class stands in the parameter vector."""

    rates: slice
    effects: slice
    shape: int | None
    """None: held at 1."""
    spread: int | None
    """None: no pace."""
    whole: slice


class Prior(NamedTuple):
    """Gaussian prior on the life scale."""

    mean: np.ndarray
    cov: np.ndarray


def log_mean_factor(log_shape: float | np.ndarray) -> np.ndarray:
    """Log of Gamma(1 + 1/k): mean life = exp of this, over the rate."""
    return np.asarray(gammaln(1 + np.exp(-np.asarray(log_shape))))


def _mean_factor_slopes(log_shape: float) -> tuple[float, float]:
    """First and second derivative of `log_mean_factor` by log k."""
    inverse = np.exp(-log_shape)
    first = -inverse * digamma(1 + inverse)
    return float(first), float(-first + inverse**2 * polygamma(1, 1 + inverse))


class WearModel(GenericLikelihoodModel):  # type: ignore[misc]
    """Wear classes of one kind; parameters of a class after those of the class before.

    Parameters
    ----------
    spells : mapping of str to Spells
        By wear class; a class may have no spell (arrays of length 0).
    floors : sequence of str
        Names of the columns of `Spells.hours`.
    effects : mapping of str to tuple of str
        Names of the columns of `Spells.effects`, by class.
    paced : bool
        Whether machines have a pace of their own (spread v > 0).
    shaped : bool
        Whether the shape is free; False holds it at 1 (constant hazard).
    word : str
        What the rates are rates of, in the parameter names.
    """

    def __init__(
        self,
        spells: Mapping[str, Spells],
        floors: tuple[str, ...],
        effects: Mapping[str, tuple[str, ...]] | None = None,
        *,
        paced: bool = True,
        shaped: bool = True,
        word: str = "rate",
    ) -> None:
        self.spells = dict(spells)
        self.floors = floors
        self.effects = {name: tuple((effects or {}).get(name, ())) for name in spells}
        self.paced, self.shaped, self.word = paced, shaped, word
        self.places = self._places()
        self.terms = tuple(term for name in spells for term in self._term_names(name, word))
        hours = [group.hours.sum(axis=1) for group in self.spells.values()]
        super().__init__(np.concatenate([*hours, np.empty(0)]), extra_params_names=list(self.terms))

    def loglike(self, params: np.ndarray) -> float:
        """Marginal log-likelihood, pace integrated out."""
        return sum(
            wear_log_likelihood(*self._split(params, name), self.spells[name])
            for name in self._seen()
        )

    def score(self, params: np.ndarray) -> np.ndarray:
        """Gradient of the log-likelihood."""
        return self.pull(params).gradient

    def hessian(self, params: np.ndarray) -> np.ndarray:
        """Hessian of the log-likelihood."""
        return self.pull(params).hessian

    def pull(self, params: np.ndarray, *, life_scale: bool = False) -> Pull:
        """Log-likelihood, gradient and Hessian; on the life scale if asked."""
        value, gradient = 0.0, np.zeros(len(params))
        hessian = np.zeros((len(params), len(params)))
        for name in self._seen():
            whole = self.places[name].whole
            part = self._class_pull(params, name, life_scale)
            value += part.value
            gradient[whole] = part.gradient
            hessian[whole, whole] = part.hessian
        return Pull(value, gradient, hessian)

    def to_rates(self, params: np.ndarray) -> np.ndarray:
        """Parameters on the life scale -> log rates."""
        out = params.copy()
        for place in self.places.values():
            if place.shape is not None:
                out[place.rates] += log_mean_factor(params[place.shape])
        return out

    def rates_jacobian(self, params: np.ndarray) -> np.ndarray:
        """Derivative of `to_rates`: array (params, params)."""
        jacobian = np.eye(len(params))
        for place in self.places.values():
            if place.shape is not None:
                jacobian[place.rates, place.shape] = _mean_factor_slopes(params[place.shape])[0]
        return jacobian

    def climb(self, start: np.ndarray, prior: Prior | None = None) -> Summit:
        """The estimate on the life scale: maximum of the likelihood, or of it times the prior."""
        if prior is None:
            return climb(lambda params: self.pull(params, life_scale=True), start)
        weight = np.linalg.inv(prior.cov)

        def pull_at(params: np.ndarray) -> Pull:
            got = self.pull(params, life_scale=True)
            off = params - prior.mean
            pulled = weight @ off
            return Pull(
                got.value - 0.5 * float(off @ pulled), got.gradient - pulled, got.hessian - weight
            )

        return climb(pull_at, start)

    def only_seen(self) -> "WearModel":
        """The same model of the classes that have a spell; itself if all have."""
        seen = self._seen()
        if len(seen) == len(self.spells):
            return self
        return WearModel(
            {name: self.spells[name] for name in seen},
            self.floors,
            self.effects,
            paced=self.paced,
            shaped=self.shaped,
            word=self.word,
        )

    def results(self, params: np.ndarray, cov: np.ndarray) -> GenericLikelihoodModelResults:
        """Statsmodels' results for an estimate and its covariance (log rates)."""
        plain = LikelihoodModelResults(self, params, normalized_cov_params=cov, scale=1.0)
        self.df_resid = float(self.endog.shape[0] - len(params))
        self.df_model = 0.0
        return GenericLikelihoodModelResults(self, plain)

    def _seen(self) -> list[str]:
        return [name for name, group in self.spells.items() if len(group.ended)]

    def _split(self, params: np.ndarray, name: str) -> tuple[np.ndarray, np.ndarray, float, float]:
        """Log rates, effects, log shape and spread of a class."""
        place = self.places[name]
        log_shape = 0.0 if place.shape is None else float(params[place.shape])
        spread = 0.0 if place.spread is None else float(np.exp(params[place.spread]))
        return params[place.rates], params[place.effects], log_shape, spread

    def _class_pull(self, params: np.ndarray, name: str, life_scale: bool) -> Pull:
        """Derivatives of one class, by its own parameters."""
        log_rates, effects, log_shape, spread = self._split(params, name)
        shift = log_mean_factor(log_shape) if life_scale else 0.0
        got = wear_derivatives(log_rates + shift, effects, log_shape, spread, self.spells[name])
        if life_scale:
            got = _on_life_scale(got, len(self.floors), log_shape)
        keep = np.ones(len(got.gradient), bool)
        keep[-2:] = self.shaped, self.paced
        return Pull(got.value, got.gradient[keep], got.hessian[np.ix_(keep, keep)])

    def _places(self) -> dict[str, Place]:
        """Where each class stands in the vector."""
        places, start = {}, 0
        for name, columns in self.effects.items():
            middle = start + len(self.floors)
            shape = middle + len(columns)
            spread, end = shape + self.shaped, shape + self.shaped + self.paced
            places[name] = Place(
                slice(start, middle),
                slice(middle, shape),
                shape if self.shaped else None,
                spread if self.paced else None,
                slice(start, end),
            )
            start = end
        return places

    def _term_names(self, name: str, word: str) -> list[str]:
        """Parameter names of a class, in order."""
        return [
            *(f"log {word}[{name}, {floor}]" for floor in self.floors),
            *(f"{effect}[{name}]" for effect in self.effects[name]),
            *([f"log shape[{name}]"] if self.shaped else []),
            *([f"log spread[{name}]"] if self.paced else []),
        ]


def _on_life_scale(got: Pull, floors: int, log_shape: float) -> Pull:
    """Derivatives by log rates turned into derivatives by -log(mean life)."""
    first, second = _mean_factor_slopes(log_shape)
    shape = len(got.gradient) - 2
    turn = np.eye(len(got.gradient))
    turn[:floors, shape] = first
    hessian = turn.T @ got.hessian @ turn
    hessian[shape, shape] += second * got.gradient[:floors].sum()
    return Pull(got.value, turn.T @ got.gradient, hessian)
