"""Machines that come with unused parts. 20 h a week from 2 February on."""

import pandas as pd
import pytest

from tests.conftest import assert_table
from tests.history.books import deeds, history, logbook
from wearcast.history.story import read_history

READ = "machine  date  hours | M1  2026-02-02  100 | M1  2026-03-30  260"
CARRIED = "machine  position  part | M1  front  B4"


def past_of(in_service="-", as_of="2026-03-30", **tables):
    machines = f"machine  site  in_service | M1  hall  {in_service}"
    return history(as_of, **{"positions": CARRIED, "machines": machines, **tables})


@pytest.mark.parametrize(
    ("in_service", "age", "hours"),
    [
        ("2026-03-02", "known", 82.857),
        ("2026-02-02", "known", 160),
        ("2026-01-26", "known", 160),
        ("2026-01-25", "unknown", 0),
    ],
    ids=["after its first reading", "on that day", "a week before", "longer before"],
)
def test_a_machine_first_read_within_a_week_of_its_first_day_came_new(in_service, age, hours):
    past = past_of(in_service, readings=READ)
    assert list(past.running["age"]) == [age]
    assert list(past.running["edge"].fillna(0)) == [1 if age == "known" else 0]
    # Of 2 March itself it worked the whole day.
    assert past.running_exposure.sum(axis=1).iloc[0] == pytest.approx(hours, abs=1e-3)


@pytest.mark.parametrize(
    ("in_service", "age"),
    [
        ("2026-04-06", "new"),
        ("2026-03-30", "known"),
        ("2026-01-29", "known"),
        ("2026-01-28", "unknown"),
        ("-", "new"),
    ],
    ids=["to come", "at as-of", "60 days ago", "longer ago", "no word of it"],
)
def test_a_machine_that_was_never_read_came_new_if_it_came_lately(in_service, age):
    past = past_of(in_service)
    assert list(past.running["age"]) == [age]
    assert list(past.running["edge"].fillna(0)) == [0 if age == "unknown" else 1]
    assert list(past.running_exposure.sum(axis=1)) == [0]


def test_a_machine_without_a_meter_whose_changes_are_written_is_not_new():
    past = past_of(changes=deeds("rear 02-16 turn B4"))
    assert list(past.running["age"]) == ["unknown", "unknown"]


def test_on_a_machine_that_came_new_the_first_line_ends_the_first_edge():
    past = past_of(
        "2026-02-02",
        readings=READ,
        changes=deeds("03-02 turn B4 worn"),
    )
    assert_table(
        past.spells,
        """
        edge  start       hours  cause    in_fit  forward
        1     2026-02-02  80     worn     True    False
        2     2026-03-02  80     running  True    False
        """,
    )
    assert list(past.running["edge"]) == [2]


def test_a_line_from_before_in_service_shows_that_the_machine_had_worked():
    past = past_of(
        "2026-03-02",
        readings=READ,
        changes=deeds("02-16 turn B4 worn"),
    )
    assert past.spells["start"].isna().iloc[0]
    assert past.spells["edge"].isna().all()


def test_in_a_proposal_a_machine_without_in_service_is_to_come():
    book = logbook("2026-03-30", proposal=True, positions=CARRIED)
    assert list(read_history(book).running["age"]) == ["new"]
    assert pd.isna(read_history(book).running["last_position_date"]).all()
