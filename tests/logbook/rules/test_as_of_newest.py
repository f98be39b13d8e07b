"""Which dates after a long pause are believed. Days are counted from 5 January 2020.

That 92 days support a date is the contract's; the other bounds are ours and stand beside it.
"""

import pandas as pd
import pytest

from tests.logbook.rules.test_names import drafts
from wearcast.logbook.rules.as_of import newest_supported, settle_as_of

BEGIN = pd.Timestamp("2020-01-05")


def on(days):
    return BEGIN + pd.Timedelta(days=days)


def newest(*seen):
    """The newest supported day of readings on these days: machine, day."""
    rows = [{"machine": name, "date": on(day), "hours": 1.0} for name, day in seen]
    found = newest_supported(drafts(readings=rows))
    return (found - BEGIN).days


def rounds(*days, machines="AB"):
    return [(name, day) for day in days for name in machines]


@pytest.mark.parametrize(
    ("before", "after", "believed"),
    [
        pytest.param(rounds(0, 7), [("A", 99)], True, id="92 days"),
        pytest.param(rounds(0, 7), [("A", 100)], False, id="93 days, one row"),
        pytest.param(rounds(0, 7), [("A", 307), ("A", 308)], True, id="300 days, two rows"),
        pytest.param(rounds(0, 7), [("A", 308), ("A", 309)], False, id="301 days, one machine"),
        pytest.param(rounds(0, 7), [("A", 308), ("B", 308)], False, id="301 days, one round"),
        pytest.param(rounds(0, 7), [("A", 308), ("B", 309)], True, id="two machines, two days"),
        pytest.param(
            rounds(0, 3, 7, machines="A"), [("A", 308), ("A", 309)], True, id="the only machine"
        ),
        pytest.param(rounds(0, 7), [("A", 1832), ("B", 1833)], True, id="five years"),
        pytest.param(rounds(0, 7), [("A", 1833), ("B", 1834)], False, id="five and a day"),
        pytest.param(rounds(0, 7), rounds(900, machines="ABCD"), True, id="as many rows as before"),
        pytest.param(rounds(0, 7), rounds(900, machines="ABC"), False, id="one row fewer"),
        pytest.param(rounds(0, 7), rounds(-7000), False, id="slips of long ago"),
        pytest.param(rounds(0, 200), rounds(600), True, id="a pause half as long before"),
        pytest.param(rounds(0, 199), rounds(599), False, id="one not half as long"),
    ],
)
def test_days_after_a_long_pause_are_believed_where_enough_speaks_for_them(before, after, believed):
    days = [day for _, day in (after if believed else before)]
    assert newest(*before, *after) == max(days)


def test_of_two_lone_days_the_later_one_is_taken():
    assert newest(("A", 0), ("A", 500)) == 500
    assert newest(("A", 0)) == 0
    assert newest_supported(drafts()) is None


def test_one_visit_counts_once_however_often_it_is_written():
    assert newest(*rounds(0, 7), ("A", 400), ("A", 400), ("A", 400)) == 7


def ahead(*days, **more):
    change = {"machine": "A", "position": "front", "action": "turn"}
    return drafts(
        readings=[{"machine": "A", "date": on(day)} for day in (0, 7, 14)],
        changes=[{**change, "date": on(day)} for day in days],
        **more,
    )


def test_changes_dated_a_week_after_the_last_reading_do_not_move_as_of():
    found, as_of, _ = settle_as_of(ahead(7, 21, 22, 60), None)
    assert as_of == on(21)
    assert found["changes"].frame["state"].tolist() == ["used", "used", "set aside", "set aside"]
    (problem,) = found["changes"].told
    assert (
        problem.wrong
        == "more than a week after the last reading of its machine; as-of stays 2020-01-26"
    )


def test_a_change_dated_ahead_that_has_come_to_pass_is_used_and_told():
    found, as_of, _ = settle_as_of(ahead(7, 22, stock=[{"part": "GB", "counted": on(30)}]), None)
    assert as_of == on(30)
    assert found["changes"].frame["state"].tolist() == ["used", "used"]
    assert [one.severity for one in found["changes"].told] == ["note"]


def stocked(**more):
    return drafts(
        readings=[{"machine": "A", "date": on(day)} for day in (0, 7, 14)],
        stock=[{"part": "GB", "counted": on(day)} for day in (0, 14, 150)],
        **more,
    )


def test_rows_later_than_the_newest_day_are_set_aside_without_their_date():
    found, as_of, told = settle_as_of(stocked(), None)
    assert (as_of, told) == (on(14), [])
    assert found["stock"].frame["state"].tolist() == ["used", "used", "set aside"]
    assert found["stock"].frame["counted"].isna().tolist() == [False, False, True]
    (problem,) = found["stock"].told
    assert problem.wrong == "later than 2020-01-19, the newest date that other rows support"


def test_rows_later_than_a_day_that_was_asked_for_are_ignored_in_one_note():
    found, as_of, (note,) = settle_as_of(stocked(), on(7))
    assert as_of == on(7)
    assert found["stock"].frame["state"].tolist() == ["used", "ignored", "ignored"]
    assert found["readings"].frame["state"].tolist() == ["used", "used", "ignored"]
    assert note.wrong.endswith("2020-01-12 were passed over: 1 in readings, 2 in stock")
    assert found["stock"].told == ()
    assert settle_as_of(stocked(), on(199))[2] == []


def test_a_logbook_without_dates_has_no_day():
    assert settle_as_of(drafts(), None)[1:] == (None, [])
