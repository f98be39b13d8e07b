"""The law of life against quadrature, closed cases and differences."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.special import gamma
from statsmodels.tools.numdiff import approx_fprime

from wearcast.wear.life import (
    Laws,
    first_end,
    hazard_variance,
    load,
    load_of,
    log_chance_older,
    log_hazard_of,
    log_mean_factor,
    mean_factor_slopes,
    mean_hazard,
    mean_life,
    median_wear,
    speed_of,
    worn_out_at,
)

SHAPES = pytest.mark.parametrize("shape", [0.7, 1.0, 2.2, 6.0])


def laws(rate=0.0, shape=2.0, pace=1.0, torn=0.0, off_rate=0.0, off_shape=1.0):
    """Laws of one edge."""
    return Laws(*map(np.atleast_1d, (rate, shape, pace, torn, off_rate, off_shape)))


def slope(function, at):
    """Central differences of a function of numbers."""
    at = np.atleast_1d(np.asarray(at, dtype=float))
    return np.ravel(approx_fprime(at, lambda v: float(np.squeeze(function(*v))), centered=True))


@SHAPES
@pytest.mark.parametrize("function", [load_of, log_hazard_of], ids=["load", "log hazard"])
def test_derivatives_equal_differences(function, shape):
    at = np.array([-0.4, np.log(shape)])

    def part(name):
        return lambda x, s: getattr(function(np.array([x]), s), name) * np.ones(1)

    got = function(at[:1], at[1])
    close = {"rel": 1e-6, "abs": 1e-8}
    assert np.hstack([got.x, got.s]) == pytest.approx(slope(part("value"), at), **close)
    assert np.hstack([got.xx, got.xs]) == pytest.approx(slope(part("x"), at), **close)
    assert got.ss == pytest.approx(slope(part("s"), at)[1:], **close)


@pytest.mark.parametrize("wear", [0.2, 1.0, 1.7])
def test_the_log_hazard_is_that_of_the_loads_slope(wear):
    by_wear = slope(lambda d: load(np.log(d), np.log(2.4)), wear)
    assert np.exp(log_hazard_of(np.log([wear]), np.log(2.4)).value) == pytest.approx(by_wear)


@SHAPES
def test_mean_and_median_are_the_weibulls(shape):
    # Closed forms: Gamma(1 + 1/k) / r, and S = 1/2 at the median.
    assert mean_life(np.log(0.01), np.log(shape)) == pytest.approx(100 * gamma(1 + 1 / shape))
    middle = median_wear(np.array(shape), np.array(1.3))
    assert np.exp(-1.3 * middle**shape) == pytest.approx(0.5)


@SHAPES
def test_slopes_of_the_mean_factor_equal_differences(shape):
    first, second = mean_factor_slopes(np.log(shape))
    assert [first] == pytest.approx(slope(log_mean_factor, np.log(shape)), rel=1e-6)
    by_first = slope(lambda s: mean_factor_slopes(s)[0], np.log(shape))
    assert [second] == pytest.approx(by_first, rel=1e-6)


@SHAPES
def test_a_pace_that_acts_on_the_hazard_is_a_wear_speed(shape):
    # z D^k = (z^(1/k) D)^k.
    speed = speed_of(np.array(1.7), shape)
    assert 1.7 * 0.8**shape == pytest.approx((speed * 0.8) ** shape)


@SHAPES
def test_machines_of_normal_log_rates_and_gamma_paces_have_these_hazards(shape):
    # Quadrature over the log rate (normal, variance .04); the pace (variance .3) is apart.
    sd = 0.2

    def moment(power):
        density = lambda m: np.exp(power * shape * m - 0.5 * (m / sd) ** 2)  # noqa: E731
        return quad(density, -4, 4, epsabs=0, points=[0])[0] / (sd * np.sqrt(2 * np.pi))

    assert np.exp(shape * mean_hazard(sd**2, shape)) == pytest.approx(moment(1))
    spread = 1.3 * moment(2) / moment(1) ** 2 - 1
    assert hazard_variance(sd**2, shape, 0.3) == pytest.approx(spread)


def test_a_used_edge_is_worn_out_as_its_rest_of_hazard_says():
    # Unit wait: hazard from 0.5 on is 1.
    end = worn_out_at(np.array(0.5), np.array(1.0), np.array(1.4), np.array(1 / 2.2))
    assert 1.4 * (end**2.2 - 0.5**2.2) == pytest.approx(1.0)


@SHAPES
@pytest.mark.parametrize("wear", [0.05, 0.7, 1.9])
def test_the_chance_to_be_older_equals_quadrature(shape, wear):
    # The long-run age has density S / mean; integrated by scipy.
    beyond = quad(lambda d: np.exp(-(d**shape)), wear, np.inf, epsabs=0, epsrel=1e-11)[0]
    expected = np.log(beyond / gamma(1 + 1 / shape))
    assert log_chance_older(np.log(wear), np.log(shape)) == pytest.approx(expected, rel=1e-8)


def test_the_chance_to_be_older_matches_the_stationary_start_recomputed():
    # Weibull 2.5, scale 1000: forward recurrence distribution at .25, .5, 1, 1.5 of the scale,
    # computed here by two ways (incomplete gamma function, quadrature), not published.
    younger = -np.expm1(log_chance_older(np.log([0.25, 0.5, 1.0, 1.5]), np.log(2.5)))
    assert younger == pytest.approx([0.279272, 0.536476, 0.880526, 0.986700], abs=1e-6)


def test_constant_hazards_share_the_ends_by_their_sizes():
    # Closed form: mean 1 / (a + b + c), chances a, b, c over their sum.
    end = first_end(laws(0.01, 1.0, 2.0, torn=0.03, off_rate=0.05))
    assert end.hours == pytest.approx([10.0], rel=1e-4)
    assert np.ravel([end.worn, end.torn, end.taken_off]) == pytest.approx([0.2, 0.3, 0.5], rel=1e-3)


@SHAPES
def test_wear_alone_lasts_the_weibulls_mean(shape):
    # What outlives GONE is left out: 1e-6 of the chance, longest at low shapes.
    end = first_end(laws(0.01, shape))
    assert end.hours == pytest.approx([100 * gamma(1 + 1 / shape)], rel=2e-4)
    assert end.worn == pytest.approx([1.0])


MIXES = {
    "all three": {"rate": 0.01, "shape": 2.4, "pace": 1.3, "torn": 1 / 300, "off_rate": 1 / 900},
    "a schedule after most are worn": {
        "rate": 0.01, "shape": 2.2, "off_rate": 1 / 150, "off_shape": 12.0
    },
    "a schedule before most are worn": {
        "rate": 0.01, "shape": 2.2, "torn": 1e-3, "off_rate": 1 / 60, "off_shape": 25.0
    },
    "low shapes": {"rate": 0.02, "shape": 0.8, "torn": 2e-3, "off_rate": 1e-3, "off_shape": 0.7},
}  # fmt: skip


@pytest.mark.parametrize("given", MIXES.values(), ids=MIXES)
def test_the_first_of_all_ends_equals_quadrature(given):
    one = laws(**given)
    span = float(one.span()[0])

    def good(hours):
        return float(np.exp(-one.hazard(np.array([hours]))[0]))

    def off_density(hours):
        c, g = float(one.off_shape[0]), float(one.off_rate[0])
        return good(hours) * c * g * (g * hours) ** (c - 1) if hours > 0 else 0.0

    cuts = {"points": span * np.array([0.2, 0.4, 0.6, 0.8]), "limit": 400, "epsrel": 1e-10}
    end = first_end(one)
    # The rule's 48 nodes: a few in 10,000 of a schedule's steep fall.
    assert end.hours[0] == pytest.approx(quad(good, 0, span, **cuts)[0], rel=1e-3)
    assert end.taken_off[0] == pytest.approx(quad(off_density, 0, span, **cuts)[0], abs=1e-3)
    torn = float(one.torn[0]) * quad(good, 0, span, **cuts)[0]
    assert end.torn[0] == pytest.approx(torn, abs=1e-3)


@given(
    st.floats(0.2, 50), st.floats(1e-4, 1), st.floats(0.6, 6), st.floats(0, 0.1), st.floats(0, 0.1)
)
@settings(max_examples=60, deadline=None)
def test_hours_in_other_units_scale_lives_and_leave_the_causes(unit, rate, shape, torn, off):
    here = first_end(laws(rate, shape, 1.0, torn, off, 3.0))
    there = first_end(laws(rate / unit, shape, 1.0, torn / unit, off / unit, 3.0))
    assert there.hours == pytest.approx(here.hours * unit, rel=1e-9)
    assert np.ravel(there[1:]) == pytest.approx(np.ravel(here[1:]), abs=1e-9)
