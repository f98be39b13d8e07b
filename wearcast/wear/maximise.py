"""Newton's way to the maximum of a log-posterior, with a safeguard; arrays only."""

from collections.abc import Callable
from typing import NamedTuple

import numpy as np
from scipy.linalg import LinAlgError

from wearcast.wear.arrow import Arrow, factored

NEARLY = 1e-7
"""What a step still has to gain from which it is the last: the next gains about its square.

In a large log the value itself is not known so finely, so no step could be seen to go up.
"""
MOST_STEPS = 100
LONGEST_STEP = 2.0
"""Largest move of one parameter in one step; they are logs, so a factor of e^2."""


class Derivatives(NamedTuple):
    """A log-likelihood or log-posterior at a point, with its first and second derivatives."""

    value: float
    gradient: np.ndarray
    """array (body + tips,)"""
    hessian: Arrow


class Optimum(NamedTuple):
    """Where the search ended."""

    params: np.ndarray
    here: Derivatives
    converged: bool
    steps: int


def maximise(
    derivatives_at: Callable[[np.ndarray], Derivatives],
    start: np.ndarray,
    most_steps: int = MOST_STEPS,
) -> Optimum:
    """The maximum of a smooth function, by Newton steps that never go down.

    What a parameter counts (a log rate, a log shape) is `derivatives_at`'s own affair.

    Parameters
    ----------
    derivatives_at : callable
        Parameters (body + tips,) to value, gradient and Hessian.
    start : array (body + tips,)
    most_steps : int
        Where to give up; the result then says that it did not converge.
    """
    params, here = start, derivatives_at(start)
    for step in range(most_steps):
        move = _newton_move(here)
        gain = float(move @ here.gradient)
        if gain < 1e-11 * (1 + abs(here.value) * 1e-4):
            return Optimum(params, here, True, step)
        if gain < NEARLY:
            return Optimum(params + move, derivatives_at(params + move), True, step + 1)
        taken = _go(derivatives_at, params, move, here)
        if taken is None:
            return Optimum(params, here, gain < 1e-6, step)
        params, here = taken
    return Optimum(params, here, False, most_steps)


def _newton_move(here: Derivatives) -> np.ndarray:
    """The Newton step, the Hessian made definite where it is not, and no longer than allowed."""
    steep = here.hessian.minus()
    size = np.maximum(np.abs(steep.diagonal()), 1e-8)
    body, tips = np.diag(size[: len(steep.body)]), size[len(steep.body) :]
    ridge = 0.0
    while True:
        try:
            move = factored(steep.plus(ridge * body, ridge * tips)).solve(here.gradient)
            break
        except LinAlgError:
            ridge = max(10 * ridge, 1e-3)
    longest = np.abs(move).max(initial=0.0)
    return np.asarray(move * min(1.0, LONGEST_STEP / longest) if longest > 0 else move)


def _go(
    derivatives_at: Callable[[np.ndarray], Derivatives],
    params: np.ndarray,
    move: np.ndarray,
    here: Derivatives,
) -> tuple[np.ndarray, Derivatives] | None:
    """The first point on the way that is not lower; None if there is none."""
    for halving in range(30):
        there = params + move * 0.5**halving
        with np.errstate(over="ignore", divide="ignore", invalid="ignore"):
            new = derivatives_at(there)
        if np.isfinite(new.value) and new.value >= here.value:
            return there, new
    return None
