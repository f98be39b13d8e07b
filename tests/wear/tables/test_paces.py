"""A machine's pace as the table shows it: posterior, wear speed, when to look."""

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest
from scipy.stats import gamma

from tests.wear.makers import class_spells
from wearcast.wear.records import Block, Spread
from wearcast.wear.tables import paces as room
from wearcast.wear.tables.paces import machine_paces

FLOORS = ("vinyl",)


def block(spread, shape=2.0, rate=0.01, doubt=1e-12, machines=0.0):
    """A block of one class, its parameters known up to `doubt` (variance)."""
    terms = ("log rate[blade, vinyl]", "log shape[blade]", "log spread[blade]")
    mean = np.log([rate, shape, spread])
    spreads = {"machine": Spread((machines,), (1.0,))} if machines else {}
    return Block("worn", terms, mean, doubt * np.eye(3), 0.0, spreads=spreads)


def spells(hours_by_machine, cause="worn"):
    """Spells by machine."""
    machine = np.repeat(np.arange(len(hours_by_machine)), [len(h) for h in hours_by_machine])
    return class_spells(np.concatenate(hours_by_machine), cause, machine)


def paces(group, fitted):
    return machine_paces({"blade": group}, fitted, FLOORS, {})


def test_posterior_is_the_textbook_gamma_when_the_parameters_are_known():
    table = paces(spells([[50, 60, 70], [150, 160, 170]]), block(0.2))
    # Closed form: Gamma(1/v + d, rate 1/v + L), L the sum of (r h)^k.
    load = np.array([0.5**2 + 0.6**2 + 0.7**2, 1.5**2 + 1.6**2 + 1.7**2])
    posterior = gamma(5 + 3, scale=1 / (5 + load))
    assert table["hazard"].to_numpy() == pytest.approx(posterior.mean(), rel=1e-6)
    assert table["pace"].to_numpy() == pytest.approx(np.sqrt(posterior.mean()), rel=1e-6)
    # The points are read off a curve of 14 places.
    assert table["low"].to_numpy() == pytest.approx(np.sqrt(posterior.ppf(0.05)), rel=5e-3)
    assert table["high"].to_numpy() == pytest.approx(np.sqrt(posterior.ppf(0.95)), rel=5e-3)


def test_machines_are_told_alike_piece_by_piece(monkeypatch, wear):
    shown = (wear.spells, wear.worn, wear.floors, {})
    whole = machine_paces(*shown)
    monkeypatch.setattr(room, "MACHINES_AT_ONCE", 3)
    pd.testing.assert_frame_equal(machine_paces(*shown), whole)


def test_machines_surely_fast_or_slow_are_worth_a_look():
    table = paces(spells([[30] * 12, [90] * 12, [260] * 12]), block(0.3))
    assert table["look"].tolist() == ["wears fast", "", "wears slow"]


def test_a_machine_without_a_worn_end_keeps_near_the_fleet():
    table = paces(spells([[5]], cause="running"), block(0.2))
    assert table["pace"].iloc[0] == pytest.approx(1, abs=0.01)
    assert table["look"].tolist() == [""]


def test_a_machine_that_carries_a_class_without_a_spell_has_a_row():
    table = machine_paces({"blade": spells([[50]])}, block(0.2), FLOORS, {"blade": {"New"}})
    assert table.set_index("machine").loc["New", "pace"] == pytest.approx(1)


def test_doubt_about_the_parameters_widens_the_interval():
    group = spells([[50, 60, 70]])
    sure, doubtful = (paces(group, block(0.2, doubt=doubt)) for doubt in (1e-12, 0.05))
    assert (doubtful["high"] - doubtful["low"] > 1.03 * (sure["high"] - sure["low"])).all()


def test_intervals_hold_the_true_wear_speed(fleet, wear, truth):
    _, _, true_paces = fleet
    table = wear.machine_table
    true = np.array(
        [
            true_paces[machine, name] ** (1 / truth.shape[name])
            for machine, name in zip(table["machine"], table["wears_as"], strict=True)
        ]
    )
    inside = (table["low"] <= true) & (true <= table["high"])
    # 75 intervals of 90 %: four standard deviations, sqrt(.09 / 75) = .035, of one fleet.
    assert inside.mean() > 0.9 - 4 * 0.035


def test_a_machine_that_wears_one_class_fast_is_expected_to_wear_another_fast():
    blade = spells([[40] * 20, [90] * 20])
    deck = replace(class_spells(np.full(20, 90.0), "worn", np.zeros(20, int)), machines=("M1",))
    terms = [term.replace("blade", name) for name in ("blade", "deck") for term in block(0.2).terms]
    fitted = Block(
        "worn", tuple(terms), np.tile(block(0.05).mean, 2), 1e-12 * np.eye(6), 0.0,
        spreads={"machine": Spread((0.3,), (1.0,))},
    )  # fmt: skip
    table = machine_paces({"blade": blade, "deck": deck}, fitted, FLOORS, {"deck": {"M0"}})
    rows = table.set_index(["wears_as", "machine"])
    assert rows.loc[("deck", "M0"), "pace"] > 1.3
    assert rows.loc[("deck", "M0"), "low"] < rows.loc[("blade", "M0"), "low"]


def test_doubt_in_the_table_is_that_of_very_many_draws():
    table = paces(spells([[50, 60, 70], [90, 80]]), doubtful := block(0.2, doubt=0.04))
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
        # 24 draws of the parameters against 40,000: within a twentieth.
        assert table["low"].iloc[row] == pytest.approx(low, rel=0.05)
        assert table["high"].iloc[row] == pytest.approx(high, rel=0.05)
