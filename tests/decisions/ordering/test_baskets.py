"""Orders by supplier: price steps, smallest values, carriage."""

import numpy as np
import pytest

from tests.conftest import assert_table
from tests.decisions.makers import counted, plan

PARTS = """
    part   price  pack  from_pieces  lead_days  supplier
    blade  10     1     1            14         Harbour
    blade  8      1     20           14         Harbour
    pad    2      5     1            14         Harbour
"""
NEEDS = {
    ("main", "blade"): [counted(np.full(10, 12), day=60)],
    ("north", "blade"): [counted(np.full(10, 9), day=60)],
    ("main", "pad"): [counted(np.full(10, 3), day=60)],
}
ASKED = {"draws": 10, "window_asked": False, "ordering": "at once"}


def planned(suppliers="supplier  min_value", needs=NEEDS, **more):
    return plan(needs, PARTS, suppliers=suppliers, **{**ASKED, **more})


def test_a_price_step_counts_the_pieces_of_all_depots():
    # 12 and 9 are 21 together: from 20 on a piece costs 8.
    frame = planned().lines.set_index(["depot", "part"])
    assert frame["order_pieces"].to_dict() == {
        ("main", "blade"): 12, ("north", "blade"): 9, ("main", "pad"): 5,
    }  # fmt: skip
    assert frame["unit_price"].to_dict() == {
        ("main", "blade"): 8, ("north", "blade"): 8, ("main", "pad"): 2,
    }  # fmt: skip


def test_an_order_below_the_smallest_value_takes_more_of_what_is_used_up_first():
    suppliers = "supplier  min_value | Harbour  200"
    got = planned(suppliers)
    # 21 blades at 8 and 5 pads at 2 are 178. The 5 pads last 2 beyond the need of 3, each blade
    # is used up with its window: blades come first, in turn, the faster used ones oftener.
    assert_table(
        got.orders,
        """
        supplier  lines  pieces  value  min_value  below_min  topped_up
        Harbour   3      29      202    200        0          24
        """,
    )
    more = got.lines.set_index(["depot", "part"])["topped_up"]
    assert more.to_dict() == {("main", "blade"): 2, ("north", "blade"): 1, ("main", "pad"): 0}
    assert (got.lines["order_pieces"] % got.lines["pack"] == 0).all()


def test_no_part_is_bought_for_more_than_another_time_between_orders():
    got = planned("supplier  min_value\n    Harbour  100000")
    # 12 and 9 blades and 3 pads last 105 days; 91 days more are 10, 7 and not a pack of 5.
    assert got.lines["topped_up"].tolist() == [10, 0, 7]
    assert got.orders["below_min"].tolist() == [100000 - 38 * 8 - 10]


@pytest.mark.parametrize(("cost", "topped_up"), [(0.5, 0), (5.0, 24)])
def test_carriage_is_saved_where_that_costs_less_than_holding(cost, topped_up):
    # 24 held for a quarter at 20 % a year cost 1.20.
    got = planned(f"supplier  carriage  carriage_cost\n    Harbour  200  {cost}")
    assert got.orders["topped_up"].tolist() == [topped_up]
    assert got.orders["carriage"].tolist() == [0 if topped_up else cost]


def test_a_part_that_needs_no_order_may_go_out_with_one_and_is_an_order_then():
    stock = "part  on_hand  depot | pad  30  main"
    needs = {**NEEDS, ("main", "pad"): [counted(np.full(10, 30), day=60)]}
    got = planned("supplier  min_value\n    Harbour  190", needs, stock=stock).lines
    got = got.set_index("part")
    # 21 blades are 168; a blade for each depot makes 184, then 5 pads, of which none is over.
    line = got.loc["pad"]
    assert (line["order_pieces"], line["topped_up"], line["status"]) == (5, 5, "order")
    assert (
        line["why"]
        == "Need 30 by 15 April, have 30: order 5 (1 pack), 5 for the supplier's order value"
    )
    assert line["order_on"] == got["order_on"].min()


def test_a_part_of_no_supplier_is_an_order_of_its_own():
    parts = PARTS.replace("Harbour", "-")
    got = plan(NEEDS, parts, suppliers="supplier  min_value\n    Harbour  900", **ASKED)
    assert got.orders["supplier"].tolist() == [""]
    assert got.lines["topped_up"].eq(0).all()
