"""Of a large fleet some sites are looked back on; that is told, and the same each time."""

from pathlib import Path

import pytest

from tests.benchmarks.fleets import SITE, write_fleet
from wearcast.backtesting import backtest
from wearcast.backtesting.backtest import some_sites
from wearcast.logbook.book import Logbook, read_logbook


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Logbook:
    folder: Path = tmp_path_factory.mktemp("fleet")
    write_fleet(5 * SITE, folder)
    return read_logbook(folder)


def test_a_small_fleet_is_looked_back_on_whole(book: Logbook):
    assert some_sites(book, 1) == (book, ())


def test_a_large_fleet_is_looked_back_on_at_some_sites(
    book: Logbook, monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setattr(backtest, "MOST_MACHINES", 3 * SITE)
    kept, words = some_sites(book, 1)
    assert kept.machines["site"].nunique() == 3
    assert set(kept.changes["machine"]) <= set(kept.machines["machine"])
    assert words == ("Looked back on 3 of 5 sites, taken at random; fleet means these.",)
    again = some_sites(book, 1)[0]
    assert kept.machines.equals(again.machines)
    other = {frozenset(some_sites(book, seed)[0].machines["site"]) for seed in range(2, 8)}
    assert len(other) > 1
