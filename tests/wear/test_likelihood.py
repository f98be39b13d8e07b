"""The likelihood against a slow second implementation, finite differences and laws."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.sparse import csr_array
from statsmodels.tools.numdiff import approx_fprime

from tests.wear.published import NIST, lives, one_floor
from wearcast.wear.fitting.model import WearModel
from wearcast.wear.likelihood import Own, class_part, log_likelihood
from wearcast.wear.spells import Spells


def some_spells(seed, size=24, floors=3, effects=2, machines=4):
    """Spells on mixed floors, several a machine."""
    rng = np.random.default_rng(seed)
    machine = np.unique(np.sort(rng.integers(0, machines, size)), return_inverse=True)[1]
    return Spells(
        rng.uniform(0, 60, (size, floors)) * (rng.random((size, floors)) < 0.7) + 0.1,
        rng.dirichlet(np.ones(floors), size),
        (rng.random(size) < 0.7).astype(float),
        machine,
        rng.normal(size=(size, effects)),
        rng.normal(size=(size, effects)),
        np.arange(machine[-1] + 1),
        np.zeros(size, dtype=bool),
    )


RATES = np.array([-4.0, -4.6, -4.2])
EFFECTS = np.array([0.1, -0.2])
NO_TIPS = np.zeros(0)


def likelihood(spells, log_shape=0.6, spread=0.3, rates=RATES, effects=EFFECTS, tips=NO_TIPS):
    return log_likelihood(Own(rates, log_shape, spread), effects, spells, tips)


def slow_log_likelihood(rates, effects, shape, spread, spells, tips=(0.0,) * 99):
    """The same by a plain loop over spells and numerical integration over each machine's pace."""
    total = 0.0
    for machine in sorted(set(spells.machine.tolist())):
        rows = [row for row, of in enumerate(spells.machine) if of == machine]

        def chance(z, rows=rows, common=tips[machine]):
            product = math.exp(
                (1 / spread - 1) * math.log(z)
                - z / spread
                - math.lgamma(1 / spread)
                - math.log(spread) / spread
            )
            for row in rows:
                wear = sum(spells.hours[row] * np.exp(rates))
                wear *= math.exp(common + sum(spells.effects[row] * effects))
                rate = sum(spells.end_mix[row] * np.exp(rates))
                rate *= math.exp(common + sum(spells.end_effects[row] * effects))
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
    spells, tips = some_spells(3), np.array([0.3, -0.2, 0.0, 0.1])
    fast = likelihood(spells, np.log(shape), spread, tips=tips)
    slow = slow_log_likelihood(RATES, EFFECTS, shape, spread, spells, tips)
    # The quadrature's own tolerance, 1e-11 a machine, with room for the peak's width.
    assert fast == pytest.approx(slow, rel=1e-7)


def two_classes(log_spread, ends=None, first=False):
    """Two classes that share one of their effects and all machines, and a point in their space."""
    one, two = some_spells(1), some_spells(2)
    if first:
        one = replace(one, first=np.arange(len(one.ended)) % 3 == 0)
    if ends is not None:
        one = replace(one, ended=one.ended * ends)
    model = WearModel(
        {"a": one, "b": two},
        ("x", "y", "z"),
        {"a": ("both", "only a"), "b": ("both", "only b")},
        machines=4,
    )
    params = [*RATES, 0.7, log_spread, *RATES + 0.1, 0.5, log_spread, 0.1, -0.2, 0.15]
    return model, np.array([*params, 0.2, -0.3, 0.1, 0.05])


POINTS = [
    pytest.param(-18.0, None, False, id="hardly a spread"),
    pytest.param(-2.0, None, False, id="usual spread"),
    pytest.param(1.0, None, False, id="wide spread"),
    pytest.param(-2.0, 0.35, False, id="ends that count in part"),
    pytest.param(-2.0, None, True, id="spells of unknown start"),
]


@pytest.mark.parametrize("life_scale", [False, True], ids=["rates", "lives"])
@pytest.mark.parametrize(("log_spread", "ends", "first"), POINTS)
def test_gradient_equals_differences(log_spread, ends, first, life_scale):
    model, params = two_classes(log_spread, ends, first)

    def value(at):
        return model.derivatives(at, life_scale=life_scale).value

    # Central differences of doubles: relative error about 1e-16 to the power 2/3.
    assert model.derivatives(params, life_scale=life_scale).gradient == pytest.approx(
        approx_fprime(params, value, centered=True), rel=1e-5, abs=1e-5
    )


@pytest.mark.parametrize("life_scale", [False, True], ids=["rates", "lives"])
@pytest.mark.parametrize(("log_spread", "ends", "first"), POINTS)
def test_body_arms_and_tips_of_the_hessian_equal_differences(log_spread, ends, first, life_scale):
    model, params = two_classes(log_spread, ends, first)

    def slope(at):
        return model.derivatives(at, life_scale=life_scale).gradient

    got = model.derivatives(params, life_scale=life_scale).hessian
    whole = np.block([[got.body, got.arms], [got.arms.T, np.diag(got.tips)]])
    assert whole == pytest.approx(approx_fprime(params, slope, centered=True), rel=1e-5, abs=1e-5)


def test_columns_kept_sparse_give_the_derivatives_of_dense_ones():
    spells = some_spells(4)
    sparse = replace(
        spells, effects=csr_array(spells.effects), end_effects=csr_array(spells.end_effects)
    )
    own, tips = Own(RATES, 0.6, 0.2), np.array([0.3, -0.2, 0.0, 0.1])
    for one, other in zip(
        class_part(own, EFFECTS, spells, tips), class_part(own, EFFECTS, sparse, tips), strict=True
    ):
        assert one == pytest.approx(other, rel=1e-12)


def test_value_alone_equals_value_with_derivatives():
    spells, own = some_spells(5), Own(RATES, 0.6, 0.2)
    alone = log_likelihood(own, EFFECTS, spells, NO_TIPS)
    assert alone == pytest.approx(class_part(own, EFFECTS, spells, np.zeros(4)).value, rel=1e-13)


def test_no_pace_is_the_limit_of_a_small_spread():
    none, tiny = (likelihood(some_spells(6), spread=v) for v in (0.0, 1e-9))
    assert none == pytest.approx(tiny, abs=1e-5)


def test_what_a_machines_classes_have_in_common_is_worth_an_effect_of_that_machine():
    spells = some_spells(6)
    own = np.eye(4)[spells.machine]
    there = replace(spells, effects=own, end_effects=own)
    lift = np.array([0.3, -0.2, 0.1, 0.0])
    bare = replace(spells, effects=own[:, :0], end_effects=own[:, :0])
    tipped = likelihood(bare, effects=np.zeros(0), tips=lift)
    assert tipped == pytest.approx(likelihood(there, effects=lift), rel=1e-13)


def test_exponential_lives_have_the_textbook_likelihood():
    # Closed form: d log r - r T.
    hours, ended = lives(NIST)
    got = likelihood(one_floor(hours, ended), 0.0, 0.0, np.log([0.002]), np.zeros(0))
    assert got == pytest.approx(ended.sum() * np.log(0.002) - 0.002 * hours.sum(), rel=1e-13)


@pytest.mark.parametrize("ended", [1.0, 0.0])
def test_an_edge_of_unknown_start_tells_its_forward_recurrence(ended):
    # Density S / mean life of the time to the next end, and its chance to be longer (Cox, Renewal
    # Theory, 1962, ch. 5, remembered); by quadrature.
    rate, shape, hours = 0.01, 2.2, 70.0
    spells = replace(one_floor(np.array([hours]), np.array([ended])), first=np.ones(1, bool))
    got = likelihood(spells, np.log(shape), 0.0, np.log([rate]), np.zeros(0))
    mean = math.gamma(1 + 1 / shape) / rate

    def good(at):
        return math.exp(-((rate * at) ** shape))

    longer = quad(good, hours, 2000, epsabs=0, epsrel=1e-11)[0]
    assert got == pytest.approx(math.log((good(hours) if ended else longer) / mean), rel=1e-8)


@given(st.floats(0.01, 100), st.floats(-1, 1.5), st.floats(0.01, 2))
@settings(max_examples=40, deadline=None)
def test_hours_in_other_units_move_the_rates_alone(unit, log_shape, spread):
    spells = some_spells(7)
    other = replace(spells, hours=spells.hours * unit)
    here = likelihood(spells, log_shape, spread)
    there = likelihood(other, log_shape, spread, rates=RATES - np.log(unit))
    # Densities are per hour: one factor an end.
    assert there == pytest.approx(here - spells.ended.sum() * np.log(unit), rel=1e-9, abs=1e-8)


@given(st.floats(0.05, 0.95), st.floats(-1, 1.5))
@settings(max_examples=40, deadline=None)
def test_a_floor_split_in_two_alike_floors_changes_nothing(part, log_shape):
    spells = some_spells(8, floors=1)
    split = replace(
        spells,
        hours=np.hstack([spells.hours * part, spells.hours * (1 - part)]),
        end_mix=np.hstack([spells.end_mix * 0.3, spells.end_mix * 0.7]),
    )
    whole = likelihood(spells, log_shape, rates=RATES[:1])
    assert likelihood(split, log_shape, rates=RATES[[0, 0]]) == pytest.approx(whole, rel=1e-10)


@given(st.permutations(range(4)))
@settings(max_examples=20, deadline=None)
def test_the_order_of_the_machines_changes_nothing(order):
    spells, tips = some_spells(9), np.array([0.3, -0.2, 0.1, 0.0])
    rows = np.argsort(np.array(order)[spells.machine], kind="stable")
    by_spell = {
        name: getattr(spells, name)[rows] for name in vars(spells) if name not in ("tip", "sums")
    }
    by_spell["machine"] = np.array(order)[spells.machine][rows]
    moved = Spells(**by_spell, tip=np.argsort(order))
    assert likelihood(moved, tips=tips) == pytest.approx(likelihood(spells, tips=tips), rel=1e-12)
