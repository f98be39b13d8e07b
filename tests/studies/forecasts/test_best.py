"""The bound stands on its own likelihood and sampler: both are held against other ways to it."""

import numpy as np
import pytest
from scipy.special import gammaln

from tests.fleets import CLASSES, make_fleet
from tests.studies.forecasts.best_hours import best_hours
from tests.studies.forecasts.best_wear import FLOORS, Seen, log_likelihood, sample
from wearcast.wear.likelihood import Own
from wearcast.wear.likelihood import log_likelihood as package_likelihood
from wearcast.wear.spells import Spells


def some_spells(machines, spells, rng):
    """Spells of a class that wears like nothing in particular."""
    machine = np.sort(np.concatenate([np.arange(machines), rng.integers(0, machines, spells)]))
    hours = rng.exponential(40, (len(machine), len(FLOORS)))
    worn = (rng.random(len(machine)) < 0.8).astype(float)
    starts = np.flatnonzero(np.diff(machine, prepend=-1))
    mix = rng.dirichlet(np.ones(len(FLOORS)), len(machine))
    rear = (rng.random(len(machine)) < 0.5).astype(float)
    seen = Seen(hours, mix, rear, worn, starts, np.add.reduceat(worn, starts))
    whole = np.zeros(len(hours), dtype=bool)
    return seen, Spells(
        hours, mix, worn, machine, rear[:, None], rear[:, None], np.zeros(0, dtype=int), whole
    )


def test_its_likelihood_is_the_packages():
    rng = np.random.default_rng(3)
    seen, spells = some_spells(6, 60, rng)
    vectors = rng.normal([-4.6] * 5 + [0.8, -2.0, -0.1], 0.2, (4, 8))

    ours = [
        package_likelihood(
            Own(row[:5] + gammaln(1 + np.exp(-row[5])), row[5], np.exp(row[6])),
            row[7:],
            spells,
            np.zeros(0),
        )
        for row in vectors
    ]
    # Two ways to write one formula: equal but for a constant none of them leaves out.
    assert log_likelihood(seen, vectors) == pytest.approx(np.array(ours), rel=1e-9)


def test_without_a_spell_its_draws_are_the_prior():
    none = np.zeros((0, len(FLOORS)))
    nothing = Seen(none, none, *[np.zeros(0)] * 2, np.zeros(0, int), np.zeros(0))
    rng = np.random.default_rng(4)
    drawn = sample(dict.fromkeys(CLASSES.index, nothing), 1000, rng)
    gum, pu = drawn["gum blade"], drawn["pu blade"]
    # As tests.fleets draws: sds 0.3 (life), 0.15 and 0.12 (floors); four standard errors.
    assert gum[:, 0].std() == pytest.approx(np.sqrt(0.3**2 + 0.15**2 + 0.12**2), rel=0.09)
    contrast = [(one[:, 0] - one[:, 1]) for one in (gum, pu)]
    alike = 0.15**2 / (0.15**2 + 0.12**2)
    assert np.corrcoef(*contrast)[0, 1] == pytest.approx(alike, abs=0.06 * 2**0.5)
    assert gum[:, 5].std() == pytest.approx(0.2, rel=0.09)


def test_its_hours_hold_the_truth():
    inside = []
    for seed in range(4):
        fleet = make_fleet(seed, "growth", machines=24)
        true = fleet.weekly[:, fleet.now :].sum(axis=1)
        low, high = np.quantile(best_hours(fleet, 400).sum(axis=2), [0.05, 0.95], axis=1)
        inside.append(((low <= true) & (true <= high)).mean())
    # 4 fleets of 29 machines; machines of a site share a season: say 50 independent chances, sd
    # .042, four of them.
    assert np.mean(inside) == pytest.approx(0.9, abs=0.1)
