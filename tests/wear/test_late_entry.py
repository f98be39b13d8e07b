"""Logs that begin in the middle of a life: what is left out does not bias what is left in."""

import numpy as np
import pytest

from tests.wear.published import one_floor
from wearcast.wear.diagnostics.curves import product_limit
from wearcast.wear.fitting.plain import fit_plain_class

SHAPE, SCALE = 2.2, 100.0
BEFORE, LOGGED = 700.0, 260.0
"""Run hours before the log begins, and of the log: under three lives, so that first spells weigh.
"""


def lives_in_log(rng, machines=200):
    """Start and end of every life that reaches into the log, and whether its end is in it."""
    lives = SCALE * rng.weibull(SHAPE, (machines, 60))
    end = np.cumsum(lives, axis=1)
    start = end - lives
    inside = (end > BEFORE) & (start < BEFORE + LOGGED)
    start, end = start[inside] - BEFORE, end[inside] - BEFORE
    return start, np.minimum(end, LOGGED), end <= LOGGED


def fitted(hours, worn):
    fit = fit_plain_class("part", one_floor(hours, worn), ("floor",), paced=False)
    error = np.sqrt(np.diag(fit.cov))
    return -fit.params[0], fit.params[1], error


@pytest.fixture(scope="module")
def logs():
    rng = np.random.default_rng(17)
    return [lives_in_log(rng) for _ in range(40)]


def test_leaving_out_first_spells_of_unknown_start_does_not_bias(logs):
    off = []
    for start, end, worn in logs:
        known = start >= 0
        scale, shape, error = fitted((end - start)[known], worn[known].astype(float))
        off.append(((scale - np.log(SCALE)) / error[0], (shape - np.log(SHAPE)) / error[1]))
    # 40 independent logs: the mean of 40 standard normals is within 4 / sqrt(40).
    assert np.abs(np.mean(off, axis=0)).max() < 4 / np.sqrt(40)


def test_counting_them_from_the_beginning_of_the_log_would_bias(logs):
    off = []
    for start, end, worn in logs:
        hours = end - np.maximum(start, 0)
        scale, _, error = fitted(hours, worn.astype(float))
        off.append((scale - np.log(SCALE)) / error[0])
    assert np.mean(off) < -4 / np.sqrt(40)


def test_the_product_limit_takes_late_entries_without_bias(logs):
    # The age at which the log begins is known here: the curve may use the first spells as well.
    at, good = np.array([50.0, 100.0, 150.0]), []
    for start, end, worn in logs:
        curve = product_limit(end - start, worn, entry=np.maximum(-start, 0))
        place = np.searchsorted(curve["hours"], at, "right") - 1
        good.append(curve["good"].to_numpy()[place])
    true = np.exp(-((at / SCALE) ** SHAPE))
    # 40 independent logs: four standard errors of their mean.
    error = np.std(good, axis=0, ddof=1) / np.sqrt(len(good))
    assert (np.abs(np.mean(good, axis=0) - true) < 4 * error).all()
