"""Packs, smallest orders and price breaks."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.decisions.makers import book
from wearcast.decisions.ordering.prices import Terms, buy, price_at, terms_of, whole_packs

PLAIN = ((1.0, 4.0),)


@pytest.mark.parametrize(
    ("missing", "pack", "fewest", "pieces", "packs"),
    [
        pytest.param(1, 1, 0, 1, 1, id="singles"),
        pytest.param(11, 10, 0, 20, 2, id="whole packs"),
        pytest.param(10, 10, 0, 10, 1, id="exactly a pack"),
        pytest.param(3, 4, 10, 12, 3, id="smallest order in packs"),
        pytest.param(0, 4, 10, 0, 0, id="nothing missing"),
    ],
)
def test_a_need_is_rounded_up(missing, pack, fewest, pieces, packs):
    bought = buy(missing, Terms(pack, fewest, PLAIN))
    assert (bought.pieces, bought.packs) == (pieces, packs)


def test_a_price_break_holds_from_its_quantity_on():
    terms = Terms(1.0, 0.0, ((1.0, 4.0), (10.0, 3.0)))
    assert [price_at(9, terms), price_at(10, terms)] == [4.0, 3.0]


def test_more_is_bought_where_that_costs_less_in_total():
    bought = buy(9, Terms(1.0, 0.0, ((1.0, 4.0), (10.0, 3.0))))  # 9 x 4 = 36, 10 x 3 = 30
    assert (bought.pieces, bought.unit_price, bought.stepped_up) == (10.0, 3.0, True)


def test_no_more_is_bought_where_a_price_break_saves_nothing():
    bought = buy(5, Terms(1.0, 0.0, ((1.0, 4.0), (10.0, 3.0))))  # 5 x 4 = 20, 10 x 3 = 30
    assert (bought.pieces, bought.unit_price, bought.stepped_up) == (5.0, 4.0, False)


def test_a_part_without_a_price_is_still_ordered():
    bought = buy(3, Terms(2.0, 0.0, ()))
    assert bought.pieces == 4.0
    assert np.isnan(bought.unit_price)


@given(st.floats(0.01, 500), st.integers(1, 24), st.integers(0, 50))
def test_a_purchase_covers_the_need_in_whole_packs(missing, pack, fewest):
    bought = buy(missing, Terms(pack, fewest, PLAIN))
    assert bought.pieces >= missing - 1e-6
    assert bought.pieces >= fewest
    assert bought.pieces == bought.packs * pack
    assert bought.pieces < max(missing, fewest) + pack


def test_the_price_shown_where_nothing_is_bought_is_that_of_one_piece():
    assert buy(0, Terms(1.0, 0.0, ((1.0, 4.0), (2.0, 3.0)))).unit_price == 4.0


def test_the_larger_purchase_must_cost_less_not_as_much():
    # 6 x 4 = 24 and 8 x 3 = 24: what is needed is enough.
    assert buy(6, Terms(1.0, 0.0, ((1.0, 4.0), (8.0, 3.0)))).pieces == 6.0


def test_fewer_than_the_first_price_is_for_cost_that_price():
    assert price_at(1, Terms(1.0, 0.0, ((5.0, 3.0), (10.0, 2.0)))) == 3.0


def test_terms_are_read_from_the_catalogue_with_the_breaks_in_order():
    terms = terms_of(
        book("""
            part   price  pack  min_order  from_pieces
            blade  3      10    20         40
            blade  4      10    20         1
            bare   -      -     -          -
        """)
    )
    assert terms == {
        "blade": Terms(10.0, 20.0, ((1.0, 4.0), (40.0, 3.0))),
        "bare": Terms(1.0, 0.0, ()),
    }


def test_a_rounding_error_above_a_pack_asks_for_no_other():
    assert whole_packs(3 * 0.1, 0.1) == pytest.approx(0.3)
    assert whole_packs(3.001, 1.0) == 4.0


def test_a_break_at_the_very_need_is_its_price_and_no_step_up():
    bought = buy(10, Terms(1.0, 0.0, ((1.0, 4.0), (10.0, 3.0))))
    assert (bought.pieces, bought.unit_price, bought.stepped_up) == (10.0, 3.0, False)


def test_a_step_up_goes_to_whole_packs():
    # 18 are 3 packs of 6 at 4: 72. From 20 on 3 each: 4 packs, 24 pieces, 72 as well; at 2: 48.
    assert buy(17, Terms(6.0, 0.0, ((1.0, 4.0), (20.0, 3.0)))).pieces == 18.0
    assert buy(17, Terms(6.0, 0.0, ((1.0, 4.0), (20.0, 2.0)))).pieces == 24.0


def test_part_of_a_piece_missing_is_bought():
    assert buy(0.5, Terms(1.0, 0.0, PLAIN)).pieces == 1.0
