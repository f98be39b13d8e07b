"""Choices at the ends of what they may be, and what holds where nothing is said."""

import datetime

import pandas as pd
import pytest

from tests.logbook.makers import SOUND, read_tables
from wearcast.errors import UnknownChoice
from wearcast.logbook.book import Logbook
from wearcast.logbook.choices import Choices, choose


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Logbook:
    tables = {name: text for name, text in SOUND.items() if name != "settings"}
    return read_tables(tmp_path_factory.mktemp("log"), tables)


def test_the_record_without_choices_holds_the_usual_ones(book: Logbook):
    usual = choose(book)
    assert usual == Choices(usual.as_of, usual.order_from, usual.order_to)


@pytest.mark.parametrize(
    ("name", "low", "high"),
    [
        ("draws", 20, 100_000),
        ("due_weeks", 1, 52),
        ("service_level", 0.5, 0.999),
        ("review_weeks", 1, 104),
        ("lead_days", 0, 730),
        ("gather_days", 0, 92),
    ],
)
def test_the_ends_of_a_range_belong_to_it_and_what_is_beyond_does_not(
    book: Logbook, name: str, low: float, high: float
):
    assert getattr(choose(book, **{name: low}), name) == low
    assert getattr(choose(book, **{name: high}), name) == high
    for beyond in (low - 1, high * 100 + 1):
        with pytest.raises(UnknownChoice, match=f"{name} must be"):
            choose(book, **{name: beyond})


def test_weeks_may_be_one_to_two_years(book: Logbook):
    assert choose(book, weeks=1).order_to == book.as_of + pd.Timedelta(days=7)
    assert choose(book, weeks=104).order_to == book.as_of + pd.Timedelta(days=728)
    for weeks in (0.9, 105):
        with pytest.raises(UnknownChoice, match="weeks must be a number from 1 to 104"):
            choose(book, weeks=weeks)


def test_weeks_are_rounded_to_whole_days(book: Logbook):
    # 1.5 weeks are 10.5 days, 1.6 are 11.2.
    assert choose(book, weeks=1.6).order_to == book.as_of + pd.Timedelta(days=11)


def test_a_window_ends_within_three_years_and_after_as_of(book: Logbook):
    day = pd.Timedelta(days=1)
    last = book.as_of + 1100 * day
    assert choose(book, order_from=last - 6 * day, weeks=1).order_to == last
    assert choose(book, order_from=book.as_of - 5 * day, weeks=1).order_to == book.as_of + day
    for first in (last - 5 * day, book.as_of - 6 * day):
        with pytest.raises(UnknownChoice, match="must end within three years after"):
            choose(book, order_from=first, weeks=1)


def test_without_weeks_a_first_day_takes_the_weeks_of_a_review(book: Logbook):
    chosen = choose(book, order_from="2026-03-02", review_weeks=8)
    assert chosen.order_to == pd.Timestamp("2026-03-02") + pd.Timedelta(days=55)


@pytest.mark.parametrize(
    ("quarter", "first", "last"),
    [
        ("2026Q2", "2026-04-01", "2026-06-30"),
        ("2026 q3", "2026-07-01", "2026-09-30"),
        ("2026/Q4", "2026-10-01", "2026-12-31"),
    ],
)
def test_a_quarter_has_three_months(book: Logbook, quarter: str, first: str, last: str):
    chosen = choose(book, quarter=quarter)
    assert (chosen.order_from, chosen.order_to) == (pd.Timestamp(first), pd.Timestamp(last))


def test_a_quarter_and_a_first_day_are_not_asked_for_together(book: Logbook):
    with pytest.raises(UnknownChoice, match="not for both"):
        choose(book, quarter="2026Q2", order_from="2026-04-01")


def test_a_rate_that_nobody_gives_is_not_known(book: Logbook):
    chosen = choose(book, speed_km_h=4, work_share=0.6)
    assert (chosen.speed_km_h, chosen.work_share, chosen.labour_rate) == (4.0, 0.6, None)


def test_closed_days_come_sorted_and_each_once(book: Logbook):
    chosen = choose(book, closed_days="2027-01-01 2026-12-25 2027-01-01")
    assert chosen.closed_days == (pd.Timestamp("2026-12-25"), pd.Timestamp("2027-01-01"))


def test_closed_days_may_be_a_day_or_several(book: Logbook):
    day, other = datetime.date(2026, 12, 25), pd.Timestamp("2027-01-01")
    assert choose(book, closed_days=day).closed_days == (pd.Timestamp(day),)
    assert choose(book, closed_days=[other, day]).closed_days == (pd.Timestamp(day), other)
    assert choose(book, closed_days=" ").closed_days == ()


def test_a_site_in_its_own_spelling_goes_before_a_like_one(tmp_path):
    machines = SOUND["machines"].replace("South Hall", "north-hall")
    book = read_tables(tmp_path, {**SOUND, "machines": machines})
    sites = sorted(set(book.machines["site"]))
    assert [choose(book, site=site).site for site in sites] == sites
