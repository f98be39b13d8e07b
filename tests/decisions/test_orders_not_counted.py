"""A shelf that nobody counted is not an empty one."""

import numpy as np
import pandas as pd

from tests.decisions.makers import counted, line, lines

NEED = {("main", "blade"): [counted(np.full(100, 12), day=5)]}


def test_a_shelf_that_nobody_counted_is_neither_empty_nor_overdue():
    got = line(NEED, counted=False, draws=100)
    assert got["status"] == "not counted"
    assert np.isnan(got["on_hand"])
    assert pd.isna(got["order_by"])
    assert pd.isna(got["runs_out_p05"])
    assert pd.isna(got["counted"])
    assert got["check"] == "not counted: count the shelf first"


def test_it_is_ordered_for_as_if_it_were_empty_and_says_so():
    got = line(NEED, counted=False, draws=100)
    empty = line(NEED, draws=100)
    assert (got["order_pieces"], empty["order_pieces"]) == (12, 12)
    assert empty["status"] == "overdue"
    assert got["why"] == "Not counted. Need 12 by 15 April: order 12 if the shelf is empty"


def test_what_is_on_order_counts_all_the_same():
    coming = "part  pieces  due | blade  20  2027-01-03"
    got = line(NEED, on_order=coming, counted=False, draws=100)
    assert (got["status"], got["order_pieces"]) == ("not counted", 0)
    assert got["why"] == "Not counted. Need 12 by 15 April: 20 on order are enough"


def test_it_neither_gives_nor_takes_pieces():
    needs = {**NEED, ("north", "blade"): [counted(np.full(100, 1), day=60)]}
    stock = "part  on_hand  depot | blade  40  north"
    frame = lines(needs, stock=stock, counted=False, draws=100)
    assert frame["moved_in"].eq(0).all()
    assert dict(zip(frame["depot"], frame["status"], strict=True)) == {
        "main": "not counted", "north": "surplus"
    }  # fmt: skip


def test_a_part_that_no_machine_carries_stays_of_no_use():
    coming = "part  pieces  due  depot | blade  5  2027-01-12  attic"
    frame = lines(NEED, on_order=coming, counted=False, draws=100).set_index("depot")
    assert frame.loc["attic", "status"] == "no use"
