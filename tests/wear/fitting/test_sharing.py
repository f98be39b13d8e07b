"""The posterior under a candidate prior is never wider than it, however the data bend."""

import numpy as np
import pytest

from wearcast.wear.fitting.likelihood import Pull
from wearcast.wear.fitting.model import Prior
from wearcast.wear.fitting.sharing import mixture, posterior_under


def test_a_quadratic_likelihood_gives_the_textbook_posterior():
    # Normal prior N(0, 4), normal likelihood with precision 1 and slope 1 at 0: mean 0.8, var 0.8
    # (computed here: precision 1/4 + 1, pull 1).
    got = posterior_under(
        np.zeros(1), Pull(0.0, np.ones(1), -np.eye(1)), Prior(np.zeros(1), 4.0 * np.eye(1))
    )
    assert got.mean == pytest.approx([0.8])
    assert got.cov == pytest.approx(np.array([[0.8]]))


@pytest.mark.parametrize("bend", [0.3, 0.2499, 0.9])
def test_a_likelihood_bent_the_wrong_way_leaves_the_prior_as_it_is(bend):
    # Upward bends of 0.25 and more would cancel the prior's precision of 1/4 altogether.
    pull = Pull(0.0, np.zeros(2), np.diag([bend, -1.0]))
    got = posterior_under(np.zeros(2), pull, Prior(np.zeros(2), 4.0 * np.eye(2)))
    assert np.diag(got.cov) == pytest.approx([4.0, 0.8])


def test_a_wrong_bend_makes_no_prior_the_likeliest():
    pull = Pull(0.0, np.zeros(1), np.diag([0.2499]))
    wide, narrow = (
        posterior_under(np.zeros(1), pull, Prior(np.zeros(1), np.diag([variance])))
        for variance in (4.0, 0.5)
    )
    assert wide.log_marginal == pytest.approx(narrow.log_marginal)
    assert mixture([wide, narrow], np.zeros(2)).cov == pytest.approx(np.array([[2.25]]))
