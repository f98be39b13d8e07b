"""A machine's pace: posterior, wear speed, and when to look."""

import numpy as np
import pytest
from scipy.stats import gamma

from wearcast.wear.blocks import block_named, class_params
from wearcast.wear.pace import machine_exposure, machine_paces
from wearcast.wear.records import Block, ClassSpells

FLOORS = ("vinyl",)


def block(spread, shape=2.0, rate=0.01, doubt=1e-12):
    """A block of one class, its parameters known up to `doubt` (variance)."""
    terms = ("log rate[blade, vinyl]", "log shape[blade]", "log spread[blade]")
    mean = np.log([rate, shape, spread])
    return Block("wear: blade", terms, mean, doubt * np.eye(3), 0.0)


def spells(hours_by_machine, worn=True):
    """Spells by machine, all worn or all running."""
    machine = np.repeat(np.arange(len(hours_by_machine)), [len(h) for h in hours_by_machine])
    hours = np.concatenate(hours_by_machine).astype(float)
    size = len(hours)
    return ClassSpells(
        tuple(f"M{n}" for n in range(len(hours_by_machine))),
        machine,
        hours[:, None],
        np.ones((size, 1)),
        np.zeros((size, 0)),
        (),
        np.full(size, int(worn), dtype=np.int8),
        np.arange(size),
    )


def test_posterior_is_the_textbook_gamma_when_the_parameters_are_known():
    group = spells([[50, 60, 70], [150, 160, 170]])
    table = machine_paces("blade", group, block(0.2), FLOORS)
    # Closed form: Gamma(1/v + d, rate 1/v + L), L the sum of (r h)^k.
    load = np.array([0.5**2 + 0.6**2 + 0.7**2, 1.5**2 + 1.6**2 + 1.7**2])
    posterior = gamma(5 + 3, scale=1 / (5 + load))
    assert table["hazard"].to_numpy() == pytest.approx(posterior.mean(), rel=1e-9)
    assert table["pace"].to_numpy() == pytest.approx(np.sqrt(posterior.mean()), rel=1e-9)
    # The points are read off a curve of 14 places.
    assert table["low"].to_numpy() == pytest.approx(np.sqrt(posterior.ppf(0.05)), rel=5e-3)
    assert table["high"].to_numpy() == pytest.approx(np.sqrt(posterior.ppf(0.95)), rel=5e-3)


def test_machines_surely_fast_or_slow_are_worth_a_look():
    group = spells([[30] * 12, [90] * 12, [260] * 12])
    table = machine_paces("blade", group, block(0.3), FLOORS)
    assert table["look"].tolist() == ["wears fast", "", "wears slow"]


def test_a_machine_without_a_worn_end_keeps_near_the_fleet():
    table = machine_paces("blade", spells([[5]], worn=False), block(0.2), FLOORS)
    assert table["pace"].iloc[0] == pytest.approx(1, abs=0.01)
    assert table["look"].tolist() == [""]


def test_doubt_about_the_parameters_widens_the_interval():
    group = spells([[50, 60, 70]])
    sure, doubtful = (
        machine_paces("blade", group, block(0.2, doubt=doubt), FLOORS) for doubt in (1e-12, 0.05)
    )
    assert (doubtful["high"] - doubtful["low"] > 1.03 * (sure["high"] - sure["low"])).all()


def test_intervals_hold_the_true_wear_speed(fleet, wear, truth):
    _, _, paces = fleet
    table = wear.machine_table
    true = np.array(
        [
            paces[machine, name] ** (1 / truth.shape[name])
            for machine, name in zip(table["machine"], table["wears_as"], strict=True)
        ]
    )
    inside = (table["low"] <= true) & (true <= table["high"])
    # 75 intervals of 90 %: four standard deviations, sqrt(.09 / 75) = .035, of one fleet.
    assert inside.mean() > 0.9 - 4 * 0.035


def test_exposure_sums_the_machines_own_spells(wear):
    name, group = "gum blade", wear.spells["gum blade"]
    found = block_named(wear, "wear: blade")
    params = class_params(found.terms, found.mean[None], name, wear.floors)
    exposure = machine_exposure(group, params)
    # A plain loop over one machine's spells.
    rates, shape = np.exp(params.log_rates[0]), np.exp(params.log_shape[0])
    own = [
        sum(row * rates) ** shape
        for row, of in zip(group.hours, group.machine, strict=True)
        if of == 2
    ]
    assert exposure.load[2, 0] == pytest.approx(sum(own))


def test_doubt_in_the_table_is_that_of_very_many_draws():
    group = spells([[50, 60, 70], [90, 80]])
    doubtful = block(0.2, doubt=0.04)
    table = machine_paces("blade", group, doubtful, FLOORS)
    # The mixture by plain Monte Carlo: parameters from a t distribution of machines + 2 degrees
    # of freedom about the block's mean, then the textbook gamma.
    rng = np.random.default_rng(1)
    noise = rng.standard_normal((40_000, 3)) / np.sqrt(rng.chisquare(4, (40_000, 1)) / 4)
    log_rate, log_shape, log_spread = (doubtful.mean + 0.2 * noise).T
    k, v = np.exp(log_shape), np.exp(np.minimum(log_spread, 5))
    for row, hours in enumerate(([50, 60, 70], [90, 80])):
        load = sum((hour * np.exp(log_rate)) ** k for hour in hours)
        speed = (rng.gamma(1 / v + len(hours)) / (1 / v + load)) ** (1 / k)
        low, high = np.quantile(speed, [0.05, 0.95])
        # 40 draws of the parameters against 40,000: within a twentieth.
        assert table["low"].iloc[row] == pytest.approx(low, rel=0.05)
        assert table["high"].iloc[row] == pytest.approx(high, rel=0.05)
