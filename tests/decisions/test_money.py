"""A year's cost, divided by place, floor and month."""

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.decisions.makers import book, choices, counted, draws, history
from wearcast.decisions.costing.unit_costs import slot_prices, unpriced
from wearcast.decisions.money import year_cost

PARTS = """
    part   kind   price  minutes  replaced_by
    blade  blade  10     12       -
    pad    pad    4      -        -
    old    blade  1      -        blade
    bare   brush  -      -        -
"""
YEAR = 365 / 364


def cost(made, **asked):
    past = history(machines=made.machines, site=made.slots["site"])
    return year_cost(made, past, book(PARTS), choices(draws=made.draws, **asked))


def two_machines():
    needs = {
        ("main", "blade"): [counted([1, 3], day=10)],
        ("main", "pad"): [counted([2, 2], day=50)],
    }
    return draws(needs, kind=["blade", "pad"], site=["hall", "shed"], pieces=[1.0, 2.0])


def by_place(frame):
    return frame.set_index(["level", "where", "kind"])


def test_a_years_cost_is_pieces_times_price_scaled_to_a_calendar_year():
    # 1 or 3 blades at 10, and 2 changes of 2 pads at 4: 26 or 46 in 364 days. A tenth of the way
    # from the lower to the higher: 28.
    fleet = by_place(cost(two_machines())).loc[("fleet", "fleet", "all")]
    assert fleet["mean"] == pytest.approx(36 * YEAR)
    assert fleet["p10"] == pytest.approx(28 * YEAR)
    assert fleet["covers"] == "parts only"


def test_places_and_kinds_add_up_to_the_fleet():
    frame = cost(two_machines())
    total = by_place(frame).loc[("fleet", "fleet", "all"), "mean"]
    for level in ("site", "machine", "part", "floor", "month"):
        here = frame[(frame["level"] == level) & (frame["kind"] == "all")]
        assert here["mean"].sum() == pytest.approx(total)
    kinds = frame[(frame["level"] == "fleet") & (frame["kind"] != "all")]
    assert kinds["mean"].sum() == pytest.approx(total)


def test_a_use_costs_the_price_of_its_day():
    made = draws({("main", "blade"): [counted([1], day=182)]})
    grown = by_place(cost(made, price_growth=0.1)).loc[("fleet", "fleet", "all"), "mean"]
    assert grown == pytest.approx(10 * 1.1 ** (182 / 365) * YEAR)


def test_uses_after_the_year_cost_nothing_yet():
    made = draws({("main", "blade"): [counted([1], day=365)]})
    assert by_place(cost(made)).loc[("fleet", "fleet", "all"), "mean"] == 0.0


def test_work_is_added_where_minutes_and_a_rate_are_known():
    frame = by_place(cost(two_machines(), labour_rate=30.0))
    # 12 minutes at 30 an hour: 6 a change, 2 changes on average; pads give no minutes.
    assert frame.loc[("fleet", "fleet", "labour"), "mean"] == pytest.approx(12 * YEAR)
    assert frame.loc[("fleet", "fleet", "all"), "mean"] == pytest.approx(48 * YEAR)
    assert (frame["covers"] == "parts and labour").all()


def test_cost_per_hundred_hours_divides_by_the_machines_that_are_there():
    frame = by_place(cost(two_machines()))
    # Each machine runs 1,000 h in 52 weeks.
    assert frame.loc[("fleet", "fleet", "all"), "per_100h"] == pytest.approx(36 / 2000 * 100)
    assert frame.loc[("site", "shed", "all"), "per_100h"] == pytest.approx(16 / 1000 * 100)
    assert frame.loc[("floor", "unknown", "all"), "per_100h"] == pytest.approx(36 / 2000 * 100)


def with_machines(**columns):
    past = history(machines=("M000", "M001"))
    return replace(past, machines=past.machines.assign(site=["hall", "shed"], **columns))


def test_area_comes_from_the_rate_where_it_is_known():
    past = with_machines(m2_per_hour=[2000.0, np.nan])
    made = two_machines()
    frame = by_place(year_cost(made, past, book(PARTS), choices(draws=2)))
    assert frame.loc[("site", "hall", "all"), "per_1000m2"] == pytest.approx(20 / 2000)
    assert np.isnan(frame.loc[("fleet", "fleet", "all"), "per_1000m2"])


def test_width_gives_an_area_only_with_a_speed_and_a_work_share():
    past = with_machines(width_cm=[50.0, 50.0])
    made = two_machines()
    plain = by_place(year_cost(made, past, book(PARTS), choices(draws=2)))
    assert np.isnan(plain.loc[("fleet", "fleet", "all"), "per_1000m2"])
    # 0.5 m at 4 km/h is 2,000 m2/h (computed), of which 60 % is really cleaned.
    chosen = choices(draws=2, speed_km_h=4.0, work_share=0.6)
    known = by_place(year_cost(made, past, book(PARTS), chosen))
    assert known.loc[("fleet", "fleet", "all"), "per_1000m2"] == pytest.approx(
        1000 * 36 / (2000 * 1200)
    )


def test_floors_share_the_money_by_wear():
    made = draws({("main", "blade"): [counted([1], day=10)]})
    made = replace(made, floors=("tile", "vinyl"), wear_share=np.array([[0.75, 0.25]]))
    past = history()
    mixes = pd.DataFrame(
        {"machine": ["M000"], "since": pd.Timestamp.min, "tile": 0.5, "vinyl": 0.5}
    )
    past = replace(past, mixes=mixes, floors=("tile", "vinyl"))
    frame = by_place(year_cost(made, past, book(PARTS), choices(draws=1)))
    assert frame.loc[("floor", "tile", "all"), "mean"] == pytest.approx(7.5 * YEAR)
    # 500 of the 1,000 hours are on tile.
    assert frame.loc[("floor", "tile", "all"), "per_100h"] == pytest.approx(1.5)


def test_months_hold_the_uses_of_their_days():
    made = draws({("main", "blade"): [np.array([[0, 31], [0, 32], [0, 33]])]})
    frame = by_place(cost(made))
    # Day 31 after 31 December is 31 January; days 32 and 33 are in February.
    assert frame.loc[("month", "2027-01", "all"), "mean"] == pytest.approx(10 * YEAR)
    assert frame.loc[("month", "2027-02", "all"), "mean"] == pytest.approx(20 * YEAR)


def test_a_replaced_part_costs_what_the_part_in_its_place_costs():
    slots = pd.DataFrame({"part": ["old", "pad"]})
    assert slot_prices(slots, book(PARTS).parts).tolist() == [10.0, 4.0]


def test_a_part_without_a_price_costs_nobody_knows_what_and_is_named():
    made = draws({("main", "bare"): [counted([5], day=10)]})
    fleet = by_place(cost(made)).loc[("fleet", "fleet", "all")]
    assert fleet[["mean", "p10", "p50", "p90", "per_100h"]].isna().all()
    assert fleet["covers"] == ""
    assert unpriced(made.slots, book(PARTS)) == ("bare",)


def test_where_some_parts_have_a_price_the_figures_say_that_they_cover_these():
    made = draws({("main", part): [counted([1], day=10)] for part in ("bare", "blade")})
    fleet = by_place(cost(made)).loc[("fleet", "fleet", "all")]
    assert fleet["mean"] > 0
    assert fleet["covers"] == "priced parts only"


@settings(deadline=None, max_examples=20)
@given(st.floats(0.1, 100))
def test_scaling_every_price_scales_every_cost(factor):
    made = two_machines()
    plain = cost(made)
    catalogue = book(PARTS)
    catalogue = replace(
        catalogue, parts=catalogue.parts.assign(price=catalogue.parts["price"] * factor)
    )
    past = history(machines=made.machines, site=made.slots["site"])
    scaled = year_cost(made, past, catalogue, choices(draws=2))
    assert np.allclose(scaled["mean"], plain["mean"] * factor)


def test_a_kind_stands_only_where_it_costs_something():
    frame = cost(two_machines())
    pairs = frame.loc[frame["level"] == "site", ["where", "kind"]].to_numpy().tolist()
    assert pairs == [["hall", "blade"], ["hall", "all"], ["shed", "pad"], ["shed", "all"]]
    # A place without any cost still has its row of all kinds.
    months = frame.loc[frame["level"] == "month", ["where", "kind", "mean"]]
    assert len(months) == 12 + 2
    assert months.iloc[-1].tolist() == ["2027-12", "all", 0.0]


def test_the_range_of_a_year_is_that_of_its_draws():
    made = draws({("main", "blade"): [counted(np.arange(11), day=10)]})
    fleet = by_place(cost(made)).loc[("fleet", "fleet", "all")]
    assert fleet[["p10", "p50", "mean", "p90"]].tolist() == pytest.approx(
        [10 * YEAR, 50 * YEAR, 50 * YEAR, 90 * YEAR]
    )


def test_the_last_day_of_the_year_counts_at_its_price():
    made = draws({("main", "blade"): [counted([1], day=364)]})
    frame = by_place(cost(made, price_growth=0.1))
    assert frame.loc[("month", "2027-12", "all"), "mean"] == pytest.approx(
        10 * 1.1 ** (364 / 365) * YEAR
    )


def test_a_walk_of_half_a_year_costs_what_falls_into_it():
    made = draws({("main", "blade"): [counted([1], day=10)]}, days=182)
    made = replace(made, weekly_hours=np.full((1, 52), 20.0))
    frame = by_place(cost(made))
    assert frame.loc[("month", "2027-01", "all"), "mean"] == pytest.approx(10 * YEAR)


def test_a_rate_for_work_without_minutes_covers_parts_only():
    made = draws({("main", "pad"): [counted([1], day=10)]}, kind="pad")
    frame = cost(made, labour_rate=30.0)
    assert set(frame["kind"]) == {"pad", "all"}
    assert (frame["covers"] == "parts only").all()


def test_work_counts_once_a_change_whatever_its_pieces():
    made = draws({("main", "blade"): [counted([1], day=10)]}, pieces=[3.0])
    frame = by_place(cost(made, labour_rate=30.0))
    # 12 minutes at 30 an hour and three blades at 10.
    assert frame.loc[("fleet", "fleet", "labour"), "mean"] == pytest.approx(6 * YEAR)
    assert frame.loc[("fleet", "fleet", "all"), "mean"] == pytest.approx(36 * YEAR)


def test_a_place_without_hours_has_no_cost_an_hour():
    made = draws({("main", "blade"): [counted([1], day=10)]})
    made = replace(made, weekly_hours=np.zeros((1, 52)))
    assert np.isnan(by_place(cost(made)).loc[("fleet", "fleet", "all"), "per_100h"])
    few = replace(made, weekly_hours=np.full((1, 52), 0.5 / 52))
    assert by_place(cost(few)).loc[("fleet", "fleet", "all"), "per_100h"] == pytest.approx(2000)
