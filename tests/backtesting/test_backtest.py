"""Looking back: no look-ahead, honest counts, words."""

import numpy as np
import pandas as pd
import pytest

import wearcast
from tests import fleets
from wearcast.backtesting.backtest import Backtest
from wearcast.backtesting.summary import record_words, summarise
from wearcast.errors import NothingToFit
from wearcast.history.story import read_history


def log(folder, weeks=70):
    fleet = fleets.make_fleet(4, machines=6, sites=2, history=weeks)
    return fleets.write_log(fleet, folder)


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return log(tmp_path_factory.mktemp("log"))


@pytest.fixture(scope="module")
def record(folder):
    return wearcast.backtest(wearcast.read_logbook(folder), most_dates=2, draws=100)


def test_actual_use_is_what_the_whole_logbook_shows(folder, record):
    truth = read_history(wearcast.read_logbook(folder))
    newest = record.frame["as_of"].max()
    until = newest + pd.Timedelta(days=91)
    happened = truth.uses[(truth.uses["date"] > newest) & (truth.uses["date"] <= until)]
    row = record.frame[(record.frame["as_of"] == newest) & (record.frame["level"] == "fleet")
                       & (record.frame["part"] == "all")]  # fmt: skip
    assert row["actual"].item() == happened["pieces"].sum()


def test_the_planted_future_does_not_move_the_past(folder, record, tmp_path):
    # Everything dated after the newest earlier date is changed: ten times the changes are gone,
    # the meters race, and a plan and a retirement dated later are added.
    newest = record.frame["as_of"].max()
    for path in folder.glob("*.csv"):
        frame = pd.read_csv(path, dtype=str, keep_default_na=False)
        if path.stem == "changes":
            late = pd.to_datetime(frame["date"]) > newest
            frame = frame[~late | (np.arange(len(frame)) % 3 == 0)]
        frame.to_csv(tmp_path / path.name, index=False)
    plans = pd.DataFrame(
        {"machine": ["M000"], "start": [str((newest + pd.Timedelta(days=5)).date())],
         "hours_per_week": [0]}
    )  # fmt: skip
    book = wearcast.read_logbook(folder)
    plans["machine"] = book.machines["machine"].iloc[0]
    plans.to_csv(tmp_path / "plans.csv", index=False)
    planted = wearcast.backtest(wearcast.read_logbook(tmp_path), most_dates=2, draws=100)
    forecast = ["as_of", "level", "where", "part", "period", "mean", "p05", "p95"]
    told = record.frame[forecast].merge(planted.frame[forecast], on=forecast[:5])
    assert len(told) == len(record.frame)
    assert (told["mean_x"] == told["mean_y"]).all()
    assert not record.frame["actual"].equals(planted.frame["actual"])


def test_too_short_a_logbook_says_so(tmp_path):
    book = wearcast.read_logbook(log(tmp_path, weeks=30))
    with pytest.raises(NothingToFit, match="too short to look back"):
        wearcast.backtest(book)


def frame_of(ranks, actual=10.0, mean=10.0, period="quarter", losses=(1.0, 2.0, 3.0, 4.0)):
    rows = []
    for number, rank in enumerate(ranks):
        for part in ("all", "blade"):
            rows.append(
                {"as_of": pd.Timestamp("2026-01-01") + pd.Timedelta(days=91 * number),
                 "level": "fleet", "where": "fleet", "part": part, "period": period,
                 "actual": actual, "mean": mean, "p05": 5.0, "p10": 6.0, "p90": 14.0, "p95": 15.0,
                 "loss": losses[0], "loss_last_year": losses[1], "loss_moving_average": losses[2],
                 "loss_croston": losses[3], "rank": rank}
            )  # fmt: skip
    return pd.DataFrame(rows)


def test_coverage_is_the_share_of_ranks_inside():
    summary = summarise(frame_of([0.5, 0.93, 0.97, 0.2])).set_index(["period", "level"])
    total = summary.loc[("quarter", "fleet total")]
    assert (total["inside_80"], total["inside_90"], total["forecasts"]) == (0.5, 0.75, 4)


def test_the_record_is_told_in_words_a_clerk_understands():
    frame = pd.concat([frame_of([0.5] * 18), frame_of([0.99] * 2, actual=40.0)])
    words = record_words(summarise(frame), frame)
    assert words == (
        "In 18 of 20 quarters the fleet's true use lay inside the 90 % range.",
        "Part by part: inside in 18 of 20 forecasts of a quarter (of 100, about 90 should be); its "
        "misses were 50 % smaller than those of last year's use.",
    )


def test_a_backtest_holds_every_level_and_period(record):
    assert isinstance(record, Backtest)
    assert set(record.frame["level"]) == {"fleet", "site"}
    assert record.frame["rank"].between(0, 1).all()
    assert (record.frame["p05"] <= record.frame["p95"]).all()
