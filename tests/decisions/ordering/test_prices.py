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


@pytest.mark.parametrize(
    ("missing", "pack", "step", "bought"),
    [
        # Four a piece below the step: its quantity and price.
        pytest.param(9, 1, (10, 3), (10, 3, True), id="9 x 4 = 36, 10 x 3 = 30"),
        pytest.param(5, 1, (10, 3), (5, 4, False), id="5 x 4 = 20, 10 x 3 = 30"),
        pytest.param(6, 1, (8, 3), (6, 4, False), id="as much is not less"),
        pytest.param(10, 1, (10, 3), (10, 3, False), id="a break at the very need"),
        pytest.param(0, 1, (2, 3), (0, 4, False), id="nothing is bought"),
        pytest.param(0.5, 1, (99, 4), (1, 4, False), id="part of a piece"),
        pytest.param(17, 6, (20, 3), (18, 4, False), id="3 packs at 72, 4 at 72"),
        pytest.param(17, 6, (20, 2), (24, 2, True), id="3 packs at 72, 4 at 48"),
    ],
)
def test_more_is_bought_where_that_costs_less_in_total(missing, pack, step, bought):
    got = buy(missing, Terms(pack, 0.0, ((1.0, 4.0), step)))
    assert (got.pieces, got.unit_price, got.stepped_up) == bought


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
