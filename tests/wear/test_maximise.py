"""Newton's way to the top: where it ends, and that it says so when it does not arrive."""

import numpy as np
import pytest

from wearcast.wear.arrow import Arrow
from wearcast.wear.maximise import Derivatives, maximise


def saddle(at):
    """-(x^2 - 1)^2 - (y - x)^2 / 2: bends upwards around x = 0; maxima at (1, 1), (-1, -1)."""
    x, y = at
    return Derivatives(
        -((x**2 - 1) ** 2) - (y - x) ** 2 / 2,
        np.array([-4 * x * (x**2 - 1) + y - x, x - y]),
        Arrow(np.array([[4 - 12 * x**2 - 1]]), np.array([[1.0]]), np.array([-1.0])),
    )


def test_it_leaves_a_place_that_bends_upwards_and_finds_the_top():
    found = maximise(saddle, np.array([0.1, 0.3]))
    assert found.converged
    assert found.params == pytest.approx([1.0, 1.0], abs=1e-6)


def test_a_quadratic_takes_one_step():
    bend = Arrow(np.array([[-2.0]]), np.array([[0.5]]), np.array([-1.0]))
    top = np.array([0.3, -0.2])

    def at(params):
        off = params - top
        return Derivatives(0.5 * float(off @ bend.times(off)), bend.times(off), bend)

    found = maximise(at, np.zeros(2))
    assert (found.converged, found.steps) == (True, 1)
    assert found.params == pytest.approx(top)


def test_out_of_steps_it_says_that_it_did_not_converge():
    assert not maximise(saddle, np.array([0.1, 0.3]), most_steps=2).converged


def test_a_value_too_large_to_see_the_last_gain_costs_no_further_steps():
    asked = []

    def at(params):
        asked.append(params)
        here = saddle(params)
        return here._replace(value=here.value - 1e6 - 5e-8 * len(asked))

    found = maximise(at, np.array([1.00005, 1.00005]))
    assert found.converged
    assert found.params == pytest.approx([1.0, 1.0], abs=1e-6)
    assert len(asked) < 5
