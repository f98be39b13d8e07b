"""Orders by supplier: price steps, smallest values, carriage."""

import pytest

from tests.conftest import assert_table
from tests.decisions.makers import plan

PARTS = """
    part   price  pack  from_pieces  lead_days  supplier
    blade  10     1     1            14         Harbour
    blade  8      1     20           14         Harbour
    pad    2      5     1            14         Harbour
"""
NEEDS = "main blade 12@60 | north blade 9@60 | main pad 3@60"
NOBODY = PARTS.replace("Harbour", "-")


def planned(suppliers="supplier  min_value", needs=NEEDS, parts=PARTS, **more):
    return plan(needs, parts, suppliers=suppliers, window_asked=False, ordering="at once", **more)


def test_a_price_step_counts_the_pieces_of_all_depots():
    # 12 and 9 are 21 together: from 20 on a piece costs 8.
    assert_table(
        planned().lines.sort_values(["part", "depot"]),
        "depot  order_pieces  unit_price | main  12  8 | north  9  8 | main  5  2",
    )


def test_an_order_below_the_smallest_value_takes_more_of_what_is_used_up_first():
    got = planned("supplier  min_value | Harbour  200")
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
    got = planned("supplier  min_value | Harbour  100000")
    # 12 and 9 blades and 3 pads last 105 days; 91 days more are 10, 7 and not a pack of 5.
    assert got.lines["topped_up"].tolist() == [10, 0, 7]
    assert got.orders["below_min"].tolist() == [100000 - 38 * 8 - 10]


@pytest.mark.parametrize(("cost", "topped_up"), [(0.5, 0), (5.0, 24)])
def test_carriage_is_saved_where_that_costs_less_than_holding(cost, topped_up):
    # 24 held for a quarter at 20 % a year cost 1.20.
    got = planned(f"supplier  carriage  carriage_cost | Harbour  200  {cost}").orders.iloc[0]
    assert (got["topped_up"], got["carriage"]) == (topped_up, 0 if topped_up else cost)


def test_a_part_that_needs_no_order_may_go_out_with_one_and_is_an_order_then():
    got = planned(
        "supplier  min_value | Harbour  190",
        NEEDS.replace("3@60", "30@60"),
        stock="part  on_hand  depot | pad  30  main",
    ).lines
    # 21 blades are 168; a blade for each depot makes 184, then 5 pads, of which none is over.
    line = got.set_index("part").loc["pad"]
    assert line[["order_pieces", "topped_up", "status", "order_on", "why"]].tolist() == [
        5, 5, "order", got["order_on"].min(),
        "Need 30 by 15 April, have 30: order 5 (1 pack), 5 for the supplier's order value",
    ]  # fmt: skip


def test_a_part_of_no_supplier_is_an_order_of_its_own():
    got = planned("supplier  min_value | Harbour  900", parts=NOBODY)
    assert got.orders["supplier"].tolist() == [""]
    assert got.lines["topped_up"].eq(0).all()
