"""Machines of which nobody writes a change say nothing about how long things last."""

import pytest

from tests.studies.worlds.cases import read
from tests.studies.worlds.fleet import make_fleet
from tests.studies.worlds.settings import WORLDS
from tests.studies.worlds.written import live
from wearcast.forecast import fit
from wearcast.told import GRAVE


@pytest.fixture(scope="module")
def lives():
    """Hours an edge, of a fleet that writes all and of the same that leaves out a third."""
    plain = make_fleet(WORLDS["plain"], 3)
    silent = make_fleet(WORLDS["a-third-of-the-machines-not-written"], 3)
    return [fit(read(live(one))).wear for one in (plain, silent)]


def test_their_silence_moves_no_life(lives):
    said = [wear.floor_table.query("worn > 0")["hours_per_edge"].mean() for wear in lives]
    assert said[1] == pytest.approx(said[0], rel=0.1)  # a third fewer ends tell it


def test_they_are_named_before_any_figure(lives):
    (told,) = (one for one in lives[1].told if one.wrong.startswith("no change is written at S000"))
    assert told.weight >= GRAVE
    assert "forecast as at a usual machine" in told.wrong
