"""How far levels differ, by the data: what each candidate prior is worth, and what stays open."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import multivariate_normal

from tests.wear.published import one_floor
from wearcast.wear.arrow import Arrow
from wearcast.wear.covariates import EFFECTS
from wearcast.wear.fitting.model import Prior, WearModel
from wearcast.wear.fitting.prior_at import Settings, first_settings, prior_of
from wearcast.wear.fitting.quadratic import Candidates, Quadratic, quadratic
from wearcast.wear.fitting.settling import asked_of, settle
from wearcast.wear.fitting.spreads import Axis, axes_of, chances_of, definite, spreads_of, widened
from wearcast.wear.maximise import Derivatives
from wearcast.wear.priors import WEAR, Centre

CENTRES = {"blade": Centre("blade", 100.0, 0.7)}


def flat(variance, tip=1.0):
    """A normal prior N(0, variance) of one term, N(0, tip) of one machine."""
    precision = np.eye(1) / variance
    log_det = -np.log(variance) - np.log(tip)
    return Prior(np.zeros(2), Arrow(precision, np.zeros((1, 1)), np.array([1 / tip])), log_det)


def around(bend, slope=0.0):
    """A quadratic log-likelihood of one term (the machine left alone) around 0."""
    hessian = Arrow(np.array([[bend]]), np.zeros((1, 1)), np.zeros(1))
    return quadratic(np.zeros(2), Derivatives(0.0, np.array([slope, 0.0]), hessian))


def test_a_quadratic_likelihood_gives_the_textbook_posterior():
    # Normal prior N(0, 4), normal likelihood with precision 1 and slope 1 at 0: mean 0.8, var 0.8
    # (computed here: precision 1/4 + 1, pull 1).
    got = around(-1.0, 1.0).posterior(flat(4.0))
    assert (got.mean.item(), got.cov.item()) == pytest.approx((0.8, 0.8))


def test_priors_of_some_terms_weighed_together_are_as_each_alone():
    rng = np.random.default_rng(5)
    size, tips, at = 5, 3, np.array([1, 3])
    root, weights = rng.normal(size=(size, size)), np.array([np.eye(2), [[3.0, 0.5], [0.5, 2.0]]])
    hessian = Arrow(-root @ root.T - np.eye(size), -rng.normal(size=(size, tips)) / 9, -np.ones(3))
    here = Derivatives(0.0, rng.normal(size=size + tips), hessian)
    quad = quadratic(rng.normal(size=size + tips), here)
    mean = np.append(rng.normal(size=size), np.zeros(tips))
    priors = []
    for weight in weights:
        body = np.eye(size)
        body[np.ix_(at, at)] = weight
        arrow = Arrow(body, np.zeros((size, tips)), np.ones(tips))
        priors.append(Prior(mean, arrow, float(np.linalg.slogdet(body)[1])))
    few = Candidates(at, weights, np.linalg.slogdet(weights)[1])
    way = quad.along(priors[0], at)
    alone = [quad.under(prior)[2] for prior in priors]
    assert np.diff(way.evidence(few)) == pytest.approx(np.diff(alone))
    share = np.array([0.3, 0.7])
    under = [quad.posterior(prior) for prior in priors]
    middle = share @ [one.mean for one in under]
    off = [one.mean - middle for one in under]
    cov = sum(w * (one.cov + np.outer(o, o)) for w, one, o in zip(share, under, off, strict=True))
    more = way.mixed(few, share, 1)
    assert under[1].mean + more[0] == pytest.approx(middle)
    assert under[1].cov + more[1] == pytest.approx(cov)


@pytest.mark.parametrize("bend", [0.3, 0.2499, 0.9])
def test_a_likelihood_bent_the_wrong_way_leaves_the_prior_as_it_is(bend):
    # Upward bends of 0.25 and more would cancel the prior's precision of 1/4 altogether.
    assert around(bend).posterior(flat(4.0)).cov.item() == pytest.approx(4.0)


def test_a_wrong_bend_makes_no_prior_the_likeliest():
    wide, narrow = (around(0.2499).under(flat(variance))[2] for variance in (4.0, 0.5))
    assert wide == pytest.approx(narrow)


@pytest.mark.parametrize("tip", [0.3, 2.0])
def test_the_marginal_likelihood_is_that_of_normal_numbers(tip):
    # Observations y = A x with x the terms and machines: y ~ N(A mean, A prior A' + 1).
    rng = np.random.default_rng(1)
    looks, seen = (
        np.column_stack([rng.normal(size=(8, 2)), np.repeat(np.eye(4), 2, axis=0)]),
        rng.normal(size=8),
    )
    precision = looks.T @ looks
    information = Arrow(precision[:2, :2], precision[:2, 2:], np.diag(precision)[2:])
    at = rng.normal(size=6)
    known = Quadratic(at, looks.T @ (seen - looks @ at), information, {})
    marginals, references = [], []
    for sd in (0.4, 1.5):
        variance = np.array([sd**2, sd**2, *[tip] * 4])
        prior = Prior(
            np.zeros(6),
            Arrow(np.eye(2) / sd**2, np.zeros((2, 4)), np.full(4, 1 / tip)),
            -np.log(variance).sum(),
        )
        marginals.append(known.under(prior)[2])
        cov = looks @ np.diag(variance) @ looks.T + np.eye(8)
        references.append(multivariate_normal(np.zeros(8), cov).logpdf(seen))
    # Up to what no prior changes.
    assert np.diff(marginals) == pytest.approx(np.diff(references))


def fleet(site_sd, machine_sd, seed, machines=60, sites=12):
    """Sites and machines that differ by these sds; 12 lives a machine, shape 2, mean 100 h."""
    rng = np.random.default_rng(seed)
    of_site = site_sd * rng.standard_normal(sites)
    machine = np.repeat(np.arange(machines), 12)
    site = machine % sites
    rate = np.exp(of_site[site] + (machine_sd * rng.standard_normal(machines))[machine])
    hours = 100 * rng.weibull(2.0, len(machine)) / rate
    spells = one_floor(hours, np.ones(len(machine)), machine, np.eye(sites)[site])
    spells = replace(spells, tip=np.arange(machines))
    names = tuple(f"site[S{number}]" for number in range(sites))
    return WearModel({"blade": spells}, ("vinyl",), {"blade": names}, machines, paced=False)


def chosen(model):
    """Settled settings, how plausible each candidate is about them, and the likelihood there."""
    first = first_settings(WEAR, CENTRES)
    start = prior_of(model, CENTRES, first).mean
    params, settings, _ = settle(asked_of(model, CENTRES, first), start, first)
    axes = axes_of(model, CENTRES, first, settings)
    found = quadratic(params, model.derivatives(params, life_scale=True))
    return axes, settings, chances_of(model, found, CENTRES, axes, settings), found


def test_an_effect_is_looked_for_where_the_model_has_it():
    first = first_settings(WEAR, CENTRES)
    named = {axis.name for axis in axes_of(fleet(0, 0, 1), CENTRES, first, first)}
    # One floor: nothing to choose of floors. Front and turning are held.
    assert named == {"site", "machine"}


def test_one_site_leaves_its_spread_at_the_prior():
    axes, _, chances, _ = chosen(fleet(0.3, 0.1, 3, sites=1))
    spread = spreads_of(axes, chances)["site"]
    typical, unsure = next((e.typical, e.unsure) for e in EFFECTS if e.name == "site")
    before = Axis(
        "site", list(spread.sds), -0.5 * (np.log(np.array(spread.sds) / typical) / unsure) ** 2
    )
    plausible = np.exp(before.plausible)
    # One level of size unknown moves the mean little: the prior's own is .17.
    assert spread.mean == pytest.approx(np.dot(spread.sds, plausible / plausible.sum()), rel=0.25)


def test_what_an_axis_leaves_open_widens_the_posterior_and_keeps_it_definite():
    model = fleet(0.3, 0.1, 4, machines=12, sites=4)
    axes, settings, chances, found = chosen(model)
    wide = widened(model, found, CENTRES, axes, settings, chances)
    held = found.posterior(prior_of(model, CENTRES, settings))
    assert np.linalg.eigvalsh(wide.cov).min() > 0
    at = model.terms.index("log rate[blade, vinyl]")
    assert wide.cov[at, at] > held.cov[at, at]


def test_a_covariance_is_kept_from_falling_under_a_tenth():
    least = np.diag([1.0, 4.0])
    kept = definite(np.diag([-3.0, 4.0]), least)
    assert kept == pytest.approx(np.diag([0.1, 4.0]))


def test_a_prior_of_cells_is_the_covariance_of_its_record():
    none = one_floor(np.zeros(0), np.zeros(0))
    spells = replace(none, hours=np.zeros((0, 2)), end_mix=np.zeros((0, 2)))
    centres = {"gum": Centre("blade", 100.0, 0.7), "pad": Centre("pad", 20.0, 0.35)}
    model = WearModel(dict.fromkeys(centres, spells), ("a", "b"), shaped=False, paced=False)
    prior = prior_of(model, centres, Settings({"blade": WEAR, "pad": WEAR}, {"machine": 1.0}))
    cov = np.linalg.inv(prior.weight.body)
    # Class and floor sds: .7 and .7 of the gum blade, .35 and .7 of the pad; kinds by themselves.
    assert np.diag(cov) == pytest.approx([0.98, 0.98, 0.35**2 + 0.49, 0.35**2 + 0.49])
    assert cov[0, 1] == pytest.approx(0.49)
    assert cov[0, 2] == pytest.approx(0.0)
    assert prior.mean == pytest.approx(-np.log([100, 100, 20, 20]))
    assert prior.log_det == pytest.approx(-np.linalg.slogdet(cov)[1])
