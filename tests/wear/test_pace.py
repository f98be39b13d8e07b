"""What machines have in common, and what their spells say of it."""

import numpy as np
import pytest
from scipy.optimize import minimize_scalar

from wearcast.wear import pace as room
from wearcast.wear.pace import Exposure, common_rates, machine_exposure
from wearcast.wear.posterior import Drawn, at_estimate, class_params, draw_block


def exposure_of(wear, machines=None, draws=None):
    """Exposure of the gum blades, at the estimate or by draw."""
    name, group = "gum blade", wear.spells["gum blade"]
    if draws is None:
        params = at_estimate(wear.worn, name, wear.floors, group.effect_names)
    else:
        values = draw_block(wear.worn, np.random.default_rng(1), draws)
        params = class_params(Drawn(wear.worn.terms, values), name, wear.floors, group.effect_names)
    return params, machine_exposure(group, params, machines or group.machines)


def test_exposure_sums_the_machines_own_spells(wear):
    params, exposure = exposure_of(wear)
    group = wear.spells["gum blade"]
    # A plain loop over one machine's spells.
    rates, shape = np.exp(params.log_rates[0]), np.exp(params.log_shape[0])
    lift = np.exp(group.effects.toarray() @ params.effects[0])
    own = [
        (factor * sum(row * rates)) ** shape
        for row, of, factor in zip(group.hours, group.machine, lift, strict=True)
        if of == 2
    ]
    assert exposure.load[2, 0] == pytest.approx(sum(own))


def test_exposure_comes_in_the_order_asked_for(wear):
    machines = wear.spells["gum blade"].machines
    _, plain = exposure_of(wear)
    _, asked = exposure_of(wear, (machines[4], "unheard of", machines[1]))
    assert asked.load.tolist() == [[plain.load[4, 0]], [0.0], [plain.load[1, 0]]]
    assert asked.worn.tolist() == [[plain.worn[4, 0]], [0.0], [plain.worn[1, 0]]]


def test_exposure_in_pieces_equals_exposure_at_once(wear, monkeypatch):
    _, whole = exposure_of(wear, draws=7)
    monkeypatch.setattr(room, "CELLS_AT_ONCE", 1)
    assert exposure_of(wear, draws=7)[1].load == pytest.approx(whole.load)


def some_exposures(spread):
    """Two classes of three machines, of shapes 2 and 3; the last machine has no spell."""
    rng = np.random.default_rng(3)
    worn = np.array([[6.0], [11.0], [0.0]])
    return [
        Exposure(
            worn, rng.uniform(5, 14, (3, 1)) * (worn > 0), np.array([shape]), np.array([spread])
        )
        for shape in (2.0, 3.0)
    ]


def against(log_rate, row, exposures, sd):
    """Minus the log posterior of a machine's common rate, paces integrated out."""
    total = 0.5 * (log_rate / sd) ** 2
    for one in exposures:
        worn, load = one.worn[row, 0], one.load[row, 0] * np.exp(one.steep[0] * log_rate)
        total -= one.steep[0] * worn * log_rate
        v = one.spread[0]
        total += load if v == 0 else (1 / v + worn) * np.log1p(v * load)
    return total


@pytest.mark.parametrize("spread", [0.0, 0.2, 1.5])
@pytest.mark.parametrize("sd", [0.05, 0.3])
def test_the_common_rate_is_the_mode_by_brute_force(spread, sd):
    exposures = some_exposures(spread)
    found = common_rates(exposures, np.array([sd]), 3)
    modes = [
        minimize_scalar(against, (-0.5, 0.5), args=(row, exposures, sd), tol=1e-10).x
        for row in range(3)
    ]
    assert found.mean[:, 0] == pytest.approx(modes, abs=1e-5)


def test_a_machine_without_a_spell_has_the_common_rate_of_the_prior():
    found = common_rates(some_exposures(0.2), np.array([0.3]), 3)
    assert (found.mean[2, 0], found.sd[2, 0]) == pytest.approx((0.0, 0.3))


def test_machines_that_do_not_differ_have_nothing_in_common():
    found = common_rates(some_exposures(0.2), np.array([0.0]), 3)
    assert np.abs(found.mean).max() < 1e-9
