"""Changes of a machine's wear speed: found where they are, and seldom where they are not."""

from types import SimpleNamespace

import numpy as np
import pandas as pd
import pytest
from scipy.stats import binom, kstest

from wearcast.wear.diagnostics import speed_changes as room
from wearcast.wear.diagnostics.speed_changes import ALARM, speed_changes, sure_ones

FIRST, DAYS = pd.Timestamp("2025-01-01"), 720
RATE, SHAPE = 0.05, 2.0
TURN = pd.Timestamp("2026-01-01")


def fleet(machines: int, seed: int, faster: float = 1.0):
    """Machines that run an hour a day; from `TURN` on their edges wear `faster` times as fast."""
    rng = np.random.default_rng(seed)
    turn = (TURN - FIRST).days
    rows = []
    for number in range(machines):
        day = 0.0
        while day < DAYS:
            # Wear at which the edge ends, and the hours that take it there across the turn.
            wear = rng.weibull(SHAPE) / RATE
            slow = max(turn - day, 0.0)
            end = day + (wear if wear <= slow else slow + (wear - slow) / faster)
            rows.append((f"M{number:03d}", day, min(end, DAYS), end <= DAYS))
            day = end
    frame = pd.DataFrame(rows, columns=["machine", "start", "end", "done"])
    spells = frame.assign(
        start=FIRST + pd.to_timedelta(frame["start"], "D"),
        end=FIRST + pd.to_timedelta(frame["end"], "D"),
        site="",
        wears_as="pad",
        cause=np.where(frame["done"], "worn", "running"),
        in_fit=True,
    )
    exposure = pd.DataFrame({"tile": frame["end"] - frame["start"]})
    worn = SimpleNamespace(
        terms=("log rate[pad, tile]", "log shape[pad]"), mean=np.log([RATE, SHAPE])
    )
    wear = SimpleNamespace(worn=worn, spells={"pad": None}, floors=("tile",))
    return SimpleNamespace(spells=spells, exposure=exposure), wear


def test_a_machine_that_wears_half_as_fast_again_is_found_with_its_day():
    found = speed_changes(*fleet(1, seed=2, faster=1.5))
    (row,) = found.to_dict("records")
    assert row["sure"]
    assert abs((row["since"] - TURN).days) <= 92
    assert row["low"] < 1.5 < row["high"]


def test_over_many_machines_the_change_is_told_without_bias():
    found = speed_changes(*fleet(200, seed=3, faster=1.5), since=TURN)
    # Shrunk a little by the weak prior; 200 machines of 40 ends tell it to about 0.02.
    assert np.exp(np.log(found["times"]).mean()) == pytest.approx(1.5, abs=0.06)
    covered = ((found["low"] < 1.5) & (found["high"] > 1.5)).sum()
    assert binom.cdf(covered, len(found), 0.9) > 0.005


@pytest.mark.parametrize("since", [TURN, None], ids=["day given", "day looked for"])
def test_where_nothing_changes_chances_are_even_and_no_machine_is_told(since):
    found = speed_changes(*fleet(150, seed=4), since=since)
    assert kstest(found["chance"], "uniform").pvalue > 0.005
    assert not found["sure"].any()


def test_few_ends_are_not_compared():
    assert speed_changes(*fleet(3, seed=5), since=FIRST + pd.Timedelta(days=20)).empty


def test_the_more_machines_the_less_likely_each_must_be():
    # Holm: 0.01 of 3 and 0.02 of the 2 left are within 0.05, 0.2 is not.
    assert sure_ones(np.array([0.02, 0.01, 0.2])).tolist() == [True, True, False]
    assert sure_ones(np.array([0.02, 0.02, 0.2])).tolist() == [False, False, False]
    assert ALARM == 0.05


def test_the_quick_way_tells_the_same_machines_with_the_same_chances():
    history, wear = fleet(12, seed=6, faster=1.4)
    whole, quick = (speed_changes(history, wear, every=every) for every in (True, False))
    assert 0 < whole["sure"].sum() < len(whole)
    pd.testing.assert_frame_equal(whole[whole["sure"]], quick[quick["sure"]])


def test_machines_are_told_alike_piece_by_piece(monkeypatch):
    history, wear = fleet(12, seed=6, faster=1.4)
    whole = speed_changes(history, wear, since=TURN)
    monkeypatch.setattr(room, "SPELLS_AT_ONCE", 100)
    pd.testing.assert_frame_equal(speed_changes(history, wear, since=TURN), whole)


def at_site(history, site):
    """The same with all machines at one site."""
    return SimpleNamespace(spells=history.spells.assign(site=site), exposure=history.exposure)


def test_a_site_is_told_where_its_machines_alone_are_not():
    history, wear = fleet(12, seed=4, faster=1.25)
    (site,) = speed_changes(at_site(history, "Hall"), wear, since=TURN, of="site").to_dict(
        "records"
    )
    machines = speed_changes(at_site(history, "Hall"), wear, since=TURN)
    assert site["site"] == "Hall"
    assert site["sure"]
    assert site["low"] < 1.25 < site["high"]
    assert machines["sure"].mean() < 0.5


def test_machines_that_come_to_a_site_make_no_change():
    # Five machines that wear twice as fast join on the day: each is compared with itself.
    (old, wear), (new, _) = fleet(10, seed=5), fleet(5, seed=6, faster=2.0)
    late = new.spells["start"].ge(TURN)
    newcomers = new.spells[late].assign(machine="N" + new.spells["machine"])
    both = SimpleNamespace(
        spells=pd.concat([old.spells, newcomers], ignore_index=True).assign(site="Hall"),
        exposure=pd.concat([old.exposure, new.exposure[late]], ignore_index=True),
    )
    (site,) = speed_changes(both, wear, since=TURN, of="site").to_dict("records")
    assert site["chance"] > 0.05
