"""From when and until when a position was watched. 20 h a week from 5 January on."""

import numpy as np
import pandas as pd
import pytest

from tests.conftest import assert_table
from tests.history.books import deeds, history
from wearcast.history.exposure import instead

WEEKS = pd.date_range("2026-01-05", periods=20, freq="7D")
SITES = "machine  site | M1  hall | M2  hall | M3  yard"


def past_of(*lines, machines=SITES, **tables):
    read = pd.DataFrame({"date": WEEKS, "hours": 1000.0 + 20.0 * np.arange(len(WEEKS))})
    read = pd.concat([read.assign(machine=name) for name in ("M1", "M2", "M3")])
    changes = deeds(*lines)
    return history("2026-05-18", readings=read, changes=changes, machines=machines, **tables)


def test_a_first_spell_counts_from_the_machines_first_reading():
    past = past_of("01-19 turn B4 worn", "M2 02-16 turn B4 worn")
    first = past.spells[past.spells["start"].isna()]
    assert_table(
        first, "machine  hours  in_fit  forward | M1  40  False  True | M2  120  False  True"
    )
    assert list(past.exposure.loc[first.index, "unknown"]) == pytest.approx([40, 120])


def test_a_site_that_read_its_meters_long_before_its_first_change_was_not_watched_before():
    past = past_of("04-06 turn B4 worn", "M2 04-20 turn B4 worn", "M3 01-19 turn B4 worn")
    # The first change at the hall shows when somebody began to write there, not how long an edge
    # lasted; the other machine was watched for the two weeks after it.
    first = past.spells[past.spells["start"].isna()]
    assert_table(first, "machine  hours  forward | M1  260  False | M2  300  True | M3  40  True")
    assert list(past.exposure.loc[first.index, "unknown"]) == pytest.approx([0, 40, 40])
    since_read = instead(past.exposure, past.since_read)
    assert list(since_read.loc[first.index, "unknown"]) == pytest.approx([260, 300, 40])


MOVED = "machine  site  since | M1  hall  - | M3  yard  - | M3  hall  2026-04-06"
LEFT = "machine  site  since | M1  yard  - | M2  hall  - | M3  yard  - | M3  hall  2026-03-02"


@pytest.mark.parametrize(
    ("lines", "machine", "machines", "hours"),
    [
        # To 13 April from 5 January or from 7 March.
        (["03-06 turn B4 worn", "M2 04-13 turn B4 worn"], "M2", SITES, 98 / 7 * 20),
        (["03-07 turn B4 worn", "M2 04-13 turn B4 worn"], "M2", SITES, 37 / 7 * 20),
        (["01-19 turn B4 worn", "M3 04-20 turn B4 worn"], "M3", MOVED, 40),
        # The yard's first change came when M3 was at the hall, which wrote its first on 4 May.
        (
            ["04-06 turn B4 worn", "M2 05-04 turn B4 worn", "M3 05-11 turn B4 worn"],
            "M3",
            LEFT,
            20,
        ),
    ],
    ids=["the first change within 60 days", "later", "moved to a site that writes", "had left"],
)
def test_a_first_spell_has_the_hours_that_its_site_was_watched(lines, machine, machines, hours):
    past = past_of(*lines, machines=machines)
    first = past.spells["start"].isna() & past.spells["machine"].eq(machine)
    assert list(past.exposure.loc[first, "unknown"]) == pytest.approx([hours])


def test_a_first_spell_of_a_part_that_nobody_knows_is_not_forward():
    past = past_of(
        "01-19 fit B2 worn",
        "M2 01-19 turn B4 worn",
        positions="machine  position  part | M1  front  B4",
    )
    assert list(past.spells.loc[past.spells["start"].isna(), "forward"]) == [False, True]


@pytest.mark.parametrize(
    "line",
    ["M1  front  2026-02-02  -  -  -  False", "M1  front  -  -  -  -  False"],
    ids=["cut by a line that could not be read", "a line without a date lies anywhere"],
)
def test_a_first_spell_whose_end_is_not_sure_is_not_forward(line):
    past = history(
        "2026-05-18",
        readings=pd.DataFrame({"machine": "M1", "date": WEEKS, "hours": 20.0 * np.arange(20)}),
        changes=f"""
            machine  position  date        action  part  cause  observed
            {line}
            M1       front     2026-03-02  turn    B4    worn   True
        """,
    )
    assert not past.spells["forward"].any()


def test_only_first_spells_are_forward():
    past = past_of("01-19 turn B4 worn", "02-16 turn B4 worn")
    assert list(past.spells["forward"]) == [True, False, False]


@pytest.mark.parametrize(
    ("lines", "at", "hours"),
    [
        # The hall was watched since 6 April, 6 weeks; the yard since 5 January, 19 weeks.
        (["04-06 turn B4 worn", "M3 01-19 fit B4 worn"], ["M1", "M3"], [120, 380]),
        (["04-06 turn B4 worn"], ["M3"], [120]),
        ([], ["M1"], [0]),
        (["01-19 turn B4 worn", "rear undated"], ["M1"], [0]),
    ],
    ids=["its site's", "its site never wrote: since the log's first", "no change at all",
         "an end may be missing"],
)  # fmt: skip
def test_a_position_without_a_line_has_the_hours_watched_without_a_change(lines, at, hours):
    carried = [f"{machine}  rear  B4" for machine in at]
    past = past_of(*lines, positions=" | ".join(["machine  position  part", *carried]))
    rear = past.running["position"].eq("rear")
    assert list(past.running.loc[rear, "age"]) == ["unknown"] * len(at)
    assert list(past.running_exposure.loc[rear, "unknown"]) == pytest.approx(hours)
    if at == ["M3"]:
        assert list(past.running_until_silence.loc[rear, "unknown"]) == [0]
        assert past.running.loc[rear, "silent_since"].isna().all()


def test_the_hours_until_the_sites_last_change_stand_beside_those_to_as_of():
    past = past_of(
        "01-05 fit B4 worn",
        "rear 01-05 fit B4 worn",
        "rear 02-16 turn B4 worn",
        "M3 05-04 fit B4 worn",
    )
    hall = past.spells["site"].eq("hall")
    assert list(past.exposure.loc[hall, "unknown"]) == pytest.approx([380, 120, 260])
    until_silence = instead(past.exposure, past.until_silence)
    assert list(until_silence.loc[hall, "unknown"]) == pytest.approx([120, 120, 0])
    assert set(past.spells.loc[hall, "silent_since"]) == {pd.Timestamp("2026-02-16")}
    assert list(past.running_until_silence["unknown"][:2]) == pytest.approx([120, 0])


def test_a_silence_cuts_the_edges_of_a_retired_machine_too():
    past = past_of(
        "01-05 fit B4 worn",
        "M2 02-16 turn B4 worn",
        machines="machine  site  retired | M1  hall  2026-04-06 | M2  hall  -",
    )
    assert past.spells["ended"].iloc[0] == "retired"
    assert past.spells["end"].iloc[0] == pd.Timestamp("2026-04-06")
    assert past.exposure["unknown"].iloc[0] == pytest.approx(260)
    assert past.until_silence["unknown"].iloc[0] == pytest.approx(120)


@pytest.mark.parametrize(
    ("first", "days"),
    [
        pytest.param("2026-01-18", 99, id="within two weeks"),
        pytest.param("2026-01-20", 84, id="after more than two weeks"),
    ],
)
def test_a_site_that_writes_every_other_day_was_not_watched_long_before_its_first_change(
    first, days
):
    dates = pd.date_range(first, "2026-04-12", freq="2D").strftime("%Y-%m-%d")
    past = past_of(*(f"{date} turn B4 worn" for date in dates), "M2 04-14 turn B4 worn")
    other = past.spells["start"].isna() & past.spells["machine"].eq("M2")
    watched = past.exposure.loc[other, "unknown"].iloc[0]
    assert watched == pytest.approx(20 * days / 7, abs=0.01)
