"""The look back is the same wherever it is made."""

from multiprocessing import get_context
from pathlib import Path

import pandas as pd
import pytest

from tests import fleets
from wearcast.backtesting import backtest
from wearcast.cli import looking_back
from wearcast.logbook.book import Logbook, read_logbook

ASKED: dict[str, object] = {"draws": 40}


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Logbook:
    fleet = fleets.make_fleet(4, machines=3, sites=2, history=42)
    return read_logbook(fleets.write_log(fleet, tmp_path_factory.mktemp("log")))


@pytest.fixture(scope="module")
def here(book: Logbook) -> pd.DataFrame:
    made = looking_back.look_back((book, ()), 1, ASKED)
    assert made is not None
    return made.frame


def test_a_process_of_its_own_gives_the_same_figures(
    book: Logbook, here: pd.DataFrame, monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setattr(looking_back, "_is_worth_it", lambda _: True)
    made = looking_back.begin(book, 1, ASKED)()
    assert made is not None
    pd.testing.assert_frame_equal(made.frame, here, check_exact=True)


class Broken:
    """A way to begin processes that gives none (``start``), or one that dies at once (``die``)."""

    def __init__(self, fault: str):
        self.fault = fault
        self.Pipe = get_context("spawn").Pipe

    def Process(self, **_: object):
        return self

    def start(self) -> None:
        if self.fault == "start":
            raise OSError


@pytest.mark.parametrize("fault", ["start", "die"])
def test_where_the_process_fails_the_look_back_is_made_here(
    book: Logbook, here: pd.DataFrame, fault: str, monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setattr(looking_back, "_is_worth_it", lambda _: True)
    monkeypatch.setattr(looking_back, "get_context", lambda _: Broken(fault))
    made = looking_back.begin(book, 1, ASKED)()
    assert made is not None
    pd.testing.assert_frame_equal(made.frame, here, check_exact=True)


def test_only_the_sites_looked_back_on_go_to_the_process(
    book: Logbook, monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setattr(backtest, "MOST_MACHINES", 2)
    monkeypatch.setattr(backtest, "LEAST_SITES", 1)
    monkeypatch.setattr(looking_back, "_is_worth_it", lambda _: True)
    monkeypatch.setattr(looking_back, "get_context", lambda _: Broken("start"))
    seen = []
    monkeypatch.setattr(looking_back, "look_back", lambda sample, *_: seen.append(sample))
    looking_back.begin(book, 1, ASKED)()
    ((sent, words),) = seen
    assert len(set(sent.machines["site"])) == 1
    assert set(sent.readings["machine"]) == set(sent.machines["machine"])
    assert words[0].startswith("Looked back on 1 of 2 sites")


def test_no_dates_means_no_look_back(book: Logbook):
    assert looking_back.begin(book, 0, ASKED)() is None


def test_a_short_log_has_nothing_to_look_back_on(tmp_path: Path):
    fleet = fleets.make_fleet(4, machines=3, sites=2, history=20)
    short = read_logbook(fleets.write_log(fleet, tmp_path))
    assert looking_back.begin(short, 4, ASKED)() is None
