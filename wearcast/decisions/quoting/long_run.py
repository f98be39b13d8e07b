"""Edges and parts in the long run: how long an edge lasts, how many a part gives, what 100 h cost.

An edge ends at the first of three: worn out (Weibull, shape ``k``, wear rate ``r``, pace ``z``),
damaged, or removed (both at a constant hazard). Arrays broadcast against each other.
"""

import numpy as np

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(64)
_CHANCES, _WEIGHTS = (_NODES + 1) / 2, _WEIGHTS / 2
_HAZARD_FLOOR = 1e-12
"""Hazards below this [1/h] stand for none; it keeps a division from failing."""


def edge_hours(
    rate: np.ndarray, shape: np.ndarray, pace: np.ndarray, hazard: np.ndarray
) -> np.ndarray:
    """Mean run hours of an edge until it ends for whatever reason [h]; arrays of one shape.

    Parameters
    ----------
    rate : wear a run hour [1/h]
    shape : Weibull shape
    pace : hazard multiplier
    hazard : damage and other ends a run hour [1/h]

    Notes
    -----
    With T the hours to wear-out, the mean of the earlier end is E[(1 - exp(-hazard T)) / hazard],
    taken over the quantiles of T by a Gauss-Legendre rule.
    """
    hazard = np.maximum(hazard, _HAZARD_FLOOR)
    total = np.zeros(np.broadcast_shapes(*map(np.shape, (rate, shape, pace, hazard))))
    for chance, weight in zip(_CHANCES, _WEIGHTS, strict=True):
        hours = (-np.log1p(-chance) / pace) ** (1 / shape) / rate
        total -= weight * np.expm1(-hazard * hours) / hazard
    return total


def edges_a_part(edges: np.ndarray, goes_on: np.ndarray) -> np.ndarray:
    """Mean number of edges that a part gives before it goes; arrays of one shape.

    Parameters
    ----------
    edges : edges that the part has
    goes_on : chance that an edge's end is a turn to the next edge, where one is left
    """
    edge = np.arange(int(np.max(edges, initial=1)))
    reached = goes_on[..., None] ** edge
    return np.asarray(np.where(edge < np.asarray(edges)[..., None], reached, 0.0).sum(axis=-1))


def turn_chance(
    hours: np.ndarray,
    damage: np.ndarray,
    removal: np.ndarray,
    replaced_worn: np.ndarray,
    replaced_damaged: np.ndarray,
) -> np.ndarray:
    """Chance that an edge's end is a turn, where an edge is left; a removal always ends the part.

    Arrays of one shape. `hours` [h] is the mean life of the edge: times a hazard [1/h] it is the
    chance of that kind of end.
    """
    torn = damage * hours
    worn = np.maximum(1 - torn - removal * hours, 0.0)
    return np.asarray(worn * (1 - replaced_worn) + torn * (1 - replaced_damaged))
