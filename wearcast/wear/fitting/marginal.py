"""Shape and spread with the rates integrated out.

The joint maximum takes the fitted rates for the true ones and so makes machines look more alike
and ends more regular than they are, the more so the fewer they are (as a variance is too small
when divided by n). `settle_shapes` climbs the likelihood with the rates integrated out (Laplace)
instead: Cox and Reid, J. R. Statist. Soc. B 49 (1987) 1-39, adjusted profile likelihood.
"""

import numpy as np

from wearcast.wear.fitting.climb import climb
from wearcast.wear.fitting.likelihood import Pull
from wearcast.wear.fitting.model import Place, Prior, WearModel
from wearcast.wear.fitting.sharing import learnt

STEP = 0.05
"""Move of log k and log v for the slope of the adjustment."""
ROUNDS = 3
LONGEST = 0.5
"""Largest move of log k or log v in one round."""
LEAN_STEP = 0.3
"""Standard deviations to either side for the third derivatives."""


def settle_shapes(model: WearModel, params: np.ndarray, prior: Prior) -> np.ndarray:
    """Parameters on the life scale: shapes and spreads at their marginal maximum, rates given them.

    Parameters
    ----------
    model : WearModel
    params : array (terms,)
        The joint maximum.
    prior : Prior
    """
    shapes = shape_places(model)
    if not shapes.any() or not model.spells:
        return params
    weight = np.linalg.inv(prior.cov)
    for _ in range(ROUNDS):
        pull = penalised(model, params, prior.mean, weight)
        slope = pull.gradient[shapes] + _adjustment_slope(model, params, pull, weight)
        cov = np.linalg.inv(_information(pull, weight))[np.ix_(shapes, shapes)]
        move = np.clip(cov @ slope, -LONGEST, LONGEST)
        params = params.copy()
        params[shapes] += move
        params = _rates_given_shapes(model, params, prior.mean, weight)
        if np.abs(move).max() < 1e-3:
            break
    return params


def penalised(model: WearModel, params: np.ndarray, mean: np.ndarray, weight: np.ndarray) -> Pull:
    """Log-posterior on the life scale with its derivatives."""
    got = model.pull(params, life_scale=True)
    pulled = weight @ (params - mean)
    value = got.value - 0.5 * float((params - mean) @ pulled)
    return Pull(value, got.gradient - pulled, got.hessian - weight)


def shape_places(model: WearModel) -> np.ndarray:
    """Boolean array (terms,): log shapes and log spreads."""
    chosen = np.zeros(len(model.terms), dtype=bool)
    for place in model.places.values():
        for at in (place.shape, place.spread):
            if at is not None:
                chosen[at] = True
    return chosen


def _adjustment_slope(
    model: WearModel, params: np.ndarray, pull: Pull, weight: np.ndarray
) -> np.ndarray:
    """Slope of -1/2 log det (information of the rates) by each shape and spread.

    All classes move at once, for each looks at its own rates only; the rates follow.
    """
    shapes = shape_places(model)
    rates = ~shapes
    information = _information(pull, weight)
    follow = -np.linalg.solve(information[np.ix_(rates, rates)], information[np.ix_(rates, shapes)])
    slope = np.zeros(len(params))
    for which in ("shape", "spread"):
        spots = {
            name: getattr(place, which)
            for name, place in model.places.items()
            if getattr(place, which) is not None
        }
        if not spots:
            continue
        move = np.zeros(len(params))
        move[list(spots.values())] = STEP
        move[rates] = follow @ move[shapes]
        up, down = (_log_dets(model, params + way * move, weight) for way in (1, -1))
        for name, at in spots.items():
            slope[at] = -0.5 * (up[name] - down[name]) / (2 * STEP)
    return np.asarray(slope[shapes])


def _log_dets(model: WearModel, params: np.ndarray, weight: np.ndarray) -> dict[str, float]:
    """Log determinant of the information of each class's rates and effects."""
    information = weight - model.pull(params, life_scale=True).hessian
    dets = {}
    for name, place in model.places.items():
        own = slice(place.rates.start, place.effects.stop)
        dets[name] = float(np.linalg.slogdet(information[own, own])[1])
    return dets


def _rates_given_shapes(
    model: WearModel, params: np.ndarray, mean: np.ndarray, weight: np.ndarray
) -> np.ndarray:
    """At most two steps of the rates uphill, with shapes and spreads held."""
    rates = ~shape_places(model)

    def with_rates(some: np.ndarray) -> np.ndarray:
        whole = params.copy()
        whole[rates] = some
        return whole

    def pull_at(some: np.ndarray) -> Pull:
        pull = penalised(model, with_rates(some), mean, weight)
        return Pull(pull.value, pull.gradient[rates], pull.hessian[np.ix_(rates, rates)])

    return with_rates(climb(pull_at, params[rates], most_steps=2).params)


def _information(pull: Pull, weight: np.ndarray) -> np.ndarray:
    """Precision at a point: array (terms, terms), always one that can be inverted to a covariance.

    Odd logs bend the likelihood the wrong way farther than the prior holds; that bend is left out.
    """
    information = -pull.hessian
    if np.linalg.eigvalsh(information)[0] > 0:
        return information
    return np.asarray(weight + learnt(pull.hessian + weight))


def rate_doubt(model: WearModel, params: np.ndarray, prior: Prior) -> np.ndarray:
    """What the doubt about the spreads adds to the covariance of the rates: array (terms, terms).

    The covariance at the estimate is that for the estimated spread; machines may differ more or
    less than that, and the mean over one standard deviation either way is the larger. What the
    data add is counted as in `posterior_under`.
    """
    extra = np.zeros((len(params), len(params)))
    spreads = [place.spread for place in model.places.values() if place.spread is not None]
    if not spreads:
        return extra
    weight, rates = np.linalg.inv(prior.cov), ~shape_places(model)
    at_rates = np.ix_(rates, rates)
    here = weight + learnt(model.pull(params, life_scale=True).hessian)
    sd = np.sqrt(np.diag(np.linalg.inv(here))[spreads])
    extra[at_rates] = -np.linalg.inv(here[at_rates])
    for way in (1, -1):
        moved = params.copy()
        moved[spreads] += way * sd
        moved = _rates_given_shapes(model, moved, prior.mean, weight)
        there = weight + learnt(model.pull(moved, life_scale=True).hessian)
        extra[at_rates] += 0.5 * np.linalg.inv(there[at_rates])
    return extra


def lean(model: WearModel, params: np.ndarray, cov: np.ndarray) -> np.ndarray:
    """How far the posterior mean of the log rates lies from their mode: array (terms,).

    The likelihood of a log rate falls off more slowly towards low rates, the more so the fewer
    the ends. To first order the mean is the mode plus half of cov times the mean of the third
    derivatives over cov (Laplace): Tierney and Kadane, J. Am. Stat. Assoc. 81 (1986) 82-86. With
    n ends of constant hazard that is -1/(2n), so that the mean hazard is n over the hours.
    All classes move at once, for each looks at its own parameters only.
    """
    ways = np.zeros((max(map(_size, model.places.values()), default=0), len(params)))
    for place in model.places.values():
        values, vectors = np.linalg.eigh(cov[place.whole, place.whole])
        ways[: len(values), place.whole] = (vectors * np.sqrt(np.clip(values, 0, None))).T
    here = model.pull(params, life_scale=True).gradient
    bend = np.zeros(len(params))
    for way in ways:
        beyond = model.pull(params + LEAN_STEP * way, life_scale=True).gradient
        before = model.pull(params - LEAN_STEP * way, life_scale=True).gradient
        bend += (beyond + before - 2 * here) / LEAN_STEP**2
    return np.where(shape_places(model), 0.0, 0.5 * cov @ bend)


def _size(place: Place) -> int:
    """How many parameters a class has."""
    return int(place.whole.stop - place.whole.start)
