"""The whole reason of an order line."""

import numpy as np
import pandas as pd
import pytest

from tests.decisions.makers import counted, line, lines
from wearcast.decisions.ordering.long_reasons import pieces_words
from wearcast.decisions.ordering.reasons import day_words

PARTS = """
    part   price  pack  lead_days  supplier
    blade  4      10    14         Harbour
"""


def reason(needs, stock="part  on_hand", on_order="part  pieces", parts=PARTS):
    made = {("main", "blade"): [counted(needs[0], day=needs[1])]}
    return line(made, parts, stock, on_order, draws=100)["reason"]


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
        "; to arrive in time it had to go out by 21 December 2026: if it goes out on 31 December "
        "2026 the shelf may stand empty for 10 days."
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


def test_a_surplus_for_ever_is_not_counted_in_months():
    stock = """
        part   on_hand
        blade  9000
    """
    assert reason((np.full(100, 12), 60), stock) == (
        "9000 on the shelf last more than ten years at 12 pieces until 15 April 2027."
    )


def test_an_open_order_for_a_depot_that_needs_none_is_doubted():
    coming = """
        part   pieces  due         depot
        blade  5       2027-01-12  attic
    """
    made = {("main", "blade"): [counted(np.full(100, 1), day=60)]}
    stock = """
        part   on_hand  depot
        blade  0        attic
    """
    frame = lines(made, PARTS, stock, coming, draws=100)
    assert frame.set_index("depot").loc["attic", "reason"] == (
        "0 on the shelf and 5 on order (by 12 January 2027), but no machine of this depot carries "
        "the part: ask to cancel the open order, or name the depot that it is for."
    )


def test_a_gap_asks_for_an_earlier_delivery():
    coming = """
        part   pieces  due
        blade  20      2027-01-12
    """
    assert reason((np.full(100, 12), 9), on_order=coming) == (
        "Until 15 April 2027 about 12 pieces will be used, and 12 cover the need in 95 of 100 "
        "cases; there are 0 on the shelf and 20 on order (by 12 January 2027), which is enough, "
        "but the shelf may be empty from 9 January 2027 before the open order comes, sooner than "
        "a new one could: ask for an earlier delivery."
    )


def test_an_order_that_tides_the_shelf_over_says_so():
    coming = """
        part   pieces  due
        blade  20      2027-03-20
    """
    assert (
        "there are 0 on the shelf and 20 on order (by 20 March 2027), so 20 pieces (2 packs of 10) "
        "are ordered to last until the open order has come (or ask for that one sooner); the shelf "
        "may be empty from 1 March 2027"
    ) in reason((np.full(100, 12), 60), on_order=coming)


@pytest.mark.parametrize(
    ("orders", "words"),
    [
        ("blade  20  2026-12-31", "20 on order (past due, expected by 7 January 2027)"),
        (
            "blade  9   2026-12-31\n        blade  11  2027-02-01",
            "20 on order (9 of them past due, all expected by 1 February 2027)",
        ),
    ],
    ids=["all", "some"],
)
def test_an_open_order_past_due_is_told_with_the_day_it_is_expected(orders, words):
    coming = f"""
        part   pieces  due
        {orders}
    """
    assert words in reason((np.full(100, 12), 60), on_order=coming)


def test_a_use_that_no_log_entry_bears_out_is_doubted():
    parts = """
        part  price  lead_days
        hose  4      14
    """
    made = {("main", "hose"): [counted(np.full(100, 12), day=60)]}
    frame = lines(made, parts, draws=100)
    assert frame["on_record"].tolist() == [0]
    assert (
        frame["reason"]
        .iloc[0]
        .endswith(
            "; no such part has ended in the log, so the use rests on a typical life: look at the "
            "quantity before you order, and write usual_hours."
        )
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
