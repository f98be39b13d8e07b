"""The curve of what the log saw, beside the curve of the fit."""

from types import SimpleNamespace

import numpy as np
import pytest

from tests.wear.makers import class_spells
from tests.wear.published import NIST
from wearcast.wear.diagnostics.lasting import FEWEST_ENDS, MOST_STEPS, lasting_curves
from wearcast.wear.records import Block, ClassSpells

ETA, BETA = 606.5280, 1.7208
"""NIST/SEMATECH e-Handbook 8.4.1.3, the estimate (seen and reproduced)."""


def spells(machine, hours, worn) -> ClassSpells:
    return class_spells(hours, np.where(worn, "worn", "running"), machine)


def fitted(group: ClassSpells, rates, shape: float, spread: float | None = None):
    """A fit of one class, gum, with these parameters."""
    floors = ("tile", "vinyl")[: group.hours.shape[1]]
    values = {
        f"log rate[gum, {floor}]": np.log(rate) for floor, rate in zip(floors, rates, strict=True)
    }
    values["log shape[gum]"] = np.log(shape)
    if spread is not None:
        values["log spread[gum]"] = np.log(spread)
    mean = np.array(list(values.values()))
    block = Block("worn", tuple(values), mean, np.eye(len(mean)), 0.0)
    return SimpleNamespace(floors=floors, worn=block, spells={"gum": group})


def nist() -> ClassSpells:
    units = NIST.split()
    hours = [float(unit.rstrip("+")) for unit in units]
    return spells([0] * len(units), hours, [not unit.endswith("+") for unit in units])


def test_without_spread_the_fitted_curve_is_the_weibull_published():
    curve = lasting_curves(fitted(nist(), [1 / ETA], BETA))
    assert list(curve["hours"].round(9)) == [54, 187, 216, 240, 244, 335, 361, 373, 375, 386]
    assert curve["fitted"].to_numpy() == pytest.approx(
        np.exp(-((curve["hours"].to_numpy() / ETA) ** BETA))
    )
    # 20 units, none lost before 500 h: a worn end in 20 each (counted by hand).
    assert curve["good"].to_numpy() == pytest.approx(1 - np.arange(1, 11) / 20)
    assert set(curve["ends"]) == {10}
    assert set(curve["floor"]) == {"tile"}


def test_hours_on_other_floors_count_by_their_wear():
    # Twice the wear an hour on vinyl: 12 h there are 24 h on tile, where the class ran most.
    hours = np.array([[50.0, 12], [90, 0], [80, 0], [60, 0], [70, 0]])
    curve = lasting_curves(fitted(spells([0] * 5, hours, [True] * 5), [0.01, 0.02], 2.0))
    assert curve["hours"].to_numpy() == pytest.approx([60, 70, 74, 80, 90])


def test_the_fitted_curve_weighs_each_machine_by_its_edges():
    # By hand: Gamma(1/v + d, 1/v + L) of each machine, integrated over its pace.
    machine, hours = np.array([0, 0, 0, 1, 1]), np.array([30.0, 40, 50, 90, 120])
    curve = lasting_curves(fitted(spells(machine, hours, [True] * 5), [0.01], 2.0, 0.5))
    load = (0.01 * curve["hours"].to_numpy()) ** 2
    expected = np.zeros(len(load))
    for number, edges in ((0, 3), (1, 2)):
        stay, pull = 2 + edges, 2 + ((0.01 * hours[machine == number]) ** 2).sum()
        expected += edges / 5 * (1 + load / pull) ** -stay
    assert curve["fitted"].to_numpy() == pytest.approx(expected)


def test_a_class_of_few_ends_has_no_curve():
    few = spells([0] * 9, np.arange(1.0, 10), np.arange(9) < FEWEST_ENDS - 1)
    assert lasting_curves(fitted(few, [0.01], 2.0)).empty


def test_a_long_log_gives_no_more_steps_than_can_be_seen():
    hours = np.random.default_rng(1).weibull(2.0, 500) * 100
    curve = lasting_curves(fitted(spells([0] * 500, hours, [True] * 500), [0.01], 2.0))
    assert len(curve) == MOST_STEPS
    assert curve["hours"].is_monotonic_increasing
    # 500 lives of the very Weibull: the two differ by chance alone (4 standard errors of a share).
    assert (curve["good"] - curve["fitted"]).abs().max() < 4 * np.sqrt(0.25 / 500)
