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


def cost(made, past=None, **asked):
    past = past or history(machines=made.machines, site=made.slots["site"])
    return year_cost(made, past, book(PARTS), choices(draws=made.draws, **asked))


def two_machines():
    needs = {
        ("main", "blade"): [counted([1, 3], day=10)],
        ("main", "pad"): [counted([2, 2], day=50)],
    }
    return draws(needs, kind=["blade", "pad"], site=["hall", "shed"], pieces=[1.0, 2.0])


def one(part="blade", uses=(1,), day=10, weekly=None, **columns):
    """One machine that needs so many of a part in each draw, all on a day."""
    made = draws({("main", part): [counted(uses, day=day)]}, **columns)
    return made if weekly is None else replace(made, weekly_hours=np.full((1, 52), weekly))


def by_place(frame):
    return frame.set_index(["level", "where", "kind"])


FLEET = ("fleet", "fleet", "all")
JANUARY, DECEMBER = ("month", "2027-01", "all"), ("month", "2027-12", "all")


LABOUR = (*FLEET[:2], "labour")
PAID, GROWING = {"labour_rate": 30.0}, {"price_growth": 0.1}


@pytest.mark.parametrize(
    ("made", "asked", "place", "found"),
    [
        # 1 or 3 blades at 10, and 2 changes of 2 pads at 4: 26 or 46 in 364 days. A tenth of the
        # way from the lower to the higher: 28. Each machine runs 1,000 h in 52 weeks.
        (two_machines(), {}, FLEET, {"mean": 36 * YEAR, "p10": 28 * YEAR, "per_100h": 1.8}),
        (two_machines(), {}, ("site", "shed", "all"), {"per_100h": 1.6}),
        (two_machines(), {}, ("floor", "unknown", "all"), {"per_100h": 1.8}),
        # 12 minutes at 30 an hour: 6 a change, 2 changes on average; pads give no minutes.
        (two_machines(), PAID, FLEET, {"mean": 48 * YEAR}),
        (two_machines(), PAID, LABOUR, {"mean": 12 * YEAR}),
        # Work counts once a change, whatever its pieces: three blades at 10.
        (one(pieces=[3.0]), PAID, FLEET, {"mean": 36 * YEAR}),
        (one(pieces=[3.0]), PAID, LABOUR, {"mean": 6 * YEAR}),
        # A use costs the price of its day, up to the year's last.
        (one(day=182), GROWING, FLEET, {"mean": 10 * 1.1 ** (182 / 365) * YEAR}),
        (one(day=364), GROWING, DECEMBER, {"mean": 10 * 1.1 ** (364 / 365) * YEAR}),
        (one(day=365), {}, FLEET, {"mean": 0.0}),
        (one(uses=np.arange(11)), {}, FLEET, {"p10": 10 * YEAR, "p50": 50 * YEAR}),
        (one(uses=np.arange(11)), {}, FLEET, {"mean": 50 * YEAR, "p90": 90 * YEAR}),
        # A walk of half a year costs what falls into it.
        (one(days=182, weekly=20.0), {}, JANUARY, {"mean": 10 * YEAR}),
        # A place without hours has no cost an hour; part of an hour has.
        (one(weekly=0.0), {}, FLEET, {"per_100h": np.nan}),
        (one(weekly=0.5 / 52), {}, FLEET, {"per_100h": 2000}),
        # A part without a price costs nobody knows what.
        (one("bare", [5]), {}, FLEET, dict.fromkeys(["mean", "p10", "p50", "p90"], np.nan)),
        (one("bare", [5]), {}, FLEET, {"per_100h": np.nan}),
    ],
)  # fmt: skip
def test_a_year_costs_pieces_times_price_scaled_to_a_calendar_year(made, asked, place, found):
    row = by_place(cost(made, **asked)).loc[place]
    assert row[list(found)].tolist() == pytest.approx(list(found.values()), nan_ok=True)


BARE_TOO = draws({("main", part): [counted([1], day=10)] for part in ("bare", "blade")})


@pytest.mark.parametrize(
    ("made", "asked", "covers"),
    [
        (two_machines(), {}, "parts only"),
        (two_machines(), {"labour_rate": 30.0}, "parts and labour"),
        # A rate for work without minutes.
        (one("pad", kind="pad"), {"labour_rate": 30.0}, "parts only"),
        (BARE_TOO, {}, "priced parts only"),
        (one("bare"), {}, ""),
    ],
)
def test_figures_say_what_they_cover(made, asked, covers):
    frame = cost(made, **asked)
    assert by_place(frame).loc[FLEET, "covers"] == covers
    assert ("labour" in set(frame["kind"])) == (covers == "parts and labour")


def test_a_part_without_a_price_is_named():
    assert unpriced(BARE_TOO.slots, book(PARTS)) == ("bare",)
    assert by_place(cost(BARE_TOO)).loc[FLEET, "mean"] > 0


def test_places_and_kinds_add_up_to_the_fleet():
    frame = cost(two_machines())
    total = by_place(frame).loc[FLEET, "mean"]
    for level in ("site", "machine", "part", "floor", "month"):
        here = frame[(frame["level"] == level) & (frame["kind"] == "all")]
        assert here["mean"].sum() == pytest.approx(total)
    kinds = frame[(frame["level"] == "fleet") & (frame["kind"] != "all")]
    assert kinds["mean"].sum() == pytest.approx(total)


def with_machines(**columns):
    past = history(machines=("M000", "M001"))
    return replace(past, machines=past.machines.assign(site=["hall", "shed"], **columns))


KNOWN = {"speed_km_h": 4.0, "work_share": 0.6}


@pytest.mark.parametrize(
    ("machines", "asked", "place", "area"),
    [
        ({"m2_per_hour": [2000.0, np.nan]}, {}, ("site", "hall", "all"), 20 / 2000),
        ({"m2_per_hour": [2000.0, np.nan]}, {}, FLEET, np.nan),
        ({"width_cm": [50.0, 50.0]}, {}, FLEET, np.nan),
        # 0.5 m at 4 km/h is 2,000 m2/h (computed), of which 60 % is really cleaned.
        ({"width_cm": [50.0, 50.0]}, KNOWN, FLEET, 1000 * 36 / (2000 * 1200)),
    ],
)
def test_area_comes_from_a_rate_or_from_width_speed_and_work_share(machines, asked, place, area):
    frame = by_place(cost(two_machines(), with_machines(**machines), **asked))
    assert frame.loc[place, "per_1000m2"] == pytest.approx(area, nan_ok=True)


def test_floors_share_the_money_by_wear():
    made = replace(one(), floors=("tile", "vinyl"), wear_share=np.array([[0.75, 0.25]]))
    past = history()
    mixes = pd.DataFrame(
        {"machine": ["M000"], "since": pd.Timestamp.min, "tile": 0.5, "vinyl": 0.5}
    )
    past = replace(past, mixes=mixes, floors=("tile", "vinyl"))
    frame = by_place(cost(made, past))
    assert frame.loc[("floor", "tile", "all"), "mean"] == pytest.approx(7.5 * YEAR)
    # 500 of the 1,000 hours are on tile.
    assert frame.loc[("floor", "tile", "all"), "per_100h"] == pytest.approx(1.5)


def test_months_hold_the_uses_of_their_days():
    made = draws({("main", "blade"): [np.array([[0, 31], [0, 32], [0, 33]])]})
    frame = by_place(cost(made))
    # Day 31 after 31 December is 31 January; days 32 and 33 are in February.
    assert frame.loc[JANUARY, "mean"] == pytest.approx(10 * YEAR)
    assert frame.loc[("month", "2027-02", "all"), "mean"] == pytest.approx(20 * YEAR)


def test_a_replaced_part_costs_what_the_part_in_its_place_costs():
    slots = pd.DataFrame({"part": ["old", "pad"]})
    assert slot_prices(slots, book(PARTS).parts).tolist() == [10.0, 4.0]


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
