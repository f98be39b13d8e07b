"""What was asked beats what was set, and what was set beats the usual."""

import dataclasses
import datetime

import pandas as pd
import pytest

from tests.logbook.makers import SOUND, read_tables
from wearcast.errors import UnknownChoice
from wearcast.logbook.book import Logbook
from wearcast.logbook.choices import _RUN, Asked, Choices, choose
from wearcast.logbook.schema.tables import SETTINGS


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Logbook:
    tables = {
        **SOUND,
        "settings": "setting,value\nService Level,90 %\nreview_weeks,8\nfit,Data_Only\n"
        "closed_days,2026-12-25 2027-01-01\n",
    }
    return read_tables(tmp_path_factory.mktemp("log"), tables)


def test_the_settings_hold_where_nothing_is_asked(book: Logbook):
    choices = choose(book)
    assert (choices.service_level, choices.review_weeks, choices.fit) == (0.9, 8, "data only")
    assert choices.closed_days == (pd.Timestamp("2026-12-25"), pd.Timestamp("2027-01-01"))


def test_what_is_asked_wins(book: Logbook):
    choices = choose(
        book, service_level=0.99, fit="blended", draws=200, seed=None, site="north hall"
    )
    assert (choices.service_level, choices.fit, choices.draws) == (0.99, "blended", 200)
    assert (choices.seed, choices.site) == (1, "North Hall")


@pytest.mark.parametrize(
    ("asked", "first", "last"),
    [
        ({}, "2026-02-17", "2026-04-13"),
        ({"quarter": "2027Q1"}, "2027-01-01", "2027-03-31"),
        ({"quarter": "2027-q1"}, "2027-01-01", "2027-03-31"),
        ({"quarter": "2026Q2"}, "2026-04-01", "2026-06-30"),
        ({"quarter": "2026 q3"}, "2026-07-01", "2026-09-30"),
        ({"quarter": "2026/Q4"}, "2026-10-01", "2026-12-31"),
        ({"order_from": "2026-03-02", "weeks": 4}, "2026-03-02", "2026-03-29"),
        ({"order_from": pd.Timestamp("2026-03-02")}, "2026-03-02", "2026-04-26"),
        ({"weeks": 2}, "2026-02-17", "2026-03-02"),
    ],
    ids=str,
)
def test_the_window_ordered_for(asked: dict[str, object], first: str, last: str, book: Logbook):
    choices = choose(book, **asked)
    assert (choices.order_from, choices.order_to) == (pd.Timestamp(first), pd.Timestamp(last))


WINDOW = "Ask for a quarter or for a first day and weeks, not for both."


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        *(({"quarter": one}, f'quarter "{one}": write the year and the quarter, as in 2027Q1.')
          for one in ("27Q1", "9999Q4", "0000Q1")),
        ({"quarter": "2025Q4"}, "2025-10-01 to 2025-12-31: the window ordered for must end within"
         " three years after the as-of date 2026-02-16; ask for another."),
        ({"quarter": "2026Q3", "weeks": 4}, WINDOW),
        ({"quarter": "2026Q2", "order_from": "2026-04-01"}, WINDOW),
        ({"order_from": "02/03/2026"},
         '"02/03/2026": write the first day as year-month-day, 2027-01-04.'),
        ({"service_level": 195}, '"195": service_level must be a number from 0.5 to 0.999.'),
        ({"service_level": "nan"}, '"nan": service_level must be a number from 0.5 to 0.999.'),
        ({"draws": 10.5}, '"10.5": draws must be a whole number from 20 to 100,000.'),
        ({"seed": 1.5}, '"1.5": seed must be a whole number from 0 to 2,147,483,648.'),
        ({"fit": "bayes"}, '"bayes": fit must be blended or data only.'),
        ({"site": "Nort Hall"}, 'site "Nort Hall": no such site. Did you mean North Hall? Sites are'
         " North Hall, South Hall."),
    ],
    ids=str,
)  # fmt: skip
def test_what_means_nothing_is_refused(asked: dict[str, object], words: str, book: Logbook):
    with pytest.raises(UnknownChoice) as refused:
        choose(book, **asked)
    assert str(refused.value) == words


def test_an_option_that_does_not_exist_is_refused(book: Logbook):
    with pytest.raises(UnknownChoice) as refused:
        choose(book, servce_level=0.9)
    told = "servce_level: no such option. Did you mean service_level? Options are "
    assert str(refused.value) == f"{told}{', '.join(sorted(Asked.__annotations__))}."


@pytest.mark.parametrize("name", ["as_of", "dates"])
def test_what_the_reader_settles_is_no_option_of_a_run(name: str, book: Logbook):
    with pytest.raises(UnknownChoice, match=f"{name} is settled when the logbook is read"):
        choose(book, **{name: "2026-02-01"})


DECLARED = {one.name for one in (*SETTINGS, *_RUN)} - {"as_of", "dates"}


ONLY = {"site", "only_supplier", "only_depot"}


def test_every_setting_may_be_asked_for_and_is_a_choice_that_the_rooms_can_see():
    assert set(Asked.__annotations__) == DECLARED | {"quarter", "order_from"} | ONLY
    fields = {each.name for each in dataclasses.fields(Choices)}
    more = {"as_of", "order_from", "order_to", "window_asked"} | ONLY
    assert fields == DECLARED - {"weeks"} | more


@pytest.fixture(scope="module")
def bare(tmp_path_factory: pytest.TempPathFactory) -> Logbook:
    tables = {name: text for name, text in SOUND.items() if name != "settings"}
    return read_tables(tmp_path_factory.mktemp("log"), tables)


def test_the_record_without_choices_holds_the_usual_ones(bare: Logbook):
    usual = choose(bare)
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
    bare: Logbook, name: str, low: float, high: float
):
    assert getattr(choose(bare, **{name: low}), name) == low
    assert getattr(choose(bare, **{name: high}), name) == high
    for beyond in (low - 1, high * 100 + 1):
        with pytest.raises(UnknownChoice, match=f"{name} must be"):
            choose(bare, **{name: beyond})


def test_weeks_may_be_one_to_two_years_and_are_rounded_to_whole_days(bare: Logbook):
    # 1.5 weeks are 10.5 days, 1.6 are 11.2.
    for weeks, days in ((1, 7), (104, 728), (1.6, 11)):
        assert choose(bare, weeks=weeks).order_to == bare.as_of + pd.Timedelta(days=days)
    for weeks in (0.9, 105):
        with pytest.raises(UnknownChoice, match="weeks must be a number from 1 to 104"):
            choose(bare, weeks=weeks)


def test_a_window_ends_within_three_years_and_after_as_of(bare: Logbook):
    day = pd.Timedelta(days=1)
    last = bare.as_of + 1100 * day
    assert choose(bare, order_from=last - 6 * day, weeks=1).order_to == last
    assert choose(bare, order_from=bare.as_of - 5 * day, weeks=1).order_to == bare.as_of + day
    for first in (last - 5 * day, bare.as_of - 6 * day):
        with pytest.raises(UnknownChoice, match="must end within three years after"):
            choose(bare, order_from=first, weeks=1)


def test_without_weeks_a_first_day_takes_the_weeks_of_a_review(bare: Logbook):
    chosen = choose(bare, order_from="2026-03-02", review_weeks=8)
    assert chosen.order_to == pd.Timestamp("2026-03-02") + pd.Timedelta(days=55)


def test_a_rate_that_nobody_gives_is_not_known(bare: Logbook):
    chosen = choose(bare, speed_km_h=4, work_share=0.6)
    assert (chosen.speed_km_h, chosen.work_share, chosen.labour_rate) == (4.0, 0.6, None)


def test_closed_days_may_be_a_day_or_several_and_come_sorted_each_once(bare: Logbook):
    day, other = datetime.date(2026, 12, 25), pd.Timestamp("2027-01-01")
    both = (pd.Timestamp(day), other)
    assert choose(bare, closed_days="2027-01-01 2026-12-25 2027-01-01").closed_days == both
    assert choose(bare, closed_days=[other, day]).closed_days == both
    assert choose(bare, closed_days=day).closed_days == (pd.Timestamp(day),)
    assert choose(bare, closed_days=" ").closed_days == ()


def test_a_site_in_its_own_spelling_goes_before_a_like_one(tmp_path):
    machines = SOUND["machines"].replace("South Hall", "north-hall")
    book = read_tables(tmp_path, {**SOUND, "machines": machines})
    sites = sorted(set(book.machines["site"]))
    assert [choose(book, site=site).site for site in sites] == sites
