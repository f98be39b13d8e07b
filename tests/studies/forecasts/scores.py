"""Scores of a forecast of counts: pinball loss, cover, and the randomised integral transform."""

import numpy as np
from scipy import stats

LEVELS = np.arange(1, 20) / 20
"""The 19 quantiles scored."""


def pinball(quantiles: np.ndarray, actual: np.ndarray) -> np.ndarray:
    """Mean loss over the 19 quantiles, one value an entry of `actual`.

    Parameters
    ----------
    quantiles : array (..., 19)
    actual : array (...)

    References
    ----------
    R. Koenker and G. Bassett, Econometrica 46 (1978) 33-50.
    """
    miss = actual[..., None] - quantiles
    return np.maximum(LEVELS * miss, (LEVELS - 1) * miss).mean(axis=-1)


def quantiles_of(draws: np.ndarray) -> np.ndarray:
    """The 19 quantiles of draws (..., draws): values that were drawn, as counts are."""
    return np.moveaxis(np.quantile(draws, LEVELS, axis=-1, method="inverted_cdf"), 0, -1)


def poisson_quantiles(mean: np.ndarray) -> np.ndarray:
    """The 19 quantiles of a Poisson count of that mean."""
    return stats.poisson.ppf(LEVELS, np.asarray(mean)[..., None])


def transform(draws: np.ndarray, actual: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    """Randomised probability integral transform: uniform where the forecast is right.

    References
    ----------
    C. Czado, T. Gneiting and L. Held, Biometrics 65 (2009) 1254-1261.
    """
    below = (draws < actual[..., None]).mean(axis=-1)
    upto = (draws <= actual[..., None]).mean(axis=-1)
    return below + rng.random(actual.shape) * (upto - below)
