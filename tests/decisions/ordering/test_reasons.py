"""The sentence beside an order line."""

import numpy as np
import pandas as pd
import pytest

from tests.decisions.makers import book, choices, counted, draws, history
from wearcast.decisions.ordering.reasons import day_words, pieces_words
from wearcast.decisions.orders import order_lines

PARTS = """
    part   price  pack  lead_days  supplier
    blade  4      10    14         Harbour
"""


def reason(needs, stock="part  on_hand", on_order="part  pieces", parts=PARTS):
    made = draws({("main", "blade"): [counted(needs[0], day=needs[1])]}, count=100)
    logbook = book(parts, stock, on_order)
    frame = order_lines(made, history(), logbook, choices(draws=100))
    return frame["why"].iloc[0]


def test_an_order_says_use_stock_packs_and_dates():
    stock = """
        part   on_hand
        blade  4
    """
    assert reason((np.full(100, 12), 60), stock) == (
        "Until 15 April 2027 about 12 pieces will be used, and 12 cover the need in 95 of 100 "
        "cases; there are 4 on the shelf, so 10 pieces (1 pack of 10) are ordered; the shelf may "
        "be empty from 1 March 2027 (1 case in 20) and delivery takes about 14 days."
    )


def test_an_overdue_order_says_how_long_the_shelf_may_stand_empty():
    assert reason((np.full(100, 3), 5)).endswith(
        "; a delivery in time was to be ordered by 21 December 2026: the shelf may stand empty "
        "for 10 days."
    )


def test_enough_says_that_nothing_is_ordered():
    stock = """
        part   on_hand
        blade  14
    """
    assert reason((np.full(100, 14), 60), stock) == (
        "Until 15 April 2027 about 14 pieces will be used, and 14 cover the need in 95 of 100 "
        "cases; there are 14 on the shelf, so nothing is ordered."
    )


def test_a_surplus_says_how_long_it_lasts():
    stock = """
        part   on_hand
        blade  40
    """
    assert reason((np.full(100, 12), 60), stock) == (
        "40 on the shelf last about 40 months at 12 pieces until 15 April 2027."
    )


def test_a_gap_asks_for_an_earlier_delivery():
    coming = """
        part   pieces  due
        blade  20      2027-03-20
    """
    assert reason((np.full(100, 12), 60), on_order=coming) == (
        "Until 15 April 2027 about 12 pieces will be used, and 12 cover the need in 95 of 100 "
        "cases; there are 0 on the shelf and 20 on order, which is enough, but the shelf may be "
        "empty from 1 March 2027 until the open order arrives: ask for an earlier delivery."
    )


def test_the_smallest_order_is_named():
    parts = """
        part   price  pack  min_order  lead_days
        blade  4      1     30         14
    """
    assert ", the smallest order the supplier takes;" in reason((np.full(100, 12), 60), parts=parts)


def test_a_price_break_is_named():
    parts = """
        part   price  from_pieces  lead_days
        blade  4      1            14
        blade  2      20           14
    """
    assert "more than needed because the larger order costs less in total" in reason(
        (np.full(100, 12), 60), parts=parts
    )


@pytest.mark.parametrize(
    ("pieces", "words"),
    [
        (1.0, "1 piece"),
        (12.0, "12 pieces"),
        (12.4, "12 pieces"),
        (3.25, "3.2 pieces"),
        (10.4, "10 pieces"),
    ],
)
def test_pieces_in_words(pieces, words):
    assert pieces_words(pieces) == words


def test_a_date_in_words_is_the_same_everywhere():
    assert day_words(pd.Timestamp("2027-01-04")) == "4 January 2027"


def test_one_of_a_thing_is_not_said_as_many():
    parts = """
        part   price  pack  lead_days
        blade  4      1     1
    """
    stock = """
        part   on_hand
        blade  1
    """
    words = reason((np.full(100, 2), 60), stock, parts=parts)
    assert "there is 1 on the shelf, so 1 piece is ordered" in words
    assert "delivery takes about 1 day" in words
    assert "about 1 days" not in words
