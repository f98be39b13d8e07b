"""Does a wear class look Weibull? Generalised residuals."""

import numpy as np
import pytest

from tests.wear.published import one_floor
from wearcast.wear.diagnostics.shape_check import count_ends, shape_chance, shape_words
from wearcast.wear.fitting.plain import fit_plain_class


def test_residuals_add_up_to_the_ends_under_the_estimate():
    # Law: at an exponential's estimate, hazard run through equals ends.
    lives = np.random.default_rng(1).exponential(size=300)
    lives /= lives.mean()
    table = count_ends(lives, np.ones(300, dtype=bool))
    assert table["seen"].sum() == 300
    assert table["fitted"].sum() == pytest.approx(300)


def test_right_shapes_are_seldom_doubted():
    rng = np.random.default_rng(2)
    chances = []
    for _ in range(100):
        lives, until = rng.weibull(2.0, 120), rng.uniform(0, 3, 120)
        seen, worn = np.minimum(lives, until), lives <= until
        fit = fit_plain_class("part", one_floor(seen, worn), ("floor",), paced=False)
        log_rate, log_shape = fit.params
        chances.append(shape_chance((seen * np.exp(log_rate)) ** np.exp(log_shape), worn))
    # 100 fleets at 5 %: mean 5, sd 2.2, three of them allowed.
    assert np.sum(np.array(chances) < 0.05) <= 12
    assert np.sum(np.array(chances) < 1e-3) <= 1


def test_two_kinds_of_part_mixed_are_told():
    rng = np.random.default_rng(3)
    lives = np.concatenate([rng.normal(0.2, 0.02, 60), rng.normal(1.8, 0.1, 60)])
    words = shape_words(lives, np.ones(120, dtype=bool))
    assert words.startswith(("more early ends", "fewer"))


def test_too_few_ends_say_nothing():
    assert shape_words(np.full(10, 0.1), np.ones(10, dtype=bool)) == ""
    assert np.isnan(shape_chance(np.full(10, 0.1), np.ones(10, dtype=bool)))
