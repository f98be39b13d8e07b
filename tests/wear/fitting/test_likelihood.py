"""The likelihood against a slow second implementation, finite differences and laws."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from statsmodels.tools.numdiff import approx_fprime

from tests.wear.published import NIST, lives, one_floor
from wearcast.wear.fitting.likelihood import Spells, wear_derivatives, wear_log_likelihood
from wearcast.wear.fitting.model import WearModel


def some_spells(seed, size=24, floors=3, effects=2, machines=4):
    """Spells on mixed floors, several a machine."""
    rng = np.random.default_rng(seed)
    machine = np.unique(np.sort(rng.integers(0, machines, size)), return_inverse=True)[1]
    return Spells(
        rng.uniform(0, 60, (size, floors)) * (rng.random((size, floors)) < 0.7) + 0.1,
        rng.dirichlet(np.ones(floors), size),
        rng.normal(size=(size, effects)),
        (rng.random(size) < 0.7).astype(float),
        machine,
    )


RATES = np.array([-4.0, -4.6, -4.2])
GAMMA = np.array([0.1, -0.2])


def slow_log_likelihood(rates, gamma, shape, spread, spells):
    """The same by a plain loop over spells and numerical integration over each machine's pace."""
    total = 0.0
    for machine in sorted(set(spells.machine.tolist())):
        rows = [row for row, of in enumerate(spells.machine) if of == machine]

        def chance(z, rows=rows):
            product = math.exp(
                (1 / spread - 1) * math.log(z)
                - z / spread
                - math.lgamma(1 / spread)
                - math.log(spread) / spread
            )
            for row in rows:
                lift = math.exp(sum(spells.effects[row] * gamma))
                wear = lift * sum(spells.hours[row] * np.exp(rates))
                rate = lift * sum(spells.end_mix[row] * np.exp(rates))
                if spells.ended[row]:
                    product *= z * shape * wear ** (shape - 1) * rate
                product *= math.exp(-z * wear**shape)
            return product

        peak = quad(chance, 0, 30, limit=400, points=[0.2, 0.5, 1, 2, 4], epsabs=0, epsrel=1e-11)
        total += math.log(peak[0])
    return total


def test_the_slow_referee_knows_nist_8_4_1_3():
    # NIST 8.4.1.3 (seen): log-likelihood -75.135 at eta 606.5280, beta 1.7208. A pace of almost no
    # spread leaves it; the referee's own integral then carries the difference.
    spells = one_floor(*lives(NIST))
    got = slow_log_likelihood(np.log([1 / 606.528]), np.zeros(0), 1.7208, 1e-3, spells)
    assert got == pytest.approx(-75.135, abs=5e-3)


@pytest.mark.parametrize("spread", [0.05, 0.4, 1.5])
@pytest.mark.parametrize("shape", [0.8, 2.5])
def test_closed_form_equals_integration_over_the_pace(shape, spread):
    spells = some_spells(3)
    fast = wear_log_likelihood(RATES, GAMMA, np.log(shape), spread, spells)
    slow = slow_log_likelihood(RATES, GAMMA, shape, spread, spells)
    # The quadrature's own tolerance, 1e-11 a machine, with room for the peak's width.
    assert fast == pytest.approx(slow, rel=1e-7)


@pytest.mark.parametrize("life_scale", [False, True], ids=["rates", "lives"])
@pytest.mark.parametrize("log_spread", [-18.0, -7.0, -2.0, 1.0])
def test_gradient_and_hessian_equal_differences(log_spread, life_scale):
    model = WearModel(
        {"a": some_spells(1), "b": some_spells(2)},
        ("x", "y", "z"),
        {"a": ("one", "two"), "b": ("one", "two")},
    )
    params = np.tile([*RATES, *GAMMA, 0.7, log_spread], 2)

    def value(at):
        return model.pull(at, life_scale=life_scale).value

    def slope(at):
        return model.pull(at, life_scale=life_scale).gradient

    got = model.pull(params, life_scale=life_scale)
    # Central differences of doubles: relative error about 1e-16 to the power 2/3.
    assert got.gradient == pytest.approx(
        approx_fprime(params, value, centered=True), rel=1e-5, abs=1e-5
    )
    assert got.hessian == pytest.approx(
        approx_fprime(params, slope, centered=True), rel=1e-5, abs=1e-5
    )


def test_value_alone_equals_value_with_derivatives():
    spells = some_spells(5)
    alone = wear_log_likelihood(RATES, GAMMA, 0.6, 0.2, spells)
    assert alone == pytest.approx(wear_derivatives(RATES, GAMMA, 0.6, 0.2, spells).value, rel=1e-13)


def test_no_pace_is_the_limit_of_a_small_spread():
    spells = some_spells(6)
    none, tiny = (wear_log_likelihood(RATES, GAMMA, 0.6, v, spells) for v in (0.0, 1e-9))
    assert none == pytest.approx(tiny, abs=1e-5)


def test_exponential_lives_have_the_textbook_likelihood():
    # Closed form: d log r - r T.
    hours, ended = lives(NIST)
    got = wear_log_likelihood(np.log([0.002]), np.zeros(0), 0.0, 0.0, one_floor(hours, ended))
    assert got == pytest.approx(ended.sum() * np.log(0.002) - 0.002 * hours.sum(), rel=1e-13)


@given(st.floats(0.01, 100), st.floats(-1, 1.5), st.floats(0.01, 2))
@settings(max_examples=40, deadline=None)
def test_hours_in_other_units_move_the_rates_alone(unit, log_shape, spread):
    spells = some_spells(7)
    other = spells._replace(hours=spells.hours * unit)
    here = wear_log_likelihood(RATES, GAMMA, log_shape, spread, spells)
    there = wear_log_likelihood(RATES - np.log(unit), GAMMA, log_shape, spread, other)
    # Densities are per hour: one factor an end.
    assert there == pytest.approx(here - spells.ended.sum() * np.log(unit), rel=1e-9, abs=1e-8)


@given(st.floats(0.05, 0.95), st.floats(-1, 1.5))
@settings(max_examples=40, deadline=None)
def test_a_floor_split_in_two_alike_floors_changes_nothing(part, log_shape):
    spells = some_spells(8, floors=1)
    split = spells._replace(
        hours=np.hstack([spells.hours * part, spells.hours * (1 - part)]),
        end_mix=np.hstack([spells.end_mix * 0.3, spells.end_mix * 0.7]),
    )
    whole = wear_log_likelihood(RATES[:1], GAMMA, log_shape, 0.3, spells)
    parts = wear_log_likelihood(RATES[[0, 0]], GAMMA, log_shape, 0.3, split)
    assert parts == pytest.approx(whole, rel=1e-10)
