"""An urgent line borrows from a depot that has enough until its own new order comes."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.decisions.makers import counted, lines

LEAD = 14


def both(north_stock, main_stock=0, north_day=60, **asked):
    frame = lines(
        {
            ("main", "blade"): [counted(np.full(50, 4), day=5)],
            ("north", "blade"): [counted(np.full(50, 14), day=north_day)],
        },
        stock=f"part  on_hand  depot | blade  {main_stock}  main | blade  {north_stock}  north",
        draws=50,
        window_asked=False,
        ordering="at once",
        **asked,
    )
    return frame.set_index("depot")


def test_fourteen_in_one_depot_do_not_lie_there_while_the_other_stands_empty():
    # Main needs 4 on day 5, before any order can come; north needs its 14 on day 60 only.
    frame = both(14)
    assert frame["moved_in"].to_dict() == {"main": 4, "north": 0}
    assert frame["order_pieces"].to_dict() == {"main": 0, "north": 4}
    assert "overdue" not in set(frame["status"])


def test_a_depot_lends_nothing_that_it_needs_before_its_own_order_comes():
    frame = both(14, north_day=LEAD)
    assert frame["moved_in"].to_dict() == {"main": 0, "north": 0}
    assert frame.loc["main", "status"] == "overdue"
    # On the day after its new order has come it can do without.
    assert both(14, north_day=LEAD + 1).loc["main", "moved_in"] == 4


def test_what_an_order_brings_in_time_is_not_borrowed():
    needs = {
        ("main", "blade"): [counted(np.full(50, 4), day=30)],
        ("north", "blade"): [counted(np.full(50, 14), day=60)],
    }
    stock = "part  on_hand  depot | blade  14  north"
    frame = lines(needs, stock=stock, draws=50, window_asked=False, ordering="at once")
    assert frame["moved_in"].eq(0).all()


@given(north=st.integers(0, 30), main=st.integers(0, 8), day=st.integers(1, 80))
@settings(max_examples=15, deadline=None)
def test_lending_orders_no_piece_more_and_leaves_no_depot_short(north, main, day):
    frame = both(north, main, day)
    assert frame["moved_in"].sum() == frame["moved_out"].sum()
    needed, there = 4 + 14, north + main
    assert frame["order_pieces"].sum() == max(needed - there, 0) or (
        # Nothing is moved only to save buying where that would leave the giver short.
        frame["order_pieces"].sum() >= needed - there
    )
    after = frame["on_hand"] + frame["moved_in"] - frame["moved_out"]
    if day <= LEAD:
        assert after["north"] >= min(14, north)
    assert (after >= 0).all()
