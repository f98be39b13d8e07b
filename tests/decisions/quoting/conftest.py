"""A small fleet, fitted once."""

import pytest

import wearcast
from tests import fleets


@pytest.fixture(scope="session")
def fitted(tmp_path_factory):
    fleet = fleets.make_fleet(3, machines=8, sites=2, history=60)
    folder = fleets.write_log(fleet, tmp_path_factory.mktemp("log"))
    return wearcast.fit(wearcast.read_logbook(folder))
