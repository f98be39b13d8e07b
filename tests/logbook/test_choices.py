"""What was asked beats what was set, and what was set beats the usual."""

import dataclasses

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


def test_the_usual_holds_where_nothing_is_said(book: Logbook):
    choices = choose(book)
    assert (choices.pace, choices.seed, choices.draws, choices.due_weeks) == ("machine", 1, 1000, 6)
    assert (choices.lead_days, choices.speed_km_h, choices.site) == (14, None, None)


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
        ({"order_from": "2026-03-02", "weeks": 4}, "2026-03-02", "2026-03-29"),
        ({"order_from": pd.Timestamp("2026-03-02")}, "2026-03-02", "2026-04-26"),
        ({"weeks": 2}, "2026-02-17", "2026-03-02"),
    ],
    ids=str,
)
def test_the_window_ordered_for(asked: dict[str, object], first: str, last: str, book: Logbook):
    choices = choose(book, **asked)
    assert (choices.order_from, choices.order_to) == (pd.Timestamp(first), pd.Timestamp(last))


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        ({"quarter": "27Q1"}, 'quarter "27Q1": write the year and the quarter, as in 2027Q1.'),
        ({"quarter": "9999Q4"}, 'quarter "9999Q4": write the year and the quarter, as in 2027Q1.'),
        ({"quarter": "0000Q1"}, 'quarter "0000Q1": write the year and the quarter, as in 2027Q1.'),
        (
            {"quarter": "2025Q4"},
            "2025-10-01 to 2025-12-31: the window ordered for must end within three years after"
            " the as-of date 2026-02-16; ask for another.",
        ),
        (
            {"quarter": "2026Q3", "weeks": 4},
            "Ask for a quarter or for a first day and weeks, not for both.",
        ),
        (
            {"order_from": "02/03/2026"},
            '"02/03/2026": write the first day as year-month-day, 2027-01-04.',
        ),
        ({"service_level": 195}, '"195": service_level must be a number from 0.5 to 0.999.'),
        ({"service_level": "nan"}, '"nan": service_level must be a number from 0.5 to 0.999.'),
        ({"draws": 10.5}, '"10.5": draws must be a whole number from 20 to 100,000.'),
        ({"seed": 1.5}, '"1.5": seed must be a whole number from 0 to 2,147,483,648.'),
        ({"fit": "bayes"}, '"bayes": fit must be blended or data only.'),
        (
            {"site": "Nort Hall"},
            'site "Nort Hall": no such site. Did you mean North Hall? Sites are North Hall, South'
            " Hall.",
        ),
    ],
    ids=str,
)
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


def test_every_setting_may_be_asked_for():
    assert set(Asked.__annotations__) == DECLARED | {
        "quarter",
        "order_from",
        "site",
        "only_supplier",
        "only_depot",
    }


def test_every_setting_is_a_choice_that_the_rooms_can_see():
    fields = {each.name for each in dataclasses.fields(Choices)}
    more = {
        "as_of",
        "order_from",
        "order_to",
        "window_asked",
        "site",
        "only_supplier",
        "only_depot",
    }
    assert fields == DECLARED - {"weeks"} | more
