"""Shape and spread with the rates integrated out, and what the mode hides.

The joint maximum takes the fitted rates for the true ones and so makes machines look more alike
and ends more regular than they are, the more so the fewer they are (as a variance is too small
when divided by n). With the rates integrated out (Laplace) the likelihood of the shapes has another
term, `adjustment_slope`: Cox and Reid, J. R. Statist. Soc. B 49 (1987) 1-39, adjusted profile
likelihood; `wearcast.wear.fitting.settling` goes up it.
"""

import numpy as np

from wearcast.wear.arrow import Solved, raised
from wearcast.wear.fitting.model import Prior, WearModel
from wearcast.wear.likelihood import ClassPart
from wearcast.wear.maximise import Derivatives

STEP = 1e-4
"""Move of log k and log v for the slope of the adjustment."""
STEPS = 2
"""Newton steps of the rates after each move of the shapes."""


def shape_places(model: WearModel) -> np.ndarray:
    """Boolean array (terms,): log shapes and log spreads."""
    chosen = np.zeros(model.size, dtype=bool)
    for place in model.places.values():
        for at in (place.shape, place.spread):
            if at is not None:
                chosen[at] = True
    return chosen


def adjustment_slope(
    model: WearModel,
    params: np.ndarray,
    here: Derivatives,
    solved: Solved,
    blocks: tuple[np.ndarray, np.ndarray, np.ndarray],
) -> np.ndarray:
    """Slope of -1/2 log det (information of the rates) by each shape and spread: array (shapes,).

    `params`: array (terms + machines,) of logs; `solved`: the information, shapes left out;
    `blocks`: of its inverse, see `Solved.blocks`.

    The slope of a log determinant is the trace of the inverse times the slope of the matrix, and
    a class's shape moves that class's part only: one look aside serves all classes.
    """
    shapes = shape_places(model)
    rates = ~shapes
    across = here.hessian.body[np.ix_(rates, shapes)]
    slope, parts = np.zeros(model.size), model.parts(params, life_scale=True)
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
        asked = across @ move[: model.size][shapes]
        push = np.concatenate([asked, here.hessian.arms[shapes].T @ move[: model.size][shapes]])
        follow = solved.solve(push)
        move[: model.size][rates] = follow[: len(asked)]
        move[model.size :] = follow[len(asked) :]
        moved = model.parts(params + move, life_scale=True)
        for name, at in spots.items():
            slope[at] = 0.5 * _traced(model, name, moved[name], parts[name], blocks) / STEP
    return np.asarray(slope[shapes])


def _traced(
    model: WearModel,
    name: str,
    moved: ClassPart,
    part: ClassPart,
    blocks: tuple[np.ndarray, np.ndarray, np.ndarray],
) -> float:
    """Trace of the inverse information times the difference of a class's second derivatives."""
    cov, across, tips = blocks
    rates = ~shape_places(model)
    free = rates[model.columns(name)]
    at = (np.cumsum(rates) - 1)[model.columns(name)[free]]
    total = (cov[np.ix_(at, at)] * (moved.hessian - part.hessian)[np.ix_(free, free)]).sum()
    if model.machines:
        tip = model.spells[name].tip
        total += 2 * (across[np.ix_(at, tip)] * (moved.arms - part.arms)[free]).sum()
        total += tips[tip] @ (moved.tip_bend - part.tip_bend)
    return float(total)


def rate_doubt(model: WearModel, params: np.ndarray, prior: Prior) -> np.ndarray:
    """What the doubt about the spreads adds to the covariance of the rates: array (terms, terms).

    The covariance at the estimate is that for the estimated spread; machines may differ more or
    less than that, and the mean over one standard deviation either way is the larger. What the
    data add is counted as in `wearcast.wear.arrow.raised`.
    """
    extra = np.zeros((model.size, model.size))
    spreads = [place.spread for place in model.places.values() if place.spread is not None]
    if not spreads:
        return extra
    shapes = shape_places(model)
    at_rates = np.ix_(~shapes, ~shapes)
    held = prior.weight.without(shapes)

    def cov_at(point: np.ndarray) -> tuple[Solved, np.ndarray]:
        steep = model.derivatives(point, life_scale=True).hessian.minus()
        return raised(steep, prior.weight), raised(steep.without(shapes), held).body_cov()

    solved, here = cov_at(params)
    sd = np.sqrt(np.diag(solved.body_cov())[spreads])
    extra[at_rates] = -here
    for way in (1, -1):
        moved = params.copy()
        moved[spreads] += way * sd
        extra[at_rates] += 0.5 * cov_at(model.optimum(moved, prior, shapes, STEPS).params)[1]
    return extra


def bias_correction(
    model: WearModel, params: np.ndarray, prior: Prior, held: np.ndarray
) -> np.ndarray:
    """How far the posterior mean of the terms lies from their mode: array (terms,).

    The likelihood of a log rate falls off more slowly towards low rates, the more so the fewer
    the ends. To first order the mean is the mode plus half of the covariance times the mean of the
    third derivatives over it (Laplace): Tierney and Kadane, J. Am. Stat. Assoc. 81 (1986) 82-86.
    With n ends of constant hazard that is -1/(2n), so that the mean hazard is n over the hours.

    Parameters
    ----------
    model : WearModel
    params : array (terms + machines,)
        The mode, on the life scale.
    prior : Prior
    held : bool array (terms,)
        Terms that are taken as known; shapes and spreads must be among them.
    """
    own = shape_places(model)
    steep = model.derivatives(params, life_scale=True).hessian.minus()
    solved = raised(steep.without(held), prior.weight.without(held))
    cov, across, tips = solved.blocks()
    place = np.cumsum(~held) - 1
    bend = np.zeros(len(cov))
    tip_bend = np.zeros(model.machines)
    for name in model.seen():
        third, reach = model.third_derivatives(params, name)
        free = _free(model, name, held)
        at, reach = place[model.columns(name)[free]], reach[:, free[~own[model.columns(name)]]]
        variance = ((reach @ cov[np.ix_(at, at)]) * reach).sum(axis=1)
        if model.machines:
            tip = model.spells[name].tip
            variance = variance + 2 * (reach * across[np.ix_(at, tip)].T).sum(axis=1) + tips[tip]
            np.add.at(tip_bend, tip, third * variance)
        np.add.at(bend, at, reach.T @ (third * variance))
    moved = np.zeros(model.size)
    moved[~held] = 0.5 * (cov @ bend + across @ tip_bend)
    return moved


def _free(model: WearModel, name: str, held: np.ndarray) -> np.ndarray:
    """Boolean array: which of a class's columns are not held."""
    return np.asarray(~held[model.columns(name)])
