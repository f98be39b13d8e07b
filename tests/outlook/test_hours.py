"""Hours ahead: known truth recovered, plans and dates obeyed, streams kept apart."""

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.history.books import history as history_of_logs
from tests.outlook.makers import AS_OF, history_of, positions
from wearcast.history.story import History
from wearcast.logbook.choices import Choices
from wearcast.outlook.hours import hours_ahead
from wearcast.outlook.weeks.known import learn_hours
from wearcast.outlook.weeks.past import read_past

NO_PLANS = pd.DataFrame(
    {
        "machine": pd.Series(dtype=object),
        "start": pd.Series(dtype="datetime64[ns]"),
        "hours_per_week": pd.Series(dtype=float),
        "end": pd.Series(dtype="datetime64[ns]"),
    }
)


def choices(draws: int = 200, seed: int = 1) -> Choices:
    return Choices(as_of=AS_OF, order_from=AS_OF, order_to=AS_OF, seed=seed, draws=draws)


def plan(machine: str, hours: float, start: str, end: str | None = None) -> pd.DataFrame:
    row = [machine, pd.Timestamp(start), hours, pd.Timestamp(end)]
    return pd.DataFrame([row], columns=["machine", "start", "hours_per_week", "end"]).astype(
        {"end": "datetime64[ns]"}
    )


def read_weekly(
    weekly: np.ndarray, sites: list[str] | None = None, every: int = 1, **machines: object
) -> History:
    """A history in which meters were read every so many weeks, the last time on as-of."""
    count, weeks = weekly.shape
    names = [f"M{number}" for number in range(count)]
    back = np.arange(0, weeks + 1, every)[::-1]
    total = np.concatenate([np.zeros((count, 1)), np.cumsum(weekly, axis=1)], axis=1)
    meters = pd.DataFrame(
        {
            "machine": np.repeat(names, len(back)),
            "date": np.tile(AS_OF - pd.to_timedelta(7 * back, unit="D"), count),
            "hours": total[:, weeks - back].ravel(),
            "read": True,
        }
    )
    usual = {"last_date": AS_OF, "in_service": pd.NaT, "retired": pd.NaT}
    frame = pd.DataFrame(usual | machines, index=pd.Index(names, name="machine"))
    frame = frame.astype({"in_service": "datetime64[ns]", "retired": "datetime64[ns]"})
    frame["site"] = sites or ["north"] * count
    return history_of(positions([{}]), meters=meters, machines=frame)


def noisy_weeks(
    rng: np.random.Generator, machines: int, weeks: int, sd: float, memory: float, wave: float
) -> np.ndarray:
    """Hours a week: own level x one wave of the year x AR(1) noise; the coming year comes last."""
    level = 24.0 * np.exp(rng.normal(0, 0.35, (machines, 1)))
    season = np.exp(wave * np.cos(2 * np.pi * np.arange(weeks) / 52.18 + rng.uniform(0, 6.28)))
    noise = np.empty((machines, weeks))
    last = rng.normal(0, sd, machines)
    for week in range(weeks):
        last = memory * last + np.sqrt(1 - memory**2) * rng.normal(0, sd, machines)
        noise[:, week] = last
    return level * season * np.exp(noise - sd**2 / 2)


def test_even_hours_go_on_as_they_were():
    ahead = hours_ahead(read_weekly(np.full((3, 110), 30.0)), NO_PLANS, choices(), 364)
    assert ahead.hours.shape == (3, 200, 52)
    assert ahead.hours.mean() == pytest.approx(30.0, rel=0.02)


def test_readings_are_taken_alike_some_machines_at_a_time(monkeypatch):
    weekly = noisy_weeks(np.random.default_rng(3), 6, 60, sd=0.2, memory=0.5, wave=0.15)
    history = read_weekly(weekly)
    whole = read_past(history)
    monkeypatch.setattr("wearcast.outlook.weeks.past.KNOTS_AT_ONCE", 100)
    some = read_past(history)
    assert np.array_equal(whole.span, some.span)
    assert some.rate == pytest.approx(whole.rate, nan_ok=True)


def test_unrest_is_recovered_from_weekly_readings():
    # 40 machines x 104 weeks: the sd is known to 1 / sqrt(2 x 4160 / 3) = 2 % at this memory.
    weekly = noisy_weeks(np.random.default_rng(3), 40, 104, sd=0.2, memory=0.5, wave=0.15)
    history = read_weekly(weekly)
    known = learn_hours(read_past(history), np.zeros(40, dtype=int), AS_OF)
    assert known.unrest.noise == pytest.approx(0.2, rel=0.08)
    assert known.unrest.memory == pytest.approx(0.5, abs=0.1)
    assert known.unrest.walk <= 0.02


def test_a_level_that_wanders_is_not_taken_for_noise_with_a_memory():
    rng = np.random.default_rng(7)
    weekly = noisy_weeks(rng, 30, 91, sd=0.15, memory=0.0, wave=0.0)
    weekly *= np.exp(np.cumsum(0.048 * rng.normal(size=weekly.shape), axis=1))
    known = learn_hours(read_past(read_weekly(weekly)), np.zeros(30, dtype=int), AS_OF)
    # Steps of .048 under noise of .15: .32 of it.
    assert known.unrest.walk == pytest.approx(0.32, rel=0.3)
    assert known.unrest.memory <= 0.15


def test_monthly_readings_do_not_make_the_weeks_look_calm():
    # White weekly noise of 30 %, read every four weeks: the mean of four weeks scatters by half
    # of that, and a straight line between readings would show no scatter within them at all.
    weekly = noisy_weeks(np.random.default_rng(4), 40, 104, sd=0.3, memory=0.0, wave=0.0)
    ahead = hours_ahead(read_weekly(weekly, every=4), NO_PLANS, choices(400), 91)
    spread = ahead.hours.sum(axis=2).std(axis=1) / ahead.hours.sum(axis=2).mean(axis=1)
    # What really scatters over 13 weeks: noise 0.3 / sqrt(13), level 0.3 / sqrt(104).
    assert spread.mean() == pytest.approx(0.3 * np.sqrt(1 / 13 + 1 / 104), rel=0.25)


def test_a_shared_season_comes_again():
    weekly = noisy_weeks(np.random.default_rng(5), 30, 156, sd=0.1, memory=0.3, wave=0.3)
    ahead = hours_ahead(read_weekly(weekly[:, :104]), NO_PLANS, choices(), 364)
    shown = ahead.hours.mean(axis=(0, 1)) / ahead.hours.mean()
    real = weekly[:, 104:].mean(axis=0) / weekly[:, 104:].mean()
    assert np.abs(shown - real).mean() < 0.03


def test_a_machine_with_a_year_of_its_own_keeps_it():
    # One machine in ten runs against the season of the others, twice over.
    weekly = noisy_weeks(np.random.default_rng(6), 10, 156, sd=0.1, memory=0.0, wave=0.0)
    weekly[0] *= 1 + 0.5 * np.cos(2 * np.pi * np.arange(156) / 52.18)
    ahead = hours_ahead(read_weekly(weekly[:, :104]), NO_PLANS, choices(), 364)
    shown = ahead.hours[0].mean(axis=0)
    assert np.corrcoef(shown, weekly[0, 104:])[0, 1] > 0.9


def test_a_season_is_shrunk_the_less_the_longer_it_has_been_seen():
    weekly = noisy_weeks(np.random.default_rng(7), 20, 208, sd=0.15, memory=0.3, wave=0.2)
    kept = [
        hours_ahead(read_weekly(weekly[:, -weeks:]), NO_PLANS, choices(20), 7).parts["season_kept"]
        for weeks in (26, 52, 104, 208)
    ]
    assert all((one > 0).all() and (one < 1).all() for one in kept)
    assert np.all(np.diff([one.mean() for one in kept]) > 0)


def test_half_a_year_leaves_open_how_large_seasons_are_and_years_do_not():
    weekly = noisy_weeks(np.random.default_rng(7), 20, 208, sd=0.15, memory=0.3, wave=0.2)
    site = np.arange(20) % 10
    known = [
        learn_hours(read_past(read_weekly(weekly[:, -weeks:])), site, AS_OF) for weeks in (26, 208)
    ]
    # Spread of the log of the size drawn, in the words of the weights.
    logs = [np.log([tree.fleet[0] for tree in one.trees]) / 2 for one in known]
    means = [one.weights @ log for one, log in zip(known, logs, strict=True)]
    spread = [
        np.sqrt(one.weights @ (log - mean) ** 2)
        for one, log, mean in zip(known, logs, means, strict=True)
    ]
    assert [one.weights.sum() for one in known] == pytest.approx([1, 1])
    assert spread[0] > spread[1]
    assert spread[0] > 0.2


def test_a_history_under_a_year_leaves_more_open_than_two_years():
    weekly = noisy_weeks(np.random.default_rng(7), 20, 104, sd=0.15, memory=0.3, wave=0.1)
    long = hours_ahead(read_weekly(weekly), NO_PLANS, choices(), 364)
    short = hours_ahead(read_weekly(weekly[:, -26:]), NO_PLANS, choices(), 364)
    spread = [ahead.hours.sum(axis=(0, 2)).std() for ahead in (short, long)]
    assert spread[0] > 1.5 * spread[1]


def test_nine_of_ten_years_lie_inside_the_90_percent_range():
    # 30 fleets of one site: 27 expected inside; under 22 or over 30 at chance 1 in 200.
    inside = 0
    for seed in range(30):
        weekly = noisy_weeks(np.random.default_rng(100 + seed), 8, 156, 0.18, 0.5, 0.15)
        ahead = hours_ahead(read_weekly(weekly[:, :104]), NO_PLANS, choices(seed=seed), 364)
        low, high = np.quantile(ahead.hours.sum(axis=(0, 2)), [0.05, 0.95])
        inside += low < weekly[:, 104:].sum() < high
    assert inside >= 22


def test_what_if_there_were_more_hours_is_so_much_more_and_said():
    history = read_weekly(np.full((2, 60), 20.0))
    usual, more = (
        hours_ahead(history, NO_PLANS, replace(choices(), hours_factor=factor), 91)
        for factor in (1.0, 1.5)
    )
    assert more.hours == pytest.approx(1.5 * usual.hours, rel=1e-6)
    assert [one.told[-1].wrong for one in (more,)] == [
        "what if: all hours ahead are taken 1.5 times"
    ]
    assert usual.told == ()


def test_a_plan_replaces_the_level_from_its_start_on():
    history = read_weekly(np.full((2, 110), 30.0))
    ahead = hours_ahead(history, plan("M0", 60.0, "2026-11-15"), choices(), 364)
    assert ahead.hours[0, :, :2].mean() == pytest.approx(30.0, rel=0.03)
    assert ahead.hours[0, :, 2:].mean() == pytest.approx(60.0, rel=0.03)
    assert ahead.hours[1].mean() == pytest.approx(30.0, rel=0.03)


def test_a_plan_keeps_the_noise_of_the_weeks():
    weekly = noisy_weeks(np.random.default_rng(8), 10, 104, sd=0.2, memory=0.0, wave=0.0)
    ahead = hours_ahead(read_weekly(weekly), plan("M0", 60.0, "2026-11-01"), choices(2000), 364)
    spread = ahead.hours[0, :, 20].std() / ahead.hours[0, :, 20].mean()
    assert spread == pytest.approx(0.2, rel=0.15)


def test_a_plan_of_zero_stands_still_and_its_end_is_the_last_day():
    history = read_weekly(np.full((1, 110), 28.0))
    ahead = hours_ahead(history, plan("M0", 0.0, "2026-11-01", "2026-11-17"), choices(), 28)
    assert (ahead.hours[0, :, :2] == 0).all()
    assert ahead.hours[0, :, 2].mean() == pytest.approx(28.0 * 4 / 7, rel=0.05)  # 18 to 21 Nov.


def test_hours_end_with_the_last_day_of_a_retired_machine():
    history = read_weekly(np.full((1, 110), 28.0), retired=pd.Timestamp(2026, 11, 9))
    ahead = hours_ahead(history, NO_PLANS, choices(), 28)
    assert ahead.hours[0, :, 1].mean() == pytest.approx(28.0 * 2 / 7, rel=0.05)  # 8 and 9 Nov.
    assert (ahead.hours[0, :, 2:] == 0).all()


def test_a_machine_that_starts_in_the_future_runs_from_that_day():
    history = read_weekly(np.full((2, 110), 28.0))
    history.machines.loc["M1", ["last_date", "in_service"]] = [pd.NaT, pd.Timestamp(2026, 11, 15)]
    meters = history.meters[history.meters["machine"] == "M0"]
    ahead = hours_ahead(
        replace(history, meters=meters), plan("M1", 40.0, "2026-11-01"), choices(), 364
    )
    assert (ahead.hours[1, :, :2] == 0).all()
    assert ahead.hours[1, :, 2:].mean() == pytest.approx(40.0, rel=0.05)
    assert ahead.told == ()


def test_a_machine_without_readings_or_plan_is_told_and_runs_no_hours():
    history = read_weekly(np.full((2, 110), 28.0))
    history.machines.loc["M1", "last_date"] = pd.NaT
    meters = history.meters[history.meters["machine"] == "M0"]
    ahead = hours_ahead(replace(history, meters=meters), NO_PLANS, choices(), 28)
    assert (ahead.hours[1] == 0).all()
    (finding,) = ahead.told
    assert finding.value == "M1"
    assert finding.wrong == "fewer than two readings and no plan, so no hours are forecast"


def test_a_silent_machine_keeps_its_level():
    history = read_weekly(np.full((2, 110), 28.0))
    last = AS_OF - pd.Timedelta(weeks=15)
    history.machines.loc["M1", "last_date"] = last
    read = (history.meters["machine"] == "M0") | (history.meters["date"] <= last)
    silent = replace(history, meters=history.meters[read])
    ahead = hours_ahead(silent, NO_PLANS, choices(), 364)
    assert ahead.hours[1].mean() == pytest.approx(28.0, rel=0.05)


def test_a_meter_that_never_ran_stands_still_and_leaves_the_others_alone():
    weekly = np.full((2, 30), 28.0)
    weekly[1] = 0.0
    ahead = hours_ahead(read_weekly(weekly), NO_PLANS, choices(), 28)
    assert (ahead.hours[1] == 0).all()
    assert ahead.hours[0].mean() == pytest.approx(28.0, rel=0.05)


def test_the_guessed_end_of_a_curve_is_no_reading():
    # One reading, and a change weeks later: nothing tells a rate, not even one of no hours.
    past = history_of_logs(
        readings="""
            machine  date        hours
            M1       2026-01-05  1000.0
            M2       2026-01-05  100.0
            M2       2026-02-16  220.0
        """,
        changes="""
            machine  date        position  action  part
            M1       2026-01-05  front     fit     B4
            M1       2026-02-16  front     turn    B4
        """,
    )
    assert np.isnan(read_past(past).usual).tolist() == [True, False]


def test_a_fleet_without_any_reading_lives_on_its_plans():
    history = read_weekly(np.zeros((2, 1)))
    history.machines["last_date"] = pd.NaT
    empty = replace(history, meters=history.meters.iloc[:0])
    plans = pd.concat([plan("M0", 20.0, "2026-11-01"), plan("M1", 35.0, "2026-11-01")])
    ahead = hours_ahead(empty, plans, choices(), 364)
    assert ahead.hours.mean(axis=(1, 2)) == pytest.approx([20.0, 35.0], rel=0.05)


def test_hours_are_never_negative_and_never_more_than_a_week_has():
    weekly = noisy_weeks(np.random.default_rng(9), 6, 60, sd=0.9, memory=0.5, wave=0.4) * 3
    ahead = hours_ahead(read_weekly(np.minimum(weekly, 168.0)), NO_PLANS, choices(), 364)
    assert ahead.hours.min() >= 0.0
    assert ahead.hours.max() <= 168.0


@settings(max_examples=5, deadline=None)
@given(st.integers(14, 200), st.integers(7, 100))
def test_a_longer_look_ahead_leaves_the_first_weeks_as_they_were(days: int, more: int):
    weekly = noisy_weeks(np.random.default_rng(10), 3, 60, sd=0.2, memory=0.3, wave=0.1)
    short = hours_ahead(read_weekly(weekly), NO_PLANS, choices(20), days)
    long = hours_ahead(read_weekly(weekly), NO_PLANS, choices(20), days + more)
    assert np.array_equal(short.hours, long.hours[:, :, : short.hours.shape[2]])


def test_the_order_of_readings_does_not_matter():
    weekly = noisy_weeks(np.random.default_rng(11), 4, 60, sd=0.2, memory=0.3, wave=0.1)
    history = read_weekly(weekly)
    other = replace(history, meters=history.meters.sample(frac=1.0, random_state=1))
    one, two = (hours_ahead(book, NO_PLANS, choices(20), 91) for book in (history, other))
    assert one.hours.tobytes() == two.hours.tobytes()


def test_rates_cover_the_weeks_between_readings():
    history = read_weekly(np.repeat([[10.0, 20.0, 30.0, 40.0]], 2, axis=0), every=2)
    past = read_past(history)
    assert past.rate[0].tolist()[2::2] == [15.0, 35.0]
    assert past.span[0].tolist() == [0, 0, 2, 0, 2]
    assert past.first[0].tolist() == [True, False, False, False, False]


def test_a_trend_of_the_whole_fleet_goes_on_for_a_while_and_fades():
    weekly = noisy_weeks(np.random.default_rng(12), 30, 104, sd=0.1, memory=0.0, wave=0.0)
    weekly *= np.exp(0.15 * (np.arange(104) - 103) / 52)  # 15 % a year
    ahead = hours_ahead(read_weekly(weekly), NO_PLANS, choices(), 364).hours
    last = weekly[:, -8:].sum() / 8
    quarter, end = (ahead[:, :, weeks].sum(axis=0).mean() for weeks in (13, 51))
    assert 1.01 < quarter / last < 1.06  # a trend undamped would give 1.04
    assert 1.02 < end / last < 1.12  # undamped: 1.16
