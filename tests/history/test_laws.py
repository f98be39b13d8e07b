"""Laws that hold for every log, and the slow curve as referee."""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.history.books import logbook
from tests.history.slow_curve import curve_by_hand, rate_by_hand
from wearcast.history.story import read_history

START = pd.Timestamp("2025-09-01")

steps = st.tuples(st.integers(1, 40), st.floats(0, 12), st.sampled_from([False] * 6 + [True]))
readings_of_a_machine = st.lists(steps, min_size=1, max_size=25)


def dated(steps):
    """(day, hours on the meter, marked) from steps of days, hours a day and new meters."""
    day, shown, out = 0, 9000.0, [(0, 9000.0, False)]
    for days, pace, marked in steps:
        day += days
        marked = marked and not out[-1][2]  # a mark that goes on from a mark is no new meter
        shown = 3.0 if marked else round(shown + days * pace, 1)
        rolled = shown >= 10_000
        if rolled and shown - 10_000 >= 480:
            break
        shown = round(shown - 10_000, 1) if rolled else shown
        out.append((day, shown, marked))
    return out


def reading_frame(machine, readings):
    day, hours, marked = zip(*readings, strict=True)
    return pd.DataFrame(
        {
            "machine": machine,
            "date": START + pd.to_timedelta(day, "D"),
            "hours": hours,
            "new_meter": ["yes" if mark else "no" for mark in marked],
        }
    )


@settings(max_examples=15)
@given(st.lists(readings_of_a_machine.map(dated), min_size=1, max_size=4))
def test_the_curve_is_that_of_a_reckoning_reading_by_reading(fleet):
    frames = [reading_frame(f"M{number}", log) for number, log in enumerate(fleet)]
    past = read_history(logbook(readings=pd.concat(frames)))
    assert past.told == () or all(problem.severity != "set aside" for problem in past.told)
    for number, log in enumerate(fleet):
        knots = past.meters[past.meters["machine"].eq(f"M{number}") & past.meters["read"]]
        assert list(knots["hours"]) == pytest.approx(curve_by_hand(log))
        rate = rate_by_hand(log, len(log) - 1)
        expected = np.nan if rate is None else 7 * rate
        got = past.machines.loc[f"M{number}", "hours_per_week"]
        assert got == pytest.approx(expected, nan_ok=True)


MOVED, ALWAYS, NEVER = START + pd.Timedelta(50, "D"), pd.Timestamp.min, pd.Timestamp.max
STATIONS = {
    "M0": [("hall", ALWAYS, NEVER)],
    "M1": [("hall", ALWAYS, NEVER)],
    "M2": [("yard", ALWAYS, MOVED), ("hall", MOVED, NEVER)],
}

# Each example is three machines and a whole history, so a dozen are many logs.
dozen = settings(max_examples=12)

change = st.tuples(
    st.sampled_from(["M0", "M1", "M2"]),
    st.sampled_from(["front", "brush"]),
    st.integers(0, 250),
    st.sampled_from(["turn", "turn", "fit", "remove"]),
    st.sampled_from(["", "", "B4", "B2", "R1"]),
    st.sampled_from(["worn", "damaged", "planned"]),
)
logs = st.tuples(
    st.lists(readings_of_a_machine.map(dated), min_size=3, max_size=3),
    st.lists(change, min_size=1, max_size=25, unique_by=lambda line: line[:3]),
)


def tables_of(log):
    """Readings, changes, floors and machines of three machines, one of which moved."""
    fleet, changes = log
    frames = [reading_frame(f"M{number}", read) for number, read in enumerate(fleet)]
    changes = pd.DataFrame(
        changes, columns=["machine", "position", "day", "action", "part", "cause"]
    )
    changes["date"] = START + pd.to_timedelta(changes.pop("day"), "D")
    floors = pd.DataFrame(
        {
            "machine": ["M0", "M0", "M0", "M1"],
            "floor": ["tile", "vinyl", "vinyl", "tile"],
            "share": [0.25, 0.75, 1.0, 1.0],
            "since": [pd.NaT, pd.NaT, START + pd.Timedelta(30, "D"), pd.NaT],
        }
    )
    machines = pd.DataFrame(
        {
            "machine": ["M0", "M1", "M2", "M2"],
            "site": ["hall", "hall", "yard", "hall"],
            "since": [pd.NaT, pd.NaT, pd.NaT, MOVED],
        }
    )
    return {
        "readings": pd.concat(frames, ignore_index=True),
        "changes": changes,
        "floors": floors,
        "machines": machines,
    }


@dozen
@given(logs)
def test_spells_of_a_position_add_up_to_the_hours_run_while_it_was_watched(log):
    tables = tables_of(log)
    # A removal would leave the position empty for a while.
    tables["changes"]["action"] = tables["changes"]["action"].replace("remove", "turn")
    past = read_history(logbook(**tables))
    for (machine, position), here in past.spells.groupby(["machine", "position"]):
        lasted = run_hours(past, machine, here["end"].iloc[-1])
        begun = here["start"].iloc[0]
        came = 0.0 if pd.isna(begun) else run_hours(past, machine, begun)
        assert here["hours"].sum() == pytest.approx(lasted - came, abs=1e-6), position
        if pd.isna(begun):
            since = min(watched_since(tables, past, machine), here["end"].iloc[0])
            came = run_hours(past, machine, since)
        exposed = past.exposure.loc[here.index].to_numpy().sum()
        assert exposed == pytest.approx(lasted - came, abs=1e-6), position


def watched_since(tables, past, machine):
    """When the meter was read and the site wrote changes, station by station."""
    read = past.meters.loc[past.meters["machine"].eq(machine), "date"].min()
    for site, since, until in STATIONS[machine]:
        begin, wrote = max(read, since), first_written(tables, site)
        if wrote - begin > pd.Timedelta(60, "D"):
            begin = wrote
        if begin < until:
            return begin
    raise AssertionError(f"{machine} was watched at no station")


def first_written(tables, site):
    """The date of the first change at a site; long after everything if there is none."""
    dates = [
        line.date
        for line in tables["changes"].itertuples()
        for name, since, until in STATIONS[line.machine]
        if name == site and since <= line.date < until
    ]
    return min(dates, default=START + pd.Timedelta(10_000, "D"))


def run_hours(past, machine, date):
    """Run hours at the end of a day, read off the knots as a person would."""
    knots = past.meters[past.meters["machine"].eq(machine)]
    before, after = knots[knots["date"] <= date], knots[knots["date"] > date]
    if before.empty:
        return 0.0
    if after.empty:
        return before["hours"].iloc[-1]
    left, right = before.iloc[-1], after.iloc[0]
    part = (date - left["date"]) / (right["date"] - left["date"])
    return left["hours"] + part * (right["hours"] - left["hours"])


@dozen
@given(logs)
def test_the_quarters_of_a_spell_add_up_to_its_exposure(log):
    past = read_history(logbook(**tables_of(log)))
    hours = past.spell_quarters.groupby("spell")["hours"].sum().reindex(past.spells.index)
    assert list(hours.fillna(0.0)) == pytest.approx(list(past.exposure.sum(axis=1)), abs=1e-6)
    last = past.spell_quarters.groupby("spell")["quarter"].min()
    assert last.ge(past.spells["end_quarter"].reindex(last.index)).all()


@dozen
@given(logs)
def test_no_spell_ran_longer_until_its_site_fell_silent_than_in_all(log):
    past = read_history(logbook(**tables_of(log)))
    until = past.until_silence
    assert until.ge(0.0).all(axis=None)
    assert until.le(past.exposure.loc[until.index] + 1e-9).all(axis=None)
    assert past.spells.loc[until.index, "ended"].isin(["running", "retired"]).all()


@dozen
@given(logs)
def test_hours_never_fall_and_never_pass_24_a_day(log):
    past = read_history(logbook(**tables_of(log)))
    for _, knots in past.meters.groupby("machine"):
        run = knots["hours"].diff().iloc[1:]
        days = knots["date"].diff().dt.days.iloc[1:].clip(lower=1)
        assert (run >= -1e-9).all()
        assert (run <= 24 * days + 1e-6).all()


FRAMES = (
    "meters machines spells exposure end_mix running running_exposure mixes uses "  # noqa: SIM905
    "since_read until_silence running_until_silence spell_quarters".split()
)


def assert_same(one, other, without=("source", "row")):
    for name in FRAMES:
        left, right = (getattr(past, name) for past in (one, other))
        left, right = (f.drop(columns=[c for c in without if c in f]) for f in (left, right))
        pd.testing.assert_frame_equal(left, right, obj=name)


@dozen
@given(logs, st.randoms(use_true_random=False))
def test_the_order_of_rows_changes_nothing(log, chance):
    tables = tables_of(log)
    shuffled = {
        name: frame.sample(frac=1, random_state=chance.randrange(1000))
        for name, frame in tables.items()
    }
    assert_same(read_history(logbook(**tables)), read_history(logbook(**shuffled)))


@dozen
@given(logs)
def test_another_machine_leaves_the_spells_of_the_rest_as_they_were(log):
    tables = tables_of(log)
    as_of = str(max(tables["readings"]["date"].max(), tables["changes"]["date"].max()))
    alone = {name: frame[frame["machine"].ne("M1")] for name, frame in tables.items()}
    # At a site of its own, so that its changes do not tell how long the others were watched.
    moved = tables["machines"].assign(
        site=tables["machines"]["site"].where(tables["machines"]["machine"].ne("M1"), "far")
    )
    both = read_history(logbook(as_of, **{**tables, "machines": moved}))
    one = read_history(logbook(as_of, **alone))
    kept = both.spells["machine"].ne("M1")
    columns = [name for name in one.spells if name not in ("source", "row")]
    pd.testing.assert_frame_equal(
        both.spells.loc[kept, columns].reset_index(drop=True),
        one.spells[columns],
        check_dtype=False,
    )


@dozen
@given(logs, st.integers(0, 250))
def test_a_later_as_of_never_unhappens_a_spell(log, day):
    tables = tables_of(log)
    cut = START + pd.Timedelta(day, "D")
    early = {
        name: frame[frame["date"] <= cut] if "date" in frame else frame
        for name, frame in tables.items()
    }
    key = ["machine", "position", "part", "edge", "start", "end", "cause", "ended", "replaced"]
    before = read_history(logbook(str(cut), **early)).spells
    after = read_history(logbook(**tables)).spells
    ended = before[before["ended"].ne("running")][key].astype(str)
    assert set(map(tuple, ended.to_numpy())) <= set(map(tuple, after[key].astype(str).to_numpy()))
