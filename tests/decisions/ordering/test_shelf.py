"""One shelf before and after its moves: windows, what bridges a late order, old stock."""

import numpy as np
import pytest

from tests.decisions.makers import AS_OF, all_counted, book, choices, history
from wearcast.decisions.ordering.policy import read_policy
from wearcast.decisions.ordering.shelf import make_shelf, use_up
from wearcast.decisions.ordering.supply import read_supply

PARTS = "part  price  lead_days  replaced_by | old  4  10  new | new  5  14  -"
WINDOW = 28


def needed(*uses, days=60):
    """One draw that needs so many pieces on each of some days, summed up."""
    daily = np.zeros(days + 1)
    for day, pieces in uses:
        daily[day] += pieces
    return np.cumsum(daily)[None, :]


def shelf(*needs, part="new", stock="part  on_hand", on_order="part  pieces", **asked):
    chosen = choices(weeks=4, draws=1, **asked)
    logbook = book(PARTS, all_counted(stock, [("main", "old"), ("main", "new")]), on_order)
    supply = read_supply(logbook, history().uses, chosen)
    chain = ["old", "new"] if part == "old" else ["new"]
    return make_shelf(
        "main", chain, list(needs), supply, read_policy(logbook, chosen), carried=True
    )


def on_day(day, pieces=5, part="new"):
    due = AS_OF.to_datetime64() + np.timedelta64(day, "D")
    return f"part  pieces  due\n    {part}  {pieces}  {np.datetime_as_string(due, 'D')}"


def test_the_need_runs_to_the_window_s_end_and_one_delivery_on():
    made = shelf(needed((WINDOW + 14, 3), (WINDOW + 15, 7)))
    assert (made.last_day, made.need.tolist(), made.up_to) == (WINDOW + 14, [3.0], 3.0)


@pytest.mark.parametrize(("day", "pieces"), [(WINDOW + 14, 5.0), (WINDOW + 15, 0.0)])
def test_open_orders_count_up_to_the_last_day(day, pieces):
    made = shelf(needed((1, 1)), on_order=on_day(day))
    assert (made.on_order, made.coming_day) == (pieces, day if pieces else 0)


@pytest.mark.parametrize(("day", "pieces"), [(30, 5.0), (31, 0.0)])
def test_a_walk_that_ends_before_the_window_counts_what_comes_within_it(day, pieces):
    made = shelf(needed((1, 1), (30, 2), days=30), on_order=on_day(day))
    assert (made.on_order, made.need.tolist()) == (pieces, [3.0])


def test_what_must_lie_there_until_the_open_order_has_come():
    # 2 on day 8 and 1 on day 20, the delivery's day, which serves from the next day on; then 9.
    made = shelf(needed((8, 2), (20, 1), (21, 9)), on_order=on_day(20, 9))
    assert (made.keep, made.bridge) == (3.0, 3.0)


def test_nothing_need_lie_there_without_an_open_order():
    made = shelf(needed((8, 2), (20, 1)))
    assert (made.keep, made.bridge) == (0.0, 0.0)


@pytest.mark.parametrize(
    ("day", "bridge"),
    [
        # As-of is a Thursday: an order goes out today, arrives on day 14 and serves from day 15.
        pytest.param(14, 0.0, id="no order can serve it"),
        pytest.param(15, 2.0, id="an order of today serves it"),
    ],
)
def test_an_order_bridges_only_what_is_first_lacking_after_it_arrives(day, bridge):
    made = shelf(needed((day, 2)), on_order=on_day(30))
    assert (made.keep, made.bridge) == (2.0, bridge)


def test_what_lacked_as_much_before_is_not_bridged():
    # 4 lack from day 5 on, until 3 arrive on day 10; on day 20 again 4.
    coming = on_day(10, 3) + "\n    new  6  2027-01-30"
    made = shelf(needed((5, 4), (20, 3)), on_order=coming)
    assert (made.keep, made.bridge) == (4.0, 0.0)


STOCK = "part  on_hand | old  2 | new  3"


def test_a_replaced_part_is_not_bought_and_its_successor_s_stock_counts():
    made = shelf(needed((5, 9)), part="old", stock=STOCK, on_order=on_day(WINDOW + 10))
    # Lead time of the old part: 10 days; the new one's order comes on the last day of the window.
    assert (made.replaced_by, made.later_stock) == ("new", 3.0 + 5.0)
    assert (made.short, made.missing, made.dip) == (0.0, 0.0, 0.0)
    late = shelf(needed((5, 11)), part="old", stock=STOCK, on_order=on_day(WINDOW + 11))
    assert (late.later_stock, late.short) == (3.0, 11.0 - 2.0 - 3.0)


def test_a_walk_that_ends_early_counts_the_successor_s_orders_within_it():
    made = shelf(needed((5, 9), days=20), part="old", stock=STOCK, on_order=on_day(20))
    assert made.later_stock == 3.0 + 5.0


def test_spare_is_what_neither_the_open_order_s_wait_nor_the_window_needs():
    stock = "part  on_hand\n    new  10"
    # 3 until day 20, 6 in all: with 2 on order 4 must stay; with 5 on order the 3 of the wait.
    uses = needed((8, 3), (30, 3))
    assert shelf(uses, stock=stock, on_order=on_day(20, 2)).spare == 6.0
    assert shelf(uses, stock=stock, on_order=on_day(20, 5)).spare == 7.0
    assert shelf(needed((8, 30)), stock=stock).spare == 0.0


def test_old_stock_serves_until_it_is_gone_and_leaves_the_rest():
    own, later = needed((5, 2), (10, 2)), needed((7, 1), (9, 3))
    old = shelf(own, later, part="old", stock="part  on_hand\n    old  4")
    still, (own_left, later_left) = use_up(old)
    # Days 5 and 7 take 3; on day 9 one of three is served, then nothing.
    assert (still.need.tolist(), still.up_to) == ([4.0], 4.0)
    assert own_left[0, [9, 10]].tolist() == [0.0, 2.0]
    assert later_left[0, [8, 9, 10]].tolist() == [0.0, 2.0, 2.0]
    assert np.array_equal(still.needed + own_left + later_left, own + later)
