"""Shapes and sds with the rates integrated out: a closed case, few ends, differences."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import approx_fprime

from tests.wear.fitting.test_spreads import CENTRES, fleet
from tests.wear.published import one_floor
from wearcast.wear.fitting import settling as room
from wearcast.wear.fitting.marginal import shape_places
from wearcast.wear.fitting.model import WearModel
from wearcast.wear.fitting.prior_at import first_settings, prior_of
from wearcast.wear.fitting.settling import asked_of, settle
from wearcast.wear.priors import SHAPE, WEAR, Centre


def settled(model, centres=CENTRES):
    """Parameters and sds where they settle, from the prior."""
    first = first_settings(WEAR, centres)
    start = prior_of(model, centres, first).mean
    params, settings, found = settle(asked_of(model, centres, first), start, first)
    assert found
    return params, settings


def test_a_settled_shape_is_that_of_the_likelihood_without_the_rate():
    # Four lives and a life of which hardly anything is known before: the joint maximum takes the
    # fitted rate for the true one. With the log rate integrated out (closed form below) the shape
    # is lower.
    lives = np.array([60.0, 80.0, 110.0, 130.0])
    model = WearModel({"a": one_floor(lives, np.ones(4))}, ("vinyl",), paced=False)
    centres = {"a": Centre("blade", 100.0, 50.0)}
    prior = prior_of(model, centres, first_settings(WEAR, centres))
    joint = model.optimum(prior.mean, prior).params
    found, _ = settled(model, centres)

    def marginal(shape):
        # The integral over log r of k^n prod x^(k-1) r^(nk) exp(-r^k sum x^k) is Gamma(n)
        # k^(n-1) prod x^(k-1) / (sum x^k)^n; before it log k is normal.
        told = 3 * np.log(shape) + shape * np.log(lives).sum() - 4 * np.log((lives**shape).sum())
        return told - 0.5 * ((np.log(shape) - SHAPE[0]) / SHAPE[1]) ** 2

    grid = np.linspace(1, 8, 7001)
    best = grid[np.argmax([marginal(shape) for shape in grid])]
    assert np.exp(found[1]) < np.exp(joint[1])
    # Laplace over a log rate of four ends.
    assert np.exp(found[1]) == pytest.approx(best, rel=0.02)


def test_machines_with_one_end_each_do_not_make_lives_all_alike():
    # A hundred machines that differ by .15 and have one life of shape 2.5 each: what is common to
    # a machine fits its only end exactly if nothing holds it, and shapes grow without bound.
    rng = np.random.default_rng(1)
    hours = 100 * rng.weibull(2.5, 100) * np.exp(0.15 * rng.standard_normal(100))
    spells = replace(one_floor(hours, np.ones(100), np.arange(100)), tip=np.arange(100))
    model = WearModel({"blade": spells}, ("vinyl",), machines=100)
    params, settings = settled(model)
    place = model.places["blade"].shape
    # 100 lives tell log k to about .78 / sqrt(100) (Weibull information) and the machines' part.
    assert np.exp(params[place]) == pytest.approx(2.5, rel=0.3)
    assert settings.sds["machine"] < 0.3


@pytest.mark.parametrize(("effect", "where"), [("site", 0), ("machine", 1)])
@pytest.mark.parametrize("true", [0.04, 0.35])
def test_an_sd_settles_near_the_true_one(effect, where, true):
    sds = [0.04, 0.04]
    sds[where] = true
    found = np.mean([settled(fleet(*sds, seed))[1].sds[effect] for seed in range(4)])
    other = 0.04 if true > 0.1 else 0.35
    # Twelve sites tell their sd to a factor of about e^(1/sqrt(24)); four fleets.
    assert abs(np.log(found / true)) < abs(np.log(found / other))
    if true > 0.1:
        assert found == pytest.approx(true, rel=0.35)


def test_what_sites_do_is_not_left_to_their_few_machines():
    # Forty sites of three machines, from a look that was far off and gave the machines too much.
    model = fleet(0.25, 0.08, 3, machines=120, sites=40)
    first = first_settings(WEAR, CENTRES)
    off = replace(first, sds={**first.sds, "site": 0.4, "machine": 0.6})
    start = prior_of(model, CENTRES, off).mean
    _, settings, _ = settle(asked_of(model, CENTRES, first), start, off)
    assert settings.sds["site"] == pytest.approx(0.25, rel=0.3)
    assert settings.sds["machine"] < 0.13


def test_an_sd_that_would_run_away_stops_at_the_most():
    assert settled(fleet(4.0, 0.04, 1))[1].sds["site"] == pytest.approx(room.MOST_SD)


def test_slopes_are_the_differences_of_what_is_climbed():
    model = fleet(0.3, 0.2, 5, machines=24, sites=6)
    first = first_settings(WEAR, CENTRES)
    asked = asked_of(model, CENTRES, first)
    start = prior_of(model, CENTRES, first).mean
    best = model.optimum(start, prior_of(model, CENTRES, first)).params
    shapes = shape_places(model)

    def point(moved):
        params = best.copy()
        params[: model.size][shapes] += moved[:1]
        sds = {
            name: first.sds[name] * np.exp(by)
            for name, by in zip(asked.effects, moved[1:], strict=True)
        }
        return room._point(asked, params, replace(first, sds={**first.sds, **sds}))

    still = np.zeros(1 + len(asked.effects))
    differences = approx_fprime(still, lambda moved: point(moved).value, 1e-4)
    # Of sds the slope leaves out how the rates that follow bend the likelihood.
    assert point(still).slope == pytest.approx(differences, rel=0.05, abs=0.1)
