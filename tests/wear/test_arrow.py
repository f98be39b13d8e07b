"""Arrows against the dense matrices that they stand for (numpy)."""

import numpy as np
import pytest
from scipy.linalg import LinAlgError

from wearcast.wear.arrow import DENSE, Arrow, factored, gram, lifted, raised


def dense(arrow):
    return np.block([[arrow.body, arrow.arms], [arrow.arms.T, np.diag(arrow.tips)]])


def some_arrow(seed, body=4, tips=6):
    """A positive definite arrow."""
    rng = np.random.default_rng(seed)
    arms = rng.normal(size=(body, tips))
    ends = rng.uniform(0.5, 3.0, tips)
    root = rng.normal(size=(body, body))
    return Arrow(root @ root.T + (arms / ends) @ arms.T + 0.1 * np.eye(body), arms, ends)


@pytest.fixture(scope="module")
def arrow():
    return some_arrow(1)


VECTOR = np.linspace(-1, 2, 10)


def test_what_an_arrow_tells_is_what_its_dense_matrix_tells(arrow):
    full, cut = dense(arrow), factored(arrow)
    assert arrow.times(VECTOR) == pytest.approx(full @ VECTOR, rel=1e-12)
    assert arrow.diagonal().tolist() == np.diag(full).tolist()
    assert cut.solve(VECTOR) == pytest.approx(np.linalg.solve(full, VECTOR), rel=1e-9)
    assert cut.log_det == pytest.approx(np.linalg.slogdet(full)[1], rel=1e-12)
    assert cut.body_cov() == pytest.approx(np.linalg.inv(full)[:4, :4], rel=1e-9)


@pytest.mark.parametrize("tips", [0, 6])
def test_without_tips_or_with_them_the_parts_fit_together(tips):
    one = some_arrow(3, tips=tips)
    twice = one.plus(one.body, one.tips)
    assert dense(twice) == pytest.approx(2 * dense(one) - dense(one._replace(
        body=0 * one.body, tips=0 * one.tips)))  # fmt: skip
    assert dense(one.minus()) == pytest.approx(-dense(one))


@pytest.mark.parametrize("where", ["body", "tips"])
def test_what_is_not_positive_definite_is_refused(arrow, where):
    bent = arrow._replace(**{where: getattr(arrow, where) - 50 * np.eye(4)[0, 0]})
    with pytest.raises(LinAlgError):
        factored(bent)


def test_lifting_leaves_a_definite_arrow_alone(arrow):
    assert dense(lifted(arrow, np.ones(6))) == pytest.approx(dense(arrow), rel=1e-9)


@pytest.mark.parametrize("bend", [0.3, 0.2499, 0.9])
def test_data_that_bend_the_wrong_way_leave_the_prior_as_it_is(bend):
    # Upward bends of 0.25 and more would cancel the prior's precision of 1/4 altogether.
    data = Arrow(np.diag([-bend, 1.0]), np.zeros((2, 1)), np.array([-bend]))
    prior = Arrow(0.25 * np.eye(2), np.zeros((2, 1)), np.array([0.25]))
    cov = np.linalg.inv(dense(lifted(data, prior.tips).plus(prior.body, prior.tips)))
    assert np.diag(cov) == pytest.approx([4.0, 0.8, 4.0])
    assert np.diag(raised(data, prior).body_cov()) == pytest.approx([4.0, 0.8])


def test_products_of_many_columns_are_the_dense_ones():
    rng = np.random.default_rng(4)
    columns = rng.normal(size=(DENSE // 40 + 1, 40)) * (rng.random((DENSE // 40 + 1, 40)) < 0.1)
    weight = rng.uniform(0.5, 2.0, len(columns))
    expected = columns.T @ (weight[:, None] * columns)
    assert gram(columns, weight) == pytest.approx(expected, rel=1e-12, abs=1e-12)
