"""Order lines: quantity, dates, status, replaced parts, depots."""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.decisions.makers import AS_OF, ONE_PART, counted, line, lines, poisson
from wearcast.decisions.orders import COLUMNS


def test_the_order_covers_the_poisson_need_of_snyder_and_shen():
    # Mean 50 at the critical ratio .70 / .88: S = 56 (seen in the doctests of an inventory
    # library and reproduced: F(55) = .784470 < .795455 <= F(56) = .822117).
    got = line({("main", "blade"): [counted(poisson(50))]}, service_level=0.70 / 0.88)
    assert (got["order_up_to"], got["order_pieces"]) == (56, 56)
    assert got["service_cycle"] == pytest.approx(0.822117, abs=1e-3)


def test_what_is_on_the_shelf_and_due_in_the_window_is_not_ordered_again():
    got = line(
        {("main", "blade"): [counted(poisson(50))]},
        stock="part  on_hand | blade  20",
        on_order="part  pieces  due | blade  7  2027-02-01 | blade  9  2027-12-01",
    )
    # The window ends 13 weeks and 14 days after as-of: the December order does not count.
    assert got["to"] == AS_OF + pd.Timedelta(days=13 * 7 + 14)
    assert (got["on_hand"], got["on_order"]) == (20, 7)
    assert got["order_pieces"] == got["order_up_to"] - 27


def test_the_quantity_goes_out_in_packs_at_the_price_of_that_quantity():
    got = line(
        {("main", "blade"): [counted(np.full(100, 33))]},
        parts="""
            part   price  pack  min_order  from_pieces
            blade  4.00   10    20         1
            blade  3.00   10    20         40
        """,
        draws=100,
    )
    # 33 in packs: 40 pieces, which is where the lower price begins.
    assert got[["order_pieces", "order_packs", "unit_price", "line_total"]].tolist() == [
        40, 4, 3.0, 120.0,
    ]  # fmt: skip


def test_use_after_the_window_and_its_lead_time_is_not_ordered_for():
    last = 13 * 7 + 14
    needs = {("main", "blade"): [counted(np.full(100, 1), day) for day in (last, last + 1)]}
    assert line(needs, draws=100)["order_pieces"] == 1


def test_order_by_leaves_time_for_the_delivery_and_falls_on_a_working_day():
    got = line(
        {("main", "blade"): [counted(np.full(100, 1), day=60)]},
        parts="part  price  lead_days | blade  4  14",
        draws=100,
    )
    # Needed on day 60; on the shelf at the end of day 59; ordered 14 days before: day 45,
    # which is 14 February 2027, a Sunday; the Friday before is the 12th.
    assert got["order_by"] == pd.Timestamp("2027-02-12")
    assert got["runs_out_p05"] == got["runs_out_p50"] == AS_OF + pd.Timedelta(days=60)
    assert (got["status"], got["in_time"]) == ("order", 1.0)


def test_the_run_out_dates_are_those_of_one_draw_in_twenty_and_of_half():
    # One use a draw, in draw n on day n + 1, and nothing on the shelf.
    got = line({("main", "blade"): [[(n, n + 1) for n in range(40)]]}, draws=40)
    assert got["runs_out_p05"] == AS_OF + pd.Timedelta(days=2)
    assert got["runs_out_p50"] == AS_OF + pd.Timedelta(days=20)


def test_a_delivery_that_comes_too_late_is_overdue_and_says_for_how_long():
    got = line({("main", "blade"): [counted(np.full(100, 2), day=5)]}, draws=100)
    # Ordered on the first working day, 31 December itself, it arrives on day 14 and serves from
    # day 15: pieces are owed on days 5 to 14.
    assert got["status"] == "overdue"
    assert got["order_by"] < AS_OF
    assert got["order_on"] == AS_OF
    assert (got["gap_days_p50"], got["gap_days_p95"]) == (10, 10)
    assert got["in_time"] == 0.0


def test_a_dip_before_an_open_order_is_a_gap_and_not_another_order():
    got = line(
        {("main", "blade"): [counted(np.full(100, 2), day=10)]},
        stock="part  on_hand | blade  1",
        on_order="part  pieces  due | blade  5  2027-02-01",
        draws=100,
    )
    assert (got["status"], got["order_pieces"]) == ("gap", 0)
    assert got["gap_days_p50"] == 32 - 10 + 1  # day 10 to 1 February, day 32
    assert pd.isna(got["order_by"])


def test_lines_of_one_supplier_go_out_on_the_earliest_order_by_date_and_say_so():
    frame = lines(
        {
            ("main", "blade"): [counted(np.full(100, 1), day=60)],
            ("main", "pad"): [counted(np.full(100, 1), day=67)],
        },
        parts=ONE_PART + "    pad  2  1  14  Harbour\n",
        gather_days=14,
        draws=100,
    )
    assert frame["order_on"].tolist() == [pd.Timestamp("2027-02-12")] * 2
    assert frame["order_by"].tolist() == [pd.Timestamp("2027-02-12"), pd.Timestamp("2027-02-19")]
    assert "goes out on 12 February 2027 with the supplier's other lines" in frame["reason"].iloc[1]


def test_no_machine_and_no_stock_make_an_empty_order():
    frame = lines({}, draws=10)
    assert frame.empty
    assert list(frame.columns) == list(COLUMNS)


def test_overdue_lines_come_first():
    frame = lines(
        {
            ("main", "blade"): [counted(np.full(100, 1), day=60)],
            ("main", "pad"): [counted(np.full(100, 1), day=3)],
        },
        parts=ONE_PART + "    pad  2  1  14  Harbour\n",
        draws=100,
    )
    assert frame["status"].tolist() == ["overdue", "order"]


needs_by_draw = st.lists(st.integers(0, 9), min_size=20, max_size=20)


@settings(deadline=None, max_examples=20)
@given(needs_by_draw, st.integers(0, 20), st.integers(1, 6), st.integers(0, 8))
def test_the_order_brings_the_shelf_to_the_level_and_less_than_a_pack_above(
    need, on_hand, pack, fewest
):
    frame = lines(
        {("main", "blade"): [counted(need)]},
        parts=f"part  price  pack  min_order  lead_days | blade  4  {pack}  {fewest}  14",
        stock=f"part  on_hand | blade  {on_hand}",
        draws=20,
    )
    for _, got in frame.T.items():
        reached = on_hand + got["order_pieces"]
        assert reached >= got["order_up_to"]
        if got["order_pieces"]:
            assert reached < max(got["order_up_to"], on_hand + fewest) + pack
            assert got["service_cycle"] >= 0.95 - 1e-9
