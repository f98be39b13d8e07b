"""Hours on each floor: counted by hand, then day by day by a slow second reckoning."""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.conftest import assert_table, table
from tests.history.books import history

READ = """
    machine  date        hours
    M1       2026-01-05  1000
    M1       2026-02-02  1080
    M1       2026-03-02  1160
"""
CHANGED = """
    machine  position  date        action  part
    M1       front     2026-01-05  fit     B4
    M1       front     2026-02-02  turn    B4
"""


FLOORS = {
    "shared by the floors of the machine": (
        "floor  share | vinyl  0.75 | tile  0.25",
        "tile  vinyl | 20  60 | 20  60",
        "tile  vinyl | 0.25  0.75 | 0.25  0.75",
    ),
    # 80 h in 28 days; 14 days on vinyl to the end of 19 January, then 14 on tile.
    "shares that change hold from the beginning of the day": (
        "floor  share  since | vinyl  1.0  - | tile  1.0  2026-01-20",
        "tile  vinyl | 40  40 | 80  0",
        "tile  vinyl | 1  0 | 1  0",
    ),
    "the mix at the end is that of the last day": (
        "floor  share  since | vinyl  1.0  - | tile  0.5  2026-02-02 | "
        "vinyl  0.5  2026-02-02 | tile  1.0  2026-02-03",
        "tile  vinyl | 1.428571  78.571429 | 80  0",
        "tile  vinyl | 0.5  0.5 | 1  0",
    ),
}


@pytest.mark.parametrize(("floors", "hours", "mix"), FLOORS.values(), ids=FLOORS.keys())
def test_hours_are_those_of_the_floors(floors, hours, mix):
    past = history(readings=READ, changes=CHANGED, floors=table(floors).assign(machine="M1"))
    assert past.floors == tuple(sorted(set(table(floors)["floor"])))
    assert_table(past.exposure, hours)
    assert_table(past.end_mix, mix)
    assert np.allclose(past.exposure.sum(axis=1), past.spells["hours"])
    assert past.since_read.empty


def test_a_machine_without_floors_works_on_an_unknown_floor():
    past = history(
        readings=READ,
        changes=CHANGED,
        floors="machine  floor  share | M2  tile  1.0",
        machines="machine  site | M1  hall | M2  hall",
    )
    assert past.floors == ("tile", "unknown")
    assert list(past.exposure["unknown"]) == pytest.approx([80, 80])


def test_mixes_stand_from_ever_and_go_on_beyond_as_of():
    past = history(
        readings=READ,
        floors="""
            machine  floor  share  since
            M1       vinyl  1.0    2026-01-01
            M1       tile   1.0    2026-06-01
        """,
    )
    assert list(past.mixes["since"]) == [pd.Timestamp.min, pd.Timestamp("2026-06-01")]
    assert_table(
        past.mixes[["machine", "tile", "vinyl"]], "machine  tile  vinyl | M1  0  1 | M1  1  0"
    )


def test_a_floor_may_be_called_by_any_word():
    floors = "machine  floor  share | M1  machine  0.5 | M1  since  0.5"
    past = history(readings=READ, changes=CHANGED, floors=floors)
    assert list(past.exposure.sum(axis=1)) == pytest.approx([80, 80])


days = st.integers(0, 56)


@settings(max_examples=15)
@given(
    st.lists(st.tuples(days, st.floats(0, 1)), max_size=4), st.sets(days, min_size=1, max_size=6)
)
def test_hours_on_floors_are_those_of_a_count_day_by_day(shares, changed):
    start = pd.Timestamp("2026-01-05")
    since = [(-1, 0.3), *shares]
    floors = pd.DataFrame(
        [
            ("M1", floor, part, start + pd.Timedelta(day, "D") if day >= 0 else pd.NaT)
            for day, share in dict(since).items()
            for floor, part in (("tile", share), ("vinyl", 1 - share))
        ],
        columns=["machine", "floor", "share", "since"],
    )
    changes = pd.DataFrame(
        {
            "machine": "M1",
            "date": start + pd.to_timedelta(sorted(changed), "D"),
            "position": "front",
            "action": "fit",
            "part": "R1",
        }
    )
    past = history(readings=READ, changes=changes, floors=floors)
    slow = [
        day_by_day(dict(since), (line.start - start).days, (line.end - start).days)
        for line in past.spells[past.spells["start"].notna()].itertuples()
    ]
    got = past.exposure[past.spells["start"].notna()]["tile"]
    assert list(got) == pytest.approx(slow, abs=1e-9)


def day_by_day(shares, begin, end):
    """Hours on tile from the end of one day to the end of another: 80 h in every 28 days."""
    hours = 0.0
    for day in range(begin + 1, end + 1):
        in_force = max(since for since in shares if since <= day)
        hours += 80 / 28 * shares[in_force]
    return hours
