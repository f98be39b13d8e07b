"""Parts in the place of others, in the order lines."""

import numpy as np
import pandas as pd
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.conftest import assert_table
from tests.decisions.makers import AS_OF, counted, lines


def test_a_replaced_part_is_used_up_first_and_the_rest_is_ordered_as_the_new_one():
    frame = lines(
        {("main", "old"): [counted(np.full(100, 10), day=60)]},
        parts="part  price  pack  lead_days  replaced_by | old  4  1  14  new | new  5  1  14  -",
        stock="part  on_hand | old  4 | new  1",
        draws=100,
    )
    assert_table(
        frame.sort_values("part"),
        """
        part  expected_use  order_up_to  order_pieces  status  replaced_by
        new   6             6            5             order   -
        old   4             4            0             watch   new
        """,
    )


def test_old_stock_is_used_up_first_where_the_machines_already_carry_the_new_part():
    frame = lines(
        {("main", "new"): [counted(np.full(100, 10), day=60)]},
        parts="""
            part   price  lead_days  replaced_by
            older  4      14         old
            old    4      14         new
            new    5      14         -
        """,
        stock="part  on_hand | older  2 | old  3",
        draws=100,
    )
    assert frame.set_index("part")["order_pieces"].to_dict() == {"old": 0, "older": 0, "new": 5}
    assert frame.set_index("part")["status"].to_dict() == {
        "old": "watch",
        "older": "watch",
        "new": "order",
    }


OLD_AND_NEW = "part  price  lead_days  replaced_by | old  4  14  new | new  5  14  -"


def test_old_stock_beyond_its_depots_need_is_moved_before_the_new_part_is_ordered():
    frame = lines(
        {
            ("main", "old"): [counted(np.full(10, 4), day=60)],
            ("north", "old"): [counted(np.full(10, 4), day=60)],
        },
        parts=OLD_AND_NEW,
        stock="part  on_hand  depot | old  7  north | new  0  main",
        draws=10,
    ).sort_values(["part", "depot"])
    assert_table(
        frame,
        """
        depot  part  on_hand  order_pieces  moved_in  moved_out
        main   new   0        1             0         0
        main   old   0        0             3         0
        north  old   7        0             0         3
        """,
    )


def test_old_stock_is_not_moved_where_the_new_part_lies():
    frame = lines(
        {
            ("main", "old"): [counted(np.full(10, 4), day=60)],
            ("north", "old"): [counted(np.full(10, 4), day=60)],
        },
        parts=OLD_AND_NEW,
        stock="part  on_hand  depot | old  9  north | new  4  main",
        draws=10,
    )
    assert (frame["moved_out"] == 0).all()
    assert (frame["order_pieces"] == 0).all()


TWO_OLD = """
    part   price  lead_days  replaced_by
    old a  4      14         new
    old b  4      14         new
    new    5      14         -
"""


def test_two_parts_with_the_same_successor_do_not_serve_each_others_machines():
    frame = lines(
        {
            ("main", "old a"): [counted(np.full(10, 5), day=60)],
            ("main", "old b"): [counted(np.full(10, 2), day=60)],
        },
        parts=TWO_OLD,
        stock="part  on_hand | old a  1 | old b  9",
        draws=10,
    )
    assert_table(
        frame.sort_values("part"),
        "part  expected_use  order_pieces | new  4  4 | old a  1  0 | old b  2  0",
    )


def test_machines_that_carry_the_new_part_take_either_old_stock():
    frame = lines(
        {
            ("main", "old a"): [counted(np.full(10, 3), day=50)],
            ("main", "new"): [counted(np.full(10, 6), day=60)],
        },
        parts=TWO_OLD,
        stock="part  on_hand | old a  5 | old b  3",
        draws=10,
    )
    assert_table(
        frame.sort_values("part"),
        "part  expected_use  order_pieces | new  1  1 | old a  5  0 | old b  3  0",
    )


PLACES = [(depot, part) for depot in ("main", "north") for part in ("new", "old a", "old b")]
PIECES = st.lists(st.integers(0, 12), min_size=len(PLACES), max_size=len(PLACES))


@settings(max_examples=40, deadline=None)
@given(PIECES, PIECES, PIECES, st.integers(1, 120))
def test_moves_and_orders_agree_whatever_lies_where(used, stock, coming, due):
    rows = list(zip(PLACES, used, stock, coming, strict=True))
    day = AS_OF + pd.Timedelta(days=due)
    frame = lines(
        {place: [counted([pieces, pieces // 2], day=60)] for place, pieces, _, _ in rows},
        parts=TWO_OLD,
        stock=pd.DataFrame(
            [(part, lies, depot) for (depot, part), _, lies, _ in rows],
            columns=["part", "on_hand", "depot"],
        ),
        on_order=pd.DataFrame(
            [(part, float(pieces), day, depot) for (depot, part), _, _, pieces in rows],
            columns=["part", "pieces", "due", "depot"],
        ),
        draws=2,
    )
    moved = frame.groupby("part")[["moved_in", "moved_out"]].sum()
    assert (moved["moved_in"] == moved["moved_out"]).all()
    assert (frame["moved_out"] <= frame["on_hand"]).all()
    assert ((frame["moved_in"] == 0) | (frame["moved_out"] == 0)).all()
    assert (frame.loc[frame["replaced_by"] != "", "order_pieces"] == 0).all()
    there = frame["on_hand"] + frame["moved_in"] - frame["moved_out"] + frame["on_order"]
    bought = frame["replaced_by"] == ""
    assert (there + frame["order_pieces"] >= frame["order_up_to"])[bought].all()
