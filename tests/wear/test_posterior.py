"""Reading a block: one class out of it, and draws."""

import numpy as np
import pytest

from wearcast.wear.posterior import (
    Drawn,
    at_estimate,
    class_params,
    columns,
    draw_block,
    spread_out,
)
from wearcast.wear.records import Block

TERMS = (
    "log rate[pad, tile]",
    "log shape[pad]",
    "log rate[blade, tile]",
    "log shape[blade]",
    "log spread[blade]",
    "site[North]",
)
BOTH = Block("worn", TERMS, np.arange(6.0), np.diag(np.arange(1.0, 7.0)), -1.0)


def test_a_class_brings_its_own_parameters_and_the_effects_asked_for():
    params = at_estimate(BOTH, "blade", ("tile",), ("site[North]", "site[Mars]"))
    assert params.log_rates.tolist() == [[2.0]]
    assert params.log_shape.tolist() == [3.0]
    assert params.spread.tolist() == [np.exp(4.0)]
    # A site that the fit has not seen does nothing.
    assert params.effects.tolist() == [[5.0, 0.0]]


def test_a_class_without_a_spread_has_no_pace():
    assert at_estimate(BOTH, "pad", ("tile",)).spread.tolist() == [0.0]


def test_a_class_without_a_shape_has_a_constant_hazard():
    held = class_params(Drawn(("log rate[pad, tile]",), np.zeros((3, 1))), "pad", ("tile",))
    assert held.log_shape.tolist() == [0.0] * 3


def test_columns_come_in_the_order_asked_for():
    values = np.arange(4.0).reshape(2, 2)
    assert columns(Drawn(("a", "b"), values), ("b", "none", "a")).tolist() == [[1, 0, 0], [3, 0, 2]]


@pytest.fixture(scope="module")
def tied():
    """Two terms that move together."""
    cov = np.array([[1.0, 0.8], [0.8, 2.0]])
    return Block("worn", ("a", "b"), np.array([3.0, -1.0]), cov, 0.0)


def test_draws_have_the_mean_and_the_covariance_of_the_block(tied):
    values = draw_block(tied, np.random.default_rng(1), 40_000)
    # Five standard errors: sqrt(2 / 40,000) of a variance, and less of the others.
    assert values.mean(axis=0) == pytest.approx(tied.mean, abs=5 * 2**0.5 / 200)
    assert np.cov(values.T) == pytest.approx(tied.cov, abs=5 * 2 * (2 / 40_000) ** 0.5)


def test_the_same_numbers_in_another_order_of_the_terms_give_the_same_draws(tied):
    noise = np.random.default_rng(2).standard_normal((5, 2))
    turned = Block("worn", ("b", "a"), tied.mean[::-1], tied.cov[::-1, ::-1], 0.0)
    assert spread_out(turned, noise[:, ::-1])[:, ::-1] == pytest.approx(spread_out(tied, noise))


def test_a_term_that_is_known_for_sure_does_not_move():
    sure = Block("worn", ("a", "b"), np.array([3.0, -1.0]), np.diag([0.0, 1.0]), 0.0)
    assert set(draw_block(sure, np.random.default_rng(1), 50)[:, 0]) == {3.0}
