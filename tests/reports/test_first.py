"""What stands first says what is late, due and dear, and what is not known."""

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from tests.reports import makers
from wearcast.reports.first import (
    brief,
    due_words,
    first_words,
    like_words,
    order_words,
    thin_words,
)

AS_OF = makers.AS_OF


def due_rows() -> pd.DataFrame:
    row = makers.due().iloc[:1]
    return pd.concat([row, row, row], ignore_index=True).assign(
        machine=["M1", "M2", "M3"],
        site="Hall A",
        wear=[0.9, 1.4, 0.5],
        due_p50=AS_OF + pd.to_timedelta([3, 5, 12], "D"),
        next_action="turn",
    )


def test_each_sentence_leads_to_a_section_of_the_page():
    assert [each.place for each in first_words(makers.forecast())] == ["order", "due", "cost"]


def test_the_order_is_told_with_its_money_and_what_is_late():
    assert order_words(makers.forecast()) == (
        "3 lines to order, 298.00 EUR. Late or for today: BL-1 (south)."
    )


@pytest.mark.parametrize(
    ("bare", "said"),
    [
        ([True, True, True, True], "total not known: no prices"),
        ([True, False, False, False], "173.00 EUR without the 1 line that lack a price"),
    ],
)
def test_no_total_stands_where_a_price_is_missing(bare: list[bool], said: str):
    lines = makers.order()
    lines["line_total"] = lines["line_total"].mask(pd.Series(bare))
    assert said in order_words(makers.forecast(order=lines))


def test_a_shelf_that_nobody_counted_is_told():
    lines = makers.order().assign(counted=[pd.NaT, AS_OF, AS_OF, AS_OF])
    assert "Of 1 line nobody counted the shelf" in order_words(makers.forecast(order=lines))


def test_nothing_to_order_is_said_so():
    none = makers.order().assign(order_pieces=0)
    assert order_words(makers.forecast(order=none)).startswith("Nothing needs ordering now:")


def test_what_is_due_is_told_the_most_worn_first():
    assert due_words(makers.forecast(due=due_rows())) == (
        "2 due by 7 November, the most worn M2 front blade at Hall A (140 % of its usual life),"
        " M1 front blade at Hall A; another 1 by 14 November."
    )


def test_hours_that_are_assumed_are_told():
    machines = makers.machines().assign(machine="M1", silent_days=90)
    words = due_words(makers.forecast(due=due_rows(), machines=machines))
    assert words.endswith("Hours of 1 machine are assumed: not read for 60 days.")


def test_without_any_price_nothing_is_said_to_be_dear():
    made = makers.forecast()
    made.book.parts["price"] = np.nan
    assert like_words(made) == "What costs more than its like is not known: no prices."


def test_a_site_asked_for_has_its_own_figures_and_the_rest_is_said_to_be_the_fleets():
    made = makers.forecast()
    made.choices = replace(made.choices, site="Hall A")
    words = [each for each, *_ in brief(made)]
    assert sum("Hall A" in each or "whole fleet" in each for each in words) == len(words) - 1
    assert "for the whole fleet" in order_words(made)


def test_a_short_log_is_called_thin():
    made = makers.forecast(floors=makers.floors().assign(worn=2.0))
    assert thin_words(made).startswith("Thin log: ")
