"""A change of January that is dated a year too early is put right where its meter says so."""

import pandas as pd
import pytest

from tests.logbook.rules.test_names import drafts
from wearcast.logbook.rules.year_slips import in_the_right_year


def dated(day: str, hours: float):
    """The draft of one change; the meter runs 20 h a week through 2025 and 2026."""
    weeks = pd.date_range("2025-01-03", "2026-06-26", freq="7D")
    readings = [
        {"machine": "A", "date": date, "hours": 1000.0 + 20 * number}
        for number, date in enumerate(weeks)
    ]
    change = {"machine": "A", "date": pd.Timestamp(day), "position": "front", "hours": hours}
    made = in_the_right_year(drafts(readings=readings, changes=[change | {"action": "turn"}]))
    return made["changes"]


@pytest.mark.parametrize("day", ["2025-01-10", "2024-01-10"], ids=["in the log", "before it"])
def test_the_year_is_that_of_the_meter(day):
    hours = 1000.0 + 20 * (53 if "2025" in day else 1)
    made = dated(day, hours)
    assert made.frame["date"][0] == pd.Timestamp(day) + pd.DateOffset(years=1)
    assert [problem.severity for problem in made.told] == ["repaired"]


@pytest.mark.parametrize(
    ("day", "hours"),
    [("2025-01-10", 1020.0), ("2025-01-10", 7000.0), ("2025-03-10", 2060.0)],
    ids=["right", "no year fits", "not of January"],
)
def test_other_dates_stay(day, hours):
    made = dated(day, hours)
    assert made.frame["date"][0] == pd.Timestamp(day)
    assert made.told == ()
