"""What the mode hides: means beside modes, doubt about spreads; closed cases and brute force."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.special import digamma
from statsmodels.tools.numdiff import approx_fprime

from tests.wear.published import one_floor
from wearcast.wear.arrow import Arrow
from wearcast.wear.fitting.marginal import bias_correction, rate_doubt, shape_places
from wearcast.wear.fitting.model import Prior, WearModel
from wearcast.wear.spells import Spells


def prior_around(model, mean, sd, tip_sd=1.0):
    """Independent normals."""
    weight = Arrow(
        np.eye(model.size) * np.array(sd, dtype=float) ** -2,
        np.zeros((model.size, model.machines)),
        np.full(model.machines, tip_sd**-2.0),
    )
    return Prior(np.concatenate([mean, np.zeros(model.machines)]), weight, 0.0)


FAR = 1e4
"""Sd of a prior that says nothing."""


def ends_of(ends: int, hours: float = 100.0) -> Spells:
    """So many ends on one floor, each after so many hours."""
    return one_floor(np.full(ends, hours), np.ones(ends))


def hazard_of(ends: int) -> WearModel:
    """A constant hazard on one floor."""
    return WearModel({"filter": ends_of(ends)}, ("vinyl",), paced=False, shaped=False)


def shift_of(model, mode, sd=FAR):
    prior = prior_around(model, mode[: model.size], sd)
    return bias_correction(model, mode, prior, shape_places(model))


@pytest.mark.parametrize("ends", [3, 10, 40])
def test_the_mean_log_hazard_lies_half_an_end_below_its_mode(ends):
    # With a flat prior the hazard is Gamma(n, rate T): its log has mode log(n/T) and mean
    # digamma(n) - log T = mode - 1/(2n) - ... ; to first order that is all.
    (shift,) = shift_of(hazard_of(ends), np.array([-np.log(100.0)]))
    assert shift == pytest.approx(-1 / (2 * ends), rel=1e-6)
    assert shift == pytest.approx(digamma(ends) - np.log(ends), rel=0.15)


def test_nothing_leans_where_the_data_say_nothing():
    # An hour and no end: the likelihood is all but flat against the prior's sd 0.1.
    model = WearModel(
        {"filter": one_floor(np.ones(1), np.zeros(1))}, ("vinyl",), paced=False, shaped=False
    )
    assert shift_of(model, np.array([-8.0]), 0.1) == pytest.approx([0.0], abs=1e-4)


def test_classes_lean_by_their_own_ends_alone():
    # The likelihoods of two classes add, so that their rates lean as each would by itself.
    model = WearModel(
        {"filter": ends_of(5), "wheel": ends_of(20)}, ("vinyl",), paced=False, shaped=False
    )
    mode = np.full(2, -np.log(100.0))
    alone = [shift_of(hazard_of(ends), mode[:1])[0] for ends in (5, 20)]
    assert shift_of(model, mode) == pytest.approx(alone, rel=1e-9)


def machines_of(ends, paced=False, shaped=False):
    """Machines with so many ends each, 80 to 120 h apart, that have a rate of their own."""
    machine = np.repeat(np.arange(len(ends)), ends)
    hours = np.random.default_rng(1).uniform(80, 120, len(machine))
    spells = one_floor(hours, np.ones(len(machine)), machine)
    spells = replace(spells, tip=np.arange(len(ends)))
    return WearModel({"filter": spells}, ("vinyl",), machines=len(ends), paced=paced, shaped=shaped)


def test_with_machines_the_mean_is_that_of_brute_force():
    # Constant hazard: given the log rate, each machine's own part is integrated on a grid.
    ends, sd, tip_sd = [3, 5, 2, 4], 1.0, 0.4
    model = machines_of(ends)
    prior = prior_around(model, np.array([-4.6]), sd, tip_sd)
    best = model.optimum(prior.mean, prior)
    hours = np.bincount(model.spells["filter"].machine, model.spells["filter"].hours[:, 0])
    grid, tips = np.linspace(-7, -2.5, 1201), np.linspace(-2.5, 2.5, 401)
    log = -0.5 * ((grid + 4.6) / sd) ** 2
    for count, ran in zip(ends, hours, strict=True):
        at = grid[:, None] + tips
        log += np.log(
            np.exp(count * at - ran * np.exp(at) - 0.5 * (tips / tip_sd) ** 2).sum(axis=1)
        )
    weight = np.exp(log - log.max())
    mean = weight @ grid / weight.sum()
    shift = bias_correction(model, best.params, prior, shape_places(model))[0]
    # To first order of some fourteen ends.
    assert best.params[0] + shift == pytest.approx(mean, abs=0.1 * abs(shift))


@pytest.mark.parametrize("spread", [1e-6, 0.3, 1.5])
def test_third_derivatives_by_what_is_common_to_a_machine_equal_differences(spread):
    model = machines_of([3, 6], paced=True, shaped=True)
    params = np.array([-4.7, np.log(2.2), np.log(spread), 0.1, -0.2])

    def bend(tips):
        at = np.concatenate([params[:3], tips])
        return model.derivatives(at, life_scale=True).hessian.tips

    thirds, reach = model.third_derivatives(params, "filter")
    differences = np.diag(approx_fprime(params[3:], bend, centered=True))
    assert thirds == pytest.approx(differences, rel=1e-5)
    # On one floor a machine's log wear moves with the floor's log rate as a whole.
    assert reach == pytest.approx(np.ones((2, 1)))


def test_shapes_and_spreads_are_the_terms_that_settle():
    model = WearModel({"a": ends_of(3), "b": ends_of(4)}, ("vinyl",))
    found = [term for term, yes in zip(model.terms, shape_places(model), strict=True) if yes]
    assert found == ["log shape[a]", "log spread[a]", "log shape[b]", "log spread[b]"]


def test_doubt_about_a_spread_widens_the_rates():
    model = machines_of([3, 5, 2, 4], paced=True, shaped=True)
    prior = prior_around(model, np.array([-4.6, 0.8, -2.0]), [1.0, 0.5, 1.0], 0.1)
    best = model.optimum(prior.mean, prior).params
    assert rate_doubt(model, best, prior)[0, 0] > 0


def test_without_a_spread_there_is_no_doubt_about_it():
    model = machines_of([3, 5], shaped=True)
    prior = prior_around(model, np.array([-4.6, 0.8]), 1.0)
    assert not rate_doubt(model, prior.mean, prior).any()
