import datetime

import pytest

from wearcast.logbook.reshape.periods import as_day, is_period, with_week_word


@pytest.mark.parametrize(
    ("text", "last_day"),
    [
        # ISO 8601: the first Thursday of 2025 is 2 January, so week 1 ends on 5 January
        ("2025 KW 1", "2025-01-05"), ("KW 45/25", "2025-11-09"), ("2026-W53", "2027-01-03"),
        ("45. KW 2025", "2025-11-09"), ("Week 45 2025", "2025-11-09"),
        ("Hours 2025 Sem 2", "2025-01-12"),
        ("Januar 2025", "2025-01-31"), ("Feb '24", "2024-02-29"), ("12/2025", "2025-12-31"),
    ],
)  # fmt: skip
def test_a_week_or_month_with_its_year_is_its_last_day(text, last_day):
    assert as_day(text) == datetime.date.fromisoformat(last_day)


@pytest.mark.parametrize(
    ("text", "put_together"),
    [
        ("2025 06.01.", "06.01.2025"), ("Hours 2025 6/1", "6/1/2025"),
        ("2025 3 March", "3 march 2025"),
        ("2025 2025-01-06", "2025-01-06"), ("2025-01-06", "2025-01-06"), ("KW 45", "KW 45"),
        ("05-Jan-26", "05-Jan-26"), ("5 Jan '26", "5 Jan '26"),
        ("Total", "Total"), ("2025 KW 60", "2025 KW 60"), ("2025 2026 KW 4", "2025 2026 KW 4"),
    ],
)  # fmt: skip
def test_a_day_and_its_year_are_put_together_and_all_else_stays(text, put_together):
    assert as_day(text) == put_together


@pytest.mark.parametrize(
    "text", ["KW 45", "Week 45", "Jan", "Januar 2025", "06.01.", "3 March", "05-Jan-26"]
)
def test_headings_of_a_grid_are_periods(text):
    assert is_period(text)


@pytest.mark.parametrize("text", ["Total", "Machine", "Hours", "S12 left", "1", "May be", ""])
def test_other_headings_are_none(text):
    assert not is_period(text)


def test_a_number_under_a_week_heading_is_a_week():
    assert with_week_word("KW", 45) == "kw 45"
    assert with_week_word("Hours", 45) == 45
