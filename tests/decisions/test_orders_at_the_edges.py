"""Order lines where delivery times, open orders, windows and calendars are not the plain case."""

import numpy as np
import pandas as pd
import pytest
from scipy import stats

from tests.decisions.makers import AS_OF, NOTHING, ONE_PART, counted, line

SPREAD = "part  price  lead_days  lead_days_sd | blade  4  14  7"


def test_a_spread_of_delivery_times_orders_earlier_and_not_less():
    needs = {("main", "blade"): [counted(np.full(2000, 1), day=day) for day in range(30, 160, 3)]}
    steady = line(needs, draws=2000)
    spread = line(needs, parts=SPREAD, draws=2000)
    # Gamma of mean 14 and sd 7 (shape 4): its 95 % point is 27.1 days (scipy), 14 days more than
    # the mean, and to the working day before.
    late = stats.gamma.ppf(0.95, 4, scale=3.5)
    assert late == pytest.approx(27.1, abs=0.1)
    moved = (steady["order_by"] - spread["order_by"]).days
    assert 12 <= moved <= 16
    assert spread["order_up_to"] > steady["order_up_to"]
    assert spread["in_time"] >= 0.95


def test_the_reorder_day_is_that_of_the_published_reorder_point():
    # Snyder and Shen 5.5: 1,300 a year, sd 150, delivery in 1/12 year, chance 7.5 / 7.725: reorder
    # at 190.34 (seen in an inventory library's doctests; mu + z sigma, identical). With that much
    # on the shelf today an order today is just in time: it arrives when the need of 1/12 year is
    # covered with that chance.
    chance = 7.5 / 7.725
    days, draws = 30, 2000
    total = stats.norm.ppf((np.arange(draws) + 0.5) / draws, 1300 / 12, 150 / np.sqrt(12))
    needs = counted(np.round(np.maximum(total, 0)).astype(int), day=days)
    stock = "\n    part   on_hand\n    blade  {}\n"
    parts = f"part  price  lead_days | blade  4  {days}"
    after = counted(np.full(draws, 500), day=days + 1)

    def status(on_hand):
        return line(
            {("main", "blade"): [needs, after]},
            parts=parts,
            stock=stock.format(on_hand),
            service_level=chance,
            draws=draws,
        )["status"]

    assert status(192) == "order now"
    assert status(187) == "overdue"


def test_an_overdue_order_goes_out_on_the_next_working_day():
    got = line(
        {("main", "blade"): [counted(np.full(10, 2), day=5)]},
        closed_days=(AS_OF, pd.Timestamp("2027-01-01")),
        draws=10,
    )
    # 31 December and 1 January are closed, then comes a weekend: Monday 4 January.
    assert (got["status"], got["order_on"]) == ("overdue", pd.Timestamp("2027-01-04"))
    # It arrives on day 18 and serves from day 19: pieces are owed on days 5 to 18.
    assert got["gap_days_p50"] == 14


def test_an_order_that_can_still_go_out_today_is_not_overdue():
    got = line({("main", "blade"): [counted(np.full(10, 2), day=15)]}, draws=10)
    assert (got["order_by"], got["status"], got["gap_days_p95"]) == (AS_OF, "order now", 0)


def test_stock_of_a_part_that_is_carried_and_never_used_up_is_a_surplus_without_an_end():
    got = line({("main", "blade"): [NOTHING]}, stock="part  on_hand | blade  6", draws=10)
    assert (got["status"], got["months_of_use"]) == ("surplus", np.inf)
    assert got["reason"] == (
        "6 on the shelf, but no use of the part is expected until 15 April 2027."
    )


def test_an_order_now_is_one_that_goes_out_within_a_week():
    on = [
        line({("main", "blade"): [counted(np.full(10, 2), day=day)]}, draws=10)["status"]
        for day in (22, 26)
    ]
    # Day 22 - 15 = 7, 7 January; day 26 - 15 = 11, 11 January, a Monday.
    assert on == ["order now", "order"]


@pytest.mark.parametrize(("on_hand", "status"), [(12, "watch"), (13, "surplus")])
def test_a_surplus_begins_above_twelve_months_of_use(on_hand, status):
    # 12 pieces in 364 days: 12 last 11.97 months, 13 last 12.97.
    got = line(
        {("main", "blade"): [counted(np.full(10, 12), day=60)]},
        stock=f"part  on_hand | blade  {on_hand}",
        draws=10,
    )
    assert got["status"] == status


def test_months_of_use_count_the_coming_year_alone():
    needs = {("main", "blade"): [counted(np.full(10, 4), day=day) for day in (364, 365)]}
    stock = """
        part   on_hand
        blade  8
    """
    got = line(needs, stock=stock, draws=10)
    assert got["months_of_use"] == pytest.approx(8 / (4 / 364 * 365 / 12))


def test_an_open_order_for_a_part_that_nothing_carries_is_a_line_of_its_own():
    got = line(
        {("main", "blade"): [NOTHING]},
        parts=ONE_PART + "    pad  2  1  14  Harbour\n",
        on_order="part  pieces  due | pad  6  2027-12-01",
        draws=10,
    )
    assert got[["part", "status", "on_order", "order_pieces"]].tolist() == ["pad", "no use", 0, 0]
