"""Several odd meter values one after the other: one cause, one finding, and no hour lost."""

import pytest

from tests.history.books import deeds, history, meter
from wearcast.told import sentence

WEEKS = [f"2026-{month:02d}-{day:02d}" for month in (1, 2, 3) for day in (5, 12, 19, 26)]
STEADY = [1000 + 20 * week for week in range(12)]
"""20 h a week; seven days lie between the days of a month, nine to ten between two months."""


def read(hours, marks=()):
    marked = (" new" if week in marks else "" for week in range(len(WEEKS)))
    return meter(
        *(f"{day} {one}{mark}" for day, one, mark in zip(WEEKS, hours, marked, strict=True))
    )


def past_of(hours, marks=()):
    return history(readings=read(hours, marks))


def with_values(values):
    return [values.get(week, value) for week, value in enumerate(STEADY)]


@pytest.mark.parametrize(
    "values",
    [
        {4: 0, 5: 0},
        {4: 0, 5: 0, 6: 0},
        {4: 0, 5: 0, 6: 0, 7: 0, 8: 0},
        {4: 10800, 5: 11000},
        {4: 5000, 5: 5010, 6: 5020, 7: 5030},
    ],
    ids=["two zeros", "three zeros", "five zeros", "a lost point", "figures of another meter"],
)
def test_misreadings_in_a_row_are_set_aside_together(values):
    past = past_of(with_values(values))
    assert past.machines["hours"].iloc[0] == pytest.approx(220)
    (told,) = past.told
    assert told.severity == "set aside"
    assert told.rows == tuple(week + 2 for week in values)


def test_the_finding_shows_the_neighbours_of_the_row_and_the_first_values():
    (told,) = past_of(with_values({4: 0, 5: 1, 6: 2, 7: 3})).told
    assert sentence(told) == (
        'readings.csv, rows 6-9, hours "0, 1, 2 ...": below the 1,060.0 h that M1 showed on'
        " 26 January; next came 1,160.0 h that M1 showed on 5 March. If the meter was replaced,"
        " write yes under new_meter; otherwise correct the reading. Set aside for now."
    )


def test_a_meter_that_was_lent_and_came_back_is_two_resets():
    # The old meter stood still while another one ran: coming back is no going on.
    hours = STEADY[:4] + [100, 120, 140, 160] + [value - 80 for value in STEADY[8:]]
    past = past_of(hours)
    assert [told.severity for told in past.told] == ["repaired", "repaired"]
    assert past.machines["hours"].iloc[0] == pytest.approx(220, rel=0.1)


def test_of_readings_that_all_bear_the_mark_only_the_first_counts():
    past = past_of(STEADY[:4] + [7 + 20 * week for week in range(8)], marks=range(4, 12))
    (told,) = past.told
    assert sentence(told) == (
        'readings.csv, rows 7-13, new_meter "yes": M1 had the new meter before, and this goes on'
        " from it: the mark does not count. Mark the first reading of a new meter alone. Repaired."
    )
    assert past.machines["hours"].iloc[0] == pytest.approx(220, rel=0.05)


NEW_METER = STEADY[:4] + [7 + 20 * week for week in range(8)]


@pytest.mark.parametrize(
    ("marked", "wrong"),
    [
        (3, "this goes on from the old meter of M1: the mark counts at the next reading"),
        (5, "M1 had the new meter before, and this goes on from it: the mark does not count"),
    ],
    ids=["early", "late"],
)
def test_a_mark_one_reading_off_counts_where_the_meter_falls(marked, wrong):
    past = past_of(NEW_METER, marks=[marked])
    (told,) = past.told
    assert (told.severity, told.rows, told.column) == ("repaired", (marked + 2,), "new_meter")
    assert told.wrong == wrong
    assert past.machines["hours"].iloc[0] == past_of(NEW_METER, marks=[4]).machines["hours"].iloc[0]


@pytest.mark.parametrize("week", [5, 11])
def test_a_misread_figure_after_a_mark_is_set_aside_and_not_the_mark(week):
    values = STEADY[: week - 1] + [7 + 20 * later for later in range(13 - week)]
    values[week] = 2500
    (told,) = past_of(values, marks=[week - 1]).told
    assert (told.severity, told.rows) == ("set aside", (week + 2,))


def test_a_mark_on_a_meter_that_goes_on_is_believed_and_told():
    (told,) = past_of(STEADY, marks=[4]).told
    assert sentence(told) == (
        'readings.csv, row 6, new_meter "yes": marked as a new meter of M1, yet it goes on from'
        " the old one: the hours between are those of the recent rate. If the meter was not"
        " replaced, clear new_meter."
    )


@pytest.mark.parametrize(("wrong", "findings"), [(2, 2), (3, 1), (6, 1)])
def test_hours_that_are_wrong_on_many_changes_are_one_finding(wrong, findings):
    # The hours since the change before, written where the hour meter's were asked for.
    changes = ["machine  date  position  action  part  hours"]
    changes += [
        f"M1  {day}  front  turn  B4  {20 + at if at < wrong else '-'}"
        for at, day in enumerate(WEEKS[::2])
    ]
    past = history(readings=read(STEADY), changes="\n".join(changes))
    told = [each for each in past.told if each.column == "hours"]
    assert len(told) == findings
    assert {row for each in told for row in each.rows} == set(range(2, 2 + wrong))
    assert {each.severity for each in told} == {"repaired"}
    if findings == 1:
        assert told[0].wrong == (
            "M1 shows 20.0 h and 1,000.0 h on 5 January 2026, and its other readings bear out"
            f" 1,000.0 h; {wrong - 1} more changes of M1 are like this one"
        )


def test_what_follows_from_misreadings_is_not_told_again():
    # Every step is 600 h; the changes and the silence that remain are of that cause.
    past = history(
        as_of="2026-03-26",
        readings=read([30 * value for value in STEADY]),
        changes=deeds("01-05 fit B4", "03-19 turn B4"),
    )
    assert [told.rows for told in past.told] == [tuple(range(3, 14))]
