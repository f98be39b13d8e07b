"""Fleets that several tests look at, fitted once a test process."""

import pytest

from tests.wear.fleet import Truth, choices, simulate
from wearcast.wear.fit import fit_wear


@pytest.fixture(scope="session")
def truth():
    return Truth()


@pytest.fixture(scope="session")
def fleet(truth):
    """History, catalogue and true paces of 25 machines."""
    return simulate(truth, seed=11, machines=25, hours=1500)


@pytest.fixture(scope="session")
def wear(fleet):
    history, parts, _ = fleet
    return fit_wear(history, parts, choices())
