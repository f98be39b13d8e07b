"""What a budget buys first."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.decisions.makers import counted, lines, poisson

PARTS = """
    part   price  pack  min_order  lead_days
    blade  10     1     0          14
    pad    2      5     0          14
"""
NEEDS = {
    ("main", "blade"): [counted(poisson(8, 200), day=60)],
    ("main", "pad"): [counted(poisson(30, 200), day=60)],
}


def bought(budget, parts=PARTS):
    frame = lines(NEEDS, parts, draws=200, budget=budget).set_index("part")
    return frame[["order_pieces", "wanted_pieces", "line_total", "service_cycle"]]


def test_without_a_budget_all_is_ordered():
    frame = bought(None)
    assert (frame["order_pieces"] == frame["wanted_pieces"]).all()


def test_cheap_pieces_that_are_surely_needed_come_before_dear_ones():
    frame = bought(60.0)
    # Six packs of pads, all surely or nearly surely needed, spare 30 pieces for 60.
    assert frame["order_pieces"].to_dict() == {"blade": 0, "pad": 30}
    assert frame.loc["blade", "wanted_pieces"] > 0
    assert frame.loc["blade", "service_cycle"] < 0.01


def test_a_smallest_order_that_the_money_does_not_reach_is_left_out():
    frame = bought(60.0, PARTS.replace("5     0", "5     40"))
    assert frame["order_pieces"].to_dict() == {"blade": 6, "pad": 0}


@given(budget=st.floats(0, 400))
@settings(max_examples=10, deadline=None)
def test_the_budget_is_kept_and_whole_packs_are_bought(budget):
    frame = bought(budget)
    assert frame["line_total"].sum() <= budget + 1e-6
    assert (frame["order_pieces"] <= frame["wanted_pieces"]).all()
    assert frame.loc["pad", "order_pieces"] % 5 == 0


def test_a_part_without_a_price_is_ordered_as_it_is():
    frame = bought(10.0, PARTS.replace("pad    2 ", "pad    - "))
    assert frame.loc["pad", "order_pieces"] == frame.loc["pad", "wanted_pieces"]
    assert np.isnan(frame.loc["pad", "line_total"])
    assert frame.loc["blade", "order_pieces"] == pytest.approx(1)
