"""Who changed an edge: a planted hand is found, hands that do not differ are left alone."""

import numpy as np
import pytest

from tests.wear.fleet import choices, simulate
from wearcast.wear.diagnostics.hands import FEWEST, ends_by_hand
from wearcast.wear.fit import fit_wear


def spells_with(history, by, shift=""):
    return type(history)(**{
        **{name: getattr(history, name) for name in history.__dataclass_fields__},
        "spells": history.spells.assign(by=by, shift=shift),
    })  # fmt: skip


@pytest.fixture(scope="module")
def log(truth):
    history, parts, _ = simulate(truth, seed=2, machines=30, hours=1500)
    return history, fit_wear(history, parts, choices())


def test_nothing_is_written_so_nothing_is_said(log):
    history, wear = log
    assert ends_by_hand(spells_with(history, ""), wear).empty


def test_a_hand_that_tears_is_told_and_one_on_few_ends_is_not(log):
    history, wear = log
    rng = np.random.default_rng(0)
    torn = history.spells["cause"].eq("damaged").to_numpy()
    by = np.where(torn & (rng.random(len(torn)) < 0.6), "Ash", rng.choice(["Ash", "Elm", "Oak"],
                  len(torn)))  # fmt: skip
    by[np.flatnonzero(~torn)[: FEWEST - 3]] = "Fir"
    found = ends_by_hand(spells_with(history, by), wear).set_index("who")
    assert found.loc["Ash", "told"] == "tears more"
    assert found.loc["Ash", "torn_low"] > 1.2
    assert found.loc["Fir", "told"] == "too few to say"
    assert np.isnan(found.loc["Fir", "torn_times"])
    assert not found.loc[["Elm", "Oak"], "told"].str.contains("more|sooner").any()


def test_a_shift_that_takes_edges_off_sooner_is_told(log):
    history, wear = log
    # Of the worn ends with the shorter hours of each part most are the night's.
    spells = history.spells
    rank = spells.groupby("wears_as")["hours"].rank(pct=True)
    chance = np.where(spells["cause"].ne("worn"), 0.5, np.where(rank < 0.5, 0.7, 0.3))
    night = np.random.default_rng(1).random(len(rank)) < chance
    found = ends_by_hand(spells_with(history, "", np.where(night, "night", "day")), wear)
    told = found.set_index("who")["told"]
    assert told.to_dict() == {"day": "takes off later", "night": "takes off sooner"}


def test_hands_that_do_not_differ_are_hardly_ever_told(log):
    history, wear = log
    rng = np.random.default_rng(2)
    hands = np.array(["Ash", "Elm", "Fir", "Oak"])
    false = 0
    for _ in range(40):
        drawn = spells_with(history, rng.choice(hands, len(history.spells)))
        false += ends_by_hand(drawn, wear)["told"].ne("").any()
    # 1 in 20 logs: 2 of 40; more than 6 would come once in 300 times.
    assert false <= 6
