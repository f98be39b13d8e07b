"""The curve of run hours: every number is counted by hand from the readings beside it."""

import pytest

from tests.conftest import assert_table
from tests.history.books import deeds, history, meter, told

STEADY = """
    machine  date        hours
    M1       2026-01-05  1000.0
    M1       2026-01-12  1020.0
    M1       2026-01-19  1040.0
    M1       2026-01-26  1060.0
"""


def test_run_hours_count_from_the_first_reading():
    assert_table(
        history(readings=STEADY).meters,
        """
        machine  date        hours  read
        M1       2026-01-05  0.0    True
        M1       2026-01-12  20.0   True
        M1       2026-01-19  40.0   True
        M1       2026-01-26  60.0   True
        """,
    )


def test_hours_on_changes_join_the_curve():
    past = history(readings=STEADY, changes=deeds("01-14 fit B4 at 1027"))
    assert_table(
        past.meters.iloc[1:4],
        "machine  date  hours | M1  2026-01-12  20.0 | M1  2026-01-14  27.0 | M1  2026-01-19  40.0",
    )
    assert past.told == ()


CURVES = [
    # A marked new meter: 20 h a week before it, so 40 h over the two weeks of the gap; then 37 - 7.
    ("01-05 1000, 01-12 1020, 01-26 7 new, 02-02 37", [0, 20, 60, 90]),
    # A new meter right after the first reading takes the rate that follows.
    ("01-05 1000, 01-12 0 new, 01-19 14", [0, 14, 28]),
    # The old meter of the day of a new one comes first.
    ("01-05 1000, 01-12 0 new, 01-12 1020, 01-19 15", [0, 20, 20, 35]),
    # The remedy for a falling reading cures it.
    ("02-23 1298, 03-02 1318, 03-09 1204.5 new", [0, 20, 40]),
    # Values of one day up to 24 hours apart are ordered by size.
    ("01-05 1000, 01-12 1024, 01-12 1010, 01-19 1040", [0, 10, 24, 40]),
]


@pytest.mark.parametrize(("readings", "hours"), CURVES)
def test_new_meters_and_days_of_several_values_are_no_matter(readings, hours):
    past = history(readings=meter(*readings.split(", ")))
    assert list(past.meters["hours"]) == pytest.approx(hours)
    assert past.told == ()


REMEDY = (
    "If the meter was replaced, write yes under new_meter; otherwise correct the reading. "
    "Set aside for now."
)
TOLD = {
    "a roll-over": (
        "2025-12-29 9950, 01-05 30",
        [0, 80],
        'readings.csv, row 3, hours "30": after the 9,950.0 h that M1 showed on 29 December 2025: '
        "the meter rolled over at 9,999 h, and the hours go on. Repaired.",
    ),
    # 20 h over the gap at the recent rate, then 20 and 30 as read.
    "a reset: two later readings confirm the drop": (
        "01-05 1000, 01-12 1020, 01-19 3, 01-26 23, 02-02 53",
        [0, 20, 40, 60, 90],
        'readings.csv, row 4, hours "3": does not follow from the 1,020.0 h that M1 showed on '
        "12 January, but the next readings follow from it: taken for a new or reset meter, and "
        "the gap for the recent rate. If so, write yes under new_meter; otherwise correct the "
        "readings. Repaired.",
    ),
    "a fall": (
        "M014 02-23 1298, M014 03-02 1318, M014 03-09 1204.5",
        [0, 20],
        'readings.csv, row 4, hours "1204.5": below the 1,318.0 h that M014 showed on 2 March. '
        + REMEDY,
    ),
    "contradicted by both neighbours": (
        "2025-12-29 1000, 01-05 10200, 01-12 1040, 01-19 1060",
        [0, 40, 60],
        'readings.csv, row 3, hours "10200": above the 1,040.0 h that M1 showed on 12 January; '
        "before that came 1,000.0 h that M1 showed on 29 December 2025. " + REMEDY,
    ),
    # The first reading is the wrong one: all later ones agree with each other.
    "more than a day has": (
        "01-05 100, 01-12 1020, 01-19 1040, 01-26 1060",
        [0, 20, 40],
        'readings.csv, row 2, hours "100": more than 24 h a day before the 1,020.0 h that M1 '
        "showed on 12 January. " + REMEDY,
    ),
    "of two of a day the one that the curve bears out is used": (
        "01-05 1000, 01-12 1020, 01-12 1200, 01-19 1040",
        [0, 20, 40],
        'readings.csv, row 4, hours "1200": M1 shows 1,020.0 h and 1,200.0 h on 12 January 2026, '
        "and its other readings bear out 1,020.0 h. Correct or remove the wrong one. Set aside "
        "for now.",
    ),
    "of two of a day that the curve cannot tell apart none is used": (
        "01-05 1000, 01-12 1020, 01-12 1060, 01-19 1080",
        [0, 80],
        'readings.csv, rows 3-4, hours "1020, 1060": M1 shows 1,020.0 h and 1,060.0 h on '
        "12 January 2026, and its other readings do not tell which is right. Correct or remove "
        "the wrong one. Set aside for now.",
    ),
    "the same for months": (
        "2025-12-01 1000, 01-05 1000, 02-02 1000, 02-09 1020",
        [0, 0, 0, 20],
        'readings.csv, rows 2-4, hours "1000": M1 shows the same from 1 December 2025 to '
        "2 February 2026. If the machine worked, look at its hour meter.",
    ),
}


@pytest.mark.parametrize(("readings", "hours", "words"), TOLD.values(), ids=TOLD.keys())
def test_odd_readings_are_told_and_the_curve_goes_on_without_them(readings, hours, words):
    past = history(readings=meter(*readings.split(", ")))
    assert list(past.meters.loc[past.meters["read"], "hours"]) == pytest.approx(hours)
    assert told(past) == [words]


@pytest.mark.parametrize(
    ("before", "after", "step"),
    [("9950.0", "30.0", 80.0), ("9990", "5", 15.0), ("99980.5", "19.5", 39.0)],
    ids=["four digits", "without tenths", "five digits"],
)
def test_a_meter_rolls_over_at_its_last_figure(before, after, step):
    past = history(
        readings=f"machine  date  hours | M1  2026-01-05  {before} | M1  2026-01-12  {after}"
    )
    assert past.meters["hours"].iloc[1] == pytest.approx(step)
    assert [problem.severity for problem in past.told] == ["repaired"]


def test_no_roll_over_where_the_hours_would_be_more_than_a_week_has():
    # 10,000 - 9,600 + 20 = 420 h, and a week has 168.
    past = history(readings=meter("01-05 9580", "01-12 9600", "01-19 20"))
    assert_table(
        past.meters,
        """
        machine  date        hours  read
        M1       2026-01-05  0.0    True
        M1       2026-01-12  20.0   True
        M1       2026-01-19  40.0   False
        """,
    )
    assert [problem.severity for problem in past.told] == ["set aside"]


def test_a_drop_that_only_one_later_reading_confirms_is_set_aside():
    past = history(readings=meter("01-05 1000", "01-12 1020", "01-19 3", "01-26 23"))
    assert list(past.meters["read"]) == [True, True, False]
    assert [problem.rows for problem in past.told] == [(4, 5)]


def test_wrong_hours_on_a_change_are_read_off_the_curve_and_told():
    past = history(
        readings=STEADY,
        changes=deeds("01-12 fit B4 at 1020", "01-19 turn B4 at 10400"),
    )
    assert past.spells["hours"].iloc[0] == pytest.approx(20)
    assert told(past) == [
        'changes.csv, row 3, hours "10400": M1 shows 1,040.0 h and 10,400.0 h on 19 January 2026, '
        "and its other readings bear out 1,040.0 h. The change is kept, at the hours of the meter "
        "curve; correct its hours. Repaired."
    ]


def test_after_the_last_reading_the_recent_rate_goes_on_to_as_of():
    past = history("2026-02-23", readings=STEADY)
    assert_table(past.meters.tail(1), "machine  date  hours  read | M1  2026-02-23  140.0  False")
    assert past.told == ()


def test_beyond_60_days_the_machine_is_silent_and_told():
    past = history("2026-04-06", readings=STEADY)
    # 20 h a week for 60 days: 171.43 h on 27 March; 70 days from the last reading to as-of.
    assert_table(past.meters.tail(1), "machine  date  hours | M1  2026-03-27  231.428571")
    assert past.machines.loc["M1", "silent_days"] == 70
    assert told(past) == [
        "readings.csv, row 5, date: no meter value in the 60 days before as-of: M1 (last on "
        "26 January 2026); hours ahead stay as they were. Add readings, or the day it retired "
        "under machines."
    ]


def test_a_retired_machine_runs_no_further_and_is_not_called_silent():
    past = history(
        "2026-06-01", readings=STEADY, machines="machine  site  retired | M1  hall  2026-02-02"
    )
    assert_table(past.meters.tail(1), "machine  date  hours | M1  2026-02-02  80.0")
    assert past.told == ()


def test_the_recent_rate_is_that_of_the_last_eight_weeks():
    weeks = "\n".join(f"M1  2026-{month:02d}-01  {hours}" for month, hours in HOURS_OF_A_YEAR)
    past = history(readings=f"machine  date  hours\n{weeks}")
    # The last reading at least 56 days before 1 June is that of 1 April: 200 h in 61 days.
    assert past.machines.loc["M1", "hours_per_week"] == pytest.approx(7 * 200 / 61)


HOURS_OF_A_YEAR = [(1, 0), (2, 300), (3, 600), (4, 900), (5, 1000), (6, 1100)]


def test_a_change_shortly_before_the_first_reading_is_reckoned_back_and_told():
    past = history(readings=STEADY, changes=deeds("2025-12-29 fit B4", "01-12 turn B4"))
    assert past.spells["hours"].iloc[0] == pytest.approx(40)
    assert told(past) == [
        "changes.csv, row 2, hours: before the first meter reading (M1): the run hours are "
        "reckoned back at the first weeks' rate. Write the hours on the change, or add a reading."
    ]


def test_a_change_long_before_the_first_reading_has_no_hours_and_teaches_nothing():
    past = history(readings=STEADY, changes=deeds("2025-08-04 fit B4", "01-12 turn B4"))
    assert list(past.spells["in_fit"]) == [False, True]
    assert told(past)[0] == (
        "changes.csv, row 2, hours: no meter reading within 60 days tells the run hours then "
        "(M1): the spells beside are kept out of the fit. Write the hours on the change, or add "
        "readings."
    )


@pytest.mark.parametrize(
    ("day", "hours"),
    [("01-19", 40), ("01-15", 20 + 20 * 3 / 7)],
    ids=["the reading of its day", "on the line between two readings"],
)
def test_a_change_without_hours_lies_on_the_curve(day, hours):
    past = history(readings=STEADY, changes=deeds("01-05 fit B4", f"{day} turn B4"))
    assert past.spells["hours"].iloc[0] == pytest.approx(hours)
