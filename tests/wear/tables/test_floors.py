"""Hours to change: the mean over wear, pace and other ends, against closed forms and quadrature."""

import numpy as np
import pandas as pd
import pytest
from scipy.integrate import quad
from scipy.special import gamma, gammaln

from tests.wear.fleet import choices, history_of
from tests.wear.published import NIST, lives
from tests.wear.test_fit import BLADE, spells_of
from wearcast.wear.fit import fit_wear
from wearcast.wear.tables import floors as floors_room
from wearcast.wear.tables.floors import hours_to_change


@pytest.mark.parametrize("shape", [0.2, 0.7, 1.0, 2.2, 8.0, 198.0, 900.0])
def test_with_wear_alone_it_is_the_mean_life(shape):
    # Mean of a Weibull: Gamma(1 + 1/k) / r, closed form.
    log_rates = np.log([1 / 110, 1 / 20])
    got = hours_to_change(log_rates, shape, 0.0, np.zeros(2))
    assert got == pytest.approx(gamma(1 + 1 / shape) / np.exp(log_rates), rel=1e-9)


@pytest.mark.parametrize("spread", [1e-6, 0.1, 0.5, 1.5])
def test_with_wear_and_pace_it_is_the_mean_over_the_machines(spread):
    # E z^(-1/k) of z ~ Gamma(mean 1, variance v): v^(-1/k) Gamma(1/v - 1/k) / Gamma(1/v).
    shape = 2.4
    log_factor = gammaln(1 / spread - 1 / shape) - gammaln(1 / spread) - np.log(spread) / shape
    got = hours_to_change(np.log([0.01]), shape, spread, np.zeros(1))
    assert got == pytest.approx(100 * gamma(1 + 1 / shape) * np.exp(log_factor), rel=1e-6)


@pytest.mark.parametrize("shape", [0.6, 2.2, 40.0])
@pytest.mark.parametrize("spread", [0.0, 0.3])
def test_with_other_ends_it_is_the_integral_of_the_chance_to_last(shape, spread):
    # Adaptive quadrature of S(h) exp(-o h) as referee (scipy.integrate.quad).
    rate, other = 0.008, 1 / 700

    def chance(hours):
        load = np.exp(min(shape * np.log(rate * hours), 300.0)) if hours > 0 else 0.0
        worn = load if spread == 0 else np.log1p(spread * load) / spread
        return np.exp(-worn - other * hours)

    area = sum(
        quad(chance, low, high, limit=400, epsabs=0, epsrel=1e-11)[0]
        for low, high in ((0, 60), (60, 120), (120, 128), (128, 400), (400, 4e3), (4e3, 4e4))
    )
    got = hours_to_change(np.log([rate]), shape, spread, np.array([other]))
    assert got[0] == pytest.approx(area, rel=1e-8)


def test_with_nothing_but_wear_and_machines_all_too_unlike_there_is_no_mean():
    assert np.isnan(hours_to_change(np.log([0.01]), 1.2, 1.5, np.zeros(1))).all()
    assert np.isfinite(hours_to_change(np.log([0.01]), 1.2, 1.5, np.array([1e-4]))).all()


def test_with_wear_alone_in_the_log_it_equals_hours_per_edge():
    # NIST 8.4.1.3 (seen, reproduced): mean 540.737.
    history = spells_of(*lives(NIST))
    row = fit_wear(history, BLADE, choices(fit="data only", pace="off")).floor_table.iloc[0]
    assert row["hours_to_change"] == pytest.approx(row["hours_per_edge"], rel=1e-6)
    assert row["hours_to_change"] == pytest.approx(540.73703, rel=1e-6)
    assert row["damaged_per_1000h"] == 0.0


def test_a_log_of_one_site_tells_the_lives_there_as_well_as_its_ends_do():
    hours = 100 * np.random.default_rng(8).weibull(2.5, 200)
    row = fit_wear(spells_of(hours, ["worn"] * 200), BLADE, choices()).floor_table.iloc[0]
    # A mean of 200 lives of a coefficient of variation of .43: 90 % within 1.645 * .43 / sqrt(200)
    # = 5 %; what sites differ by beforehand (a factor of 1.5) is not in it.
    assert 1.03 < row["high"] / row["hours_per_edge"] < 1.09
    assert row["basis"] == "measured"


def test_basis_says_how_much_of_the_prior_variance_is_left_and_counts_worn_ends(fleet, wear):
    history, parts, _ = fleet
    seldom = history.exposure["tile"].gt(0) & history.spells["wears_as"].eq("hard blade")
    keep = (~seldom).to_numpy()
    less = history_of(
        history.spells[keep].reset_index(drop=True), history.exposure[keep].reset_index(drop=True)
    )
    spare = parts.iloc[:1].assign(part="spare", wears_as="spare", kind="squeegee")
    hole = fit_wear(less, pd.concat([parts, spare]), choices())
    thin = np.arange(len(history.spells)) % 25 == 0
    few = history_of(
        history.spells[thin].reset_index(drop=True), history.exposure[thin].reset_index(drop=True)
    )
    words, narrowed_by_few = set(), 0
    for one in (wear, hole, fit_wear(few, parts, choices())):
        table = one.floor_table
        # By the intervals' width and the prior's own numbers: under a tenth, over nine tenths.
        error = np.log(table["high"] / table["low"]) / (2 * 1.6448536)
        kinds = dict(zip(one.classes, one.kinds, strict=True))
        before = [
            one.worn.centres[name].class_sd ** 2 + one.worn.cells[kinds[name]].floor_sd ** 2
            for name in table["wears_as"]
        ]
        left = error**2 / before
        seen = (left < 0.1) & (table["worn"] >= 10)
        narrowed_by_few += ((left < 0.1) & ~seen).sum()
        expected = np.select([seen, left > 0.9], ["measured", "typical"], "blended")
        assert table["basis"].tolist() == expected.tolist()
        words |= set(expected)
    assert words == {"measured", "blended", "typical"}
    assert narrowed_by_few > 0
    row = hole.floor_table.set_index(["wears_as", "floor"]).loc[("hard blade", "tile")]
    assert (row["spells"], row["basis"]) == (0, "blended")


def test_few_worn_ends_are_never_called_measured(fleet, wear, monkeypatch):
    rows = wear.floor_table[wear.floor_table["basis"].eq("measured")]
    assert rows["worn"].min() >= floors_room.FEWEST_WORN
    history, parts, _ = fleet
    most = wear.floor_table["worn"].max()
    monkeypatch.setattr(floors_room, "FEWEST_WORN", most)
    again = fit_wear(history, parts, choices()).floor_table
    assert set(again.loc[again["worn"] < most, "basis"]) <= {"blended", "typical"}
