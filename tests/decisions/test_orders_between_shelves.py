"""Moves between depots, and what open orders that come late lead to, in the order lines."""

import numpy as np
import pandas as pd
import pytest

from tests.conftest import assert_table
from tests.decisions.makers import AS_OF, NOTHING, ONE_PART, counted, lines


def test_a_surplus_at_another_depot_is_moved_before_anything_is_ordered():
    frame = lines(
        {
            ("main", "blade"): [counted(np.full(100, 10), day=60)],
            ("north", "blade"): [counted(np.full(100, 2), day=60)],
        },
        stock="part  on_hand  depot | blade  9  north",
        draws=100,
    )
    assert_table(
        frame.sort_values("depot"),
        """
        depot  on_hand  order_pieces  moved_in  moved_out  transfer
        main   0        3             7         0          7 moved in from north
        north  9        0             0         7          7 moved out to main
        """,
    )


def test_a_move_that_saves_no_pack_is_not_proposed():
    frame = lines(
        {
            ("main", "blade"): [counted(np.full(100, 7), day=60)],
            ("north", "blade"): [counted(np.full(100, 2), day=60)],
        },
        parts="part  price  pack  lead_days | blade  4  10  14",
        stock="part  on_hand  depot | blade  4  north",
        draws=100,
    )
    assert frame.set_index("depot")["order_pieces"].to_dict() == {"main": 10, "north": 0}
    assert (frame["transfer"] == "").all()


def depots(north_stock, north_order, parts=ONE_PART, **asked):
    return lines(
        {
            ("main", "blade"): [counted(np.full(100, 10), day=60)],
            ("north", "blade"): [counted(np.full(100, 6), day=60)],
        },
        parts=parts,
        stock=f"part  on_hand  depot | blade  {north_stock}  north",
        on_order=f"part  pieces  due  depot | blade  20  {north_order}  north",
        draws=100,
        **asked,
    ).set_index("depot")


def test_a_depot_keeps_what_it_needs_until_its_open_order_arrives():
    # North needs its 6 on day 60, 1 March; an order on 1 April makes nothing free before.
    frame = depots(north_stock=9, north_order="2027-04-01")
    assert frame["moved_out"].to_dict() == {"main": 0, "north": 3}
    assert frame.loc["north", "status"] != "gap"


def test_a_depot_whose_open_order_comes_in_time_can_give_its_stock():
    frame = depots(north_stock=9, north_order="2027-02-01")
    assert frame["moved_out"].to_dict() == {"main": 0, "north": 9}
    assert frame["order_pieces"].to_dict() == {"main": 1, "north": 0}


def gap(north_stock, due, needs=6, **asked):
    return lines(
        {
            ("main", "blade"): [counted(np.full(100, needs), day=8)],
            ("north", "blade"): [counted(np.full(100, 1), day=60)],
        },
        stock=f"part  on_hand  depot | blade  {north_stock}  north",
        on_order=f"part  pieces  due  depot | blade  20  {due}  main",
        draws=100,
        **asked,
    ).set_index("depot")


def test_what_no_order_cures_in_time_is_moved_from_a_depot_that_can_spare_it():
    frame = gap(north_stock=7, due="2027-01-12")
    assert frame["status"].to_dict() == {"main": "watch", "north": "watch"}
    assert frame["moved_in"].to_dict() == {"main": 6, "north": 0}
    assert (frame["order_pieces"] == 0).all()


def test_a_move_cures_as_much_of_a_gap_as_can_be_spared():
    frame = gap(north_stock=4, due="2027-01-12")
    # North lends its last piece too: its own order comes before it needs one.
    assert frame["status"].to_dict() == {"main": "gap", "north": "order"}
    assert frame["moved_in"].to_dict() == {"main": 4, "north": 0}
    assert frame["order_pieces"].to_dict() == {"main": 0, "north": 1}


def test_a_dip_that_a_new_order_cures_is_ordered():
    frame = lines(
        {("main", "blade"): [counted(np.full(100, 6), day=30)]},
        on_order="part  pieces  due | blade  20  2027-03-01",
        draws=100,
    )
    assert frame["order_pieces"].tolist() == [6]
    # Needed on day 30, 30 January; delivery takes 14 days and serves the day after: 15 January.
    assert frame["order_by"].tolist() == [pd.Timestamp("2027-01-15")]


@pytest.mark.parametrize(
    ("day", "closed", "status"),
    [
        # Delivery takes 14 days and serves the day after.
        pytest.param(14, (), "gap", id="before a new order can serve"),
        pytest.param(15, (), "order now", id="on the first day it can serve"),
        pytest.param(15, (AS_OF,), "gap", id="closed today: a day later"),
        pytest.param(16, (AS_OF,), "order now", id="closed today, and a day on"),
    ],
)
def test_a_dip_is_a_gap_when_no_new_order_can_serve_it(day, closed, status):
    frame = lines(
        {("main", "blade"): [counted(np.full(100, 6), day=day)]},
        on_order="part  pieces  due | blade  20  2027-02-10",
        closed_days=closed,
        draws=100,
    )
    assert frame["status"].tolist() == [status]


def test_what_is_owed_before_does_not_make_a_dip_worth_an_order():
    # Two on day 10 are owed in any case; the one on day 20 a new order serves, after those two.
    needs = [counted(np.full(100, 2), day=10), counted(np.full(100, 1), day=20)]
    coming = "part  pieces  due | blade  20  2027-02-10"
    assert (
        lines({("main", "blade"): needs[:1]}, on_order=coming, draws=100)["status"].item() == "gap"
    )
    frame = lines({("main", "blade"): needs}, on_order=coming, draws=100)
    assert frame["order_pieces"].tolist() == [3]


def test_a_gap_and_a_shortage_share_what_a_depot_can_spare():
    frame = lines(
        {
            ("east", "blade"): [counted(np.full(100, 3), day=8)],
            ("west", "blade"): [counted(np.full(100, 9), day=60)],
            ("north", "blade"): [NOTHING],
        },
        stock="part  on_hand  depot | blade  5  north",
        on_order="part  pieces  due  depot | blade  20  2027-01-12  east",
        draws=100,
    ).set_index("depot")
    # The gap comes first: no order cures it. What is left saves the west as much.
    assert frame["moved_in"].to_dict() == {"east": 3, "west": 2, "north": 0}
    assert frame["order_pieces"].to_dict() == {"east": 0, "west": 7, "north": 0}
