"""Newton's way up a log-posterior, with a safeguard; arrays only."""

from collections.abc import Callable
from typing import NamedTuple

import numpy as np
from scipy.linalg import LinAlgError, cho_factor, cho_solve

from wearcast.wear.fitting.likelihood import Pull

LONGEST_STEP = 2.0
"""Largest move of one parameter in one step; they are logs, so a factor of e^2."""


class Summit(NamedTuple):
    """Where the climb ended."""

    params: np.ndarray
    pull: Pull
    converged: bool
    steps: int


def climb(
    pull_at: Callable[[np.ndarray], Pull], start: np.ndarray, most_steps: int = 100
) -> Summit:
    """The maximum of a smooth function, by Newton steps that never go down.

    Parameters
    ----------
    pull_at : callable
        Parameters to value, gradient and Hessian.
    start : array (params,)
    most_steps : int
        Where to give up; the result then says that it did not converge.
    """
    here, pull = start, pull_at(start)
    for step in range(most_steps):
        move = _newton_move(pull)
        gain = float(move @ pull.gradient)
        if gain < 1e-11 * (1 + abs(pull.value) * 1e-4):
            return Summit(here, pull, True, step)
        taken = _go(pull_at, here, move, pull)
        if taken is None:
            return Summit(here, pull, gain < 1e-6, step)
        here, pull = taken
    return Summit(here, pull, False, most_steps)


def _newton_move(pull: Pull) -> np.ndarray:
    """The Newton step, the Hessian made definite where it is not, and no longer than allowed."""
    steep = -pull.hessian
    size = np.maximum(np.abs(np.diag(steep)), 1e-8)
    ridge = 0.0
    while True:
        try:
            move = cho_solve(cho_factor(steep + np.diag(ridge * size)), pull.gradient)
            break
        except LinAlgError:
            ridge = max(10 * ridge, 1e-3)
    longest = np.abs(move).max(initial=0.0)
    return np.asarray(move * min(1.0, LONGEST_STEP / longest) if longest > 0 else move)


def _go(
    pull_at: Callable[[np.ndarray], Pull], here: np.ndarray, move: np.ndarray, pull: Pull
) -> tuple[np.ndarray, Pull] | None:
    """The first point on the way that is not lower; None if there is none."""
    for halving in range(30):
        there = here + move * 0.5**halving
        with np.errstate(over="ignore", divide="ignore", invalid="ignore"):
            new = pull_at(there)
        if np.isfinite(new.value) and new.value >= pull.value:
            return there, new
    return None
